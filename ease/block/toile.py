"""A worn toile set against block, body and fabric: what was worn, why, what to change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.block.loop import loop_legs
from ease.block.on_body import sizes_on
from ease.block.pieces import Block, Level
from ease.block.wearer import as_worn
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import DirectionName, Fabric
from ease.fabric.toile_readings import Mark, Remark, ToileFile
from ease.fit.toile import Marks, ToileFit, WornModel, fit_toile
from ease.fit.toile_spread import cloth_spread
from ease.units import NORMAL_95

__all__ = ["Cause", "Kind", "Toile", "WornRow", "toile_places", "weigh_toile"]

FloatArray = NDArray[np.float64]
Kind = Literal["tape", "body", "cloth"]
Verdict = Literal["fits", "off", "unclear"]
LEAST_CHECK: Final = 0.02  # of its error must show before a statement is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class WornRow:
    """One place and direction: strain by the marks, as predicted, and by all together.

    Attributes:
        place: Name of the level.
        direction: ``round`` or ``down``.
        n: Number of marks that count.
        measured: Mean strain of the marks.
        measured_half: Half of its 95 % interval, from tape and spot to spot.
        predicted: Strain by block, body and earlier toiles.
        predicted_half: Half of its 95 % interval, from the stated spreads.
        worn: Strain by marks, body and swatch weighed together.
        worn_half: Half of its 95 % interval.
    """

    place: str
    direction: str
    n: int
    measured: float
    measured_half: float
    predicted: float
    predicted_half: float
    worn: float
    worn_half: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One statement that was looked at: a mark, a body measure, or the cloth.

    Attributes:
        kind: ``tape`` on a mark, ``body`` measure, or ``cloth`` unlike the swatch.
        name: Which.
        stated: Its stated spread; cm for tape and body, a share for the cloth.
        off: How far it is off by the fit, in the same unit.
        sd: Standard deviation of that.
        away: How far it lies from the rest over what chance allows (standard normal).
        explains: Share of the whole misfit that goes if it alone is given up.
        verdict: ``fits`` as stated, ``off``, or ``unclear`` where it or another one is
            off and the marks cannot tell which.
    """

    kind: Kind
    name: str
    stated: float
    off: float
    sd: float
    away: float
    explains: float
    verdict: Verdict


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
        marks: The marks.
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
        toiled = self.block.drafted_for.toiled
        return bool(self.fit.model.origin.any()) or self.body.name == toiled.wearer

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
        round_body: Cloth direction round the body; the stretchier if not given.

    Raises:
        RefusedError: If a place is no such level, or the fabric was not tested round.
    """
    way = round_body or fabric.round_body
    body = as_worn(block, body)
    levels, sizes = sizes_on(block, body)
    names = [level.name for level in levels]
    if stray := [mark.place for mark in read.marks if mark.place not in names]:
        message = f"no girth is known at {stray[0]!r}; places are {', '.join(names)}"
        raise RefusedError(message)
    cloth = cloth_spread(fabric, way, sizes)
    legs = loop_legs(block)
    has_loop = bool(len(legs)) and "torso_loop" in body
    loop = body["torso_loop"] if has_loop else None
    model = WornModel(
        sizes=sizes,
        legs=legs if has_loop else legs[:0],
        loop=float("nan") if loop is None else loop,
        origin=_shown_before(block, len(levels), loop),
    )
    keys = [*names, *(["torso_loop"] if has_loop else [])]
    prior = [body.sd(key) / body[key] for key in keys]
    # Without a loop nothing bears on the unknown; any spread will do.
    prior_sd = np.array([*prior, *([] if has_loop else [1.0]), *cloth.cloth])
    fit = fit_toile(model, _marks(read, names, cloth.uneven), prior_sd)
    return Toile(
        block=block,
        body=body,
        fabric=fabric,
        round_body=way,
        levels=levels,
        marks=read.marks,
        remarks=read.remarks,
        fit=fit,
        rows=_worn_rows(read.marks, fit),
        causes=_causes(read.marks, fit, body, keys),
        has_loop=has_loop,
    )


def _shown_before(block: Block, levels: int, loop: float | None) -> FloatArray:
    """Return the unknowns that are likely: the cloth as earlier toiles have shown it."""
    toiled = block.drafted_for.toiled
    origin = np.zeros(levels + 3)
    origin[levels + 1] = np.log(toiled.girth)
    # Without a loop marks down are compared with no strain.
    origin[levels + 2] = 0.0 if loop is None else np.log(toiled.length)
    return origin


def _marks(read: ToileFile, names: Sequence[str], uneven: FloatArray) -> Marks:
    """Turn marks into arrays; tape at both readings, and cloth from spot to spot."""
    places = [(names.index(mark.place), mark.direction) for mark in read.marks]
    groups = {key: index for index, key in enumerate(dict.fromkeys(places))}
    row = np.array([len(names) if way == "down" else at for at, way in places])
    relaxed = np.array([mark.relaxed for mark in read.marks])
    worn = np.array([mark.worn for mark in read.marks])
    tape = read.tape_sd * np.hypot(1.0 / relaxed, 1.0 / worn)
    return Marks(
        row=row,
        group=np.array([groups[key] for key in places]),
        stretch=np.log(worn / relaxed),
        sd=np.hypot(tape, uneven[row]),
    )


def _worn_rows(marks: Sequence[Mark], fit: ToileFit) -> tuple[WornRow, ...]:
    group, weight = fit.marks.group, 1.0 / fit.marks.sd**2
    counts = np.ones(len(marks), dtype=bool)
    counts[[row for row in fit.found.wrong if row < len(marks)]] = False
    emptied = np.bincount(group, counts) == 0
    counts |= emptied[group]  # a place whose marks are all off is shown with them
    weight = weight * counts
    total = np.bincount(group, weight)
    mean = np.bincount(group, weight * fit.marks.stretch) / total
    predicted, worn = fit.predicted, fit.worn
    found = []
    for index in range(len(total)):
        first = int(np.argmax(group == index))
        row = fit.marks.row[first]
        pairs = (
            (mean[index], 1.0 / np.sqrt(total[index])),
            (predicted[0][row], predicted[1][row]),
            (worn[0][row], worn[1][row]),
        )
        strains = [float(np.expm1(value)) for value, _ in pairs]
        halves = [float(NORMAL_95 * sd * np.exp(value)) for value, sd in pairs]
        found.append(
            WornRow(
                place=marks[first].place,
                direction=marks[first].direction,
                n=int(counts[group == index].sum()),
                measured=strains[0],
                measured_half=halves[0],
                predicted=strains[1],
                predicted_half=halves[1],
                worn=strains[2],
                worn_half=halves[2],
            )
        )
    return tuple(found)


def _causes(
    marks: Sequence[Mark], fit: ToileFit, body: Body, keys: Sequence[str]
) -> tuple[Cause, ...]:
    found = fit.found
    errors, error_sd = fit.mark_errors
    worn = np.array([mark.worn for mark in marks])
    sizes = np.array([body[key] for key in keys])
    used = [*range(len(keys)), len(fit.unknowns) - 2, len(fit.unknowns) - 1]
    scale = np.concatenate([sizes, [1.0, 1.0]])
    off = np.concatenate([errors * worn, fit.unknowns[used] * scale])
    sd = np.concatenate([error_sd * worn, found.fit.sd[used] * scale])
    stated = np.concatenate([fit.marks.sd * worn, fit.prior_sd[used] * scale])
    row = np.concatenate([np.arange(len(marks)), len(marks) + np.array(used)])
    away, free = found.away[row], found.first.redundancy[row]
    names: list[tuple[Kind, str]] = [
        *(("tape", f"{m.place} {m.direction} {m.repeat}") for m in marks),
        *(("body", key) for key in keys),
        ("cloth", "round"),
        ("cloth", "down"),
    ]
    unsure = {place for group in found.unclear for place in group}
    total = found.first.misfit or 1.0
    return tuple(
        Cause(
            kind=kind,
            name=name,
            stated=float(stated[i]),
            off=float(off[i]),
            sd=float(sd[i]),
            away=float(away[i]),
            explains=float(away[i] ** 2 / total),
            verdict=_verdict(int(row[i]), found.wrong, unsure),
        )
        for i, (kind, name) in enumerate(names)
        if free[i] > LEAST_CHECK
    )


def _verdict(row: int, wrong: Sequence[int], unsure: set[int]) -> Verdict:
    if row in wrong:
        return "off"
    return "unclear" if row in unsure else "fits"
