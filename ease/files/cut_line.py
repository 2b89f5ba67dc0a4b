"""The line to cut along: the net outline moved out by each edge's allowance.

Each edge is moved along its normal; where that folds over in a tight hollow, the loop is
cut out. Neighbours are trimmed where they cross and otherwise run on to the point where
they meet, up to a limit; past it the corner is cut off square.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import derivative, evaluate, flatten, signed_area
from ease.errors import RefusedError
from ease.files.barbs import without_barbs
from ease.files.outline import tangents

__all__ = ["CORNER_LIMIT", "CUT_TOLERANCE_CM", "cut_outline", "moved_out"]

FloatArray = NDArray[np.float64]
CUT_TOLERANCE_CM: Final = 0.001  # 0.01 mm
CORNER_LIMIT: Final = 2.5  # longest corner, in allowances
_LONGEST_LEG_CM: Final = 0.2
_SAME_CM: Final = 1e-9


def _normals(slopes: FloatArray) -> FloatArray:
    """Return unit normals to the left of the walk: outwards where it runs clockwise."""
    turned = np.stack([slopes[:, 1], -slopes[:, 0]], axis=1)
    length = np.linalg.norm(turned, axis=1, keepdims=True)
    return np.asarray(turned / np.where(length > 0, length, 1.0))


def moved_out(control: FloatArray, distance: float) -> FloatArray:
    """Return an edge moved to the left of its walk, as points, shape (n, 2).

    Args:
        control: Cubics of one edge, cm, shape (k, 4, 2), y down.
        distance: Allowance, cm; 0 or more.
    """
    # The moved curve bends less or more than the edge itself, so that legs are short.
    size = np.linalg.norm(np.diff(control, axis=1), axis=2).sum(axis=1)
    bend = np.linalg.norm(np.diff(control, n=2, axis=1), axis=2).max(axis=1)
    counts = np.ceil(
        np.maximum(np.sqrt(3 * bend / CUT_TOLERANCE_CM), size / _LONGEST_LEG_CM)
    )
    # Both ends of every cubic, so that a corner inside an edge keeps both its normals.
    starts, ends = tangents(control)
    legs = [
        _leg(control[i], int(max(counts[i], 1)), starts[i], ends[i], distance)
        for i in range(len(control))
    ]
    line = legs[0]
    for i, leg in enumerate(legs[1:]):
        before, after = _corner(line, leg, distance, (ends[i], starts[i + 1]))
        line = np.concatenate([before, after])
    return line


def _leg(
    cubic: FloatArray, legs: int, start: FloatArray, end: FloatArray, distance: float
) -> FloatArray:
    inner = np.arange(1, legs) / legs
    points = np.concatenate([cubic[:1], evaluate(cubic, inner), cubic[3:]])
    slopes = np.concatenate([start[None], derivative(cubic, inner), end[None]])
    return np.asarray(points + distance * _normals(slopes))


def _distance(points: FloatArray, line: FloatArray) -> FloatArray:
    """Return the distance of each point from a polyline, shape (n,)."""
    a, leg = line[:-1], np.diff(line, axis=0)
    square = np.maximum(np.sum(leg * leg, axis=1), 1e-30)
    away = points[:, None] - a[None]
    share = np.clip(np.sum(away * leg, axis=2) / square, 0.0, 1.0)
    gap = away - share[..., None] * leg
    return np.asarray(np.sqrt(np.sum(gap * gap, axis=2).min(axis=1)))


def _crossings(
    first: FloatArray, second: FloatArray
) -> list[tuple[int, int, FloatArray]]:
    """Return where two polylines cross: leg of each, and the place."""
    a, u = first[:-1, None], np.diff(first, axis=0)[:, None]
    b, v = second[None, :-1], np.diff(second, axis=0)[None]
    across = u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]
    gap = b - a
    with np.errstate(divide="ignore", invalid="ignore"):
        s = (gap[..., 0] * v[..., 1] - gap[..., 1] * v[..., 0]) / across
        t = (gap[..., 0] * u[..., 1] - gap[..., 1] * u[..., 0]) / across
    hit = (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    return [
        (int(i), int(j), first[i] + s[i, j] * (first[i + 1] - first[i]))
        for i, j in np.argwhere(hit)
    ]


def _corner(
    first: FloatArray,
    second: FloatArray,
    distance: float,
    ways: tuple[FloatArray, FloatArray],
) -> tuple[FloatArray, FloatArray]:
    """Trim or lengthen two neighbouring lines so that one ends where the next starts."""
    if np.abs(first[-1] - second[0]).max() < _SAME_CM:
        return first, second[1:]
    found = _crossings(first, second)
    if found:
        # The crossing nearest the corner, counted in legs walked from it.
        i, j, place = min(found, key=lambda item: len(first) - item[0] + item[1])
        return np.concatenate([first[: i + 1], place[None]]), second[j + 1 :]
    u, v = (_unit(way) for way in ways)
    across = float(u[0] * v[1] - u[1] * v[0])
    gap = second[0] - first[-1]
    if abs(across) > 1e-6:
        s = float(gap[0] * v[1] - gap[1] * v[0]) / across
        t = float(gap[0] * u[1] - gap[1] * u[0]) / across
        limit = CORNER_LIMIT * distance
        if 0 <= s <= limit and -limit <= t <= 0:
            return np.concatenate([first, (first[-1] + s * u)[None]]), second
        if s >= 0 >= t:  # too long for one of them at least
            on, back = min(s, distance), min(-t, distance)
            cap = np.stack([first[-1] + on * u, second[0] - back * v])
            return np.concatenate([first, cap]), second
    return first, second


def _unit(vector: FloatArray) -> FloatArray:
    return np.asarray(vector / max(float(np.linalg.norm(vector)), 1e-30))


def cut_outline(edges: Sequence[FloatArray], allowances: Sequence[float]) -> FloatArray:
    """Return the closed line to cut along, shape (n, 2), first point not repeated.

    Args:
        edges: Cubics of each edge round the outline, cm, y down, shapes (k, 4, 2).
        allowances: Width that is added outside each edge, cm, 0 or more.

    Raises:
        RefusedError: If an allowance is negative or not finite.
    """
    if not all(0 <= width < 100 for width in allowances):
        message = "an allowance must be 0 or more, and less than 100 cm"
        raise RefusedError(message)
    clockwise = signed_area(np.concatenate(list(edges))) > 0
    if not clockwise:
        edges = [edge[::-1, ::-1] for edge in reversed(edges)]
        allowances = list(reversed(allowances))
    edges = [np.ascontiguousarray(edge) for edge in edges]
    lines = [moved_out(edge, w) for edge, w in zip(edges, allowances, strict=True)]
    ways = [_ways(*one) for one in zip(edges, lines, allowances, strict=True)]
    count = len(lines)
    for i in range(count):
        after = (i + 1) % count
        reach = max(allowances[i], allowances[after])
        both = ways[i][1], ways[after][0]
        lines[i], lines[after] = _corner(lines[i], lines[after], reach, both)
    widths = np.repeat(
        np.asarray(allowances, dtype=float), [len(line) for line in lines]
    )
    points = np.concatenate(lines)
    new = np.abs(np.roll(points, -1, axis=0) - points).max(axis=1) > _SAME_CM
    points, widths = points[new], widths[new]
    points, own = without_barbs(points)
    widths = widths[own]
    good = _far_enough(points, widths, edges, allowances)
    if good.all() or not good.any():
        return without_barbs(points)[0]
    points, widths, found = _without_loops(points, widths, good)
    kept = ~found | _far_enough(points, widths, edges, allowances)
    return without_barbs(points[kept])[0]


def _ways(
    edge: FloatArray, line: FloatArray, width: float
) -> tuple[FloatArray, FloatArray]:
    """Return the directions in which a moved edge starts and ends.

    Those of the edge itself: a line that folds over in a hollow tighter than its
    allowance turns back there. One that folds over throughout has nothing to lead to.
    """
    gap = _distance(line, flatten(edge, CUT_TOLERANCE_CM))
    if (gap[1:-1] > width - 3 * CUT_TOLERANCE_CM).any() or len(line) < 3:
        starts, ends = tangents(edge)
        return starts[0], ends[-1]
    return line[1] - line[0], line[-1] - line[-2]


def _far_enough(
    points: FloatArray,
    widths: FloatArray,
    edges: Sequence[FloatArray],
    allowances: Sequence[float],
) -> NDArray[np.bool_]:
    """Return which points keep their allowance from every edge.

    Between edges of different allowance the smaller one counts: the wider strip ends in
    a step beside the narrower.
    """
    good = np.ones(len(points), dtype=bool)
    for edge, allowance in zip(edges, allowances, strict=True):
        least = np.minimum(widths, allowance)
        gap = _distance(points, flatten(edge, CUT_TOLERANCE_CM))
        good &= gap > least - 3 * CUT_TOLERANCE_CM
    return good


def _without_loops(
    points: FloatArray, widths: FloatArray, good: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Cut out the runs that come too near: loops in hollows tighter than the allowance.

    Returns:
        The points that stay with a place found for each loop, where its two ends meet;
        their allowances; and which points are such places.
    """
    first = int(np.flatnonzero(good & ~np.roll(good, 1))[0])
    points, widths = np.roll(points, -first, axis=0), np.roll(widths, -first)
    good = np.roll(good, -first)
    count = len(points)
    order = [np.flatnonzero(good).astype(float)]
    places, at = [points[good]], []
    for last in np.flatnonzero(good & ~np.roll(good, -1)):
        after = int(last) + 1
        while not good[after % count]:
            after += 1
        legs = points[[last, (last + 1) % count]], points[[after - 1, after % count]]
        crossing = _meeting(*legs)
        if crossing is not None:
            places.append(crossing[None])
            at.append(float(last) + 0.5)
    order.append(np.array(at))
    walk = np.argsort(np.concatenate(order), kind="stable")
    of = np.concatenate(order)[walk].astype(int)
    return np.concatenate(places)[walk], widths[of], walk >= len(order[0])


def _meeting(first: FloatArray, second: FloatArray) -> FloatArray | None:
    """Return where the lines of two short legs meet, if that is near both."""
    u, v = first[1] - first[0], second[1] - second[0]
    across = float(u[0] * v[1] - u[1] * v[0])
    if abs(across) < 1e-12:
        return None
    gap = second[0] - first[0]
    place = first[0] + float(gap[0] * v[1] - gap[1] * v[0]) / across * u
    reach = 2 * _LONGEST_LEG_CM
    near = max(np.abs(place - first[0]).max(), np.abs(place - second[1]).max()) < reach
    return np.asarray(place) if near else None
