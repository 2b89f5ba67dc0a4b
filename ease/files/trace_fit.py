"""Few smooth cubics through points read off a paper block, by least squares."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import derivative, evaluate
from ease.block.smooth import smooth_through
from ease.errors import RefusedError

__all__ = ["fit_curve"]

FloatArray = NDArray[np.float64]
Tangents = tuple[FloatArray | None, FloatArray | None]
_ROUNDS: Final = 20
_MOST_CUBICS: Final = 40
_ENOUGH_INSIDE: Final = 3  # points between the ends before handles are left free


def fit_curve(
    points: FloatArray,
    start_tangent: FloatArray | None = None,
    end_tangent: FloatArray | None = None,
    *,
    tolerance_cm: float,
) -> tuple[FloatArray, float]:
    """Lay as few cubics as will do along points, ends exactly on the first and last.

    First one cubic is fitted to all points by least squares, its parameters drawn
    towards the nearest places on the curve. Where a point stays further off than the
    tolerance, a chain of two, three and more cubics is fitted in the same way, direction
    and curvature running on from one to the next; at last one through every point.

    Args:
        points: Points in walking order, cm, shape (n, 2), n >= 2.
        start_tangent: Direction at the first point, where it is known.
        end_tangent: Direction at the last point.
        tolerance_cm: Largest distance of a point from the curve.

    Returns:
        A chain, shape (k, 4, 2), and the largest distance of a point from it, cm.

    Raises:
        RefusedError: If two neighbouring points are equal.
    """
    tangents = start_tangent, end_tangent
    smooth = smooth_through(points, *tangents)
    if len(points) == 2:
        return smooth, 0.0
    cubic, gaps = _best_cubic(points, smooth, tangents)
    if gaps.max() <= tolerance_cm:
        return cubic[None], float(gaps.max())
    for count in range(2, min(len(points) - 1, _MOST_CUBICS)):
        legs, gaps = _best_chain(points, count, tangents)
        if gaps.max() <= tolerance_cm:
            return legs, float(gaps.max())
    return smooth, 0.0


def _best_chain(
    points: FloatArray, count: int, tangents: Tangents
) -> tuple[FloatArray, FloatArray]:
    """Return a chain of some cubics for all points, and how far off each point is."""
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    u = np.concatenate([[0.0], np.cumsum(step)])
    share = np.linspace(0.0, 1.0, count + 1)
    knots = np.interp(share, np.linspace(0.0, 1.0, len(points)), u)
    ends = points[[0, -1]]
    for _ in range(_ROUNDS):
        row = np.clip(np.searchsorted(knots, u, side="right") - 1, 0, count - 1)
        basis, fixed = _spline_basis(knots, u, row, tangents)
        rest = points - fixed - basis[:, [0, -1]] @ ends
        inner = np.linalg.lstsq(basis[:, 1:-1], rest, rcond=None)[0]
        at_knots = np.concatenate([ends[:1], inner, ends[1:]])
        legs = _spline_legs(knots, at_knots, tangents)
        h = np.diff(knots)[row]
        t = (u - knots[row]) / h
        gaps = np.linalg.norm(evaluate(legs[row], t) - points, axis=1)
        u = _nearest(legs[row], points, t) * h + knots[row]
        u[0], u[-1] = 0.0, knots[-1]
        u = np.maximum.accumulate(u)
    return legs, gaps


def _speeds(knots: FloatArray, tangents: Tangents) -> tuple[FloatArray, FloatArray]:
    """Return the speeds at the knots of a smooth spline.

    A matrix on the points at the knots, shape (k + 1, k + 1), and what given end
    tangents add, shape (k + 1, 2).
    """
    h, n = np.diff(knots), len(knots)
    left, right, added = np.zeros((n, n)), np.zeros((n, n)), np.zeros((n, 2))
    for end, near, leg, tangent in (
        (0, 1, 0, tangents[0]),
        (n - 1, n - 2, -1, tangents[1]),
    ):
        if tangent is None:
            left[end, [end, near]] = 2.0, 1.0
            first, last = (end, near) if end == 0 else (near, end)
            right[end, [first, last]] = -3 / h[leg], 3 / h[leg]
        else:
            left[end, end] = 1.0
            added[end] = _unit(tangent)
    i = np.arange(1, n - 1)
    before, after = h[:-1], h[1:]
    left[i, i - 1], left[i, i], left[i, i + 1] = after, 2 * (before + after), before
    right[i, i - 1] = -3 * after / before
    right[i, i + 1] = 3 * before / after
    right[i, i] = 3 * (after / before - before / after)
    return np.asarray(np.linalg.solve(left, right)), np.asarray(
        np.linalg.solve(left, added)
    )


def _spline_legs(knots: FloatArray, at: FloatArray, tangents: Tangents) -> FloatArray:
    matrix, added = _speeds(knots, tangents)
    reach = (np.diff(knots) / 3)[:, None]
    speed = matrix @ at + added
    return np.stack(
        [at[:-1], at[:-1] + reach * speed[:-1], at[1:] - reach * speed[1:], at[1:]],
        axis=1,
    )


def _spline_basis(
    knots: FloatArray, u: FloatArray, row: NDArray[np.intp], tangents: Tangents
) -> tuple[FloatArray, FloatArray]:
    """Return the weight of each knot's point at parameters u, and what is fixed."""
    matrix, added = _speeds(knots, tangents)
    h = np.diff(knots)[row]
    t = (u - knots[row]) / h
    s = 1 - t
    b0, b1, b2, b3 = s**3, 3 * s * s * t, 3 * s * t * t, t**3
    here, next_ = np.eye(len(knots))[row], np.eye(len(knots))[row + 1]
    pull = (b1 * h / 3)[:, None], (b2 * h / 3)[:, None]
    basis = (b0 + b1)[:, None] * here + (b2 + b3)[:, None] * next_
    basis = basis + pull[0] * matrix[row] - pull[1] * matrix[row + 1]
    return basis, pull[0] * added[row] - pull[1] * added[row + 1]


def _unit(vector: FloatArray) -> FloatArray:
    length = float(np.hypot(*vector))
    if length == 0:
        message = "a tangent has no direction"
        raise RefusedError(message)
    return np.asarray(vector / length)


def _best_cubic(
    points: FloatArray,
    smooth: FloatArray,
    tangents: Tangents,
) -> tuple[FloatArray, FloatArray]:
    """Return one cubic for all points, shape (4, 2), and how far off each point is."""
    start, end = tangents
    if len(points) - 2 < _ENOUGH_INSIDE:
        # Too few points to find directions from: take those of the smooth curve.
        start = smooth[0, 1] - smooth[0, 0] if start is None else start
        end = smooth[-1, 3] - smooth[-1, 2] if end is None else end
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    t = np.concatenate([[0.0], np.cumsum(step)]) / step.sum()
    for _ in range(_ROUNDS):
        cubic = _solve(points, t, start, end)
        # Points keep their order along the curve.
        t = np.maximum.accumulate(_nearest(cubic, points, t))
        t[0], t[-1] = 0.0, 1.0
    return cubic, np.linalg.norm(evaluate(cubic, t) - points, axis=1)


def _solve(
    points: FloatArray, t: FloatArray, start: FloatArray | None, end: FloatArray | None
) -> FloatArray:
    """Return the cubic that comes nearest to points at parameters t."""
    first, last = points[0], points[-1]
    s = 1 - t
    b0, b1, b2, b3 = s**3, 3 * s * s * t, 3 * s * t * t, t**3
    rest = points - b0[:, None] * first - b3[:, None] * last
    columns: list[FloatArray] = []
    for weight, anchor, tangent, sign in ((b1, first, start, 1), (b2, last, end, -1)):
        if tangent is None:
            columns += [
                np.stack([weight, 0 * t], axis=1),
                np.stack([0 * t, weight], axis=1),
            ]
        else:
            rest = rest - weight[:, None] * anchor
            columns.append(sign * weight[:, None] * _unit(tangent))
    matrix = np.stack([column.ravel() for column in columns], axis=1)
    found = list(np.linalg.lstsq(matrix, rest.ravel(), rcond=None)[0])
    least = 0.05 * float(np.hypot(*(last - first)))
    handles = []
    for anchor, tangent, sign in ((first, start, 1), (last, end, -1)):
        if tangent is None:
            handles.append(np.array([found.pop(0), found.pop(0)]))
        else:
            # A handle that points backwards would make a loop.
            handles.append(anchor + sign * max(found.pop(0), least) * _unit(tangent))
    return np.array([first, *handles, last])


def _nearest(cubic: FloatArray, points: FloatArray, t: FloatArray) -> FloatArray:
    """Move parameters towards the nearest places on the curve (one Gauss-Newton step).

    Args:
        cubic: One cubic, or one for each point.
        points: The points.
        t: Their parameters.
    """
    away = evaluate(cubic, t) - points
    slope = derivative(cubic, t)
    square = np.maximum(np.sum(slope * slope, axis=1), 1e-12)
    moved = np.clip(t - np.sum(away * slope, axis=1) / square, 0.0, 1.0)
    return np.asarray(moved)
