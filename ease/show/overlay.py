"""Two blocks over each other at one scale: what the change does to the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block, Piece
from ease.show.figure import AFTER, BEFORE, GUIDE
from ease.show.outlines import corners, laid_out, outline_path, right_edge
from ease.show.scale_bar import draw_scale_bar
from ease.units import length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["LevelLabel", "draw_overlay"]

FloatArray = NDArray[np.float64]
GAP_CM: Final = 9.0
LABEL_CM: Final = 4.0
# Texts that stand well inside: no need to look whether they do, or to make room.
_INSIDE: Final[Any] = {"annotation_clip": False, "in_layout": False}


@dataclass(frozen=True, slots=True)
class LevelLabel:
    """A level's girth before and after, for the margin of the picture.

    Attributes:
        name: Name of the level.
        before_cm: Girth of the first block.
        after_cm: Girth of the second block.
    """

    name: str
    before_cm: float
    after_cm: float


def draw_overlay(
    axes: Axes,
    before: Block,
    after: Block,
    labels: Sequence[LevelLabel],
    *,
    names: tuple[str, str] = ("before", "after"),
    units: str = "cm",
) -> Axes:
    """Draw two versions of a block over each other, centre lines and anchor together.

    Args:
        axes: Where to draw; limits, aspect and ticks are set.
        before: The first block: black, thin, dashed.
        after: The second block, with the same pieces: blue, thick, solid.
        labels: Girths to write at the levels.
        names: What the two are called at their lines.
        units: Units of the girths and of the scale bar, ``cm`` or ``in``.
    """
    shift = before.level(before.anchor).y - after.level(after.anchor).y
    pairs = [(piece, after.piece(piece.name)) for piece in before.pieces]
    offsets, rights = laid_out(pairs, GAP_CM)
    for pair, offset in zip(pairs, offsets, strict=True):
        _draw_piece(axes, pair[0], offset, 0.0, BEFORE)
        _draw_piece(axes, pair[1], offset, shift, AFTER)
        _name_piece(axes, pair[0], offset)
        _name_lines(axes, pair, (offset, shift, _label_height(before)), names)
    _draw_levels(axes, before, labels, rights[-1], units)
    _frame(axes, [(before, 0.0), (after, shift)], rights[-1], units)
    return axes


def _label_height(block: Block) -> float:
    """Halfway from the anchor level to the next one down, or up where it is the last."""
    anchor = block.level(block.anchor).y
    others = [level.y for level in block.levels if level.name != block.anchor]
    below = [y for y in others if y > anchor]
    near = min(below) if below else max(others, default=anchor)
    return 0.5 * (anchor + near)


def _draw_piece(
    axes: Axes, piece: Piece, offset: float, shift: float, style: dict[str, Any]
) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.transforms import Affine2D

    path = outline_path(piece, offset).transformed(Affine2D().translate(0.0, shift))
    axes.add_patch(
        PathPatch(
            path,
            fill=False,
            edgecolor=style["color"],
            linestyle=style["linestyle"],
            linewidth=style["linewidth"],
            joinstyle="round",
            gid=piece.name,
        )
    )


def _name_piece(axes: Axes, piece: Piece, offset: float) -> None:
    points = corners(piece)
    if not piece.on_fold:
        x, y = (points.min(axis=0) + points.max(axis=0)) / 2
        at = (offset + float(x), float(y))
        axes.annotate(piece.name, at, ha="center", va="center", **_INSIDE)
        return
    ys = points[np.abs(points[:, 0]) < 1e-6, 1]
    if len(ys):
        axes.annotate(
            f"{piece.name}, centre on fold",
            (offset, float(ys.mean())),
            xytext=(-4, 0),
            textcoords="offset points",
            rotation=90,
            ha="right",
            va="center",
            **_INSIDE,
        )


def _name_lines(
    axes: Axes,
    pair: tuple[Piece, Piece],
    place: tuple[float, float, float],
    names: tuple[str, str],
) -> None:
    """Write each outline's name beside it, the outer one's outside the piece."""
    offset, shift, y = place
    found = right_edge(pair[0], y), right_edge(pair[1], y - shift)
    ends = [end for end in found if end is not None]
    if len(ends) < len(found):
        return
    outer = int(ends[1] > ends[0])
    for index, (name, style) in enumerate(zip(names, (BEFORE, AFTER), strict=True)):
        outside = index == outer
        axes.annotate(
            name,
            (offset + ends[index], y),
            xytext=(5 if outside else -5, 0),
            textcoords="offset points",
            ha="left" if outside else "right",
            va="center",
            color=style["color"],
            fontweight="bold" if index else "normal",
            **_INSIDE,
        )


def _draw_levels(
    axes: Axes, block: Block, labels: Sequence[LevelLabel], right: float, units: str
) -> None:
    for label in labels:
        y = block.level(label.name).y
        axes.plot([0.0, right + LABEL_CM], [y, y], **GUIDE, gid=f"level {label.name}")
        sizes = [length_text(v, units) for v in (label.before_cm, label.after_cm)]
        axes.annotate(
            f"{label.name}\n{sizes[0]} to {sizes[1]} {units}",
            (right + LABEL_CM, y),
            xytext=(3, 0),
            textcoords="offset points",
            va="center",
            annotation_clip=False,
        )


def _frame(
    axes: Axes,
    drawn: Sequence[tuple[Block, float]],
    right: float,
    units: str,
) -> None:
    ys = np.concatenate(
        [
            corners(piece)[:, 1] + shift
            for block, shift in drawn
            for piece in block.pieces
        ]
    )
    axes.set_xlim(-5.0, right + LABEL_CM + 17.0)
    axes.set_ylim(float(ys.max()) + 5.0, float(ys.min()) - 3.0)
    axes.set_aspect("equal")
    axes.set_axis_off()
    y = float(ys.max()) + 3.5
    draw_scale_bar(axes, y, units)
