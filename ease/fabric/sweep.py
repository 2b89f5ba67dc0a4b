"""One pull of a strip, from raw points to a clean line: gauge, cycles, knots, falls.

Strains are fractions of the gauge, tensions N/m of relaxed width of one layer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.errors import Problem
from ease.fabric.profile import DirectionName

__all__ = [
    "FEW",
    "KNOTS",
    "BranchName",
    "Hold",
    "Series",
    "Sweep",
    "fall",
    "from_first_tension",
    "line_of",
    "never_falling",
    "split_cycles",
]

Floats = NDArray[np.float64]
BranchName = Literal["loading", "unloading"]

KNOTS: Final = 25  # knots kept of a tester's many points
FEW: Final = 40  # up to so many points every one is kept
PRETENSION: Final = 0.5  # N/m, of a knitted strip; source key: iso-20932-1
NOISE: Final = 0.005  # of the greatest tension: below it a load cell shows nothing
FALL: Final = 0.02  # of the greatest tension: a larger fall is no noise; own choice
TURN: Final = 0.05  # of the range of strain: a smaller reversal is no turn
ARRIVED: Final = 0.002  # of the range of strain: so near the peak counts as the peak
BACK: Final = 0.2  # of the top tension: a cycle that does not come below is not whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """All points of one repeat in the order in which they were read.

    Attributes:
        direction: Cloth direction that was pulled.
        repeat: Number of the repeat.
        strain: Strain from the stated gauge; shape (n,).
        tension: Tension, N/m; shape (n,).
        places: Where each point stands in the file.
        minutes: Time of each point; None where it was not kept.
    """

    direction: DirectionName
    repeat: int
    strain: Floats
    tension: Floats
    places: tuple[str, ...]
    minutes: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """One way of one cycle, strain rising.

    Attributes:
        direction: Cloth direction that was pulled.
        repeat: Number of the repeat.
        cycle: Number of the cycle.
        branch: Whether the strip was being pulled or let back.
        strain: Strain from the gauge at first tension; shape (n,).
        tension: Tension, N/m; shape (n,).
        places: Where each point stands in the file.
    """

    direction: DirectionName
    repeat: int
    cycle: int
    branch: BranchName
    strain: Floats
    tension: Floats
    places: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the sweep is called in messages."""
        return f"{self.direction} {self.repeat}, {self.branch}"


@dataclass(frozen=True, slots=True)
class Hold:
    """A stay at the turning point: how long, and the share of the tension lost."""

    minutes: float
    decay: float


def slack_level(tension: Floats) -> float:
    """Return the tension up to which a strip counts as slack, N/m."""
    return max(PRETENSION, NOISE * float(np.max(tension, initial=0.0)))


def from_first_tension(series: Series) -> tuple[Series, str]:
    """Move the gauge to the length at first tension; say what was moved.

    A load cell that shows a steady load while the strip is still slack is zeroed. Rows
    before the last slack one are left out. A point that carries load at the gauge
    itself is a preload: its length is the gauge, so it stands for the relaxed cloth.
    """
    strain, tension, notes = series.strain, series.tension, []
    offset = _zero_offset(strain, tension)
    if offset:
        tension = tension - offset
        notes.append(f"load zeroed by {offset:.2g} N/m")
    slack = tension <= slack_level(tension)
    lead = int(np.argmin(slack)) if not slack.all() else 0
    first = max(lead - 1, 0)
    start = float(strain[first])
    if lead:
        if start > 1e-4:
            notes.append(f"slack of {100 * start:.1f} % of the gauge taken off")
        strain = (1 + strain) / (1 + start) - 1
        tension = np.where(np.arange(tension.size) == first, 0.0, tension)
    elif abs(start) < 1e-4 and tension.size:
        notes.append(f"preload of {tension[0]:.2g} N/m at the gauge")
        tension = np.concatenate(([0.0], tension[1:]))
    keep = slice(first, None)
    times = None if series.minutes is None else series.minutes[keep]
    moved = replace(
        series,
        strain=strain[keep],
        tension=np.maximum(tension[keep], 0.0),
        places=series.places[keep],
        minutes=times,
    )
    label = f"{series.direction} {series.repeat}"
    return moved, f"{label}: {', '.join(notes)}" if notes else ""


def _zero_offset(strain: Floats, tension: Floats) -> float:
    """Return the steady tension that a slack strip shows; 0 where there is none."""
    if tension.size < 8:
        return 0.0
    level = slack_level(tension - tension.min())
    base = float(np.median(tension[:3]))
    away = np.abs(tension - base) > level
    lead = int(np.argmax(away)) if away.any() else 0
    flat = lead >= 4 and strain[lead - 1] - strain[0] > 0.002
    return base if flat and abs(base) > level else 0.0


def split_cycles(series: Series) -> tuple[list[Sweep], Hold | None]:
    """Return the loading and unloading of every cycle, and the last stay at the top."""
    turns = _turns(series.strain)
    sweeps: list[Sweep] = []
    hold: Hold | None = None
    cycle = 0
    span = float(np.ptp(series.strain)) * ARRIVED
    for start, end in pairwise(turns):
        part = series.strain[start : end + 1]
        if part[-1] > part[0]:
            cycle += 1
            last = start + int(np.argmax(part >= part[-1] - span))
            sweeps.append(_sweep(series, cycle, "loading", start, max(last, start + 1)))
        elif cycle:
            near = np.flatnonzero(part >= part[0] - span)
            first = start + int(near[-1])
            hold = _hold(series, sweeps[-1], first) or hold
            sweeps.append(_sweep(series, cycle, "unloading", first, end))
    return sweeps, hold


def _turns(strain: Floats) -> list[int]:
    """Return the places of the turning points, with the first and the last point."""
    need = TURN * float(np.ptp(strain))
    turns, best, rising = [0], 0, True
    for i in range(1, strain.size):
        ahead = strain[i] - strain[best] if rising else strain[best] - strain[i]
        if ahead > 0:
            best = i
        elif -ahead > need:
            if best > turns[-1]:
                turns.append(best)
            best, rising = i, not rising
    if best > turns[-1]:
        turns.append(best)
    return turns


def _sweep(
    series: Series, cycle: int, branch: BranchName, start: int, end: int
) -> Sweep:
    rows = np.arange(start, end + 1)
    order = rows[np.argsort(series.strain[rows], kind="stable")]
    return Sweep(
        direction=series.direction,
        repeat=series.repeat,
        cycle=cycle,
        branch=branch,
        strain=series.strain[order],
        tension=series.tension[order],
        places=tuple(series.places[i] for i in order),
    )


def _hold(series: Series, up: Sweep, end: int) -> Hold | None:
    """Return the loss of tension while the strip was held at the top."""
    if series.minutes is None:
        return None
    top, left = float(up.tension[-1]), float(series.tension[end])
    arrived = series.places.index(up.places[-1])
    minutes = float(series.minutes[end] - series.minutes[arrived])
    if minutes < 0.1 or top <= 0:
        return None
    return Hold(minutes, 1 - left / top)


def line_of(sweep: Sweep) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Return few points that stand for a sweep, from where it begins to carry load.

    Few readings are kept as they are, equal strains as their mean. Of many, straight
    lines fitted over short spans are read at evenly spaced strains.
    """
    y, slack = _zeroed(sweep.tension)
    begin = int(slack[-1]) if slack.size else 0
    return _few(sweep.strain[begin:], y[begin:], sweep.places[begin:])


def _zeroed(tension: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """Return the tension with 0 where the strip is slack, and the places of these."""
    slack = np.flatnonzero(tension <= slack_level(tension))
    zeroed = tension.copy()
    zeroed[slack] = 0.0
    return zeroed, slack


def _few(
    x: Floats, y: Floats, places: tuple[str, ...]
) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Return few points for many, of strain, tension and place."""
    if x.size <= FEW:
        knots, first, inverse = np.unique(x, return_index=True, return_inverse=True)
        mean = np.bincount(inverse, weights=y) / np.bincount(inverse)
        return knots, mean, tuple(places[i] for i in first)
    knots = np.linspace(x[0], x[-1], KNOTS)
    half = 0.5 * (knots[1] - knots[0])
    fitted = np.interp(knots, *_distinct(x, y))
    for i, knot in enumerate(knots):
        near = np.abs(x - knot) <= half
        if near.sum() >= 4 and np.ptp(x[near]) > half / 2:
            fitted[i] = np.polynomial.polynomial.polyfit(x[near] - knot, y[near], 1)[0]
    if y[0] == 0:
        fitted[0] = 0.0
    at = np.clip(np.searchsorted(x, knots), 0, x.size - 1)
    return knots, np.maximum(fitted, 0.0), tuple(places[i] for i in at)


def _distinct(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    knots, inverse = np.unique(x, return_inverse=True)
    return knots, np.bincount(inverse, weights=y) / np.bincount(inverse)


def fall(sweep: Sweep) -> Problem | None:
    """Return the fault of a sweep whose tension falls beyond noise, with its rows.

    All rows are looked at: a slack strip longer than a loaded one is a fall too, where
    `line_of` would begin behind the loaded rows.
    """
    x, y, places = _few(sweep.strain, _zeroed(sweep.tension)[0], sweep.places)
    highest = np.maximum.accumulate(y)
    low = np.flatnonzero(highest - y > FALL * y.max(initial=0.0))
    if not low.size:
        return None
    i = int(low[0])
    before = int(np.argmax(y[:i]))
    what = (
        f"tension falls from {y[before]:.1f} to {y[i]:.1f} N/m while strain grows from "
        f"{100 * x[before]:.1f} to {100 * x[i]:.1f} %: the strip slipped or broke, or a "
        "reading is wrong"
    )
    last = places[i].removeprefix("line ")
    return Problem(f"{places[before]} to {last} ({sweep.name})", what)


def never_falling(values: Floats) -> Floats:
    """Return the nearest values, by least squares, that never fall.

    Neighbours that fall are replaced by their mean until none do.

    Examples:
        >>> never_falling(np.array([0.0, 3.0, 1.0, 4.0])).tolist()
        [0.0, 2.0, 2.0, 4.0]
    """
    blocks: list[tuple[float, int]] = []
    for value in values:
        mean, count = float(value), 1
        while blocks and blocks[-1][0] > mean:
            other, more = blocks.pop()
            mean, count = (mean * count + other * more) / (count + more), count + more
        blocks.append((mean, count))
    return np.repeat([mean for mean, _ in blocks], [count for _, count in blocks])
