"""Where a chain of cubics meets a horizontal line, and where an outline meets itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.block.curves import evaluate, flatten, turning_parameters

__all__ = ["inside_width", "level_crossings", "self_crossings"]

FloatArray = NDArray[np.float64]
Side = Literal["above", "below"]
_BISECTIONS: Final = 60


def level_crossings(
    control: ArrayLike, y: ArrayLike, side: Side = "below"
) -> tuple[FloatArray, FloatArray]:
    """Find every crossing of cubics with horizontal lines.

    Each cubic is cut where y turns into at most three spans that only rise or only
    fall; a span that holds the level is halved 60 times, so that flat tangents and
    double roots cost no accuracy. A closed outline is always crossed an even number of
    times: a point exactly on the line counts as lying just above it, or just below it,
    as ``side`` says. A line that only touches the outline is then met twice at one
    place or not at all; a horizontal edge on the line is no crossing.

    Args:
        control: Cubics, cm, shape (k, 4, 2).
        y: Levels, cm, shape (m,).
        side: Whether the crossings are those just ``above`` or just ``below`` the line.

    Returns:
        x of the crossings, cm, and their parameters, both shape (m, 3 k) with nan where
        a span is not crossed; column 3 i + j belongs to cubic i.
    """
    x, t = _crossings(control, y, (side,))
    return x[0], t[0]


def _crossings(
    control: ArrayLike, y: ArrayLike, sides: Sequence[Side]
) -> tuple[FloatArray, FloatArray]:
    """Return crossings as `level_crossings` does, for each side: shape (s, m, 3 k)."""
    p = np.asarray(control, dtype=float).reshape(-1, 4, 2)
    levels = np.asarray(y, dtype=float).reshape(-1, 1, 1)
    turns = turning_parameters(p[..., 1])
    knots = np.concatenate([np.zeros((len(p), 1)), turns, np.ones((len(p), 1))], axis=1)
    heights = evaluate(p[:, None], knots)[..., 1]
    heights[:, 0], heights[:, 3] = p[:, 0, 1], p[:, 3, 1]
    high = np.stack(
        [heights > levels if side == "below" else heights >= levels for side in sides]
    )
    crossed = high[..., :-1] != high[..., 1:]
    places = np.nonzero(crossed)
    _, level, cubic, span = places
    low, top = knots[cubic, span], knots[cubic, span + 1]
    falling = heights[cubic, span] > heights[cubic, span + 1]
    aim = levels[level, 0, 0]
    y0, y1, y2, y3 = (p[cubic, :, 1] * (1.0, 3.0, 3.0, 1.0)).T
    for _ in range(_BISECTIONS):
        middle = u = (low + top) / 2
        v = 1.0 - u
        height = ((y0 * v + y1 * u) * v + y2 * (u * u)) * v + y3 * (u * u * u)
        past = (height > aim) != falling
        low, top = np.where(past, low, middle), np.where(past, middle, top)
    found = (low + top) / 2
    x = np.full(crossed.shape, np.nan)
    t = np.full(crossed.shape, np.nan)
    x[places] = evaluate(p[cubic], found)[..., 0]
    t[places] = found
    flat = (len(sides), len(levels), 3 * len(p))
    return x.reshape(flat), t.reshape(flat)


def inside_width(control: ArrayLike, y: ArrayLike) -> FloatArray:
    """Return how much of horizontal lines lies inside or on a closed outline.

    The intervals just above and just below the line are joined, so that a level on a
    horizontal edge, such as a hem, still gives the width of that edge.

    Args:
        control: A closed chain, cm, shape (k, 4, 2), starts equal to ends exactly.
        y: Levels, cm, shape (m,).

    Returns:
        Widths, cm, shape (m,); 0 where a level misses the outline.
    """
    above, below = _crossings(control, y, ("above", "below"))[0]
    crossings = np.concatenate([_even(np.sort(above)), _even(np.sort(below))], axis=1)
    starts, ends = crossings[:, 0::2], crossings[:, 1::2]
    order = np.argsort(starts, axis=1)
    starts = np.take_along_axis(starts, order, axis=1)
    ends = np.take_along_axis(ends, order, axis=1)
    covered = np.fmax.accumulate(ends, axis=1)
    before = np.concatenate([np.full((len(ends), 1), -np.inf), covered[:, :-1]], axis=1)
    gain = ends - np.fmax(starts, before)
    return np.asarray(np.where(gain > 0, gain, 0.0).sum(axis=1))


def _even(x: FloatArray) -> FloatArray:
    """Return crossings, sorted with nan last, with an even number of columns."""
    return (
        x
        if x.shape[1] % 2 == 0
        else np.pad(x, ((0, 0), (0, 1)), constant_values=np.nan)
    )


def self_crossings(control: ArrayLike, tolerance_cm: float = 0.002) -> FloatArray:
    """Find where a closed outline crosses or touches itself.

    The outline is flattened within the tolerance and every pair of chords that are not
    neighbours is tested; a spur (an outline that turns back upon itself) counts too.

    Args:
        control: A closed chain, cm, shape (k, 4, 2).
        tolerance_cm: How far the chords may stray from the curves.

    Returns:
        Places, cm, shape (n, 2); empty for a simple outline.
    """
    points = flatten(control, tolerance_cm)
    moved = np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-9
    points = points[:-1][moved]
    a, b = points, np.roll(points, -1, axis=0)
    spurs = _spurs(a, b)
    n = len(a)
    low, high = np.minimum(a, b).T, np.maximum(a, b).T
    near = np.triu(np.ones((n, n), dtype=bool), 2)  # neighbours always touch
    near[:1, n - 1 :] = False
    for start, end in zip(low, high, strict=True):
        reaches = start[:, None] <= end
        near &= reaches & reaches.T
    i, j = np.nonzero(near)
    first, second, across = b[i] - a[i], b[j] - a[j], a[j] - a[i]
    turn = _cross(first, second)
    with np.errstate(all="ignore"):
        s, t = _cross(across, second) / turn, _cross(across, first) / turn
    hit = (turn != 0) & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    # Parallel chords in one line whose boxes meet lie on top of each other.
    hit |= (turn == 0) & (_cross(across, first) == 0)
    s = np.where(np.isfinite(s), s, 0.0)
    return np.concatenate([spurs, a[i][hit] + s[hit, None] * first[hit]])


def _spurs(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return corners at which the outline turns straight back."""
    leg, after = b - a, np.roll(b - a, -1, axis=0)
    size = np.linalg.norm(leg, axis=1) * np.linalg.norm(after, axis=1)
    back = (np.abs(_cross(leg, after)) <= 1e-12 * size) & (
        (leg * after).sum(axis=1) < 0
    )
    return np.asarray(b[back])


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
