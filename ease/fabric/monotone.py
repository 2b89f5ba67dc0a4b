"""Cubics between the knots of a curve that never falls: slopes, integral, inverse."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "cubic_integral",
    "curve_pieces",
    "knot_fault",
    "monotone_slopes",
    "solve_rising_cubic",
]

Floats = NDArray[np.float64]

LEAST_STEP = 1e-9  # strain between two knots
MOST_STRAIN = 100.0
MOST_STIFFNESS = 1e8  # N/m per unit strain
LEAST_TENSION, MOST_TENSION = 1e-6, 1e9  # N/m at the last knot


def cubic_integral(cubic: Floats, x: Floats) -> Floats:
    """Return the integral of cubics from 0 to x; ``cubic`` highest power first."""
    c3, c2, c1, c0 = cubic
    total: Floats = (((c3 / 4 * x + c2 / 3) * x + c1 / 2) * x + c0) * x
    return total


def curve_pieces(x: Floats, y: Floats, slope: Floats) -> Floats:
    """Return the curve piece by piece: slack before, the cubics, straight on after.

    Args:
        x: Knots, shape (n,).
        y: Values.
        slope: Slopes.

    Returns:
        Coefficients in (x - start), highest power first, and the starts; shape
        (5, n + 1). Past the last knot the last slope or secant goes on, the greater.
    """
    h = np.diff(x)
    secant = np.diff(y) / h
    d0, d1 = slope[:-1], slope[1:]
    inner = np.stack(
        [
            (d0 + d1 - 2 * secant) / h**2,
            (3 * secant - 2 * d0 - d1) / h,
            d0,
            y[:-1],
            x[:-1],
        ]
    )
    before = np.array([[0.0], [0.0], [0.0], [0.0], [x[0]]])
    onward = max(float(slope[-1]), float(secant[-1]))
    after = np.array([[0.0], [0.0], [onward], [y[-1]], [x[-1]]])
    return np.concatenate([before, inner, after], axis=1)


def solve_rising_cubic(cubic: Floats, width: Floats, target: Floats) -> Floats:
    """Return where rising cubics reach a target: Newton steps in a shrinking bracket.

    For ``Branch.strain_at``, the check of a curve by its way back.

    Args:
        cubic: Coefficients, highest power first; shape (4, ...).
        width: Each cubic rises on [0, width].
        target: A value each cubic takes there.
    """
    c3, c2, c1, c0 = cubic
    low, high = np.zeros_like(target), width + np.zeros_like(target)
    x = np.where(target <= c0, 0.0, 0.5 * high)
    for _ in range(120):
        miss = ((c3 * x + c2) * x + c1) * x + c0 - target
        low, high = np.where(miss < 0, x, low), np.where(miss >= 0, x, high)
        slope = (3 * c3 * x + 2 * c2) * x + c1
        step = np.divide(miss, slope, out=np.full_like(x, np.inf), where=slope > 0)
        fresh = x - step
        fresh = np.where((fresh > low) & (fresh < high), fresh, 0.5 * (low + high))
        fresh = np.where(miss == 0, x, fresh)
        moved = np.max(np.abs(fresh - x) / width, initial=0.0)
        x = fresh
        if moved < 1e-15:
            break
    return x


def knot_fault(x: Floats, y: Floats, slope: Floats) -> str:
    """Return what is wrong with the knots of a rising curve, or an empty text."""
    if not (x.ndim == 1 and x.shape == y.shape == slope.shape):
        return "strain, tension and slope must be lists of the same length"
    if x.size < 2:
        return "at least two points are needed"
    if not all(np.isfinite(column).all() for column in (x, y, slope)):
        return "every number must be finite"
    if x[0] < 0:
        return f"strain must be 0 or more, not {x[0]:.4g}"
    if x[-1] > MOST_STRAIN or y.max() > MOST_TENSION:
        return f"no cloth bears {y.max():.4g} N/m at a strain of {x[-1]:.4g}"
    if (np.diff(x) < LEAST_STEP).any():
        i = int(np.flatnonzero(np.diff(x) < LEAST_STEP)[0])
        return f"strain must rise, but {x[i + 1]:.4g} follows {x[i]:.4g}"
    if y[0] != 0:
        return f"tension must start at 0, not {y[0]:.4g} N/m"
    if (np.diff(y) < 0).any():
        i = int(np.flatnonzero(np.diff(y) < 0)[0])
        return f"tension must not fall, but {y[i + 1]:.4g} follows {y[i]:.4g} N/m"
    if y[-1] < LEAST_TENSION:
        return "no point carries tension"
    return _slopeknot_fault(x, y, slope)


def _slopeknot_fault(x: Floats, y: Floats, slope: Floats) -> str:
    """Return whether slopes would let the cubic between two knots fall.

    Slopes of at most three times the secant keep a cubic monotone.

    Source key: fritsch-carlson-1980
    """
    secant = np.diff(y) / np.diff(x)
    if secant.max() > MOST_STIFFNESS:
        return f"no cloth takes {secant.max():.4g} N/m more for each unit of strain"
    most = 3 * secant + 1e-3 * secant.max()  # a file rounds its slopes
    steep = (slope[:-1] > most) | (slope[1:] > most)
    if (slope < 0).any() or steep.any():
        return "the slopes would make the curve fall between two points"
    return ""


def monotone_slopes(x: Floats, y: Floats) -> Floats:
    """Return PCHIP slopes: weighted harmonic means inside, three points at the ends.

    Args:
        x: Rising, shape (n,), n at least 2.
        y: Never falling, shape (n,).

    Source key: fritsch-butland-1984
    """
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    if x.size == 2:
        return np.repeat(d, 2)
    w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    # One flat neighbour makes the slope flat: data never fall, so no signs to compare.
    even = d <= 1e-12 * d.max()
    flat = even[:-1] | even[1:]
    left, right = np.where(flat, 1.0, d[:-1]), np.where(flat, 1.0, d[1:])
    inner = np.where(flat, 0.0, (w1 + w2) / (w1 / left + w2 / right))
    ends = _end_slope(h[0], h[1], d[0], d[1]), _end_slope(h[-1], h[-2], d[-1], d[-2])
    return np.concatenate(([ends[0]], inner, [ends[1]]))


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    return min(max(float(slope), 0.0), 3 * float(d0))
