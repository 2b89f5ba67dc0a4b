"""Truing: bring edges that are sewn together to one length with the least movement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import self_crossings
from ease.block.curves import evaluate
from ease.block.follow import follow_ends
from ease.block.holds import lies_on_fold
from ease.block.lengths import arc_length
from ease.block.measure import SeamLengths, outline, walk_seams
from ease.block.pieces import Block, Edge, Hold, Piece, PointRef
from ease.block.sewn import sewn_times
from ease.errors import RefusedError
from ease.sentence import Length, Sentence, lengths

__all__ = [
    "SEAM_TOLERANCE_CM",
    "refuse_crossed",
    "true_seams",
]

FloatArray = NDArray[np.float64]
SEAM_TOLERANCE_CM: Final = 0.1  # common practice, no source: a pencil line's width
TRUE_WITHIN_CM: Final = 1e-6
MARK_ON_EDGE_CM: Final = 0.05
_ROUNDS: Final = 40
_STEP_CM: Final = 1e-4


def true_seams(block: Block, tolerance_cm: float = TRUE_WITHIN_CM) -> Block:
    """Bring the mates of every seam to one length.

    The corners move by the smallest distances (least sum of squares) that make mates
    equal, so that a difference is shared between both edges and both ends. Points on
    a fold move along the fold only, held distances stay, edges follow their corners
    without turning at them, and marks on an edge go with it. A block whose seams all
    agree within the tolerance comes back unchanged.

    Args:
        block: The block.
        tolerance_cm: Difference from which a seam is trued.

    Raises:
        RefusedError: If mates cannot be brought within ``SEAM_TOLERANCE_CM`` because
            held distances or folds forbid it, or an outline would cross itself.
    """
    if all(abs(seam.difference_cm) <= tolerance_cm for seam in walk_seams(block)):
        return block
    places = _Places(block)
    shift = _solve(block, places)
    try:
        trued = places.moved_block(shift)
    except RefusedError as error:
        worst = max(walk_seams(block), key=lambda seam: abs(seam.difference_cm))
        message = Sentence(
            "the seams cannot be trued without spoiling an outline ({}); furthest apart "
            "are {}, {}, and {}, {}",
            *(error.message, worst.first, Length(worst.first_cm)),
            *(worst.second, Length(worst.second_cm)),
        )
        raise RefusedError(message) from None
    for seam in walk_seams(trued):
        if abs(seam.difference_cm) > SEAM_TOLERANCE_CM:
            message = Sentence(
                "seam {} / {} cannot be matched: {} and {} are left, because folds and "
                "held distances leave its ends no room",
                *(seam.first, seam.second),
                *lengths(seam.first_cm, seam.second_cm, digits=2),
            )
            raise RefusedError(message, hint=_held_hint(block, seam))
    refuse_crossed(trued, "after truing its seams")
    return trued


def _held_hint(block: Block, seam: SeamLengths) -> str:
    """Name distances that are held at both mates; empty where one of them is free."""
    held = []
    for reference in (seam.first, seam.second):
        piece, edge = reference.partition(".")[0], block.edge(reference)
        ends = {PointRef(piece, edge.start), PointRef(piece, edge.end)}
        held.append([h.name for h in block.holds if ends & {h.first, h.second}])
    if not all(held):
        return ""
    names = ", ".join(dict.fromkeys(name for some in held for name in some))
    return f"held at both edges are {names}: leave out the holds of one of the two"


def refuse_crossed(block: Block, when: str) -> None:
    """Refuse a block in which the outline of a piece crosses itself.

    Raises:
        RefusedError: Naming the piece and the place.
    """
    for piece in block.pieces:
        places = self_crossings(outline(piece))
        if len(places):
            message = Sentence(
                "the outline of piece {!r} crosses itself {}, near x = {}, y = {}",
                *(piece.name, when, *lengths(*places[0], digits=2)),
            )
            raise RefusedError(message)


class _Places:
    """The corners that can move, laid out as one row of numbers."""

    def __init__(self, block: Block) -> None:
        self.block = block
        corners = [
            PointRef(piece.name, edge.start)
            for piece in block.pieces
            for edge in piece.edges
        ]
        held = [ref for hold in block.holds for ref in (hold.first, hold.second)]
        self.refs = list(dict.fromkeys([*corners, *held]))
        self.columns: dict[PointRef, tuple[int | None, int]] = {}
        self.count = 0
        for ref in self.refs:
            fold = lies_on_fold(block, ref)
            self.columns[ref] = (None if fold else self.count, self.count + (not fold))
            self.count += 1 if fold else 2

    def shift(self, row: FloatArray, ref: PointRef) -> FloatArray:
        """Return the movement of one point, shape (2,)."""
        x, y = self.columns[ref]
        return np.array([0.0 if x is None else row[x], row[y]])

    def edge(self, row: FloatArray, piece: str, edge: Edge) -> Edge:
        """Return an edge that follows its corners."""
        return replace(edge, control=self.control(row, piece, edge))

    def control(self, row: FloatArray, piece: str, edge: Edge) -> FloatArray:
        """Return the cubics of an edge that follows its corners, shape (k, 4, 2)."""
        start = edge.first + self.shift(row, PointRef(piece, edge.start))
        end = edge.last + self.shift(row, PointRef(piece, edge.end))
        return follow_ends(edge.control, edge.control, edge.straight, start, end)

    def moved_block(self, row: FloatArray) -> Block:
        pieces = []
        for piece in self.block.pieces:
            edges = tuple(self.edge(row, piece.name, edge) for edge in piece.edges)
            marks = {
                name: _mark(piece, edges, PointRef(piece.name, name), xy, self, row)
                for name, xy in piece.marks.items()
            }
            pieces.append(replace(piece, edges=edges, marks=marks))
        return replace(self.block, pieces=tuple(pieces))


def _mark(
    piece: Piece,
    edges: tuple[Edge, ...],
    ref: PointRef,
    xy: tuple[float, float],
    places: _Places,
    row: FloatArray,
) -> tuple[float, float]:
    """Return a mark that goes with its hold, or with the edge that it lies on."""
    here = np.array(xy)
    if ref in places.columns:
        fresh = here + places.shift(row, ref)
        return float(fresh[0]), float(fresh[1])
    old = np.concatenate([edge.control for edge in piece.edges])
    new = np.concatenate([edge.control for edge in edges])
    t = np.linspace(0.0, 1.0, 201)
    way = evaluate(old[:, None], t) - here
    apart = np.hypot(way[..., 0], way[..., 1])
    i, j = np.unravel_index(np.argmin(apart), apart.shape)
    if apart[i, j] > MARK_ON_EDGE_CM + 0.005 * np.ptp(old[i], axis=0).max():
        return xy
    fresh = here + evaluate(new[i], t[j]) - evaluate(old[i], t[j])
    return float(fresh[0]), float(fresh[1])


def _solve(block: Block, places: _Places) -> FloatArray:
    """Return the smallest shifts that keep the holds and match the seams (Newton)."""
    kept = {
        hold: float(np.hypot(*(block.point(hold.second) - block.point(hold.first))))
        for hold in block.holds
    }
    row = np.zeros(places.count)
    for _ in range(_ROUNDS):
        held, held_by = _hold_rows(block, places, row, kept)
        seams, seams_by = _seam_rows(block, places, row)
        first = -np.linalg.lstsq(held_by, held, rcond=1e-10)[0]
        free = np.eye(places.count) - np.linalg.pinv(held_by, rcond=1e-10) @ held_by
        left = seams + seams_by @ first
        step = first - free @ np.linalg.lstsq(seams_by @ free, left, rcond=1e-8)[0]
        row = row + step
        if np.abs(step).max() < 1e-11:
            break
    return row


def _hold_rows(
    block: Block,
    places: _Places,
    row: FloatArray,
    kept: Mapping[Hold, float],
) -> tuple[FloatArray, FloatArray]:
    """Return what each held distance is off by, and its slope by the shifts."""
    off, by = np.zeros(len(block.holds)), np.zeros((len(block.holds), places.count))
    for i, hold in enumerate(block.holds):
        ends = [
            block.point(r) + places.shift(row, r) for r in (hold.first, hold.second)
        ]
        way = ends[1] - ends[0]
        size = np.hypot(*way)
        off[i] = size - kept[hold]
        for ref, sign in ((hold.first, -1.0), (hold.second, 1.0)):
            for column, part in zip(places.columns[ref], way, strict=True):
                if column is not None and size > 0:
                    by[i, column] += sign * part / size
    return off, by


def _seam_rows(
    block: Block, places: _Places, row: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the difference of each seam, and its slope by the shifts."""
    off, by = np.zeros(len(block.seams)), np.zeros((len(block.seams), places.count))
    for i, seam in enumerate(block.seams):
        first, second = sewn_times(block, seam)
        for reference, sign in ((seam.first, first), (seam.second, -second)):
            piece, edge = reference.partition(".")[0], block.edge(reference)
            ends = [PointRef(piece, edge.start), PointRef(piece, edge.end)]
            columns = sorted(
                {c for ref in ends for c in places.columns[ref] if c is not None}
            )
            rows = np.repeat(row[None], 1 + 2 * len(columns), axis=0)
            for k, column in enumerate(columns):
                rows[1 + 2 * k, column] += _STEP_CM
                rows[2 + 2 * k, column] -= _STEP_CM
            chains = np.stack([places.control(r, piece, edge) for r in rows])
            lengths = arc_length(chains).sum(axis=1)
            off[i] += sign * lengths[0]
            by[i, columns] += sign * (lengths[1::2] - lengths[2::2]) / (2 * _STEP_CM)
    return off, by
