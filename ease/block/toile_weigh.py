"""Marks of a worn toile weighed against block, body and fabric."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from ease.block.as_worn import as_worn
from ease.block.earlier_toiles import (
    taken_again,
)
from ease.block.loop import loop_legs
from ease.block.on_body import sizes_on
from ease.block.pieces import Block, Level
from ease.block.toile import Toile
from ease.block.toile_doubt import refuse_long_marks
from ease.block.toile_rows import find_causes, worn_rows
from ease.block.toile_start import start_of
from ease.block.way_round import way_round
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import DirectionName, Fabric
from ease.fabric.toile_marks import Mark
from ease.fabric.toile_readings import ToileFile
from ease.fit.toile import Marks, WornModel, fit_toile
from ease.fit.toile_spread import cloth_spread

__all__ = ["toile_places", "weigh_toile"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def toile_places(block: Block, body: Body) -> tuple[str, ...]:
    """Return the levels at which marks can be compared with the body."""
    levels, _ = sizes_on(block, body)
    return tuple(level.name for level in levels)


def weigh_toile(
    read: ToileFile,
    block: Block,
    body: Body,
    fabric: Fabric,
    *,
    round_body: DirectionName | None = None,
) -> Toile:
    """Say what was really worn, and which statement does not fit.

    Args:
        read: The marks; their places are levels of the block that the body knows.
        block: The block that the toile was cut by.
        body: The wearer.
        fabric: The fabric of the toile.
        round_body: Cloth direction round the body; see ``ease.block.way_round``.

    Raises:
        RefusedError: If a place is no such level, a mark is longer than the block there,
            no mark can be judged, or the fabric was not tested round.
    """
    way = way_round(block, fabric, round_body)
    body = as_worn(block, body)
    levels, sizes = sizes_on(block, body)
    names = [level.name for level in levels]
    if stray := [mark.place for mark in read.marks if mark.place not in names]:
        message = f"no girth is known at {stray[0]!r}; places are {', '.join(names)}"
        raise RefusedError(message)
    refuse_long_marks(read.marks, block, dict(zip(names, sizes.block, strict=True)))
    cloth = cloth_spread(fabric, way, sizes)
    legs = loop_legs(block)
    has_loop = bool(len(legs)) and "torso_loop" in body
    judged, aside = _judged(read.marks, levels, has_loop=has_loop)
    marked = {mark.place for mark in judged if mark.direction == "round"}
    start = start_of(block, body, (fabric, way), (names, sizes), marked)
    origin = start.origin
    if not has_loop:
        origin[-1] = 0.0  # nothing foretells what lies down the body
    model = WornModel(
        sizes=sizes,
        legs=legs if has_loop else legs[:0],
        loop=body["torso_loop"] if has_loop else float("nan"),
        origin=origin,
    )
    keys = [*names, *(["torso_loop"] if has_loop else [])]
    again = taken_again(block, body)
    settled = _settled(levels, keys, marked, again)
    settled[start.lay] = False  # what a toile showed of a level is seen
    taken = _marks(judged, read.tape_sd, names, cloth.uneven)
    fit = fit_toile(
        model, taken, _stated(body, keys, cloth.cloth), settled, start.shown
    )
    return Toile(
        block=block,
        body=body,
        fabric=fabric,
        round_body=way,
        levels=levels,
        marks=judged,
        aside=aside,
        remarks=read.remarks,
        fit=fit,
        rows=worn_rows(judged, fit),
        causes=find_causes(judged, fit, body, keys, again),
        has_loop=has_loop,
    )


def _stated(body: Body, keys: Sequence[str], cloth: Sequence[float]) -> FloatArray:
    """Return the spread that is stated of the measures, as shares, and of the cloth."""
    # The mean of two readings has less spread.
    twice = np.array([key in body.again for key in keys])
    sd = np.array([body.sd(key) / body[key] for key in keys])
    prior = sd * np.where(twice, np.sqrt(0.5), 1.0)
    # Without a loop nothing bears on the unknown; any spread will do.
    no_loop = [] if "torso_loop" in keys else [1.0]
    return np.array([*prior, *no_loop, *cloth])


def _settled(
    levels: Sequence[Level],
    keys: Sequence[str],
    marked: Collection[str],
    again: Collection[str],
) -> BoolArray:
    """Return which unknowns are not doubted.

    What no mark lies round is seen through contraction alone: that is no ground to doubt
    it. Of a girth taken again the toile itself is doubted at that level; of the only one
    there is, as down the body, the cloth is.
    """
    names = [level.name for level in levels]
    closed = {level.name for level in levels if level.loop == "closed"}
    settled = np.zeros(len(names) + 3, dtype=bool)
    settled[: len(keys)] = [
        key not in marked or (key in again and closed == {key})
        if key in names
        else key in again
        for key in keys
    ]
    settled[len(names) + 1] = not marked
    return settled


def _judged(
    marks: Sequence[Mark], levels: Sequence[Level], *, has_loop: bool
) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """Return the marks that something is predicted for, and the others.

    Raises:
        RefusedError: If there is none of the first kind.
    """
    cut = {level.name for level in levels if level.loop != "closed"}
    aside = tuple(
        mark
        for mark in marks
        if (mark.place in cut if mark.direction == "round" else not has_loop)
    )
    judged = tuple(mark for mark in marks if mark not in aside)
    if judged:
        return judged, aside
    around = dict.fromkeys(mark.place for mark in aside if mark.direction == "round")
    said = [f"round {', '.join(around)}, where the block is cut open"] if around else []
    if any(mark.direction == "down" for mark in aside):
        said.append("down, where block or body has no torso loop")
    also = " or down the body" if has_loop else ""
    message = (
        f"all marks run {' and '.join(said)}: how far the cloth is worn there is not "
        f"foretold; mark a closed level round{also}"
    )
    raise RefusedError(message)


def _marks(
    marks: Sequence[Mark], tape_sd: float, names: Sequence[str], uneven: FloatArray
) -> Marks:
    """Turn marks into arrays; tape at both readings, and cloth from spot to spot."""
    places = [(names.index(mark.place), mark.direction) for mark in marks]
    groups = {key: index for index, key in enumerate(dict.fromkeys(places))}
    row = np.array([len(names) if way == "down" else at for at, way in places])
    relaxed = np.array([mark.relaxed for mark in marks])
    worn = np.array([mark.worn for mark in marks])
    tape = tape_sd * np.hypot(1.0 / relaxed, 1.0 / worn)
    return Marks(
        row=row,
        group=np.array([groups[key] for key in places]),
        stretch=np.log(worn / relaxed),
        sd=np.hypot(tape, uneven[row]),
    )
