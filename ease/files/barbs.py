"""Loops of a moved outline, cut out where they cross themselves.

Where an edge is moved out by more than a hollow's radius, the moved line folds over and
crosses itself; it is the crossing that lies as far from both sides as it should.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["without_barbs"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
_LEGS: Final = 400  # the most legs of a loop; larger ones come too near to an edge


def without_barbs(points: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Return a closed outline without loops of some hundred legs.

    Args:
        points: The outline, shape (n, 2), first point not repeated.

    Returns:
        The outline, with the crossing of each loop in its place, and which of the points
        those of the new one stand for.
    """
    count = len(points)
    most = min(_LEGS, (count - 1) // 2)
    kept, made = np.ones(count, dtype=bool), points.copy()
    # The largest loop first: what lies inside it goes with it.
    for i, j, place in reversed(_crossings(points, most)):
        inside = np.arange(i + 1, j + 1) % count
        if kept[i] and kept[inside].all():
            kept[inside[1:]] = False
            made[inside[0]] = place
    return made[kept], kept


def _crossings(points: FloatArray, most: int) -> list[tuple[int, int, FloatArray]]:
    """Return legs that cross one that comes later, at most so many, and where."""
    count = len(points)
    walk = np.concatenate([points, points[: most + 1]])
    legs = np.diff(walk, axis=0)
    size = np.abs(legs).sum(axis=1)
    found = []
    for apart in range(2, most + 1):
        gap = np.abs(walk[apart : apart + count] - points).sum(axis=1)
        near = gap <= size[:count] + np.roll(size[:count], -apart)
        for i in np.flatnonzero(near).tolist():
            place = _meeting(
                walk[i], legs[i], walk[i + apart], legs[(i + apart) % count]
            )
            if place is not None:
                found.append((i, i + apart, place))
    return found


def _meeting(
    a: FloatArray, u: FloatArray, b: FloatArray, v: FloatArray
) -> FloatArray | None:
    """Return where two legs cross, if they do."""
    across, gap = float(u[0] * v[1] - u[1] * v[0]), b - a
    if across == 0.0:
        return None
    s = float(gap[0] * v[1] - gap[1] * v[0]) / across
    t = float(gap[0] * u[1] - gap[1] * u[0]) / across
    return np.asarray(a + s * u) if 0 <= s <= 1 and 0 <= t <= 1 else None
