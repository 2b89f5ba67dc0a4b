"""A piece made ready for print: cut line, stitch line, fold, notches, levels, label.

All in mm, y down, the frame of the block (or turned where the grain runs across).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import bounds
from ease.block.pieces import CUT_WORDS, Block, Piece
from ease.errors import UsageError
from ease.files.sheet_edges import (
    allowance_text,
    cut_line_of,
    opened_at_fold,
    print_edges,
)
from ease.files.sheet_notches import notch_shares, notch_ticks
from ease.files.sheet_paper import SheetOptions
from ease.files.sheet_places import level_arrow, middle_of, spans, upright_arrow

__all__ = ["PrintPiece", "print_pieces"]

FloatArray = NDArray[np.float64]
_LEAST_LEVEL_MM: Final = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class PrintPiece:
    """Everything that is drawn of one piece, mm, y down.

    Attributes:
        name: Name of the piece.
        cut: Line to cut along, shape (n, 2): closed, its first point not repeated; where
            there is a fold, open from one end of the fold round to the other.
        net: Cubics of the net outline, each edge by itself, shapes (k, 4, 2); the stitch
            line where the cut line lies further out.
        allowances: Width added to each edge, mm.
        fold: Ends of the fold line, shape (2, 2), or None.
        centre: Ends of the centre line of an unfolded piece, or None.
        grain: Ends of the grain arrow, shape (2, 2).
        grain_text: ``lengthwise``, or ``down the body`` where the block does not know.
        levels: Name and ends of each level line, shape (2, 2).
        notches: Ends of each notch, shape (n, 2, 2).
        marks: Names and places of marks.
        label: Lines of text.
        label_at: Middle of the label.
        label_width: Room for it, mm.
    """

    name: str
    cut: FloatArray
    net: tuple[FloatArray, ...]
    allowances: tuple[float, ...]
    fold: FloatArray | None
    centre: FloatArray | None
    grain: FloatArray
    grain_text: str
    levels: tuple[tuple[str, FloatArray], ...]
    notches: FloatArray
    marks: tuple[tuple[str, FloatArray], ...]
    label: tuple[str, ...]
    label_at: FloatArray
    label_width: float

    @property
    def box(self) -> FloatArray:
        """Smallest upright rectangle round all of it, ``[[x0, y0], [x1, y1]]``."""
        low, high = bounds(np.concatenate(self.net))
        ends = self.notches.reshape(-1, 2)
        all_points = np.concatenate([self.cut, ends, low[None], high[None]])
        return np.stack([all_points.min(axis=0), all_points.max(axis=0)])

    @property
    def inner(self) -> FloatArray:
        """Outline that its label has to lie in, shape (n, 2)."""
        return self.cut

    @property
    def has_allowance(self) -> bool:
        """Whether the cut line lies outside the net outline."""
        return any(width > 0 for width in self.allowances)

    def moved(self, shift: FloatArray) -> PrintPiece:
        """Return the same piece pushed by a vector, shape (2,)."""
        return self._mapped(np.eye(2), shift)

    def turned(self) -> PrintPiece:
        """Return the same piece turned a quarter to the left."""
        return self._mapped(np.array([[0.0, -1.0], [1.0, 0.0]]), np.zeros(2))

    def _mapped(self, matrix: FloatArray, shift: FloatArray) -> PrintPiece:
        def place(points: FloatArray) -> FloatArray:
            return np.asarray(points @ matrix + shift)

        return replace(
            self,
            cut=place(self.cut),
            net=tuple(place(control) for control in self.net),
            fold=None if self.fold is None else place(self.fold),
            centre=None if self.centre is None else place(self.centre),
            grain=place(self.grain),
            levels=tuple((name, place(ends)) for name, ends in self.levels),
            notches=place(self.notches),
            marks=tuple((name, place(at)) for name, at in self.marks),
            label_at=place(self.label_at),
        )


def print_pieces(block: Block, options: SheetOptions) -> tuple[PrintPiece, ...]:
    """Return all pieces of a block ready for print.

    Raises:
        UsageError: If an allowance is asked for an edge that is not there.
    """
    known = {e.name for p in block.pieces for e in p.edges}
    known |= {f"{p.name}.{e.name}" for p in block.pieces for e in p.edges}
    for name in options.edge_allowances:
        if name not in known:
            message = f"no edge is named {name!r}; edges are {', '.join(sorted(known))}"
            raise UsageError(message)
    shares = notch_shares(block)
    pieces = tuple(
        _print_piece(block, piece, options, shares) for piece in block.pieces
    )
    return tuple(p.turned() for p in pieces) if options.grain == "across" else pieces


def _print_piece(
    block: Block, piece: Piece, options: SheetOptions, shares: Mapping[str, FloatArray]
) -> PrintPiece:
    edges = print_edges(block, piece, options, shares)
    controls, widths, folds = edges.controls, edges.widths, edges.folds
    outline = np.concatenate(controls)
    cut, fold = cut_line_of(controls, widths), None
    if any(folds):
        cut, fold = opened_at_fold(cut)
    levels = _level_lines(block, outline) if _has_levels(block, piece) else ()
    level_ys = [float(ends[0, 1]) for _, ends in levels]
    middle, room = middle_of(outline, *bounds(outline))
    whole = piece.on_fold and options.unfold
    lengthwise = block.drafted_for.round_body
    return PrintPiece(
        name=piece.name,
        cut=cut,
        net=tuple(c for c, flag in zip(controls, folds, strict=True) if not flag),
        allowances=tuple(w for w, flag in zip(widths, folds, strict=True) if not flag),
        fold=fold,
        centre=_centre(outline) if whole else None,
        grain=(
            level_arrow(outline, middle, level_ys)
            if lengthwise == "along"
            else upright_arrow(outline, middle)
        ),
        grain_text="lengthwise" if lengthwise else "down the body",
        levels=levels,
        notches=notch_ticks(controls, widths, edges.sewn, edges.notches),
        marks=_marks(piece, whole=whole),
        label=_label(block, piece, options),
        label_at=middle,
        label_width=room,
    )


def _marks(piece: Piece, *, whole: bool) -> tuple[tuple[str, FloatArray], ...]:
    """Return the marks of a piece, on both halves where it is opened out."""
    marks = [(name, np.array(at) * 10) for name, at in piece.marks.items()]
    if whole:
        marks += [(name, at * [-1, 1]) for name, at in marks if abs(at[0]) > 1e-6]
    return tuple(marks)


def _has_levels(block: Block, piece: Piece) -> bool:
    """Whether a piece lies as it is worn: not what is sewn to nothing."""
    return piece in block.girth_pieces or not piece.in_girth


def _level_lines(
    block: Block, outline: FloatArray
) -> tuple[tuple[str, FloatArray], ...]:
    lines = []
    for level in block.levels:
        y = level.y * 10
        for left, right in spans(outline, y):
            if right - left > _LEAST_LEVEL_MM:
                lines.append((level.name, np.array([[left, y], [right, y]])))
    return tuple(lines)


def _centre(outline: FloatArray) -> FloatArray | None:
    """Return the ends of the line x = 0 inside an outline."""
    turned = outline[..., ::-1]
    inside = spans(turned, 0.0)
    if not len(inside):
        return None
    top, bottom = max(inside.tolist(), key=lambda s: s[1] - s[0])
    return np.array([[0.0, top], [0.0, bottom]])


def _label(block: Block, piece: Piece, options: SheetOptions) -> tuple[str, ...]:
    made = block.drafted_for
    lines = [piece.name, block.name]
    if made.fabric:
        lines.append(f"fabric: {made.fabric}")
    if made.body:
        lines.append(f"body: {made.body}")
    if made.girth_factor is not None and made.length_factor is not None:
        lines.append(
            f"girth factor {made.girth_factor:.3f}, length {made.length_factor:.3f}"
        )
    if made.round_body:
        way = "lengthwise" if made.round_body == "along" else "crosswise"
        lines.append(f"round the body: {way} direction of the cloth")
    flat = options.unfold and piece.on_fold
    lines.append("cut 1" if flat else CUT_WORDS[piece.cut])
    lines.append(allowance_text(block, piece, options))
    return tuple(lines)
