"""Summarise the readings of a hand test, and make a fabric of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from ease.errors import RefusedError
from ease.fabric.hand_reading import HandReading
from ease.fabric.outliers import Outlier, find_outliers
from ease.fabric.profile import (
    DIRECTIONS,
    ClothDirection,
    DirectionName,
    Estimate,
    Fabric,
    Origin,
)
from ease.fabric.statistics import estimate, interval, repeats_needed
from ease.fabric.swatch_notes import direction_notes, pair_notes

__all__ = [
    "TARGET_HALF_WIDTH",
    "DirectionSummary",
    "SwatchSummary",
    "summarise",
    "to_fabric",
]

TARGET_HALF_WIDTH: Final = 0.02  # two points of stretch: half a cm on a bust of 90 cm
MOST_REPEATS: Final = 20  # past this the readings, not their number, need attention


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionSummary:
    """What the repeats of one direction give.

    Attributes:
        name: ``across`` or ``along``.
        stretch: Extension over relaxed length.
        growth: What had not come back, over relaxed length.
        wet_growth: The same of the soaked strip.
        recovery: Share of the extension that came back.
        recovered_elongation: The strip standard's figure, 1 - growth; another number.
        contraction: Sideways shrinkage over extension.
        tension: Tension at the test load, N/m; None without load and strip width.
        rest_minutes: Mean rest before growth was read.
        more_repeats: Repeats still worth doing for the target half-width; None for a
            single one, from which nothing can be said.
    """

    name: DirectionName
    stretch: Estimate
    growth: Estimate | None
    wet_growth: Estimate | None
    recovery: Estimate | None
    recovered_elongation: Estimate | None
    contraction: Estimate | None
    tension: Estimate | None
    rest_minutes: float | None
    more_repeats: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwatchSummary:
    """A tested swatch: one or two directions, outliers, and what should be said.

    Attributes:
        across: Pulled across, selvedge to selvedge; None if not tested.
        along: Pulled along, with the selvedge; None if not tested.
        outliers: Repeats set apart by Grubbs's test.
        notes: Plain sentences for the user.
    """

    across: DirectionSummary | None
    along: DirectionSummary | None
    outliers: tuple[Outlier, ...]
    notes: tuple[str, ...]

    @property
    def directions(self) -> tuple[DirectionSummary, ...]:
        """The directions that were tested."""
        return tuple(one for one in (self.across, self.along) if one is not None)

    @property
    def round_body(self) -> DirectionName:
        """The direction with the greater stretch, which goes round the body.

        Compared as it is kept, so that the fabric says the same.
        """
        return max(self.directions, key=lambda one: _kept(one.stretch).mean).name

    @property
    def round_body_sure(self) -> bool:
        """Whether both were tested and the 95 % intervals of stretch stand apart."""
        if self.across is None or self.along is None:
            return False
        first, second = interval(self.across.stretch), interval(self.along.stretch)
        if first is None or second is None:
            return False
        return first[1] < second[0] or second[1] < first[0]


def summarise(
    readings: Iterable[HandReading], *, drop_outliers: bool = False
) -> SwatchSummary:
    """Return means, spreads, outliers and advice from the readings of a hand test.

    Args:
        readings: Repeats in one or both directions.
        drop_outliers: Leave out the repeats that Grubbs's test sets apart. Once only: a
            test repeated on what is left would keep finding outliers.

    Raises:
        RefusedError: If there are no readings.
    """
    taken = tuple(readings)
    if not taken:
        message = "there are no readings to summarise"
        raise RefusedError(message)
    summaries: dict[DirectionName, DirectionSummary] = {}
    outliers: list[Outlier] = []
    notes: list[str] = []
    for name in DIRECTIONS:
        repeats = [one for one in taken if one.direction == name]
        if not repeats:
            continue
        found = find_outliers(repeats, dropped=drop_outliers)
        outliers += found
        out = {one.repeat for one in found} if drop_outliers else set()
        kept = [one for one in repeats if one.repeat not in out]
        summaries[name] = _direction(name, kept)
        notes += direction_notes(name, kept)
    notes += pair_notes(taken)
    return SwatchSummary(
        across=summaries.get("across"),
        along=summaries.get("along"),
        outliers=tuple(outliers),
        notes=tuple(notes),
    )


def _direction(name: DirectionName, repeats: Sequence[HandReading]) -> DirectionSummary:
    stretch = estimate([one.stretch for one in repeats])
    more = None
    if stretch.sd is not None:
        whole = repeats_needed(stretch.sd, TARGET_HALF_WIDTH, most=MOST_REPEATS)
        more = max(0, int(whole) - stretch.n)
    rests = [one.rest_minutes for one in repeats if one.rest_minutes is not None]
    return DirectionSummary(
        name=name,
        stretch=stretch,
        growth=_estimate(one.growth for one in repeats),
        wet_growth=_estimate(one.wet_growth for one in repeats),
        recovery=_estimate(one.recovery for one in repeats),
        recovered_elongation=_estimate(one.recovered_elongation for one in repeats),
        contraction=_estimate(one.contraction for one in repeats),
        tension=_estimate(one.tension for one in repeats),
        rest_minutes=sum(rests) / len(rests) if rests else None,
        more_repeats=more,
    )


def _estimate(values: Iterable[float | None]) -> Estimate | None:
    there = [value for value in values if value is not None]
    return estimate(there) if there else None


def to_fabric(
    summary: SwatchSummary,
    *,
    name: str,
    title: str = "",
    source: str = "hand test",
    origin: Origin = "measured",
    note: str = "",
) -> Fabric:
    """Return the fabric that a tested swatch describes.

    Args:
        summary: The tested swatch.
        name: Short name, as in the file name.
        title: What a maker would call the cloth; the name where empty.
        source: Who measured, and how.
        origin: ``measured``, unless the readings are published or invented.
        note: Free remark.
    """
    tested = {"method": "hand test"}
    for one in summary.directions:
        load = f", load {one.tension.mean:.1f} N/m" if one.tension else ", by hand"
        several = "" if one.stretch.n == 1 else "s"
        tested[one.name] = f"{one.stretch.n} repeat{several}{load}"
    for out in summary.outliers:
        state = "left out" if out.dropped else "kept"
        tested[f"outlier_{out.direction}_{out.repeat}"] = f"{out.figure}, {state}"
    return Fabric(
        name=name,
        title=title or name,
        origin=origin,
        source=source,
        across=_cloth(summary.across),
        along=_cloth(summary.along),
        note=note,
        tested=tested,
    )


def _cloth(summary: DirectionSummary | None) -> ClothDirection | None:
    if summary is None:
        return None
    return ClothDirection(
        stretch=_kept(summary.stretch),
        growth=_kept(summary.growth) if summary.growth else None,
        wet_growth=_kept(summary.wet_growth) if summary.wet_growth else None,
        recovery=_kept(summary.recovery) if summary.recovery else None,
        contraction=_kept(summary.contraction) if summary.contraction else None,
        rest_minutes=summary.rest_minutes,
    )


def _kept(figure: Estimate) -> Estimate:
    """Return a figure without digits that no ruler gave; a file stays readable."""
    sd = None if figure.sd is None else round(figure.sd, 5)
    return Estimate(round(figure.mean, 5), sd, figure.n)
