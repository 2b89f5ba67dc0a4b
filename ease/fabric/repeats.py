"""Lines through the readings of each repeat, and their mean with its spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.fabric.sweep_line import FEW, KNOTS

__all__ = ["Band", "Line", "band_of", "from_zero", "read_line", "to_zero"]

Floats = NDArray[np.float64]
SAME_STRAIN: Final = 1e-8  # no ruler tells two strains apart that are closer
Line = tuple[Floats, Floats]  # strains, rising, and tensions


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Tension of the repeats over strain: mean and extremes; arrays of one shape.

    Attributes:
        strain: Strains.
        mean: Mean tension, N/m.
        least: Least tension of any repeat, N/m.
        most: Most tension of any repeat, N/m.
    """

    strain: Floats
    mean: Floats
    least: Floats
    most: Floats


def from_zero(line: Line) -> Line:
    """Return a line that begins with the relaxed cloth."""
    x, y = line
    if x[0] > 1e-9:
        return np.concatenate(([0.0], x)), np.concatenate(([0.0], y))
    return x, np.concatenate(([0.0], y[1:]))


def to_zero(name: str, line: Line) -> tuple[Line, str]:
    """Return a line down to zero tension, and a note where it was carried on to it."""
    x, y = line
    if y[0] <= 0 or x.size < 2:
        return line, ""
    slope = (y[1] - y[0]) / (x[1] - x[0])
    zero = max(x[0] - y[0] / slope, 0.0) if slope > 0 else 0.0
    note = (
        f"{name}: stops at {y[0]:.1f} N/m; carried on straight to zero at "
        f"{100 * zero:.1f} %"
    )
    if zero >= x[0] - 1e-9:
        return (x, np.concatenate(([0.0], y[1:]))), note
    return (np.concatenate(([zero], x)), np.concatenate(([0.0], y))), note


def read_line(line: Line, strain: Floats) -> Floats:
    """Return the tension of a line at strains; 0 before it begins."""
    x, y = line
    return np.asarray(np.interp(strain, x, y, left=0.0))


def band_of(
    lines: list[Line], *, lowest: float | None = None, top: float | None = None
) -> Band:
    """Return mean and extremes of lines at all their strains, where all reach."""
    reach = min(float(x[-1]) for x, _ in lines)
    top = reach if top is None else min(top, reach)
    knots = np.unique(np.concatenate([x for x, _ in lines] + [np.array([top])]))
    knots = knots[knots <= top]
    # Two repeats of other gauges may reach one strain but for its last digits.
    knots = knots[np.append(np.diff(knots) > SAME_STRAIN, True)]
    if knots.size > FEW:
        carrying = min(float(x[np.flatnonzero(y <= 0)[-1]]) for x, y in lines)
        knots = np.linspace(carrying, top, KNOTS)
        if lowest is not None and carrying > lowest:
            knots = np.concatenate(([lowest], knots))
    each = np.array([read_line(line, knots) for line in lines])
    return Band(knots, each.mean(axis=0), each.min(axis=0), each.max(axis=0))
