"""Trace a paper block by numbers: points read on a squared board become a block.

Each edge is given by the points along it, across and down; a curve is laid through them
by least squares. A curve meets the fold square unless it is told not to. Levels, seams,
holds and the torso loop are written as in a block file.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.block_limits import LIMIT_CM
from ease.block.crossings import self_crossings
from ease.block.measure import outline
from ease.block.pieces import Block, line
from ease.errors import BlockError, Problem, RefusedError
from ease.files.block_table import Tables
from ease.files.block_toml import block_from_tables
from ease.files.trace_board import FOLD_CM, board, check_beside_fold, in_frame, joined
from ease.files.trace_fit import fit_curve
from ease.files.trace_notes import trace_notes
from ease.files.trace_records import EdgeFit, Traced, TracedEdge, TracedPiece
from ease.sentence import Length, Sentence, lengths
from ease.units import CM_PER

__all__ = ["TRACE_TOLERANCE_CM", "trace_block"]

FloatArray = NDArray[np.float64]
# Half a millimetre: what a ruler on paper is good for. Common practice, no source.
TRACE_TOLERANCE_CM: Final = 0.05
_TIMES: Final = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


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
    boards = {piece.name: board(piece) for piece in whole}
    _check_outlines(block, boards, source)
    points = {piece.name: np.concatenate(in_frame(piece)) for piece in whole}
    return Traced(block, tuple(fits), points, boards, trace_notes(block, pieces))


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


def _check_outlines(
    block: Block, boards: Mapping[str, tuple[float, float]], source: str
) -> None:
    problems = []
    for piece in block.pieces:
        crossings = self_crossings(outline(piece))
        if len(crossings):
            origin, side = boards[piece.name]
            near = lengths(origin + side * crossings[0, 0], crossings[0, 1])
            what = Sentence(
                "its outline crosses itself near {} across and {} down on the board",
                *near,
            )
            problems.append(Problem(f"piece {piece.name}", what))
    heights = np.concatenate([outline(piece)[..., 1].ravel() for piece in block.pieces])
    for level in block.levels:
        if not heights.min() <= level.y <= heights.max():
            what = Sentence("lies {} down, where no piece is", Length(level.y))
            problems.append(Problem(f"level {level.name}", what))
    if problems:
        raise BlockError(source, problems)


def _piece_table(
    piece: TracedPiece, fits: list[EdgeFit], tolerance: float, unit: float
) -> dict[str, Any]:
    """Return a piece as a table of a block file, in the file's unit."""
    if piece.fold is not None:
        check_beside_fold(piece, piece.fold)
    runs = in_frame(piece)
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
    made, worst, squared = [], 0.0, False
    for first, last in pairwise(breaks):
        run = points[first : last + 1]
        square = on_fold and not edge.free
        start = np.array([1.0, 0.0]) if square and abs(run[0, 0]) < FOLD_CM else None
        end = np.array([-1.0, 0.0]) if square and abs(run[-1, 0]) < FOLD_CM else None
        squared = squared or start is not None or end is not None
        legs, deviation = fit_curve(run, start, end, tolerance_cm=tolerance)
        made.append(legs)
        worst = max(worst, deviation)
    control = np.concatenate(made)
    past = float(control[..., 0].min()) < -FOLD_CM <= float(points[:, 0].min())
    if on_fold and past and not edge.free:
        message = (
            f"edge {edge.name}: to meet the fold square, its curve swings past it; give "
            "it the hint `free`, or one more point near the fold"
            if squared
            else f"edge {edge.name}: its curve swings past the fold, which it does not "
            "meet: is one of its points wrong?"
        )
        raise RefusedError(message)
    return control, worst
