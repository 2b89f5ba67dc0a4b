"""What a weighed toile says of each place, and of each statement that was made."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ease.body.measures import Body
from ease.fabric.toile_marks import Mark
from ease.fit.faults import Search
from ease.fit.toile import LEAST_CHECK, ToileFit
from ease.fit.weighing import Fit
from ease.units import NORMAL_95

__all__ = ["Cause", "Kind", "Verdict", "WornRow", "find_causes", "worn_rows"]

Floats = NDArray[np.float64]
Kind = Literal["tape", "body", "toile", "cloth"]
Verdict = Literal["fits", "off", "likely", "unclear"]


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
    """One statement that was looked at: a mark, a body measure, the toile, or the cloth.

    Attributes:
        kind: ``tape`` on a mark, ``body`` measure, ``toile`` as sewn and worn at a level
            whose girth was measured again, or ``cloth`` unlike the swatch.
        name: Which.
        stated: Its stated spread; cm for tape and body, else a share.
        off: How far it is off by the fit, in the same unit; of one that is unclear, if it
            is the one.
        sd: Standard deviation of that.
        away: How far it lies from the rest over what chance allows (standard normal).
        explains: Share of the whole misfit that goes with it.
        verdict: ``fits`` as stated, ``off``, ``likely`` off where it was given up, or
            ``unclear`` where it or another one is off and the marks cannot tell which.
        row: Its row in the fit, as ``ease.fit.faults`` names it.
    """

    kind: Kind
    name: str
    stated: float
    off: float
    sd: float
    away: float
    explains: float
    verdict: Verdict
    row: int

    @property
    def way(self) -> str:
        """Whether it is of what lies ``round`` or ``down`` the body."""
        if self.kind == "tape":
            return self.name.split()[-2]
        if self.kind == "cloth":
            return self.name
        return "down" if self.name == "torso_loop" else "round"


def worn_rows(marks: Sequence[Mark], fit: ToileFit) -> tuple[WornRow, ...]:
    """Return strains by place and direction, in the order of the marks.

    Args:
        marks: The marks.
        fit: The weighing of them.
    """
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


def find_causes(
    marks: Sequence[Mark],
    fit: ToileFit,
    body: Body,
    keys: Sequence[str],
    again: Collection[str],
) -> tuple[Cause, ...]:
    """Return every statement that the marks can check, and whether it holds.

    Args:
        marks: The marks.
        fit: The weighing of them.
        body: The wearer.
        keys: Keys of the body measures that were weighed, in the order of the fit.
        again: Keys of those that were taken again.
    """
    found = fit.found
    as_toile = [key in again and key != "torso_loop" for key in keys]
    kind_of: list[Kind] = ["toile" if one else "body" for one in as_toile]
    stated_as = np.exp(fit.model.origin[: len(keys)]) * [body[key] for key in keys]
    sizes = np.where(as_toile, 1.0, stated_as)
    scale = np.array([*sizes, 1.0, 1.0])
    used = [*range(len(keys)), len(fit.unknowns) - 2, len(fit.unknowns) - 1]
    row = np.concatenate([np.arange(len(marks)), len(marks) + np.array(used)])
    off, sd = _off(marks, fit, found.fit, used, scale)
    for i, place in enumerate(row):
        if place in found.alone:  # by how much, if it is the one
            each = _off(marks, fit, found.alone[place], used, scale)
            off[i], sd[i] = each[0][i], each[1][i]
    worn = np.array([mark.worn for mark in marks])
    stated = np.concatenate([fit.marks.sd * worn, fit.prior_sd[used] * scale])
    away, free = found.away[row], found.first.redundancy[row]
    names: list[tuple[Kind, str]] = [
        *(("tape", f"{m.place} {m.direction} {m.repeat}") for m in marks),
        *zip(kind_of, keys, strict=True),
        ("cloth", "round"),
        ("cloth", "down"),
    ]
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
            verdict=_verdict(int(row[i]), found),
            row=int(row[i]),
        )
        for i, (kind, name) in enumerate(names)
        if free[i] > LEAST_CHECK or int(row[i]) in found.alone
    )


def _off(
    marks: Sequence[Mark], fit: ToileFit, by: Fit, used: Sequence[int], scale: Floats
) -> tuple[Floats, Floats]:
    """Return by how much each statement is off by a fit, and its sd, in their units.

    Both are worked out as logs: a mark reads exp(error) times what it should, and a
    measure or the cloth is exp(unknown) times what was stated.
    """
    value, value_sd = fit.worn_by(by)
    worn = np.array([mark.worn for mark in marks])
    right = worn * np.exp(value[fit.marks.row] - fit.marks.stretch)
    truly = scale * np.exp(by.unknowns[used])
    off = np.concatenate([worn - right, truly - scale])
    return off, np.concatenate([value_sd[fit.marks.row] * right, by.sd[used] * truly])


def _verdict(row: int, found: Search) -> Verdict:
    if row in found.wrong:
        return "off"
    if row in found.likely:
        return "likely"
    return "unclear" if row in found.alone else "fits"
