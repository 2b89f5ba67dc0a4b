"""Several sizes of a piece printed over each other: one grid of sheets for all.

Centre lines and anchor level lie together. Each size has its own dashes, and its name
stands at the ends and in the middle of its lines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, Final, cast

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import evaluate
from ease.block.pieces import Block
from ease.errors import RefusedError
from ease.files.sheet_edges import is_fold
from ease.files.sheet_paper import SheetOptions
from ease.files.sheet_pen import Pen
from ease.files.sheet_pieces import PrintPiece, print_pieces

__all__ = ["SIZE_DASHES", "NestPiece", "SizeLine", "draw_sizes", "nest_pieces"]

FloatArray = NDArray[np.float64]
# The largest size is a full line; neighbours never share a dash. Lengths in mm.
SIZE_DASHES: Final = ((), (6.0, 2.0), (1.5, 1.5), (9.0, 2.0, 1.5, 2.0))
_LINE_MM: Final = 0.4
_NAME_MM: Final = 2.6


@dataclass(frozen=True, slots=True, eq=False)
class SizeLine:
    """One size of a piece, mm, y down.

    Attributes:
        name: Name of the size.
        dash: Place of its dashes in ``SIZE_DASHES``.
        cut: Line to cut along, shape (n, 2): open where there is a fold.
        fold: Ends of its fold line, or None.
        notches: Ends of each notch, shape (n, 2, 2).
        named_at: Places where its name stands, shape (n, 2).
    """

    name: str
    dash: int
    cut: FloatArray
    fold: FloatArray | None
    notches: FloatArray
    named_at: FloatArray

    def mapped(self, place: Callable[[FloatArray], FloatArray]) -> SizeLine:
        """Return the same size with every point put elsewhere."""
        return replace(
            self,
            cut=place(self.cut),
            fold=None if self.fold is None else place(self.fold),
            notches=place(self.notches),
            named_at=place(self.named_at),
        )


@dataclass(frozen=True, slots=True, eq=False)
class NestPiece(PrintPiece):
    """The largest size of a piece, with the others and all names.

    Attributes:
        sizes: Every size with its names, the largest last.
    """

    sizes: tuple[SizeLine, ...] = ()

    @property
    def others(self) -> tuple[SizeLine, ...]:
        """The sizes besides the largest."""
        return self.sizes[:-1]

    @property
    def box(self) -> FloatArray:
        """Smallest upright rectangle round all sizes."""
        points = [self.cut, self.notches.reshape(-1, 2)]
        for size in self.others:
            points += [size.cut, size.notches.reshape(-1, 2)]
        together = np.concatenate(points)
        return np.stack([together.min(axis=0), together.max(axis=0)])

    def _mapped(self, matrix: FloatArray, shift: FloatArray) -> NestPiece:
        def place(points: FloatArray) -> FloatArray:
            return np.asarray(points @ matrix + shift)

        moved = cast("NestPiece", PrintPiece._mapped(self, matrix, shift))
        return replace(moved, sizes=tuple(size.mapped(place) for size in self.sizes))


def nest_pieces(
    blocks: Sequence[Block], labels: Sequence[str], options: SheetOptions
) -> tuple[NestPiece, ...]:
    """Return the pieces of several sizes, each with all sizes over each other.

    Args:
        blocks: The sizes, smallest first.
        labels: Name of each size.
        options: Wishes for the print.

    Raises:
        RefusedError: If the sizes do not have the same pieces.
        UsageError: If an allowance is asked for an edge that is not there.
    """
    names = [piece.name for piece in blocks[-1].pieces]
    if any([piece.name for piece in block.pieces] != names for block in blocks):
        message = "only sizes with the same pieces can be printed over each other"
        raise RefusedError(message)
    all_pieces = [print_pieces(block, options) for block in blocks]
    anchors = [block.level(block.anchor).y * 10 for block in blocks]
    return tuple(
        _nest(
            blocks,
            labels,
            [
                piece[place].moved(_along(options, anchors[-1] - anchor))
                for piece, anchor in zip(all_pieces, anchors, strict=True)
            ],
            [_along(options, anchors[-1] - anchor) for anchor in anchors],
            options,
        )
        for place in range(len(names))
    )


def _along(options: SheetOptions, down: float) -> FloatArray:
    """Return a way down the body on the paper, mm."""
    return np.array([down, 0.0] if options.grain == "across" else [0.0, down])


def _nest(
    blocks: Sequence[Block],
    labels: Sequence[str],
    pieces: Sequence[PrintPiece],
    shifts: Sequence[FloatArray],
    options: SheetOptions,
) -> NestPiece:
    count, largest = len(pieces), pieces[-1]
    named = _thinned(
        np.array(
            [
                _places(block, piece, shift, options)
                for block, piece, shift in zip(blocks, pieces, shifts, strict=True)
            ]
        )
    )
    sizes = tuple(
        SizeLine(
            name=labels[row],
            dash=(count - 1 - row) % len(SIZE_DASHES),
            cut=piece.cut,
            fold=piece.fold,
            notches=piece.notches,
            named_at=named[row],
        )
        for row, piece in enumerate(pieces)
    )
    own: dict[str, Any] = {f.name: getattr(largest, f.name) for f in fields(PrintPiece)}
    anchor = blocks[-1].anchor
    return NestPiece(
        **own
        | {
            "levels": tuple(lv for lv in largest.levels if lv[0] == anchor),
            "marks": (),
            # With allowances the stitch lines of all sizes would be one thicket.
            "net": () if largest.has_allowance else largest.net,
            "label": _label(largest, labels, blocks[-1]),
        },
        sizes=sizes,
    )


def _label(largest: PrintPiece, labels: Sequence[str], block: Block) -> tuple[str, ...]:
    lines = [largest.name, f"{len(labels)} sizes, {labels[0]} to {labels[-1]}"]
    if block.drafted_for.fabric:
        lines.append(f"fabric: {block.drafted_for.fabric}")
    return (*lines, *largest.label[-2:])


def _places(
    block: Block, piece: PrintPiece, shift: FloatArray, options: SheetOptions
) -> FloatArray:
    """Return where the name of a size stands: ends and middles of its edges."""
    own = block.piece(piece.name)
    places = []
    for edge in own.edges:
        if is_fold(own, edge):
            continue
        middle = evaluate(edge.control[len(edge.control) // 2], 0.5)
        places += [edge.first * 10, np.asarray(middle) * 10]
    at = np.array(places)
    if options.grain == "across":
        at = at @ np.array([[0.0, -1.0], [1.0, 0.0]])
    at = at + shift
    # With an allowance the line to cut lies outside the net corners.
    near = np.hypot(*(piece.cut[:, None] - at[None]).transpose(2, 0, 1)).argmin(axis=0)
    return np.asarray(piece.cut[near])


def _thinned(places: FloatArray) -> list[FloatArray]:
    """Leave only the first and the last size a name where names would run together.

    Args:
        places: Where each size could be named, shape (sizes, places, 2), mm.
    """
    steps = np.hypot(*np.diff(places, axis=0).transpose(2, 0, 1))
    apart = (steps >= _NAME_MM).all(axis=0)
    ends = {0, len(places) - 1}
    return [own if row in ends else own[apart] for row, own in enumerate(places)]


def draw_sizes(pen: Pen, piece: PrintPiece) -> None:
    """Draw the other sizes of a nested piece, and the names of all."""
    if not isinstance(piece, NestPiece):
        return
    for size in piece.others:
        pen.canvas.setLineWidth(_LINE_MM)
        pen.canvas.setDash(list(SIZE_DASHES[size.dash]))
        pen.line(size.cut, close=size.fold is None)
        pen.use("notch")
        for tick in size.notches:
            pen.line(tick)
        if size.fold is not None:
            pen.use("fold")
            pen.line(size.fold)
    for size in piece.sizes:
        for at in size.named_at:
            pen.text(at + np.array([0.7, -0.7]), size.name, _NAME_MM)
