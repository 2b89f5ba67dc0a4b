"""Lay a smooth chain of cubics through points."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError

__all__ = ["smooth_through"]

FloatArray = NDArray[np.float64]


def smooth_through(
    points: ArrayLike,
    start_tangent: ArrayLike | None = None,
    end_tangent: ArrayLike | None = None,
) -> FloatArray:
    """Lay a smooth chain through points.

    A cubic spline over the chord lengths: direction and curvature run on through every
    point. Tangents give the direction of travel at the ends, of any length; without
    one, the end is free to straighten out.

    Args:
        points: Points to pass, cm, shape (n, 2), n >= 2, no two neighbours equal.
        start_tangent: Direction (x, y) at the first point.
        end_tangent: Direction (x, y) at the last point.

    Returns:
        A chain, shape (n - 1, 4, 2).

    Raises:
        RefusedError: If there are fewer than two points, or two neighbours are equal.
    """
    p = np.asarray(points, dtype=float)
    if p.ndim != 2 or p.shape[1:] != (2,) or len(p) < 2:
        message = "a smooth curve needs two points (x, y) or more"
        raise RefusedError(message)
    step = np.diff(p, axis=0)
    h = np.hypot(step[:, 0], step[:, 1])
    if not (np.isfinite(h).all() and (h > 0).all()):
        message = "a smooth curve cannot pass the same point twice in a row"
        raise RefusedError(message)
    n = len(p)
    matrix, right = np.zeros((n, n)), np.zeros((n, 2))
    for end, near, tangent in ((0, 1, start_tangent), (n - 1, n - 2, end_tangent)):
        if tangent is None:
            matrix[end, [end, near]] = 2.0, 1.0
            right[end] = 3 * step[min(end, near)] / h[min(end, near)]
        else:
            direction = np.asarray(tangent, dtype=float)
            matrix[end, end] = 1.0
            right[end] = direction / np.hypot(*direction)
    inner = np.arange(1, n - 1)
    matrix[inner, inner - 1] = h[1:]
    matrix[inner, inner] = 2 * (h[:-1] + h[1:])
    matrix[inner, inner + 1] = h[:-1]
    slopes = step / h[:, None]
    right[1:-1] = 3 * (h[1:, None] * slopes[:-1] + h[:-1, None] * slopes[1:])
    speed = np.linalg.solve(matrix, right)
    reach = h[:, None] / 3
    return np.stack(
        [p[:-1], p[:-1] + reach * speed[:-1], p[1:] - reach * speed[1:], p[1:]], axis=1
    )
