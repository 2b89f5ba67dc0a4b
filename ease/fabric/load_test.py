"""A load test: repeats to one tension curve each way, with its spread.

The curve is the monotone cubic through the mean tension of the repeats at all their
strains, each repeat read off along straight lines, as far as every repeat reaches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ease.errors import ReadingError, RefusedError
from ease.fabric.profile import DIRECTIONS, DirectionName, Estimate, Fabric, Origin
from ease.fabric.repeats import Band, Line, band_of, from_zero, read_line, to_zero
from ease.fabric.statistics import estimate
from ease.fabric.sweep import (
    ARRIVED,
    BACK,
    Hold,
    Sweep,
    fall,
    line_of,
    never_falling,
)
from ease.fabric.tension import Branch, TensionCurve

__all__ = ["POWER_AT", "Band", "LoadResult", "LoadTest", "add_tension", "load_result"]


POWER_AT: Final = (0.20, 0.40, 0.60)
# First slope of the curve, N/m per unit strain, beyond which a unit was likely mistaken.
# Own choice, wide about a stretch knit of 15 gf/cm at 20 % (74) and a stretch woven of
# 360 gf/cm at 12 % (2,900). Source keys: kes-knit, astm-d3107
LEAST_MODULUS: Final = 20.0
MOST_MODULUS: Final = 5000.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadResult:
    """What a load test gave in one direction.

    Attributes:
        direction: Cloth direction that was pulled.
        curve: Tension of the last whole cycle, mean of the repeats.
        loading: Spread between the repeats as the load rises.
        unloading: The same as it falls; None where no repeat was unloaded.
        first: Loading of the first cycle, where there were several; else None.
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
    points: tuple[Sweep, ...]
    cycles: int
    hold: Hold | None
    notes: tuple[str, ...]

    @property
    def repeats(self) -> int:
        """Number of repeats."""
        return len({sweep.repeat for sweep in self.points})

    def power(self, strain: float) -> Estimate | None:
        """Return the tension at a strain under loading, N/m; None past the test.

        The mean is the curve's, the standard deviation that of the repeats.
        """
        mean = self.curve.power_at(strain)
        if mean is None:
            return None
        lines = [line_of(s)[:2] for s in self.points if s.branch == "loading"]
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
    ups, downs, notes = _counted(sweeps)
    lines = [from_zero(line_of(sweep)[:2]) for sweep in ups]
    try:
        up_band = band_of(lines, lowest=0.0)
        up = _branch(up_band)
        down_band = down = None
        if downs:
            ends = [to_zero(sweep.name, line) for sweep, line in _joined(ups, downs)]
            notes += [note for _, note in ends if note]
            back = [line for line, _ in ends]
            top = up.last_strain
            down_band = band_of(back, top=top)
            down = _branch(down_band, up.last_tension)
        curve = TensionCurve(up, down)
    except RefusedError as error:
        what = f"{direction}: {error}"
        if "carries tension" in what:
            most = max(float(np.max(sweep.tension)) for sweep in sweeps)
            what += (
                f"; the readings reach {most:.2g} N/m only: is the unit of load right?"
            )
        raise ReadingError(source, what) from None
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
        points=(*ups, *downs),
        cycles=cycles,
        hold=hold,
        notes=tuple(notes),
    )


def _odd_power(direction: str, curve: TensionCurve) -> list[str]:
    """Ask for the unit where the curve begins flatter or steeper than knits do."""
    strain = min(0.1, curve.last_strain)
    tension = float(curve.loading.tension_at(strain))
    if LEAST_MODULUS <= tension / strain <= MOST_MODULUS:
        return []
    return [
        f"{direction}: {100 * strain:.0f} % of stretch takes {tension:.3g} N/m, where "
        f"knits take about {strain * LEAST_MODULUS:.2g} to {strain * MOST_MODULUS:.2g}: "
        "is the unit of load right, and the width of the strip?"
    ]


def _counted(sweeps: Sequence[Sweep]) -> tuple[list[Sweep], list[Sweep], list[str]]:
    """Return loading and unloading of the last whole cycle of each repeat."""
    ups: list[Sweep] = []
    downs: list[Sweep] = []
    notes: list[str] = []
    for repeat in sorted({sweep.repeat for sweep in sweeps}):
        mine = [sweep for sweep in sweeps if sweep.repeat == repeat]
        up = {sweep.cycle: sweep for sweep in mine if sweep.branch == "loading"}
        down = {sweep.cycle: sweep for sweep in mine if sweep.branch == "unloading"}
        if not up:
            continue
        whole = [
            cycle
            for cycle, way in down.items()
            if cycle in up and way.tension.min() <= BACK * up[cycle].tension.max()
        ]
        counts = max(whole) if whole else max(up)
        ups.append(up[counts])
        if whole:
            downs.append(down[counts])
        elif down:
            notes.append(
                f"{up[counts].direction} {repeat}: the unloading stops under load far from "
                "zero and is left out"
            )
    if downs and len(downs) < len(ups):
        notes.append(f"{len(downs)} of {len(ups)} repeats only were read unloading")
    return ups, downs, notes


def _joined(ups: list[Sweep], downs: list[Sweep]) -> list[tuple[Sweep, Line]]:
    """Return unloadings as lines; each begins at the top of its own loading."""
    lines: list[tuple[Sweep, Line]] = []
    tops = {sweep.repeat: sweep for sweep in ups}
    for sweep in downs:
        x, y, _ = line_of(sweep)
        top = tops[sweep.repeat]
        short = float(top.strain[-1] - x[-1])
        if abs(short) <= ARRIVED * top.strain[-1]:
            x = np.append(x[:-1], top.strain[-1])
        elif short > 0:
            x, y = np.append(x, top.strain[-1]), np.append(y, top.tension[-1])
        lines.append((sweep, (x, y)))
    return lines


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
