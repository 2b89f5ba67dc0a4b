"""A sweep as a clean line: few points of many, where it falls, and never falling.

Strains are fractions of the gauge, tensions N/m of relaxed width of one layer.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import Problem
from ease.fabric.sweep import Sweep, slack_level

__all__ = ["FEW", "KNOTS", "fall", "line_of", "never_falling"]

Floats = NDArray[np.float64]

KNOTS: Final = 25  # knots kept of a tester's many points
FEW: Final = 40  # up to so many points every one is kept
FALL: Final = 0.02  # of the greatest tension: a larger fall is no noise; own choice


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
