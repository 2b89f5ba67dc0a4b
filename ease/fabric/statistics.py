"""Statistics of a few repeats: mean, spread, 95 % interval, outliers, how many more.

Arrays hold the repeats along their last axis. SciPy is loaded only where a quantile of
Student's t is wanted.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError
from ease.fabric.profile import Estimate

__all__ = [
    "estimate",
    "grubbs_critical",
    "grubbs_statistic",
    "interval",
    "outlier_place",
    "reading_step",
    "repeats_needed",
    "t_quantile",
]

Floats = NDArray[np.float64]

LEVEL: Final = 0.95
_EQUAL: Final = 1e-12  # relative; a spread below this is rounding, not spread
_ON_STEP: Final = (
    1e-6  # of a step; a length in cm that was written in inches is rounded
)


def t_quantile(probability: ArrayLike, freedom: ArrayLike) -> Floats:
    """Return quantiles of Student's t.

    Args:
        probability: Probabilities between 0 and 1, any shape.
        freedom: Degrees of freedom, above 0, any shape.

    Examples:
        >>> round(float(t_quantile(0.975, 4)), 4)
        2.7764
    """
    from scipy.special import stdtrit

    return np.asarray(stdtrit(freedom, probability), dtype=np.float64)


def estimate(values: ArrayLike) -> Estimate:
    """Return mean, standard deviation (n - 1) and number of one figure's repeats.

    Args:
        values: The repeats, shape (n,), n at least 1.

    Raises:
        RefusedError: If there are none, or one is not finite.

    Examples:
        >>> estimate([0.58, 0.60, 0.62]).n
        3
    """
    x = np.asarray(values, dtype=np.float64)
    if x.ndim != 1 or x.size == 0:
        message = "an estimate needs at least one reading"
        raise RefusedError(message)
    sd = float(np.std(x, ddof=1)) if x.size > 1 else None
    return Estimate(float(np.mean(x)), sd, int(x.size))


def interval(figure: Estimate, level: float = LEVEL) -> tuple[float, float] | None:
    """Return the interval that holds the true mean, ``mean -+ t sd / sqrt(n)``.

    Args:
        figure: A figure from repeats, taken as normally spread.
        level: Share of such intervals that hold the true mean.

    Returns:
        Low and high end; None for one repeat.
    """
    error = figure.standard_error
    if error is None:
        return None
    half = float(t_quantile(0.5 + level / 2, figure.n - 1)) * error
    return figure.mean - half, figure.mean + half


def grubbs_statistic(values: ArrayLike) -> Floats:
    """Return the largest distance from the mean in standard deviations, two-sided.

    Args:
        values: Repeats along the last axis, shape (..., n), n at least 3.

    Returns:
        G, shape (...); 0 where all repeats are equal.

    Source key: grubbs-1969
    """
    x = np.asarray(values, dtype=np.float64)
    away = np.abs(x - x.mean(axis=-1, keepdims=True)).max(axis=-1)
    sd = x.std(axis=-1, ddof=1)
    spread = sd > _EQUAL * np.abs(x).max(axis=-1)
    return np.where(spread, away / np.where(spread, sd, 1.0), 0.0)


def grubbs_critical(n: ArrayLike, alpha: float = 0.05, *, sides: int = 2) -> Floats:
    """Return the value that G exceeds by chance with probability alpha.

    ``(n-1)/sqrt(n) sqrt(t^2/(n-2+t^2))`` with t at ``alpha/(sides n)``, n - 2 degrees of
    freedom. With three repeats G cannot exceed 1.1547, so that the test has almost no
    power there.

    Args:
        n: Numbers of repeats, at least 3, any shape.
        alpha: Chance of a false alarm.
        sides: 2 where the outlier may lie on either side.

    Examples:
        >>> round(float(grubbs_critical(5)), 4)
        1.715

    Source key: grubbs-1969
    """
    count = np.asarray(n, dtype=np.float64)
    squared = t_quantile(1 - alpha / (sides * count), count - 2) ** 2
    root = np.sqrt(squared / (count - 2 + squared))
    return np.asarray((count - 1) / np.sqrt(count) * root, dtype=np.float64)


def outlier_place(values: ArrayLike) -> int | None:
    """Return the place of the one repeat that Grubbs's test calls an outlier at 5 %.

    Args:
        values: Repeats of one figure, shape (n,).

    Returns:
        Its index; None where there is none, or fewer than three repeats.
    """
    x = np.asarray(values, dtype=np.float64)
    if x.size < 3 or grubbs_statistic(x) <= grubbs_critical(x.size):
        return None
    return int(np.argmax(np.abs(x - x.mean())))


def reading_step(values: ArrayLike, steps: ArrayLike) -> float:
    """Return the coarsest step of a rule that every reading is a whole multiple of.

    Args:
        values: Readings, shape (n,), in any unit.
        steps: The steps that a rule may have, shape (m,), in the same unit, rising.

    Returns:
        That step; the first one where the readings lie on none of them.

    Examples:
        >>> reading_step([4.0, 4.125], [1 / 16, 1 / 8]), reading_step([4.03], [1 / 16])
        (0.125, 0.0625)
    """
    x, rule = np.asarray(values, dtype=np.float64), np.asarray(steps, dtype=np.float64)
    counted = x / rule[:, np.newaxis]
    on_it = (np.abs(counted - np.round(counted)) <= _ON_STEP).all(axis=-1)
    return float(rule[np.flatnonzero(on_it)[-1]] if on_it.any() else rule[0])


def repeats_needed(
    sd: ArrayLike, half_width: float, *, most: int = 100
) -> NDArray[np.int64]:
    """Return how many repeats bring the 95 % interval's half-width to a target.

    The smallest n with ``t(n-1) sd / sqrt(n) <= half_width``: the quantile is that of
    the n looked for, which the normal approximation understates for few repeats.

    Args:
        sd: Standard deviations of one reading, 0 or more, any shape.
        half_width: Target for half the interval, in the unit of ``sd``.
        most: Largest number looked at.

    Returns:
        Numbers of repeats, at least 2; ``most + 1`` where more than ``most`` are needed.

    Examples:
        >>> int(repeats_needed(0.016, 0.02))
        5
    """
    spread = np.asarray(sd, dtype=np.float64)
    n = np.arange(2, most + 1)
    half = t_quantile(0.5 + LEVEL / 2, n - 1) / np.sqrt(n)
    enough = half * spread[..., np.newaxis] <= half_width
    first = np.where(enough.any(axis=-1), enough.argmax(axis=-1), n.size)
    return np.asarray(first + 2, dtype=np.int64)
