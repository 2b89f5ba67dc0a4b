"""Free edges that are no known opening: which may not reach round what passes them."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from ease.block.lengths import arc_length
from ease.block.on_body import passed_at
from ease.block.passing import below_hip
from ease.block.pieces import Block
from ease.block.rings import other_openings
from ease.block.wear_faults import SAME_CM
from ease.body.measures import Body
from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.sentence import Length, Sentence

__all__ = ["hems_not_judged"]

BESIDE_CM: Final = 4.0  # an edge so near a level is judged with it; own choice


class _Hem(NamedTuple):
    """Edges at about one height: names, mean height, length all round, cm."""

    names: tuple[str, ...]
    y: float
    length_cm: float


def hems_not_judged(
    block: Block, body: Body, cloth: ClothArrays, allowed: Allowed
) -> tuple[str, ...]:
    """Name free edges that reach less than what would have to pass them.

    A block does not say which of its free edges close to a ring, so they stop nothing. An
    edge beside a level is judged there. Below the hip it is taken to lie round a leg.

    Args:
        block: The block; of one without seams every edge is free, and none is named.
        body: The body.
        cloth: Stretch of the fabric; the direction that gives more counts.
        allowed: How it is put on.
    """
    if not block.seams:
        return ()
    most = 1.0 + float(np.fmax(cloth.stretch_girth, cloth.stretch_length))
    heights = np.array([level.y for level in block.levels])
    known = tuple(level for level in block.levels if level.name in body.girths)
    found = []
    for hem in _hems(block):
        if below_hip(block, hem.y) and not allowed.over_head:
            thigh = body.values.get("thigh", 0.0)
            found.append(_told(hem, most, ("thigh", thigh), leg=True))
        elif not allowed.opens and np.abs(heights - hem.y).min() > BESIDE_CM:
            passed = passed_at("", hem.y, known, body, over_head=allowed.over_head)
            found.append(_told(hem, most, passed, leg=False))
    return tuple(filter(None, found))


def _hems(block: Block) -> list[_Hem]:
    """Return free edges without elastic, those of about one height together."""
    counted = {piece.name for piece in block.girth_pieces}
    edges = [
        _hem(block, name)
        for name in other_openings(block)
        if name.partition(".")[0] in counted
    ]
    heights = np.array([edge.y for edge in edges])
    order = np.argsort(heights, kind="stable")
    far = np.flatnonzero(np.diff(heights[order]) > BESIDE_CM) + 1
    return [
        _Hem(
            tuple(edges[i].names[0] for i in row),
            float(heights[row].mean()),
            sum(edges[i].length_cm for i in row),
        )
        for row in (np.sort(part) for part in np.split(order, far))
        if len(row)
    ]


def _hem(block: Block, name: str) -> _Hem:
    control = block.edge(name).control
    times = block.piece(name.partition(".")[0]).times_round
    return _Hem(
        (name,), float(control[..., 1].mean()), times * float(arc_length(control).sum())
    )


def _told(hem: _Hem, most: float, passed: tuple[str, float], *, leg: bool) -> str:
    """Say that edges do not reach round a part of the body; nothing where they do."""
    part, girth = passed
    reached = most * hem.length_cm / (2.0 if leg else 1.0)
    if reached >= girth - SAME_CM:
        return ""
    one = len(hem.names) == 1
    text = (
        "whether {} pass{} over the {} is not judged: closed {}, {} reach{} {} at most, "
        "and the {} measures {}; {}"
    )
    return Sentence(
        text,
        *(", ".join(hem.names), "es" * one, part),
        *("round one leg" if leg else "all round", "it" if one else "they", "es" * one),
        *(Length(reached), part, Length(girth)),
        "measure leg and foot there" if leg else "mark a level there",
    )
