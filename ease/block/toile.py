"""A worn toile set against block, body and fabric: what was worn, why, what to change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ease.block.as_worn import as_worn
from ease.block.earlier_toiles import (
    is_wearer,
    left_open,
    retaken,
    same_cloth,
    toiled_ways,
)
from ease.block.loop import loop_legs
from ease.block.on_body import sizes_on
from ease.block.pieces import Block, FoundMeasure, Level
from ease.block.toile_rows import Cause, WornRow, find_causes, worn_rows
from ease.block.way_round import way_round
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import DirectionName, Fabric
from ease.fabric.toile_marks import Mark, Remark
from ease.fabric.toile_readings import ToileFile
from ease.fit.toile import Marks, ToileFit, WornModel, fit_toile
from ease.fit.toile_spread import cloth_spread

__all__ = ["Toile", "toile_places", "weigh_toile"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Toile:
    """A worn toile, weighed.

    Attributes:
        block: The block it was cut by.
        body: The wearer, with measures as found by earlier toiles where they were not
            taken again.
        fabric: The fabric.
        round_body: Cloth direction round the body.
        levels: Levels whose girth the body knows, top to bottom.
        marks: The marks that are judged.
        aside: Marks that are not judged, as nothing foretells them: round a level that is
            cut open, where the gap decides, and down a garment without a torso loop.
        remarks: Where it pulls or gapes.
        fit: The weighing.
        rows: Strains by place and direction, in the order of the file.
        causes: Every statement that the marks can check.
        has_loop: Whether block and body name a torso loop.
    """

    block: Block
    body: Body
    fabric: Fabric
    round_body: DirectionName
    levels: tuple[Level, ...]
    marks: tuple[Mark, ...]
    aside: tuple[Mark, ...]
    remarks: tuple[Remark, ...]
    fit: ToileFit
    rows: tuple[WornRow, ...]
    causes: tuple[Cause, ...]
    has_loop: bool

    @property
    def limit(self) -> float:
        """How far away a statement must lie before it counts as off."""
        return self.fit.found.critical

    @property
    def has_earlier(self) -> bool:
        """Whether an earlier toile has moved the block, so that this one starts there."""
        return bool(self.fit.model.origin.any()) or bool(self.measures_found)

    @property
    def same_cloth(self) -> bool:
        """Whether earlier toiles of the block, if any, were sewn in this fabric."""
        return same_cloth(self.block, self.fabric)

    @property
    def shown(self) -> tuple[float, float]:
        """What earlier toiles in this cloth multiplied girth and length factor by."""
        if not self.same_cloth:
            return 1.0, 1.0
        return toiled_ways(self.block.drafted_for, self.round_body)

    @property
    def measures_found(self) -> tuple[FoundMeasure, ...]:
        """The wearer's measures that earlier toiles found to be others than taped."""
        if not is_wearer(self.block, self.body):
            return ()
        return self.block.drafted_for.toiled.measures

    @property
    def settled(self) -> frozenset[str]:
        """Keys of measures that were taken again, so that they are not doubted."""
        return _taken_again(self.block, self.body)

    @property
    def counted_as_taped(self) -> tuple[str, ...]:
        """Girths that an earlier toile could not tell from the cloth, marked here."""
        origin = self.fit.model.origin
        return tuple(lv.name for at, lv in enumerate(self.levels) if origin[at] != 0.0)

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the body measures that were weighed, in the order of the fit."""
        loop = ("torso_loop",) if self.has_loop else ()
        return (*(level.name for level in self.levels), *loop)

    def giving_up(self, unknowns: Sequence[int]) -> Toile:
        """Return the toile weighed without what was stated of some unknowns.

        Args:
            unknowns: Their places in the fit.
        """
        fit = self.fit.giving_up(unknowns)
        return replace(
            self,
            fit=fit,
            rows=worn_rows(self.marks, fit),
            causes=find_causes(self.marks, fit, self.body, self.keys, self.settled),
        )

    @property
    def marked(self) -> frozenset[str]:
        """Levels with marks round them."""
        return frozenset(m.place for m in self.marks if m.direction == "round")

    def count(self, direction: str, place: str | None = None) -> int:
        """Return the number of marks in a direction, at one place or everywhere."""
        return sum(
            mark.direction == direction and place in (None, mark.place)
            for mark in self.marks
        )


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
        RefusedError: If a place is no such level, no mark can be judged, or the fabric was
            not tested round.
    """
    way = way_round(block, fabric, round_body)
    body = as_worn(block, body)
    levels, sizes = sizes_on(block, body)
    names = [level.name for level in levels]
    if stray := [mark.place for mark in read.marks if mark.place not in names]:
        message = f"no girth is known at {stray[0]!r}; places are {', '.join(names)}"
        raise RefusedError(message)
    cloth = cloth_spread(fabric, way, sizes)
    legs = loop_legs(block)
    has_loop = bool(len(legs)) and "torso_loop" in body
    judged, aside = _judged(read.marks, levels, has_loop=has_loop)
    marked = {mark.place for mark in judged if mark.direction == "round"}
    opened = {key: one for key, one in left_open(block, body).items() if key in marked}
    origin = _shown_before(block, (fabric, way), names, opened)
    if not has_loop:
        origin[-1] = 0.0  # nothing foretells what lies down the body
    model = WornModel(
        sizes=sizes,
        legs=legs if has_loop else legs[:0],
        loop=body["torso_loop"] if has_loop else float("nan"),
        origin=origin,
    )
    keys = [*names, *(["torso_loop"] if has_loop else [])]
    twice = np.array([key in body.again for key in keys])
    # The mean of two readings has less spread, and is no longer doubted.
    sd = np.array([body.sd(key) / body[key] for key in keys])
    prior = sd * np.where(twice, np.sqrt(0.5), 1.0)
    # Without a loop nothing bears on the unknown; any spread will do.
    prior_sd = np.array([*prior, *([] if has_loop else [1.0]), *cloth.cloth])
    settled, last = np.zeros((2, len(prior_sd)), dtype=bool)
    again = _taken_again(block, body)
    # What no mark lies round is seen through contraction alone: that is no ground to
    # doubt it. Of a girth taken again the toile itself is doubted at that level, last
    # where no other level could be marked to tell; down, where there is but one, the cloth.
    settled[: len(keys)] = [
        key not in marked if key in names else key in again for key in keys
    ]
    settled[len(names) + 1] = not marked
    closed = {level.name for level in levels if level.loop == "closed"}
    last[: len(names)] = [name in again and closed <= marked for name in names]
    taken = _marks(judged, read.tape_sd, names, cloth.uneven)
    fit = fit_toile(model, taken, prior_sd, settled, last)
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


def _taken_again(block: Block, body: Body) -> frozenset[str]:
    return body.again | {one.key for one in retaken(block, body)}


def _shown_before(
    block: Block,
    cloth: tuple[Fabric, DirectionName],
    names: Sequence[str],
    opened: Mapping[str, FoundMeasure],
) -> FloatArray:
    """Return the unknowns that are likely by earlier toiles, over the body as found.

    The cloth as they have shown it, and as taped a girth that they could not tell from
    the cloth: what was left open would count as known, and marks at other levels tell.
    """
    (fabric, way), levels = cloth, len(names)
    origin = np.zeros(levels + 3)
    for key, one in opened.items():
        origin[names.index(key)] = np.log(one.taped / one.found)
    if not same_cloth(block, fabric):
        return origin
    girth, length = toiled_ways(block.drafted_for, way)
    origin[levels + 1] = np.log(girth)
    origin[levels + 2] = np.log(length)
    return origin


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
