"""Blocks cut for several fabrics over each other, each named at its line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.measure import girth_at
from ease.block.pieces import Block, Piece
from ease.errors import UsageError
from ease.show.figure import GUIDE
from ease.show.outlines import corners, laid_out, outline_path, right_edge
from ease.show.scale_bar import draw_scale_bar
from ease.units import length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["LOOKS", "SIZE_IN", "draw_cuts"]

FloatArray = NDArray[np.float64]
SIZE_IN: Final = (11.0, 8.0)
LETTER_CM: Final = 0.9  # room of one letter between the pieces, where the names stand
# Told apart by dash and weight first; the colours differ in lightness too.
LOOKS: Final[tuple[dict[str, Any], ...]] = (
    {"edgecolor": "#000000", "linestyle": "solid", "linewidth": 2.4},
    {"edgecolor": "#0072B2", "linestyle": (0, (6, 2)), "linewidth": 2.0},
    {"edgecolor": "#D55E00", "linestyle": (0, (1, 1.2)), "linewidth": 2.0},
    {"edgecolor": "#555555", "linestyle": (0, (8, 2, 1.5, 2)), "linewidth": 1.2},
)


def draw_cuts(
    axes: Axes,
    blocks: Sequence[Block],
    names: Sequence[str],
    *,
    units: str = "cm",
    title: str = "",
) -> Axes:
    """Draw up to four versions of a block, centre lines and anchor level together.

    Args:
        axes: Where to draw; limits, aspect and ticks are set.
        blocks: Versions with the same pieces and levels.
        names: What each is called at its line.
        units: Units of the girths, ``cm`` or ``in``.
        title: Heading.

    Raises:
        UsageError: If there are more versions than looks.
    """
    if len(blocks) > len(LOOKS):
        message = f"at most {len(LOOKS)} outlines can be told apart"
        raise UsageError(message)
    anchor = blocks[0].level(blocks[0].anchor).y
    shifts = [anchor - block.level(block.anchor).y for block in blocks]
    gap = 4.0 + LETTER_CM * max(map(len, names))
    pieces = [[block.piece(one.name) for block in blocks] for one in blocks[0].pieces]
    zeros, rights = laid_out(pieces, gap)
    for versions, x in zip(pieces, zeros, strict=True):
        for version, shift, look in zip(versions, shifts, LOOKS, strict=False):
            _draw(axes, version, (x, shift), look)
        _name(axes, versions, shifts, names, (x, _heights(blocks[0], len(blocks))))
        axes.text(x + 1.0, anchor, versions[0].name, rotation=90, va="center")
    right = rights[-1]
    _draw_levels(axes, blocks, names, (right, right + gap), units)
    every = np.concatenate(
        [
            corners(piece) + np.array([0.0, shift])
            for block, shift in zip(blocks, shifts, strict=True)
            for piece in block.pieces
        ]
    )
    _frame(axes, every[:, 1], right + 2 * gap, units, title)
    return axes


def _draw(
    axes: Axes, piece: Piece, place: tuple[float, float], look: dict[str, Any]
) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.transforms import Affine2D

    path = outline_path(piece, place[0]).transformed(
        Affine2D().translate(0.0, place[1])
    )
    patch = PathPatch(path, fill=False, joinstyle="round", gid=piece.name, **look)
    axes.add_patch(patch)


def _heights(block: Block, count: int) -> FloatArray:
    """Heights for the names: spread from the anchor level to the next one."""
    anchor = block.level(block.anchor).y
    others = [level.y for level in block.levels if level.name != block.anchor]
    below = [y for y in others if y > anchor]
    near = min(below) if below else max(others, default=anchor + 10.0)
    share = (np.arange(count) + 0.6) / (count + 0.2)
    return np.asarray(anchor + (near - anchor) * share)


def _name(
    axes: Axes,
    versions: Sequence[Piece],
    shifts: Sequence[float],
    names: Sequence[str],
    place: tuple[float, FloatArray],
) -> None:
    """Lead from a dot on each outline, each at its own height, to its name."""
    x, heights = place
    ends = [
        [right_edge(piece, float(y) - shift) for y in heights]
        for piece, shift in zip(versions, shifts, strict=True)
    ]
    right = max((end for row in ends for end in row if end is not None), default=0.0)
    for row, (name, y, look) in enumerate(zip(names, heights, LOOKS, strict=False)):
        end = ends[row][row]
        if end is None:
            continue
        ink = look["edgecolor"]
        axes.plot(x + end, y, "o", color=ink, markersize=4)
        axes.annotate(
            name,
            (x + end, y),
            xytext=(x + right + 2.0, y),
            va="center",
            color=ink,
            fontweight="bold",
            arrowprops={"arrowstyle": "-", "color": ink, "linewidth": 0.7},
        )


def _draw_levels(
    axes: Axes,
    blocks: Sequence[Block],
    names: Sequence[str],
    ends: tuple[float, float],
    units: str,
) -> None:
    """Rule the first block's levels and write the girth of every block beside them."""
    for level in blocks[0].levels:
        axes.plot(
            [0.0, ends[0]], [level.y, level.y], **GUIDE, gid=f"level {level.name}"
        )
        girths = [
            f"{length_text(float(girth_at(block, block.level(level.name).y)), units)}"
            f"  {name}"
            for block, name in zip(blocks, names, strict=True)
        ]
        said = "\n".join([f"{level.name} ({units})", *girths])
        axes.text(ends[1], level.y, said, va="center")


def _frame(axes: Axes, ys: FloatArray, right: float, units: str, title: str) -> None:
    top, bottom = float(ys.min()), float(ys.max())
    draw_scale_bar(axes, bottom + 3.5, units)
    axes.set_xlim(-3.0, right)
    axes.set_ylim(bottom + 5.5, top - 3.0)
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.set_title(title, loc="left")
