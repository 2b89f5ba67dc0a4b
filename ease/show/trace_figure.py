"""A traced block as a picture: points read off the paper and curves through them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

import numpy as np

from ease.block.curves import bounds, derivative, evaluate, signed_area
from ease.block.measure import outline
from ease.show.figure import GUIDE
from ease.show.outlines import outline_path
from ease.units import CM_PER, length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ease.block.pieces import Piece
    from ease.files.trace_records import Traced

__all__ = ["SIZE_IN", "draw_trace"]

SIZE_IN: Final = (10.0, 8.0)
_GAP_CM: Final = 14.0  # names of edges stand between the pieces
_AWAY_PT: Final = 6.0
_SLANT: Final = 0.35  # sine of about 20 degrees
_STEPS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500)  # from tick to tick
_MOST_TICKS: Final = 16
_CLEAR: Final = 0.4  # of a step, between the fold and the next tick


def draw_trace(axes: Axes, traced: Traced, *, units: str = "cm") -> Axes:
    """Draw each piece with its points, edge names and levels, pieces side by side.

    Across, the ticks under each piece read what the squared board reads there.

    Args:
        axes: Where to draw; limits, aspect and ticks are set.
        traced: The traced block.
        units: Units of the figures, ``cm`` or ``in``.
    """
    from matplotlib.patches import PathPatch

    x, shifts = 0.0, dict[str, float]()
    for piece in traced.block.pieces:
        low, high = bounds(outline(piece))
        shift = shifts[piece.name] = x - float(low[0])
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
        _name_edges(axes, piece, shift)
        axes.text(shift + float(high[0] + low[0]) / 2, float(low[1]) - 4, piece.name,
                  ha="center", fontsize=10)  # fmt: skip
        x = float(high[0]) + shift + _GAP_CM
    for level in traced.block.levels:
        axes.axhline(level.y, gid=f"level {level.name}", **GUIDE)
        axes.text(
            x - 4.0, level.y, f"{level.name} {length_text(level.y, units)}", va="bottom"
        )
    corners = np.concatenate([outline(p).reshape(-1, 2) for p in traced.block.pieces])
    axes.set_xlim(-_GAP_CM + 2.0, x + 6.0)
    axes.set_ylim(float(corners[:, 1].max()) + 4.0, float(corners[:, 1].min()) - 7.0)
    axes.set_aspect("equal")
    _read_as_on_the_board(axes, traced, shifts, units)
    axes.set_title(f"{traced.block.name}, traced by numbers", loc="left")
    return axes


def _read_as_on_the_board(
    axes: Axes, traced: Traced, shifts: Mapping[str, float], units: str
) -> None:
    """Write at the ticks what the board reads: the pieces lie apart, the board does not."""
    unit = CM_PER[units]
    left, right = axes.get_xlim()
    bottom, top = axes.get_ylim()
    step = next(s for s in _STEPS if s * unit * _MOST_TICKS > right - left)
    places, said = [], []
    for piece in traced.block.pieces:
        zero, side = traced.boards[piece.name]
        low, high = bounds(outline(piece))
        ends = sorted(zero + side * np.array([low[0], high[0]]))
        marks = np.arange(np.ceil(ends[0] / unit / step), ends[1] / unit / step + 1e-9)
        across = marks * step * unit
        if piece.on_fold:
            far = np.abs(across - zero) > _CLEAR * step * unit
            across = np.append(across[far], zero)
        at = (across - zero) * side + shifts[piece.name]
        places += at.tolist()
        said += [f"{value / unit + 0.0:.4g}" for value in across]
        span = [shifts[piece.name] + float(x) for x in (low[0], high[0])]
        axes.plot(span, [bottom] * 2, color="black", linewidth=0.8, clip_on=False,
                  gid=f"board under {piece.name}")  # fmt: skip
    axes.set_xticks(places, said)
    axes.spines["bottom"].set_visible(False)
    heights = np.arange(np.ceil(top / unit / step), bottom / unit / step) * step
    axes.set_yticks(heights * unit, [f"{height + 0.0:.4g}" for height in heights])
    axes.set_xlabel(f"across the board ({units})")
    axes.set_ylabel(f"down ({units})")


def _name_edges(axes: Axes, piece: Piece, shift: float) -> None:
    """Name each edge outside the piece, where no line of its own runs."""
    turn = np.sign(signed_area(outline(piece)))
    for edge in piece.edges:
        middle = edge.control[len(edge.control) // 2]
        (x, y), (dx, dy) = evaluate(middle, 0.5), derivative(middle, 0.5)
        # Outwards, and up on the page where the block's y runs down.
        right, up = turn * np.array([dy, dx]) / max(float(np.hypot(dx, dy)), 1e-12)
        level, upright = abs(right) < _SLANT, abs(up) < _SLANT
        axes.annotate(
            edge.name,
            (float(x) + shift, float(y)),
            xytext=(_AWAY_PT * right, _AWAY_PT * up),
            textcoords="offset points",
            ha="center" if level else "left" if right > 0 else "right",
            va="center" if upright else "bottom" if up > 0 else "top",
            fontsize=7,
            bbox={"boxstyle": "square,pad=0.1", "fc": "white", "ec": "none"},
            gid=f"name of {piece.name}.{edge.name}",
        )
