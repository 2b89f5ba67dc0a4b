"""All sizes of a run over each other: centre lines and anchor level together.

Sizes are told apart by their dashes and by labels at the ends of lines, never by colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block, Piece
from ease.files.size_dashes import size_dashes
from ease.show.figure import GUIDE
from ease.show.outlines import corners, laid_out, outline_path
from ease.show.scale_bar import draw_scale_bar

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.patches import PathPatch

__all__ = ["draw_nest", "nest_size"]

FloatArray = NDArray[np.float64]
LABEL_CM: Final = 1.15  # from one label to the next, at least
LEADER_CM: Final = 3.0
GAP_CM: Final = 12.0  # from one piece to the next, with room for labels
MARGIN_CM: Final = 8.0
INCH_PER_CM: Final = 0.105


def nest_size(blocks: Sequence[Block]) -> tuple[float, float]:
    """Return width and height of the picture, inches."""
    low, high = _frame(blocks)
    _, rights = laid_out(_versions(blocks), GAP_CM)
    width = rights[-1] + 2 * MARGIN_CM
    return INCH_PER_CM * width, INCH_PER_CM * (high - low + 12.0)


def draw_nest(
    axes: Axes,
    blocks: Sequence[Block],
    labels: Sequence[str],
    *,
    units: str = "cm",
    title: str = "",
) -> Axes:
    """Draw blocks of one construction over each other.

    Args:
        axes: Where to draw; limits, aspect and ticks are set.
        blocks: The sizes, smallest first; all with the same pieces and edges.
        labels: Name of each size.
        units: Unit of the scale bar, ``cm`` or ``in``.
        title: Heading.
    """
    shifts = _shifts(blocks)
    versions = _versions(blocks)
    offsets, rights = laid_out(versions, GAP_CM)
    dashes = size_dashes(len(blocks))
    for same, offset in zip(versions, offsets, strict=True):
        for row, (own, shift) in enumerate(zip(same, shifts, strict=True)):
            patch = _draw_size(axes, own, (offset, shift), dashes[row])
            patch.set_gid(f"{own.name} {row}")
        _draw_labels(axes, same, labels, shifts, offset)
        _name_piece(axes, same, shifts, offset)
    low, high = _frame(blocks)
    right = rights[-1]
    anchor = blocks[0].level(blocks[0].anchor)
    axes.plot([0.0, right + 2.0], [anchor.y] * 2, **GUIDE, gid=f"level {anchor.name}")
    axes.annotate(
        f"{anchor.name},\ntogether",
        (right + 2.0, anchor.y),
        xytext=(3, 0),
        textcoords="offset points",
        va="center",
    )
    axes.set_xlim(-MARGIN_CM, right + MARGIN_CM)
    axes.set_ylim(high + 6.0, low - 3.0)
    axes.set_aspect("equal")
    axes.set_axis_off()
    draw_scale_bar(axes, high + 4.0, units)
    if title:
        axes.set_title(title, loc="left")
    return axes


def _shifts(blocks: Sequence[Block]) -> list[float]:
    """Return how far down each block goes for its anchor to lie on the first one's."""
    first = blocks[0].level(blocks[0].anchor).y
    return [first - block.level(block.anchor).y for block in blocks]


def _versions(blocks: Sequence[Block]) -> list[list[Piece]]:
    """Return all sizes of each piece."""
    return [[block.piece(piece.name) for block in blocks] for piece in blocks[0].pieces]


def _frame(blocks: Sequence[Block]) -> tuple[float, float]:
    heights = np.concatenate(
        [
            corners(piece)[:, 1] + shift
            for block, shift in zip(blocks, _shifts(blocks), strict=True)
            for piece in block.pieces
        ]
    )
    return float(heights.min()), float(heights.max())


def _draw_size(
    axes: Axes,
    piece: Piece,
    place: tuple[float, float],
    dash: tuple[float, ...],
) -> PathPatch:
    from matplotlib.patches import PathPatch
    from matplotlib.transforms import Affine2D

    offset, shift = place
    path = outline_path(piece, offset).transformed(Affine2D().translate(0.0, shift))
    patch = PathPatch(
        path,
        fill=False,
        edgecolor="black",
        linestyle=(0, dash) if dash else "solid",
        linewidth=0.9,
        joinstyle="round",
    )
    axes.add_patch(patch)
    return patch


def _fanned(pieces: Sequence[Piece], shifts: Sequence[float]) -> FloatArray:
    """Return the corner of every size at which the lines lie furthest apart, (n, 2).

    Apart in height, so that a label stands beside the end of its line.
    """
    corners = np.array(
        [[piece.point(edge.start) for edge in pieces[0].edges] for piece in pieces]
    )
    corners[..., 1] += np.asarray(shifts)[:, None]
    # On the fold there is room on the other side.
    spread = np.ptp(corners[..., 1], axis=0) - np.abs(corners[..., 0]).max(axis=0) / 100
    return np.asarray(corners[:, int(spread.argmax())])


def _draw_labels(
    axes: Axes,
    pieces: Sequence[Piece],
    labels: Sequence[str],
    shifts: Sequence[float],
    offset: float,
) -> None:
    """Name each line at its end."""
    ends = _fanned(pieces, shifts)
    on_fold = pieces[0].on_fold and bool(np.abs(ends[:, 0]).max() < 1e-6)
    reach = max(float(corners(piece)[:, 0].max()) for piece in pieces)
    column = offset - LEADER_CM if on_fold else offset + reach + LEADER_CM
    order = np.argsort(ends[:, 1], kind="stable")
    heights = ends[order, 1]
    if len(order) > 1 and np.diff(heights).min() < LABEL_CM:
        steps = np.arange(len(order)) - (len(order) - 1) / 2
        heights = heights.mean() + LABEL_CM * steps
    for row, y in zip(order.tolist(), heights.tolist(), strict=True):
        axes.annotate(
            labels[row],
            (offset + ends[row, 0], ends[row, 1]),
            xytext=(column, y),
            textcoords="data",
            va="center",
            ha="right" if on_fold else "left",
            fontsize=8.0,
            gid=f"size {labels[row]}",
            arrowprops={
                "arrowstyle": "-",
                "color": "#595959",
                "linewidth": 0.6,
                "shrinkA": 1,
                "shrinkB": 0,
            },
        )


def _name_piece(
    axes: Axes, pieces: Sequence[Piece], shifts: Sequence[float], offset: float
) -> None:
    largest = corners(pieces[-1])
    words = f"{pieces[0].name}, centre on fold" if pieces[0].on_fold else pieces[0].name
    on_fold = largest[np.abs(largest[:, 0]) < 1e-6, 1] + shifts[-1]
    y = float(on_fold.mean() if len(on_fold) else largest[:, 1].mean())
    axes.annotate(
        words,
        (offset, y),
        xytext=(-5, 0),
        textcoords="offset points",
        rotation=90,
        ha="right",
        va="center",
    )
