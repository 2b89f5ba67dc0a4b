"""Cubic Beziers on arrays of control points: value, length, bounds, area, chains.

Control points are cm, shape (..., 4, 2): four points (x, y) a cubic. Lines are cubics
with control points at their thirds. A chain is an array (k, 4, 2) in which each cubic
starts where the one before ended. Nothing here knows pieces or names.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "bounds",
    "derivative",
    "evaluate",
    "flatten",
    "reverse",
    "signed_area",
    "split",
    "turning_parameters",
]

FloatArray = NDArray[np.float64]

# Bernstein products integrated: x dy - y dx along one cubic, in twentieths.
_AREA: Final = np.array(
    [[0, 6, 3, 1], [-6, 0, 3, 3], [-3, -3, 0, 6], [-1, -3, -6, 0]], dtype=float
)


def evaluate(control: ArrayLike, t: ArrayLike) -> FloatArray:
    """Return points on cubics.

    Args:
        control: Control points, shape (..., 4, 2).
        t: Parameters from 0 to 1; their shape is broadcast against ``...``.

    Returns:
        Points, cm, shape (..., 2).

    Examples:
        >>> evaluate([[0, 0], [0, 4], [4, 4], [4, 0]], 0.5)
        array([2., 3.])
    """
    p = np.asarray(control, dtype=float)
    u = np.asarray(t, dtype=float)[..., None]
    v = 1.0 - u
    return np.asarray(
        v**3 * p[..., 0, :]
        + 3 * v**2 * u * p[..., 1, :]
        + 3 * v * u**2 * p[..., 2, :]
        + u**3 * p[..., 3, :]
    )


def derivative(control: ArrayLike, t: ArrayLike) -> FloatArray:
    """Return the first derivative by the parameter, shape (..., 2); see `evaluate`."""
    p = 3 * np.diff(np.asarray(control, dtype=float), axis=-2)
    u = np.asarray(t, dtype=float)[..., None]
    v = 1.0 - u
    return np.asarray(
        v**2 * p[..., 0, :] + 2 * v * u * p[..., 1, :] + u**2 * p[..., 2, :]
    )


def split(control: ArrayLike, t: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Cut cubics in two at ``t`` (de Casteljau); both parts have shape (..., 4, 2)."""
    p = np.asarray(control, dtype=float)
    u = np.asarray(t, dtype=float)[..., None, None]
    rows = [
        np.broadcast_to(p, (*np.broadcast_shapes(p.shape[:-2], u.shape[:-2]), 4, 2))
    ]
    for _ in range(3):
        last = rows[-1]
        rows.append((1 - u) * last[..., :-1, :] + u * last[..., 1:, :])
    left = np.stack([row[..., 0, :] for row in rows], axis=-2)
    right = np.stack([row[..., -1, :] for row in reversed(rows)], axis=-2)
    return left, right


def reverse(control: ArrayLike) -> FloatArray:
    """Return a chain walked from its end to its start, shape (k, 4, 2)."""
    return np.asarray(control, dtype=float)[::-1, ::-1].copy()


def turning_parameters(values: FloatArray) -> FloatArray:
    """Return where one coordinate of cubics turns, shape (..., 2), within 0 to 1.

    Args:
        values: The coordinate's control values, shape (..., 4).

    Returns:
        Both roots of the derivative in rising order, clipped to 0 and 1; 0 where there
        is no such root.
    """
    d = np.diff(values, axis=-1)
    a = d[..., 0] - 2 * d[..., 1] + d[..., 2]
    b, c = d[..., 1] - d[..., 0], d[..., 0]  # a t^2 + 2 b t + c = 0
    with np.errstate(all="ignore"):
        q = -(b + np.copysign(np.sqrt(b * b - a * c), b))
        roots = np.stack([q / a, c / q], axis=-1)
    roots = np.where(np.isfinite(roots), roots, 0.0)
    return np.sort(np.clip(roots, 0.0, 1.0), axis=-1)


def bounds(control: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return the exact box round cubics: lowest and highest (x, y), cm, shape (2,)."""
    p = np.asarray(control, dtype=float).reshape(-1, 4, 2)
    by_axis = np.moveaxis(p, -1, 0)
    turns = turning_parameters(by_axis)
    points = np.stack(
        [evaluate(p, turns[axis, :, k]) for axis in (0, 1) for k in (0, 1)]
    )
    points = np.concatenate([p[:, 0], p[:, 3], points.reshape(-1, 2)])
    return points.min(axis=0), points.max(axis=0)


def signed_area(control: ArrayLike) -> float:
    """Return the area inside a closed chain, cm^2, exactly (Green's theorem).

    Positive where it runs clockwise to the eye (y downwards). A gap between the end
    and the start is closed by a straight line.

    Examples:
        >>> thirds = np.linspace(0, 1, 4)[:, None]
        >>> corners = np.array([[0, 0], [2, 0], [2, 3], [0, 3]], dtype=float)
        >>> sides = zip(corners, np.roll(corners, -1, axis=0))
        >>> round(signed_area([a + thirds * (b - a) for a, b in sides]), 12)
        6.0
    """
    p = np.asarray(control, dtype=float).reshape(-1, 4, 2)
    p = p - p[0, 0]  # near the origin little is lost by cancelling
    area = np.einsum("ki,ij,kj->", p[..., 0], _AREA, p[..., 1]) / 20
    start, end = p[0, 0], p[-1, 3]
    return float(area + (end[0] * start[1] - end[1] * start[0]) / 2)


def flatten(control: ArrayLike, tolerance_cm: float = 0.005) -> FloatArray:
    """Return points along a chain whose polygon stays within a tolerance.

    Args:
        control: A chain, shape (k, 4, 2).
        tolerance_cm: Largest distance between curve and polygon.

    Returns:
        Points from start to end, shape (m, 2); a point where cubics join comes once.
    """
    p = np.asarray(control, dtype=float).reshape(-1, 4, 2)
    bend = np.linalg.norm(np.diff(p, n=2, axis=1), axis=-1).max(axis=1)
    # A chord strays at most max|r''| h^2 / 8, and |r''| <= 6 x the second difference.
    parts = np.maximum(np.ceil(np.sqrt(0.75 * bend / tolerance_cm)), 1).astype(int)
    which = np.repeat(np.arange(len(p)), parts)
    first = np.repeat(np.cumsum(parts) - parts, parts)
    t = (np.arange(len(which)) - first + 1) / parts[which]
    return np.concatenate([p[:1, 0], evaluate(p[which], t)])
