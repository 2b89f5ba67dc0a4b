"""A load test: repeats to one tension curve each way, with its spread.

The curve is the monotone cubic through the mean tension of the repeats at all their
strains, each repeat read off along straight lines, as far as every repeat reaches.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ease.errors import Problem, ReadingError, RefusedError
from ease.fabric.counted import counted, joined
from ease.fabric.profile import DIRECTIONS, DirectionName, Estimate, Fabric, Origin
from ease.fabric.repeats import Band, Line, band_of, from_zero, read_line, to_zero
from ease.fabric.statistics import estimate
from ease.fabric.sweep import Hold, Sweep
from ease.fabric.sweep_line import fall, line_of, never_falling
from ease.fabric.tension import Branch, TensionCurve

__all__ = ["POWER_AT", "Band", "LoadResult", "LoadTest", "add_tension", "load_result"]


POWER_AT: Final = (0.20, 0.40, 0.60)
# First slope of the curve, N/m per unit strain, beyond which a unit was likely mistaken.
# Own choice, wide about a stretch knit of 15 gf/cm at 20 % (74) and a stretch woven of
# 360 gf/cm at 12 % (2,900). Source keys: kes-knit, astm-d3107
LEAST_MODULUS: Final = 20.0
MOST_MODULUS: Final = 5000.0
MOST_GAINED: Final = 0.05  # of the work, by the ruler's noise; own choice


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadResult:
    """What a load test gave in one direction.

    Attributes:
        direction: Cloth direction that was pulled.
        curve: Tension of the last whole cycle, mean of the repeats.
        loading: Spread between the repeats as the load rises.
        unloading: The same as it falls; None where no repeat was unloaded.
        first: Loading of the first cycle, where there were several; else None.
        loops: Curve of each repeat that was unloaded, over its own whole range.
        points: The sweeps that were counted, as read.
        cycles: Cycles of each repeat.
        hold: Last stay at the top; None where it was not timed.
        notes: What should be said about the readings.
    """

    direction: DirectionName
    curve: TensionCurve
    loading: Band
    unloading: Band | None
    first: Branch | None
    loops: tuple[TensionCurve, ...]
    points: tuple[Sweep, ...]
    cycles: int
    hold: Hold | None
    notes: tuple[str, ...]

    @property
    def repeats(self) -> int:
        """Number of repeats."""
        return len({sweep.repeat for sweep in self.points})

    @property
    def energy_lost(self) -> float | None:
        """Share of the work that does not come back; None if untested.

        Mean of the repeats, each over its whole loop: repeats under one weight turn at
        unlike lengths, and cut at one of these a loop is none any more.
        """
        lost = [one.energy_lost for one in self.loops]
        found = [share for share in lost if share is not None]
        return float(np.mean(found)) if found else None

    @property
    def set_strain(self) -> float | None:
        """Strain at which the cloth went slack, mean of the repeats; None if untested."""
        found = [one.set_strain for one in self.loops if one.set_strain is not None]
        return float(np.mean(found)) if found else None

    def power(self, strain: float) -> Estimate | None:
        """Return the tension at a strain under loading, N/m; None past the test.

        The mean is the curve's, the standard deviation that of the repeats.
        """
        mean = self.curve.power_at(strain)
        if mean is None:
            return None
        ups = (sweep for sweep in self.points if sweep.branch == "loading")
        lines = [from_zero(line_of(sweep)[:2]) for sweep in ups]
        each = np.array([read_line(line, np.asarray(strain)) for line in lines])
        return Estimate(mean, estimate(each).sd, each.size)

    @property
    def scale(self) -> Estimate | None:
        """Work of each repeat over their mean work; None for one repeat."""
        if self.repeats < 2:
            return None
        top = self.curve.last_strain
        work = []
        for sweep in self.points:
            if sweep.branch == "loading":
                line = from_zero(line_of(sweep)[:2])
                knots = np.unique(np.append(line[0][line[0] < top], top))
                work.append(float(np.trapezoid(read_line(line, knots), knots)))
        each = np.array(work) / np.mean(work)
        return Estimate(1.0, estimate(each).sd, each.size)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadTest:
    """A load test in one or both directions.

    Attributes:
        source: The file's name.
        understood: What was understood of the file, for the user to check.
        across: Pulled across.
        along: Pulled along.
        notes: What should be said about how the file was read.
        origin: ``measured``, unless the file says otherwise.
    """

    source: str
    understood: str
    across: LoadResult | None = None
    along: LoadResult | None = None
    notes: tuple[str, ...] = ()
    origin: Origin = "measured"

    @property
    def results(self) -> tuple[LoadResult, ...]:
        """The directions that were tested."""
        return tuple(one for one in (self.across, self.along) if one is not None)


def load_result(
    source: str,
    direction: DirectionName,
    sweeps: Sequence[Sweep],
    hold: Hold | None = None,
) -> LoadResult:
    """Return the result of all sweeps in one direction.

    Args:
        source: The file's name, for messages.
        direction: Cloth direction.
        sweeps: Loading and unloading of every repeat and cycle.
        hold: Last stay at the top.

    Raises:
        ReadingError: If a sweep falls beyond noise, or carries no tension.
    """
    problems = [found for sweep in sweeps if (found := fall(sweep)) is not None]
    if problems:
        raise ReadingError(source, problems)
    ups, downs, notes = counted(sweeps)
    lines = {sweep.repeat: from_zero(line_of(sweep)[:2]) for sweep in ups}
    back: dict[int, Line] = {}
    for sweep, line in joined(ups, downs):
        back[sweep.repeat], note = to_zero(sweep.name, line)
        notes += [note] if note else []
    try:
        curve, up_band, down_band = _curve(list(lines.values()), list(back.values()))
        loops = tuple(_curve([lines[one]], [back[one]])[0] for one in back)
    except RefusedError as error:
        what = f"{direction}: {error}"
        if "carries tension" in what:
            most = max(float(np.max(sweep.tension)) for sweep in sweeps)
            what += (
                f"; the readings reach {most:.2g} N/m only: is the unit of load right?"
            )
        raise ReadingError(source, what) from None
    if gained := _gained(direction, dict(zip(back, loops, strict=True))):
        raise ReadingError(source, gained)
    notes += _odd_power(direction, curve)
    first = [s for s in sweeps if s.branch == "loading" and s.cycle == 1]
    cycles = max(sweep.cycle for sweep in sweeps)
    return LoadResult(
        direction=direction,
        curve=curve,
        loading=up_band,
        unloading=down_band,
        first=_branch(band_of([from_zero(line_of(s)[:2]) for s in first], lowest=0.0))
        if cycles > 1
        else None,
        loops=loops,
        points=(*ups, *downs),
        cycles=cycles,
        hold=hold,
        notes=tuple(notes),
    )


def _gained(direction: str, loops: Mapping[int, TensionCurve]) -> list[Problem]:
    """Return a fault for each repeat that gives back more work than was put in."""
    return [
        Problem(
            f"{direction} {repeat}",
            f"gives back {-100 * lost:.0f} % more work than was put in, which no cloth "
            "does: at one load the strip is shorter coming off than going on; were "
            "lengths written one row off, or loading and unloading mixed up?",
        )
        for repeat, loop in loops.items()
        if (lost := loop.energy_lost) is not None and lost < -MOST_GAINED
    ]


def _odd_power(direction: str, curve: TensionCurve) -> list[str]:
    """Ask for the unit where the curve begins flatter or steeper than knits do."""
    strain = min(0.1, curve.last_strain)
    tension = float(curve.loading.tension_at(strain))
    if LEAST_MODULUS <= tension / strain <= MOST_MODULUS:
        return []
    return [
        f"{direction}: {100 * strain:.0f} % of stretch takes {tension:.3g} N/m, where "
        f"knits take about {strain * LEAST_MODULUS:.3g} to {strain * MOST_MODULUS:.3g}: "
        "is the unit of load right, and the width of the strip?"
    ]


def _curve(
    ups: list[Line], downs: list[Line]
) -> tuple[TensionCurve, Band, Band | None]:
    """Return the mean curve of lines up and down, with their spread."""
    up_band = band_of(ups, lowest=0.0)
    up = _branch(up_band)
    if not downs:
        return TensionCurve(up), up_band, None
    down_band = band_of(downs, top=up.last_strain)
    return TensionCurve(up, _branch(down_band, up.last_tension)), up_band, down_band


def _branch(band: Band, most: float = np.inf) -> Branch:
    tension = never_falling(np.minimum(band.mean, most))
    return Branch.through(band.strain, tension)


def add_tension(fabric: Fabric, test: LoadTest) -> Fabric:
    """Return the fabric with the curves of a load test in it.

    Raises:
        RefusedError: If the fabric has no hand test in a direction that was loaded.
    """
    for name in DIRECTIONS:
        result = test.across if name == "across" else test.along
        if result is None:
            continue
        cloth = fabric.direction(name)
        if cloth is None:
            message = f"fabric {fabric.name} has no hand test {name}"
            hint = f"measure stretch and growth {name} first, with `ease swatch`"
            raise RefusedError(message, hint=hint)
        cloth = replace(cloth, tension=result.curve, tension_scale=result.scale)
        several = "" if result.repeats == 1 else "s"
        said = f"{result.repeats} repeat{several}, {test.understood}"
        tested = fabric.tested | {f"load_{name}": said}
        if name == "across":
            fabric = replace(fabric, across=cloth, tested=tested)
        else:
            fabric = replace(fabric, along=cloth, tested=tested)
    # An invented curve must not pass as measured because the rest of the fabric is.
    origin = fabric.origin if test.origin == "measured" else test.origin
    return replace(fabric, origin=origin)
