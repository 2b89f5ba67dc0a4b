"""One pull of a strip, from raw points to its ways: gauge, first tension, cycles.

Strains are fractions of the gauge, tensions N/m of relaxed width of one layer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.fabric.profile import DirectionName

__all__ = [
    "BranchName",
    "Hold",
    "Series",
    "Sweep",
    "from_first_tension",
    "slack_level",
    "split_cycles",
]

Floats = NDArray[np.float64]
BranchName = Literal["loading", "unloading"]

PRETENSION: Final = 0.5  # N/m, of a knitted strip; source key: iso-20932-1
NOISE: Final = 0.005  # of the greatest tension: below it a load cell shows nothing
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
