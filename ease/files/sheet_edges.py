"""Edges of a piece for print: allowances, unfolding, the cut line. In mm, y down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import flatten, reverse, signed_area
from ease.block.pieces import Block, Edge, Piece
from ease.files.cut_line import cut_outline
from ease.files.sheet_paper import SheetOptions

__all__ = [
    "PrintEdges",
    "allowance_text",
    "allowances_by_edge",
    "cut_line_of",
    "opened_at_fold",
    "print_edges",
]

FloatArray = NDArray[np.float64]
_FOLD_MM: Final = 1e-5


class PrintEdges(NamedTuple):
    """The edges of a piece in the order of its outline, one entry for each.

    Attributes:
        controls: Cubics, shapes (k, 4, 2), mm.
        widths: Width added outside, mm.
        sewn: Whether it is sewn to another edge.
        folds: Whether it lies on the fold.
        notches: Where notches stand, as shares of its length.
    """

    controls: list[FloatArray]
    widths: list[float]
    sewn: list[bool]
    folds: list[bool]
    notches: list[FloatArray]


def print_edges(
    block: Block,
    piece: Piece,
    options: SheetOptions,
    notches: Mapping[str, FloatArray],
) -> PrintEdges:
    """Return the edges of a piece as they are printed, walked one way round.

    Half pieces are opened out where that was asked for.

    Args:
        block: The block.
        piece: One of its pieces.
        options: Wishes for the print.
        notches: Shares of the length of sewn edges, by ``piece.edge``.
    """
    sewn = block.sewn
    edges = PrintEdges(
        [edge.control * 10 for edge in piece.edges],
        [_allowance(block, piece, edge, options) for edge in piece.edges],
        [f"{piece.name}.{edge.name}" in sewn for edge in piece.edges],
        [piece.is_fold(edge) for edge in piece.edges],
        [notches.get(f"{piece.name}.{edge.name}", np.zeros(0)) for edge in piece.edges],
    )
    if piece.on_fold and options.unfold:
        edges = _unfolded(edges)
    if signed_area(np.concatenate(edges.controls)) >= 0:
        return edges
    return PrintEdges(
        [reverse(control) for control in edges.controls[::-1]],
        edges.widths[::-1],
        edges.sewn[::-1],
        edges.folds[::-1],
        [1 - share for share in edges.notches[::-1]],
    )


def _allowance(block: Block, piece: Piece, edge: Edge, options: SheetOptions) -> float:
    """Return the width that is added outside an edge, mm; none on the fold."""
    full = f"{piece.name}.{edge.name}"
    if piece.is_fold(edge):
        return 0.0
    for name in (full, edge.name):
        if name in options.edge_allowances:
            return options.edge_allowances[name]
    return options.seam_allowance if full in block.sewn else options.turning


def cut_line_of(controls: Sequence[FloatArray], widths: Sequence[float]) -> FloatArray:
    """Return the closed line to cut along, shape (n, 2), mm."""
    if not any(widths):
        return np.concatenate([flatten(control, 0.01)[:-1] for control in controls])
    cm = [control / 10 for control in controls]
    return cut_outline(cm, [width / 10 for width in widths]) * 10


def opened_at_fold(cut: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Take the legs along the fold out of a cut line; return it open, and the fold."""
    on = np.abs(cut[:, 0]) < _FOLD_MM
    along = on & np.roll(on, -1)  # the leg from here to the next point lies on the fold
    y = cut[on, 1]
    fold = np.array([[0.0, y.min()], [0.0, y.max()]])
    starts = np.flatnonzero(~along & np.roll(along, 1))
    if len(starts) != 1:
        return cut, fold  # the fold is met in several places; draw all of it
    walked = np.roll(cut, -int(starts[0]), axis=0)
    legs = int((~along).sum())
    return walked[: legs + 1], fold


def _unfolded(half: PrintEdges) -> PrintEdges:
    """Return the whole outline of a half piece: its edges from fold to fold, twice."""
    controls, widths, sewn, folds, notches = half
    count = len(controls)
    if not any(folds):
        return half
    first = next(i for i in range(count) if folds[i - 1] and not folds[i])
    order = [(first + i) % count for i in range(count)]
    order = [i for i in order if not folds[i]]
    mirror = np.array([-1.0, 1.0])
    whole = [controls[i] for i in order]
    whole += [reverse(controls[i] * mirror) for i in reversed(order)]
    both = [*order, *reversed(order)]
    return PrintEdges(
        whole,
        [widths[i] for i in both],
        [sewn[i] for i in both],
        [False] * len(both),
        [notches[i] for i in order] + [1 - notches[i] for i in reversed(order)],
    )


def allowance_text(block: Block, piece: Piece, options: SheetOptions) -> str:
    """Return in words which width is in the cut line at which edges of a piece.

    Edges whose width is not that of all seams, or of all openings, are named.
    """
    sewn = block.sewn
    kinds: dict[str, dict[str, float]] = {"seams": {}, "openings": {}}
    for edge in piece.edges:
        if not piece.is_fold(edge):
            kind = "seams" if f"{piece.name}.{edge.name}" in sewn else "openings"
            kinds[kind][edge.name] = _allowance(block, piece, edge, options)
    said = []
    for (kind, widths), usual in zip(
        kinds.items(), (options.seam_allowance, options.turning), strict=True
    ):
        own = {name: width for name, width in widths.items() if width != usual}
        said += [f"{name} {_width_text(width, options)}" for name, width in own.items()]
        if len(own) < len(widths) and (usual or own):
            rest = f"other {kind}" if own else kind
            said.append(f"{rest} {_width_text(usual, options)}")
    if not any(width for widths in kinds.values() for width in widths.values()):
        return "no allowances: the cut line is the net outline"
    return f"allowances included: {', '.join(said)}"


def allowances_by_edge(block: Block, piece: Piece, options: SheetOptions) -> str:
    """Return in words which edges of a piece get which width, those on folds left out.

    Empty where nothing is added.
    """
    widths: dict[float, list[str]] = {}
    for edge in piece.edges:
        if not piece.is_fold(edge):
            width = _allowance(block, piece, edge, options)
            widths.setdefault(width, []).append(edge.name)
    if not any(widths):
        return ""
    return "; ".join(
        f"{_width_text(width, options)} at {', '.join(names)}"
        for width, names in widths.items()
    )


def _width_text(width: float, options: SheetOptions) -> str:
    return options.width_text(width) if width else "none"
