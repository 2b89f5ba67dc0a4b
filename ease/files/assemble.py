"""From a drawing to a block: where the fold is, how the pieces line up, what is sewn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.block_limits import name_from_file
from ease.block.crossings import self_crossings
from ease.block.curves import flatten
from ease.block.cut_levels import cut_levels
from ease.block.loop_ends import open_loop_notes
from ease.block.pieces import Block, Cut, Hold, Level, Piece, PointRef
from ease.block.seam_notes import uneven_seams
from ease.block.sewing_notes import sewing_notes
from ease.errors import BlockError, Problem, RefusedError
from ease.files.drawing import Drawing, box_round
from ease.files.drawing_map import DrawingMap, Fold, PieceMap
from ease.files.outline import (
    Run,
    chain,
    clockwise,
    named_edges,
    parted_at_corners,
    split_at_corners,
)
from ease.files.piece_parts import PieceParts
from ease.files.roles import Outline, Sorted, clean, sort_shapes
from ease.files.seams_by_name import seams_of
from ease.sentence import Length, Sentence

__all__ = ["block_from_drawing"]

FloatArray = NDArray[np.float64]
_FOLD_EDGES: Final = frozenset(
    {"fold", "centre", "center", "centre fold", "center fold", "centre front",
     "center front", "centre back", "center back"}
)  # fmt: skip
_UPRIGHT_CM: Final = 0.02  # a line drawn by hand to be upright strays less
_CUT: Final[dict[str, Cut]] = {"none": "once", "pair": "pair"}
_LEVEL_GAP_CM: Final = 0.05
_CROSSING_CM: Final = 0.005
_MOST_LEGS: Final = 3_000


def block_from_drawing(
    drawing: Drawing, mapping: DrawingMap | None = None
) -> tuple[Block, tuple[str, ...]]:
    """Return the block in a foreign drawing, and notes on what was taken for granted.

    A closed outline is a piece, named by its label, title, id or layer; a horizontal
    line named after a level is that level. A straight upright edge at one side of a
    piece is its fold. A map overrules each of these.

    Args:
        drawing: The drawing, in cm.
        mapping: What its lines mean.

    Raises:
        BlockError: With every fault found, if it makes up no block.
    """
    mapping = mapping or DrawingMap()
    found = sort_shapes(drawing, mapping)
    notes = [*drawing.notes, *found.notes]
    parts: list[PieceParts] = []
    problems: list[Problem] = []
    for outline in found.outlines:
        try:
            parts.append(_piece_parts(outline, found, mapping, notes))
        except RefusedError as error:
            problems.append(Problem(f"piece {outline.name}", error.message))
    if problems:
        raise BlockError(drawing.source, problems)
    names = [*dict.fromkeys(name for item in parts for name in item.level_y)]
    names += [name for name, item in mapping.levels.items() if item.y is not None]
    if not names:
        message = "no level is drawn; girths are read at named heights"
        hint = "draw a horizontal line named waist (or bust, hip), or give --map"
        raise BlockError(drawing.source, message, hint=hint)
    anchor = mapping.anchor or ("waist" if "waist" in names else names[0])
    try:
        block = _assembled(_aligned(parts, anchor, notes), anchor, mapping, notes)
    except RefusedError as error:
        raise BlockError(drawing.source, error.message) from error
    said = (" ".join(text.split()) for text in (mapping.name, drawing.title))
    name = next(filter(None, said), name_from_file(drawing.source))
    notes += [*uneven_seams(block), *sewing_notes(block), *open_loop_notes(block)]
    notes += [cut.text for cut in cut_levels(block)]
    return replace(block, name=name), tuple(notes)


def _piece_parts(
    outline: Outline, found: Sorted, mapping: DrawingMap, notes: list[str]
) -> PieceParts:
    said = mapping.pieces.get(outline.name, PieceMap(outline.name))
    runs = chain(outline.shapes)
    runs = split_at_corners(runs[0]) if len(runs) == 1 else parted_at_corners(runs)
    box = box_round([run.control for run in runs])
    fold = said.fold
    if fold == "auto":
        fold = _found_fold(runs, box, outline.name, notes)
    if fold == "right":
        runs = [run.mirrored(float(box[1, 0])) for run in runs]
    else:
        middle = float(box[0, 0] if fold == "left" else box[:, 0].mean())
        runs = [run.moved(middle) for run in runs]
    runs = clockwise(runs)
    _check_simple(runs)
    if fold in ("left", "right"):
        runs = _fold_last([_on_centre(run) for run in runs])
    return PieceParts(
        outline.name,
        _CUT.get(fold, "fold"),
        said.in_girth,
        named_edges(runs, said.edges, said.points),
        level_y=found.level_heights(outline, box),
    )


def _check_simple(runs: Sequence[Run]) -> None:
    """Refuse an outline that crosses itself.

    Beyond some thousand legs, as a traced scan has, comparing all pairs would take too
    much memory, and it is left unchecked.
    """
    control = np.concatenate([run.control for run in runs])
    if len(flatten(control, _CROSSING_CM)) > _MOST_LEGS:
        return
    crossings = self_crossings(control, _CROSSING_CM)
    if len(crossings):
        at = (Length(float(x)) for x in crossings[0])
        message = Sentence("its outline crosses itself, {} across and {} down", *at)
        raise RefusedError(message)


def _upright(run: Run, x: float) -> bool:
    """Return whether a run is a straight upright line at x."""
    return all(run.straight) and bool(
        np.abs(run.control[..., 0] - x).max() < _UPRIGHT_CM
    )


def _found_fold(
    runs: Sequence[Run], box: FloatArray, piece: str, notes: list[str]
) -> Fold:
    """Return the side on which a piece has its fold, and note how it was told."""
    sides: dict[Fold, float] = {"left": float(box[0, 0]), "right": float(box[1, 0])}
    for run in runs:
        if clean(run.name) in _FOLD_EDGES:
            for side, x in sides.items():
                if _upright(run, x):
                    return side
            message = (
                f"its edge {run.name!r} is not a straight upright line at one side"
            )
            raise RefusedError(message)
    least = 0.25 * float(box[1, 1] - box[0, 1])
    straight = [
        side
        for side, x in sides.items()
        if any(_upright(r, x) and np.ptp(r.control[..., 1]) > least for r in runs)
    ]
    if len(straight) == 1:
        notes.append(
            f"{piece}: its straight {straight[0]} edge is taken as the fold; "
            'say fold = "none" in --map if it is not'
        )
        return straight[0]
    if straight:
        notes.append(
            f"{piece}: both sides are straight, so neither is taken as a fold; "
            'say fold = "left" or "right" in --map if one is'
        )
    else:
        notes.append(
            f"{piece}: no straight upright edge, so it is taken as a whole piece, "
            'cut once; say fold = "pair" in --map if it is cut twice'
        )
    return "none"


def _on_centre(run: Run) -> Run:
    """Put what lies on the fold at exactly x = 0; handles follow their ends."""
    control = run.control.copy()
    if _upright(run, 0.0):
        control[..., 0] = 0.0
        return replace(run, control=control)
    for end, handle in ((0, 1), (3, 2)):
        near = np.abs(control[:, end, 0]) < _UPRIGHT_CM
        control[near, handle, 0] -= control[near, end, 0]
        control[near, end, 0] = 0.0
    return replace(run, control=control)


def _fold_last(runs: list[Run]) -> list[Run]:
    """Start the walk after the fold, and call the fold so where it has no name."""
    for i, run in enumerate(runs):
        if _upright(run, 0.0):
            named = run if run.name else replace(run, name="fold")
            return [*runs[i + 1 :], *runs[:i], named]
    return runs


def _aligned(
    parts: Sequence[PieceParts], anchor: str, notes: list[str]
) -> list[PieceParts]:
    """Move pieces up or down until their anchor levels lie at one height."""
    first = next((item for item in parts if anchor in item.level_y), parts[0])
    top = float(box_round([edge.control for edge in first.edges])[0, 1])
    height = first.level_y.get(anchor)
    placed = []
    for item in parts:
        shift = -top
        if height is not None and anchor in item.level_y:
            shift += height - item.level_y[anchor]
        elif height is not None:
            notes.append(
                f"{item.name}: no line shows its {anchor}, so it stays where it is drawn"
            )
        placed.append(item.moved(np.array([0.0, shift])))
    return placed


def _assembled(
    parts: Sequence[PieceParts], anchor: str, mapping: DrawingMap, notes: list[str]
) -> Block:
    holds = [
        Hold(name, _point_ref(first), _point_ref(second))
        for name, first, second in mapping.holds
    ]
    return Block(
        name="",
        pieces=tuple(
            Piece(item.name, item.edges, item.marks, item.cut, item.in_girth)
            for item in parts
        ),
        levels=_levels(parts, mapping, notes),
        seams=seams_of(parts, mapping, notes),
        holds=tuple(holds),
        loop_path=tuple(tuple(map(_point_ref, run)) for run in mapping.loop_path),
        anchor=anchor,
    )


def _point_ref(text: str) -> PointRef:
    piece, dot, point = text.partition(".")
    if not dot:
        message = f"{text!r} is no point; write piece.point"
        raise RefusedError(message)
    return PointRef(piece, point)


def _levels(
    parts: Sequence[PieceParts], mapping: DrawingMap, notes: list[str]
) -> tuple[Level, ...]:
    heights = {
        name: item.y for name, item in mapping.levels.items() if item.y is not None
    }
    for item in parts:
        for name, y in item.level_y.items():
            known = heights.setdefault(name, y)
            if abs(known - y) > _LEVEL_GAP_CM:
                where = "lower" if y > known else "higher"
                off = Length(abs(known - y), 2)
                said = "level {}: {} draws it {} {}; the first drawn is taken"
                notes.append(Sentence(said, name, item.name, off, where))
    loops = {name: item.loop for name, item in mapping.levels.items()}
    levels = [Level(name, y, loops.get(name, "closed")) for name, y in heights.items()]
    return tuple(sorted(levels, key=lambda level: level.y))
