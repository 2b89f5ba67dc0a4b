"""Two blocks over each other at one scale: what the change does to the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.measure import piece_width
from ease.block.pieces import Block, Piece
from ease.show.figure import AFTER, BEFORE, GUIDE
from ease.show.scale_bar import draw_scale_bar
from ease.units import length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["LevelLabel", "draw_overlay", "outline_path"]

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


def outline_path(piece: Piece, offset_x: float = 0.0) -> Any:  # noqa: ANN401 - matplotlib stays unimported
    """Return a piece's outline as a matplotlib path of true cubics.

    Args:
        piece: The piece.
        offset_x: Shift to the right, cm.
    """
    from matplotlib.path import Path

    control = np.concatenate([edge.control for edge in piece.edges])
    vertices = np.concatenate([control[:1, 0], control[:, 1:].reshape(-1, 2)])
    codes = [Path.MOVETO] + [Path.CURVE4] * (len(vertices) - 1)
    return Path(vertices + np.array([offset_x, 0.0]), codes)


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
    offsets = _offsets(before, after)
    for piece, offset in zip(before.pieces, offsets, strict=True):
        _draw_piece(axes, piece, offset, 0.0, BEFORE)
        _draw_piece(axes, after.piece(piece.name), offset, shift, AFTER)
        _draw_fold(axes, piece, offset)
        if piece.on_fold:
            pair = (piece, after.piece(piece.name))
            _name_lines(axes, pair, (offset, shift, _label_height(before)), names)
    right = offsets[-1] + _reach(before.pieces[-1], after.pieces[-1])
    _draw_levels(axes, before, labels, right, units)
    _frame(axes, [(before, 0.0), (after, shift)], offsets, right, units)
    return axes


def _label_height(block: Block) -> float:
    """Halfway from the anchor level to the next one down, or up where it is the last."""
    anchor = block.level(block.anchor).y
    others = [level.y for level in block.levels if level.name != block.anchor]
    below = [y for y in others if y > anchor]
    near = min(below) if below else max(others, default=anchor)
    return 0.5 * (anchor + near)


def _corners(piece: Piece) -> FloatArray:
    return np.concatenate([edge.control for edge in piece.edges]).reshape(-1, 2)


def _reach(*pieces: Piece) -> float:
    return max(float(_corners(piece)[:, 0].max()) for piece in pieces)


def _offsets(before: Block, after: Block) -> list[float]:
    offsets, x = [], 0.0
    for piece in before.pieces:
        offsets.append(x)
        x += _reach(piece, after.piece(piece.name)) + GAP_CM
    return offsets


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


def _draw_fold(axes: Axes, piece: Piece, offset: float) -> None:
    if not piece.on_fold:
        return
    on_fold = _corners(piece)
    ys = on_fold[np.abs(on_fold[:, 0]) < 1e-6, 1]
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
    widths = [piece_width(pair[0], y), piece_width(pair[1], y - shift)]
    outer = int(widths[1] > widths[0])
    for index, (name, style) in enumerate(zip(names, (BEFORE, AFTER), strict=True)):
        outside = index == outer
        axes.annotate(
            name,
            (offset + widths[index], y),
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
    offsets: Sequence[float],
    right: float,
    units: str,
) -> None:
    ys = np.concatenate(
        [
            _corners(piece)[:, 1] + shift
            for block, shift in drawn
            for piece in block.pieces
        ]
    )
    axes.set_xlim(offsets[0] - 5.0, right + LABEL_CM + 17.0)
    axes.set_ylim(float(ys.max()) + 5.0, float(ys.min()) - 3.0)
    axes.set_aspect("equal")
    axes.set_axis_off()
    y = float(ys.max()) + 3.5
    draw_scale_bar(axes, y, units)
