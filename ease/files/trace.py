"""Trace a paper block by numbers: points read on a squared board become a block.

Each edge is given by the points along it, across and down; a curve is laid through them
by least squares. A curve meets the fold square unless it is told not to. Levels, seams,
holds and the torso loop are written as in a block file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.block_limits import LIMIT_CM
from ease.block.crossings import self_crossings
from ease.block.cut_levels import cut_levels
from ease.block.measure import level_girths, outline, walk_seams
from ease.block.pieces import Block, line
from ease.errors import BlockError, Problem, RefusedError
from ease.files.block_table import Tables
from ease.files.block_toml import block_from_tables
from ease.files.trace_fit import fit_curve
from ease.files.trace_records import EdgeFit, Traced, TracedEdge, TracedPiece
from ease.sentence import Length, Sentence, lengths
from ease.units import CM_PER

__all__ = ["TRACE_TOLERANCE_CM", "trace_block"]

FloatArray = NDArray[np.float64]
# Half a millimetre: what a ruler on paper is good for. Common practice, no source.
TRACE_TOLERANCE_CM: Final = 0.05
SEAM_TOLERANCE_CM: Final = 0.1
_FOLD_CM: Final = 0.02
SLIP_CM: Final = 0.2  # a ruler read wrong by a tick or two
_SAME_CM: Final = 1e-6
_GIRTHS_CM: Final = (20.0, 220.0)  # beyond what any grown body wears round its trunk
_TIMES: Final = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
_LONGEST_CM: Final = 300.0  # no piece of a garment is longer


def trace_block(
    pieces: tuple[TracedPiece, ...],
    tables: Mapping[str, Any],
    reader: Tables,
    source: str,
    *,
    tolerance_cm: float = TRACE_TOLERANCE_CM,
) -> Traced:
    """Return the block that traced pieces and the tables round them make up.

    Args:
        pieces: The pieces.
        tables: All tables of a block file but the pieces.
        reader: Knows the lines of the file.
        source: The file's name for messages.
        tolerance_cm: Largest distance of a point from its curve.

    Raises:
        BlockError: With every fault: outlines that cross themselves, levels that no
            piece reaches, names that do not exist.
    """
    fits: list[EdgeFit] = []
    problems: list[Problem] = []
    made, whole = [], []
    for one in pieces:
        piece = one
        try:
            piece = joined(one)
            problems += _double_names(piece)
            whole.append(piece)
            made.append(_piece_table(piece, fits, tolerance_cm, CM_PER[reader.unit]))
        except RefusedError as error:
            problems.append(Problem(f"piece {one.name}", error.message))
    if problems:
        raise BlockError(source, [*reader.told(), *problems])
    block = block_from_tables({**tables, "piece": made}, reader, source)
    _check_outlines(block, source)
    points = {piece.name: np.concatenate(_in_frame(piece)) for piece in whole}
    boards = {piece.name: _board(piece) for piece in whole}
    return Traced(block, tuple(fits), points, boards, _notes(block, pieces))


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


def _double_names(piece: TracedPiece) -> list[Problem]:
    """Return a fault for each name that two corners of a piece have."""
    corners: dict[str, list[TracedEdge]] = {}
    for edge in piece.edges:
        corners.setdefault(edge.start, []).append(edge)
    problems = []
    for name, edges in corners.items():
        gap = "({}, {}){}"
        places = " and ".join(filter(None, (", ".join([gap] * (len(edges) - 1)), gap)))
        what = Sentence(
            f"point name {{}} stands for {_TIMES.get(len(edges), len(edges))} places, "
            f"{places}: give each place its own name",
            name,
            *(
                part
                for edge in edges
                for part in (
                    *lengths(*edge.points[0], digits=None),
                    edge.place and f" in {edge.place}",
                )
            ),
        )
        if name and len(edges) > 1:
            problems.append(Problem(f"piece {piece.name}", what))
    return problems


def _near(a: FloatArray, b: FloatArray) -> bool:
    return bool(np.abs(a - b).max() < _SAME_CM)


def _in_frame(piece: TracedPiece) -> list[FloatArray]:
    """Return the points of each edge with the fold at x = 0, cm.

    Of an edge that runs along the fold, corners and points a slip of the ruler off it are
    put on it.
    """
    across, side = _board(piece)
    runs = [(edge.points - [across, 0.0]) * [side, 1.0] for edge in piece.edges]
    if piece.fold is None:
        return runs
    for run, after in zip(runs, [*runs[1:], runs[0]], strict=True):
        ends = np.concatenate([run[:, 0], after[:1, 0]])
        if np.abs(ends).max() <= SLIP_CM:
            run[:, 0] = after[0, 0] = 0.0
    return runs


def _board(piece: TracedPiece) -> tuple[float, float]:
    """Return where x = 0 lies across the board, and 1 or, where x runs left, -1."""
    across = np.concatenate([edge.points for edge in piece.edges])[:, 0]
    if piece.fold is None:
        # Wider or narrower, it stays where its middle is.
        return float(across.min() + across.max()) / 2, 1.0
    # A piece drawn to the left of its fold is turned over.
    middle = float(across.mean())
    return piece.fold, 1.0 if middle >= piece.fold else -1.0


def _check_outlines(block: Block, source: str) -> None:
    problems = []
    for piece in block.pieces:
        crossings = self_crossings(outline(piece))
        if len(crossings):
            near = lengths(*crossings[0])
            what = Sentence("its outline crosses itself near {}, {}", *near)
            problems.append(Problem(f"piece {piece.name}", what))
    heights = np.concatenate([outline(piece)[..., 1].ravel() for piece in block.pieces])
    for level in block.levels:
        if not heights.min() <= level.y <= heights.max():
            what = Sentence("lies {} down, where no piece is", Length(level.y))
            problems.append(Problem(f"level {level.name}", what))
    if problems:
        raise BlockError(source, problems)


def _notes(block: Block, pieces: Sequence[TracedPiece]) -> tuple[str, ...]:
    untold = [
        f"{piece.name}: no fold is given, so it is taken as a whole piece, cut once; say "
        "where its fold lies, or `none`, or `pair` where it is cut twice, mirrored"
        for piece in pieces
        if piece.cut is None
    ]
    apart = [
        Sentence(
            f"{{}} is {{}} and {{}} {{}} long, {abs(10 * seam.difference_cm):.1f} mm "
            "apart; they are sewn together: measure both again",
            *(seam.first, Length(seam.first_cm), seam.second, Length(seam.second_cm)),
        )
        for seam in walk_seams(block)
        if abs(seam.difference_cm) > SEAM_TOLERANCE_CM
    ]
    cut = [level.text for level in cut_levels(block)]
    return (*untold, *_slips(pieces), *_sizes(block), *apart, *cut)


def _slips(pieces: Sequence[TracedPiece]) -> list[str]:
    """Name pieces whose points along the fold were put on it."""
    notes = []
    for piece in pieces:
        if piece.fold is None:
            continue
        across, side = _board(piece)
        read = [(edge.points[:, 0] - across) * side for edge in piece.edges]
        off = [
            np.abs(own - run[:, 0]).max()
            for own, run in zip(read, _in_frame(piece), strict=True)
        ]
        if (most := float(max(off))) > _FOLD_CM:
            notes.append(
                f"{piece.name}: points along the fold lie up to {10 * most:.1f} mm off it, "
                "and are put on it: read them or the fold again"
            )
    return notes


def _sizes(block: Block) -> Sequence[str]:
    """Ask for the unit where a girth is no garment's."""
    girths = level_girths(block)
    low, high = _GIRTHS_CM
    return [
        Sentence(
            f"level {name} goes round {{}}: is `units` right, and is each piece cut as "
            "said?",
            Length(girth),
        )
        for name, girth in girths.items()
        if not low <= girth <= high
    ][:1]


def _piece_table(
    piece: TracedPiece, fits: list[EdgeFit], tolerance: float, unit: float
) -> dict[str, Any]:
    """Return a piece as a table of a block file, in the file's unit."""
    if piece.fold is not None:
        _check_beside_fold(piece, piece.fold)
    runs = _in_frame(piece)
    far = float(np.abs(np.concatenate(runs)).max())
    if far > LIMIT_CM:
        what = "it reaches {} from the fold or the top of the board; accepted is {}"
        raise RefusedError(Sentence(what, Length(far, 0), Length(LIMIT_CM, 0)))
    starts = [edge.start for edge in piece.edges]
    edges = []
    for i, edge in enumerate(piece.edges):
        after = (i + 1) % len(runs)
        points = np.concatenate([runs[i], runs[after][:1]])
        gap = np.abs(np.diff(points, axis=0)).max(axis=1)
        if not gap.all():
            message = f"edge {edge.name}: two points in a row are the same"
            raise RefusedError(message)
        legs, deviation = _edge_legs(edge, points, piece.fold is not None, tolerance)
        fits.append(
            EdgeFit(f"{piece.name}.{edge.name}", len(points), len(legs), deviation)
        )
        path = [_leg_table(control / unit, straight=not edge.curve) for control in legs]
        edges.append(
            {"name": edge.name, "from": edge.start, "to": starts[after], "path": path}
        )
    first = {
        e.start: (run[0] / unit).tolist()
        for e, run in zip(piece.edges, runs, strict=True)
    }
    return {
        "name": piece.name,
        "cut": piece.cut or "once",
        "in_girth": piece.in_girth,
        "points": first,
        "edge": edges,
    }


def _check_beside_fold(piece: TracedPiece, fold: float) -> None:
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


def _leg_table(control: FloatArray, *, straight: bool) -> dict[str, Any]:
    rows = control.tolist()
    return {"line": rows[3]} if straight else {"curve": rows[1:]}


def _edge_legs(
    edge: TracedEdge, points: FloatArray, on_fold: bool, tolerance: float
) -> tuple[FloatArray, float]:
    """Return the cubics of one edge and the largest distance of a point from them."""
    if not edge.curve:
        pairs = pairwise(points)
        return np.array([line(tuple(a), tuple(b)) for a, b in pairs]), 0.0
    breaks = [0, *edge.corners, len(points) - 1]
    made, worst = [], 0.0
    for first, last in pairwise(breaks):
        run = points[first : last + 1]
        square = on_fold and not edge.free
        start = np.array([1.0, 0.0]) if square and abs(run[0, 0]) < _FOLD_CM else None
        end = np.array([-1.0, 0.0]) if square and abs(run[-1, 0]) < _FOLD_CM else None
        legs, deviation = fit_curve(run, start, end, tolerance_cm=tolerance)
        made.append(legs)
        worst = max(worst, deviation)
    return np.concatenate(made), worst
