"""Join what a tester wrote of one repeat in two tables: loading, unloading, a rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from ease.errors import Problem
from ease.fabric.sweep import Series
from ease.fabric.tester_grid import LEAST_ROWS

__all__ = ["joined_ways", "squeezed"]

LEAST_STRAIN: Final = -0.5  # a slack strip reads short of its gauge, not by half
NEAR: Final = 0.1  # of the top strain: so near the end of one the other begins
ANEW: Final = 0.2  # of the top strain: a pull that begins lower begins anew; own choice


def joined_ways(series: Sequence[Series]) -> list[Series]:
    """Return repeats with each series joined to the one before that it goes on from.

    It begins where that one ends: it falls from there, as an unloading does, or a pull
    was parted by a blank line. What begins anew, rising from near no strain, is another
    repeat. Repeats are numbered anew.

    Args:
        series: In the order of the file.
    """
    joined: list[Series] = []
    for one in series:
        before = joined[-1] if joined else None
        if before is not None and _goes_on(before, one):
            joined[-1] = _together(before, one)
        else:
            joined.append(replace(one, repeat=len(joined) + 1))
    return joined


def squeezed(series: Sequence[Series]) -> list[Problem]:
    """Return a fault for each series with a row far below the gauge: its first such."""
    what = "the strip would be shorter than half its gauge"
    return [
        Problem(one.places[int(row)], what)
        for one in series
        for row in np.flatnonzero(one.strain < LEAST_STRAIN)[:1]
    ]


def _goes_on(before: Series, after: Series) -> bool:
    top = max(float(before.strain.max()), float(after.strain.max()))
    falls = after.strain[0] - after.strain[-1] > 0.5 * np.ptp(after.strain)
    near = abs(after.strain[0] - before.strain[-1]) < NEAR * top
    rises = before.strain[-1] == before.strain.max() < after.strain[0]
    anew = after.strain[0] < ANEW * top and not falls and not rises
    return bool(near and not (anew and after.strain.size >= LEAST_ROWS))


def _together(up: Series, down: Series) -> Series:
    minutes = None
    if up.minutes is not None and down.minutes is not None:
        start = up.minutes[-1] if down.minutes[0] < up.minutes[-1] else 0.0
        minutes = np.concatenate([up.minutes, down.minutes + start])
    return replace(
        up,
        strain=np.concatenate([up.strain, down.strain]),
        tension=np.concatenate([up.tension, down.tension]),
        places=(*up.places, *down.places),
        minutes=minutes,
    )
