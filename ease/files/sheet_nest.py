"""Several sizes of a piece printed over each other: one grid of sheets for all.

Centre lines and anchor level lie together. Each size has its own dashes, and its name
stands in its line, wherever the next size leaves room for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, Final, cast

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block
from ease.errors import RefusedError
from ease.files.sheet_paper import SheetOptions
from ease.files.sheet_pen import LineType, Pen
from ease.files.sheet_pieces import PrintPiece, print_pieces
from ease.files.sheet_size_names import size_names
from ease.files.size_dashes import size_dashes

__all__ = ["NestPiece", "SizeLine", "draw_sizes", "nest_pieces", "size_key"]

FloatArray = NDArray[np.float64]
_LINE_MM: Final = 0.4
_NAME_MM: Final = 2.6


@dataclass(frozen=True, slots=True, eq=False)
class SizeLine:
    """One size of a piece, mm, y down.

    Attributes:
        name: Name of the size.
        dash: Lengths on and off, mm.
        cut: Line to cut along, shape (n, 2): open where there is a fold.
        closed: Whether the cut line ends where it begins.
        notches: Ends of each notch, shape (n, 2, 2).
        names: Where its name stands and a place further along the line, (n, 2, 2).
    """

    name: str
    dash: tuple[float, ...]
    cut: FloatArray
    closed: bool
    notches: FloatArray
    names: FloatArray

    def mapped(self, place: Callable[[FloatArray], FloatArray]) -> SizeLine:
        """Return the same size with every point put elsewhere."""
        return replace(
            self,
            cut=place(self.cut),
            notches=place(self.notches),
            names=place(self.names),
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
    def inner(self) -> FloatArray:
        """Cut line of the smallest size, for its label is inside them all."""
        return self.sizes[0].cut

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
    largest = pieces[-1]
    names = size_names(blocks, pieces, shifts, options)
    sizes = tuple(
        SizeLine(
            name=label,
            dash=dash,
            cut=piece.cut,
            closed=piece.fold is None,
            notches=piece.notches,
            names=own_names,
        )
        for label, dash, piece, own_names in zip(
            labels, size_dashes(len(labels)), pieces, names, strict=True
        )
    )
    own: dict[str, Any] = {f.name: getattr(largest, f.name) for f in fields(PrintPiece)}
    anchor = blocks[-1].anchor
    return NestPiece(
        **own
        | {
            "levels": tuple(lv for lv in largest.levels if lv[0] == anchor),
            "marks": (),
            # What stands in the middle of the smallest is inside all of them.
            "grain": pieces[0].grain,
            "label_at": pieces[0].label_at,
            "label_width": pieces[0].label_width,
            "fold": _joined([piece.fold for piece in pieces if piece.fold is not None]),
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


def _joined(folds: Sequence[FloatArray]) -> FloatArray | None:
    """Return the ends of all fold lines together; they lie on one line."""
    if not folds:
        return None
    points = np.concatenate(folds)
    along = points @ (folds[-1][1] - folds[-1][0])
    return np.stack([points[along.argmin()], points[along.argmax()]])


def size_key(pieces: Sequence[PrintPiece]) -> dict[str, LineType]:
    """Return the lines of nested pieces for the key, the largest size first.

    Empty for pieces that are not nested.
    """
    first = pieces[0]
    if not isinstance(first, NestPiece):
        return {}
    named: dict[tuple[float, ...], list[str]] = {}
    for size in reversed(first.sizes):
        named.setdefault(size.dash, []).append(size.name)
    return {
        f"sizes {row}": LineType(f"cut: size {', '.join(names)}", _LINE_MM, dash)
        for row, (dash, names) in enumerate(named.items())
    }


def draw_sizes(pen: Pen, piece: PrintPiece) -> None:
    """Draw the other sizes of a nested piece, and the names of all."""
    if not isinstance(piece, NestPiece):
        return
    for size in piece.others:
        pen.take(LineType(size.name, _LINE_MM, size.dash))
        pen.line(size.cut, close=size.closed)
        pen.use("notch")
        for tick in size.notches:
            pen.line(tick)
    for size in piece.sizes:
        for at, ahead in size.names:
            pen.inset(at, ahead - at, size.name, _NAME_MM)
