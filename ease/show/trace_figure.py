"""A traced block as a picture: points read off the paper and curves through them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from ease.block.curves import bounds, evaluate
from ease.block.measure import outline
from ease.show.figure import GUIDE
from ease.show.overlay import outline_path

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ease.files.trace import Traced

__all__ = ["SIZE_IN", "draw_trace"]

SIZE_IN: Final = (10.0, 8.0)
_GAP_CM: Final = 8.0


def draw_trace(axes: Axes, traced: Traced) -> Axes:
    """Draw each piece with its points, edge names and levels, pieces side by side.

    Args:
        axes: Where to draw; limits, aspect and ticks are set.
        traced: The traced block.
    """
    from matplotlib.patches import PathPatch

    x = 0.0
    for piece in traced.block.pieces:
        low, high = bounds(outline(piece))
        shift = x - float(low[0])
        axes.add_patch(PathPatch(outline_path(piece, shift), fill=False, linewidth=1.4))
        points = traced.points[piece.name]
        axes.plot(
            points[:, 0] + shift,
            points[:, 1],
            "o",
            markersize=3.5,
            markerfacecolor="white",
            markeredgecolor="black",
            gid=f"points of {piece.name}",
        )
        for edge in piece.edges:
            at = evaluate(edge.control[len(edge.control) // 2], 0.5)
            axes.text(float(at[0]) + shift + 0.6, float(at[1]), edge.name, fontsize=7)
        axes.text(shift + float(high[0] + low[0]) / 2, float(low[1]) - 2, piece.name,
                  ha="center", fontsize=10)  # fmt: skip
        x = float(high[0]) + shift + _GAP_CM
    for level in traced.block.levels:
        axes.axhline(level.y, gid=f"level {level.name}", **GUIDE)
        axes.text(x - _GAP_CM / 2, level.y, f"{level.name} {level.y:.1f}", va="bottom")
    corners = np.concatenate([outline(p).reshape(-1, 2) for p in traced.block.pieces])
    axes.set_xlim(-4.0, x + 6.0)
    axes.set_ylim(float(corners[:, 1].max()) + 4.0, float(corners[:, 1].min()) - 5.0)
    axes.set_aspect("equal")
    axes.set_xlabel("across (cm)")
    axes.set_ylabel("down (cm)")
    axes.set_title(f"{traced.block.name}, traced by numbers", loc="left")
    return axes
