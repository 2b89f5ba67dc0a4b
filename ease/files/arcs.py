"""Arcs of circles and ellipses as chains of cubic Beziers, within a stated distance."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["ARC_TOLERANCE_CM", "arc_controls", "bulge_controls", "quadratic_controls"]

FloatArray = NDArray[np.float64]
ARC_TOLERANCE_CM: Final = 1e-4  # 0.001 mm
_MOST_PIECES: Final = 4096


def arc_error(angle: float) -> float:
    """Return how far one cubic strays from a unit arc, as a share of its radius.

    With handles of 4/3 tan(angle/4) the cubic touches the circle at both ends and in
    the middle and bulges out between by ``2/27 sin^6(angle/4) / cos^2(angle/4)``.

    Source key: arc-by-cubic.

    Examples:
        >>> round(arc_error(math.pi / 2), 6)
        0.000273
    """
    quarter = angle / 4
    return 2 / 27 * math.sin(quarter) ** 6 / math.cos(quarter) ** 2


def arc_controls(
    centre: ArrayLike,
    first_axis: ArrayLike,
    second_axis: ArrayLike,
    start: float,
    sweep: float,
    tolerance: float = ARC_TOLERANCE_CM,
) -> FloatArray:
    """Return cubics along ``centre + first cos t + second sin t``, shape (k, 4, 2).

    The two axes are any conjugate pair, so that an arc that went through a skewed or
    uneven scale is as good as a round one.

    Args:
        centre: Centre, shape (2,).
        first_axis: Vector from the centre to the point at t = 0.
        second_axis: Vector from the centre to the point at t = pi/2.
        start: First angle t, radians.
        sweep: Angle run through, radians; negative runs backwards.
        tolerance: Largest distance from the arc, in the unit of the coordinates.
    """
    middle = np.asarray(centre, dtype=float)
    axes = np.array([first_axis, second_axis], dtype=float)
    reach = float(np.linalg.norm(axes, 2))
    count = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    while count < _MOST_PIECES and reach * arc_error(abs(sweep) / count) > tolerance:
        count += 1
    angles = start + sweep * np.arange(count + 1) / count
    handle = 4 / 3 * math.tan(sweep / count / 4)
    on = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    along = np.stack([-on[:, 1], on[:, 0]], axis=1)
    unit = np.stack(
        [on[:-1], on[:-1] + handle * along[:-1], on[1:] - handle * along[1:], on[1:]],
        axis=1,
    )
    return np.asarray(middle + unit @ axes)


def bulge_controls(
    start: ArrayLike, end: ArrayLike, bulge: float, tolerance: float = ARC_TOLERANCE_CM
) -> FloatArray:
    """Return the arc of a bulged polyline segment, shape (k, 4, 2).

    The bulge is the tangent of a quarter of the arc's angle, positive where the arc
    runs counter-clockwise in axes that point right and up.

    Args:
        start: First point, shape (2,).
        end: Last point, shape (2,).
        bulge: Not zero.
        tolerance: Largest distance from the arc, in the unit of the coordinates.

    Examples:
        A half circle from (0, 0) to (2, 0) that passes below at (1, -1):

        >>> from ease.block.curves import bounds
        >>> low, _ = bounds(bulge_controls((0, 0), (2, 0), 1.0))
        >>> low.round(3).tolist()
        [0.0, -1.0]
    """
    first, last = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    chord = last - first
    sweep = 4 * math.atan(bulge)
    across = np.array([-chord[1], chord[0]])
    centre = (first + last) / 2 + across * (1 - bulge**2) / (4 * bulge)
    axis = first - centre
    turned = np.array([-axis[1], axis[0]])
    arc = arc_controls(centre, axis, turned, 0.0, sweep, tolerance)
    arc[0, 0], arc[-1, 3] = first, last
    return arc


def quadratic_controls(points: ArrayLike) -> FloatArray:
    """Return a quadratic Bezier, shape (3, 2), as the same curve in cubic form, (4, 2)."""
    start, middle, end = np.asarray(points, dtype=float)
    return np.array([start, (start + 2 * middle) / 3, (2 * middle + end) / 3, end])
