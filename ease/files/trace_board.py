"""A traced piece on its squared board: its corners, its fold, and slips of the ruler."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import RefusedError
from ease.files.trace_records import TracedPiece
from ease.sentence import Length, Sentence, lengths

__all__ = ["FOLD_CM", "board", "check_beside_fold", "in_frame", "joined", "slips"]

FloatArray = NDArray[np.float64]
FOLD_CM: Final = 0.02
SLIP_CM: Final = 0.2  # a ruler read wrong by a tick or two
_SAME_CM: Final = 1e-6
_LONGEST_CM: Final = 300.0  # no piece of a garment is longer


def joined(piece: TracedPiece) -> TracedPiece:
    """Return a piece whose edges do not repeat the corner that the next begins with.

    Raises:
        RefusedError: If some edges do and others end elsewhere: then an edge is missing,
            often the fold; or if it is longer than any garment.
    """
    size = np.ptp(np.concatenate([edge.points for edge in piece.edges]), axis=0).max()
    if size > _LONGEST_CM:
        long = Length(float(size), 0)
        message = Sentence("it is {} long; were the points read in mm?", long)
        raise RefusedError(message)
    following = [*piece.edges[1:], piece.edges[0]]
    pairs = list(zip(piece.edges, following, strict=True))
    meets = [
        len(edge.points) > 1 and bool(_near(edge.points[-1], after.points[0]))
        for edge, after in pairs
    ]
    if not any(meets):
        return piece
    edges = []
    for (edge, after), met in zip(pairs, meets, strict=True):
        if not met and len(edge.points) > 1:
            message = Sentence(
                "edge {} ends at {}, {} and {} begins at {}, {}: write the edge between "
                "them, such as the fold",
                *(edge.name, *lengths(*edge.points[-1], digits=None)),
                *(after.name, *lengths(*after.points[0], digits=None)),
            )
            raise RefusedError(message)
        kept = edge.points[:-1] if met else edge.points
        curve = edge.curve and (edge.told or len(kept) > 1)
        corners = tuple(i for i in edge.corners if i < len(kept))
        edges.append(replace(edge, points=kept, curve=curve, corners=corners))
    return replace(piece, edges=tuple(edges))


def _near(a: FloatArray, b: FloatArray) -> bool:
    return bool(np.abs(a - b).max() < _SAME_CM)


def in_frame(piece: TracedPiece) -> list[FloatArray]:
    """Return the points of each edge with the fold at x = 0, cm.

    Of an edge that runs along the fold, corners and points a slip of the ruler off it are
    put on it.
    """
    across, side = board(piece)
    runs = [(edge.points - [across, 0.0]) * [side, 1.0] for edge in piece.edges]
    if piece.fold is None:
        return runs
    for run, after in zip(runs, [*runs[1:], runs[0]], strict=True):
        ends = np.concatenate([run[:, 0], after[:1, 0]])
        if np.abs(ends).max() <= SLIP_CM:
            run[:, 0] = after[0, 0] = 0.0
    return runs


def board(piece: TracedPiece) -> tuple[float, float]:
    """Return where x = 0 lies across the board, and 1 or, where x runs left, -1."""
    across = np.concatenate([edge.points for edge in piece.edges])[:, 0]
    if piece.fold is None:
        # Wider or narrower, it stays where its middle is.
        return float(across.min() + across.max()) / 2, 1.0
    # A piece drawn to the left of its fold is turned over.
    middle = float(across.mean())
    return piece.fold, 1.0 if middle >= piece.fold else -1.0


def check_beside_fold(piece: TracedPiece, fold: float) -> None:
    """Refuse a piece that crosses its fold, or that no edge of runs along it.

    Raises:
        RefusedError: With where the points lie.
    """
    across = np.concatenate([edge.points for edge in piece.edges])[:, 0]
    left, right = float(across.min()), float(across.max())
    if min(fold - left, right - fold) > SLIP_CM:
        what = (
            "its fold lies {} across, but it has points on both sides of it, {} to {}"
        )
        raise RefusedError(Sentence(what, *lengths(fold, left, right, digits=None)))
    starts = [edge.points[:, 0] for edge in piece.edges]
    off = min(
        float(np.abs(np.append(own, after[0]) - fold).max())
        for own, after in zip(starts, [*starts[1:], starts[0]], strict=True)
    )
    if off > SLIP_CM:
        what = "no edge runs along its fold, {} across; the nearest lies {} off it"
        raise RefusedError(Sentence(what, *lengths(fold, off, digits=None)))


def slips(pieces: Sequence[TracedPiece]) -> list[str]:
    """Name pieces whose points along the fold were put on it."""
    notes = []
    for piece in pieces:
        if piece.fold is None:
            continue
        across, side = board(piece)
        read = [(edge.points[:, 0] - across) * side for edge in piece.edges]
        off = [
            np.abs(own - run[:, 0]).max()
            for own, run in zip(read, in_frame(piece), strict=True)
        ]
        if (most := float(max(off))) > FOLD_CM:
            notes.append(
                f"{piece.name}: points along the fold lie up to {10 * most:.1f} mm off it, "
                "and are put on it: read them or the fold again"
            )
    return notes
