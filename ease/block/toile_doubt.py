"""Marks that cannot be of the block and the body they are set against."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from ease.block.measure import torso_loop
from ease.block.pieces import Block
from ease.block.toile import Toile
from ease.errors import RefusedError
from ease.fabric.toile_marks import Mark
from ease.sentence import Length, Sentence
from ease.units import percent_text

__all__ = ["refuse_long_marks", "refuse_other_block"]

# Own choice. Seams taken 1 cm wider on both sides take 4 of 70 cm, 6 %; no cloth lies
# further off by itself.
FARTHEST: Final = 1.10
LEAST_PLACES: Final = 2  # one place alone may be one measure of the body
# Own choice: waist and hip exchanged are 1.4 apart; no measure is taped as far off.
FARTHEST_ALONE: Final = 1.5


def refuse_long_marks(
    marks: Sequence[Mark], block: Block, girths: Mapping[str, float]
) -> None:
    """Refuse a mark that is longer than what it is drawn on.

    Args:
        marks: The marks.
        block: The block.
        girths: Its girth at each place, cm.

    Raises:
        RefusedError: Naming the first one.
    """
    loop = torso_loop(block)
    for mark in marks:
        most = girths[mark.place] if mark.direction == "round" else loop
        if most is None or mark.relaxed <= most:
            continue
        there = "goes round" if mark.direction == "round" else "has a torso loop of"
        message = Sentence(
            f"the mark {mark.place} {mark.direction} {mark.repeat} is {{}} long before it "
            f"is worn, but the block {there} {{}}",
            *(Length(mark.relaxed), Length(float(most))),
        )
        raise RefusedError(message, hint="was it read in mm, or off another block?")


def refuse_other_block(toile: Toile, *, cloth_told: bool) -> None:
    """Refuse marks round the body that lie far off in one way.

    Down the body one torso loop taken wrong puts all marks as far off, and is told.

    Args:
        toile: A weighed toile.
        cloth_told: Whether the marks tell that the cloth round the body is off.

    Raises:
        RefusedError: If the cloth is told to lie more than 10 % longer or shorter than
            block and body say, or all places do, two at least; or all marks at one place
            lie further off than a tape is ever read.
    """
    _refuse_far_place(toile)
    rows = [row for row in toile.rows if row.direction == "round"]
    off = np.log([(1 + row.measured) / (1 + row.predicted) for row in rows])
    everywhere = off.size >= LEAST_PLACES and _far(off, FARTHEST)
    cloth = toile.fit.unknowns[toile.fit.model.levels + 1]
    if not everywhere and not (cloth_told and _far(cloth, FARTHEST)):
        return
    worn = ", ".join(
        f"{percent_text(row.measured)} % at the {row.place} "
        f"({percent_text(row.predicted)} %)"
        for row in rows
    )
    message = (
        f"the marks round can hardly be of block {toile.block.name} on "
        f"{toile.body.name}: worn, with what is predicted in brackets, {worn}; no cloth "
        f"lies that far off{_drafted(toile)}"
    )
    hint = (
        "is it the block that was cut, the body that wore it, and do relaxed and worn "
        "stand in their columns?"
    )
    raise RefusedError(message, hint=hint)


def _refuse_far_place(toile: Toile) -> None:
    """Refuse marks of one place that no measure and no cloth can account for."""
    for row in toile.rows:
        read = [
            mark.strain
            for mark in toile.marks
            if (mark.place, mark.direction) == (row.place, row.direction)
        ]
        off = np.log((1.0 + np.array(read)) / (1.0 + row.predicted))
        if not _far(off, FARTHEST_ALONE):
            continue
        where = f"{row.direction} at the {row.place}"
        shown = " and ".join(f"{percent_text(strain)} %" for strain in read)
        message = (
            f"the marks {where} are worn {shown}, where {percent_text(row.predicted)} % "
            "is predicted: no tape and no cloth is that far off"
        )
        hint = (
            "are relaxed and worn of those marks in one unit, and each in its column, and "
            "is the girth of that level right?"
        )
        raise RefusedError(message, hint=hint)


def _far(off: ArrayLike, farthest: float) -> bool:
    """Whether all logs of a ratio lie beyond what is taken for possible, on one side."""
    log = np.asarray(off)
    return bool((log > np.log(farthest)).all() or (log < -np.log(farthest)).all())


def _drafted(toile: Toile) -> str:
    """Say what the block was cut for, where that is not the fabric of the toile."""
    drafted = toile.block.drafted_for
    if drafted.fabric:
        return "" if toile.same_cloth else f"; the block was cut for {drafted.fabric}"
    if drafted.girth_factor == 1.0:
        return "; the block stands at body size, not cut for a fabric"
    return ""
