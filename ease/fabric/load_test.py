"""A load test: repeats to one tension curve each way, with its spread.

The curve is the monotone cubic through the mean tension of the repeats at all their
strains, each repeat read off along straight lines, as far as every repeat reaches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import ReadingError, RefusedError
from ease.fabric.profile import DIRECTIONS, DirectionName, Estimate, Fabric
from ease.fabric.statistics import estimate
from ease.fabric.sweep import (
    ARRIVED,
    BACK,
    FEW,
    KNOTS,
    Hold,
    Sweep,
    fall,
    line_of,
    never_falling,
)
from ease.fabric.tension import Branch, TensionCurve

__all__ = ["POWER_AT", "Band", "LoadResult", "LoadTest", "add_tension", "load_result"]

Floats = NDArray[np.float64]
Line = tuple[Floats, Floats]

POWER_AT: Final = (0.20, 0.40, 0.60)


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Tension of the repeats over strain: mean and spread; arrays of one shape.

    Attributes:
        strain: Strains.
        mean: Mean tension, N/m.
        least: Least tension of any repeat, N/m.
        most: Most tension of any repeat, N/m.
        sd: Standard deviation between the repeats, N/m; NaN for one repeat.
    """

    strain: Floats
    mean: Floats
    least: Floats
    most: Floats
    sd: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadResult:
    """What a load test gave in one direction.

    Attributes:
        direction: Cloth direction that was pulled.
        curve: Tension of the last whole cycle, mean of the repeats.
        up: Spread between the repeats, going up.
        down: The same coming down; None where no repeat came down.
        first: Going up in the first cycle, where there were several; else None.
        points: The sweeps that were counted, as read.
        cycles: Cycles of each repeat.
        hold: Last stay at the top; None where it was not timed.
        notes: What should be said about the readings.
    """

    direction: DirectionName
    curve: TensionCurve
    up: Band
    down: Band | None
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
        """Return the tension at a strain going up, N/m; None past the test.

        The mean is the curve's, the standard deviation that of the repeats.
        """
        mean = self.curve.power_at(strain)
        if mean is None:
            return None
        lines = [line_of(s)[:2] for s in self.points if s.branch == "up"]
        each = np.array([_read(line, np.asarray(strain)) for line in lines])
        return Estimate(mean, estimate(each).sd, each.size)

    @property
    def energy_lost(self) -> float | None:
        """Share of the work that does not come back; None if it did not come down."""
        return self.curve.energy_lost


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadTest:
    """A load test in one or both directions.

    Attributes:
        source: The file's name.
        understood: What was understood of the file, for the user to check.
        across: Pulled across.
        along: Pulled along.
        notes: What should be said about how the file was read.
    """

    source: str
    understood: str
    across: LoadResult | None = None
    along: LoadResult | None = None
    notes: tuple[str, ...] = ()

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
        sweeps: Ways up and down of every repeat and cycle.
        hold: Last stay at the top.

    Raises:
        ReadingError: If a sweep falls beyond noise, or carries no tension.
    """
    problems = [found for sweep in sweeps if (found := fall(sweep)) is not None]
    if problems:
        raise ReadingError(source, problems)
    ups, downs, notes = _counted(sweeps)
    lines = [_from_zero(line_of(sweep)[:2]) for sweep in ups]
    try:
        up_band = _band(lines, lowest=0.0)
        up = _branch(up_band)
        down_band = down = None
        if downs:
            back = [_to_zero(one, notes) for one in _joined(ups, downs)]
            top = up.last_strain
            down_band = _band(back, top=top)
            down = _branch(down_band, up.last_tension)
        curve = TensionCurve(up, down)
    except RefusedError as error:
        raise ReadingError(source, f"{direction}: {error}") from None
    first = [s for s in sweeps if s.branch == "up" and s.cycle == 1]
    cycles = max(sweep.cycle for sweep in sweeps)
    return LoadResult(
        direction=direction,
        curve=curve,
        up=up_band,
        down=down_band,
        first=_branch(_band([_from_zero(line_of(s)[:2]) for s in first], lowest=0.0))
        if cycles > 1
        else None,
        points=(*ups, *downs),
        cycles=cycles,
        hold=hold,
        notes=tuple(notes),
    )


def _counted(sweeps: Sequence[Sweep]) -> tuple[list[Sweep], list[Sweep], list[str]]:
    """Return the ways up and down of the last whole cycle of each repeat."""
    ups: list[Sweep] = []
    downs: list[Sweep] = []
    notes: list[str] = []
    for repeat in sorted({sweep.repeat for sweep in sweeps}):
        up = {s.cycle: s for s in sweeps if s.repeat == repeat and s.branch == "up"}
        down = {s.cycle: s for s in sweeps if s.repeat == repeat and s.branch == "down"}
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
                f"{up[counts].direction} {repeat}: coming down stops under load far from "
                "zero and is left out"
            )
    if downs and len(downs) < len(ups):
        notes.append(f"only {len(downs)} of {len(ups)} repeats came down")
    return ups, downs, notes


def _joined(ups: list[Sweep], downs: list[Sweep]) -> list[tuple[Sweep, Line]]:
    """Return the ways down as lines; each begins at the top of its own way up."""
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


def _from_zero(line: Line) -> Line:
    """Return a line that begins with the relaxed cloth."""
    x, y = line
    if x[0] > 1e-9:
        return np.concatenate(([0.0], x)), np.concatenate(([0.0], y))
    return x, np.concatenate(([0.0], y[1:]))


def _to_zero(way: tuple[Sweep, Line], notes: list[str]) -> Line:
    """Return a line down to zero tension, straight on where it stopped before."""
    sweep, (x, y) = way
    if y[0] <= 0 or x.size < 2:
        return x, y
    slope = (y[1] - y[0]) / (x[1] - x[0])
    zero = max(x[0] - y[0] / slope, 0.0) if slope > 0 else 0.0
    notes.append(
        f"{sweep.name}: stops at {y[0]:.1f} N/m; carried on straight to zero at "
        f"{100 * zero:.1f} %"
    )
    if zero >= x[0] - 1e-9:
        return x, np.concatenate(([0.0], y[1:]))
    return np.concatenate(([zero], x)), np.concatenate(([0.0], y))


def _read(line: Line, strain: Floats) -> Floats:
    x, y = line
    return np.asarray(np.interp(strain, x, y, left=0.0))


def _band(
    lines: list[Line], *, lowest: float | None = None, top: float | None = None
) -> Band:
    """Return mean and spread of lines at all their strains, where all reach."""
    reach = min(float(x[-1]) for x, _ in lines)
    top = reach if top is None else min(top, reach)
    knots = np.unique(np.concatenate([x for x, _ in lines] + [np.array([top])]))
    knots = knots[knots <= top]
    if knots.size > FEW:
        carrying = min(float(x[np.flatnonzero(y <= 0)[-1]]) for x, y in lines)
        knots = np.linspace(carrying, top, KNOTS)
        if lowest is not None and carrying > lowest:
            knots = np.concatenate(([lowest], knots))
    each = np.array([_read(line, knots) for line in lines])
    sd = each.std(axis=0, ddof=1) if len(lines) > 1 else np.full(knots.size, np.nan)
    return Band(knots, each.mean(axis=0), each.min(axis=0), each.max(axis=0), sd)


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
        cloth = replace(cloth, tension=result.curve)
        if name == "across":
            fabric = replace(fabric, across=cloth)
        else:
            fabric = replace(fabric, along=cloth)
    return fabric
