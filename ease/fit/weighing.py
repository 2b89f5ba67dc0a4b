"""Weighted least squares with stated spreads, and the statement that does not fit.

Readings ``y = f(x) + error`` and what was stated of the unknowns beforehand, ``x = 0``
within a spread, are both rows of one system, each divided by its spread. A row that is
wrong beyond its spread shows by its residual over the residual's own spread,

    w_i = v_i / sqrt(1 - h_i),

with ``h`` the diagonal of the hat matrix. Where all statements hold, w is standard
normal; leaving row i out lowers the sum of squares by exactly ``w_i^2``, which is how
strongly the data speak against it.

Source key: baarda-1968
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import inf
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["Fit", "Model", "Search", "Statements", "critical", "search", "weigh"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Model = Callable[[Floats], tuple[Floats, Floats]]

LEVEL: Final = 0.95
STEPS: Final = 30
CLOSE: Final = 1e-12
SEEN: Final = 1e-6  # least redundancy of a row that the others can check
#: Two rows are told apart where one explains this much more of the sum of squares:
#: two standard deviations, odds of about 7 to 1. Own choice.
APART: Final = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class Statements:
    """What was read and what was stated beforehand, each with its spread.

    Attributes:
        model: From unknowns (p,) to readings (n,) and their derivatives (n, p).
        values: The readings, shape (n,).
        sd: Spread of each reading, above 0, shape (n,).
        prior_sd: Spread of each unknown about 0, above 0, shape (p,).
        settled: Unknowns whose statement was checked and is not doubted, shape (p,); none
            if None.
        farthest: Size of an unknown beyond which it is impossible.
    """

    model: Model
    values: Floats
    sd: Floats
    prior_sd: Floats
    settled: Bools | None = None
    farthest: float = inf

    @property
    def count(self) -> int:
        """Number of rows: readings first, then unknowns."""
        return len(self.values) + len(self.prior_sd)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The unknowns that fit best.

    Attributes:
        unknowns: Estimates, shape (p,).
        covariance: Of the estimates, shape (p, p).
        residuals: Stated less fitted, over the stated spread, shape (n + p,); 0 where a
            row was left out.
        hat: The hat matrix, shape (n + p, n + p).
    """

    unknowns: Floats
    covariance: Floats
    residuals: Floats
    hat: Floats

    @property
    def sd(self) -> Floats:
        """Standard deviation of each unknown."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def redundancy(self) -> Floats:
        """Share of each row's error that shows in its residual, ``1 - h``."""
        return np.clip(1.0 - np.diag(self.hat), 0.0, 1.0)

    @property
    def away(self) -> Floats:
        """Residual over its own spread, w; 0 where no other row checks it."""
        free = self.redundancy
        seen = free > SEEN
        root = np.sqrt(np.where(seen, free, 1.0))
        return np.where(seen, self.residuals / root, 0.0)

    @property
    def misfit(self) -> float:
        """Sum of squared residuals."""
        return float(self.residuals @ self.residuals)


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """Which rows do not fit.

    Attributes:
        first: Fit of all rows.
        kept: Fit without the rows that are wrong.
        fit: The same where one of each unclear group is wrong too, with even odds for
            each: what all agree on is known as well as by any, what they differ in is not.
        alone: For each unclear row the fit where it is the one that is wrong, with even
            odds for those of other groups.
        wrong: Rows told to be wrong, in the order found.
        unclear: Groups of rows of which one is wrong, but which cannot be told.
        away: Size of w of each row, shape (n + p,): of the wrong and the unclear when
            they were found, of the others in the last fit; 0 of what is settled.
        critical: Size of w beyond which a row does not fit.
    """

    first: Fit
    kept: Fit
    fit: Fit
    alone: Mapping[int, Fit]
    wrong: tuple[int, ...]
    unclear: tuple[tuple[int, ...], ...]
    away: Floats
    critical: float


def critical(count: int) -> float:
    """Return the size that the largest of some standard normal numbers seldom exceeds.

    ``Phi^-1((1 + 0.95^(1/count)) / 2)``, exceeded in 5 of 100 cases: exact for
    independent numbers, on the safe side for others. Source key: sidak-1967.

    Args:
        count: How many are looked at, at least 1.

    Examples:
        >>> round(critical(1), 3), round(critical(10), 3)
        (1.96, 2.8)
    """
    return NormalDist().inv_cdf((1.0 + LEVEL ** (1.0 / count)) / 2.0)


def weigh(statements: Statements, use: Bools | None = None) -> Fit:
    """Return the unknowns with the least sum of squares (Gauss and Newton).

    Args:
        statements: Readings and spreads.
        use: Which rows count, shape (n + p,); all if None.
    """
    keep = np.ones(statements.count) if use is None else use.astype(float)
    weight = keep / np.concatenate([statements.sd, statements.prior_sd])
    x = np.zeros(len(statements.prior_sd))
    eye = np.eye(len(x))
    for _ in range(STEPS):
        read, slope = statements.model(x)
        apart = weight * np.concatenate([statements.values - read, -x])
        design = weight[:, None] * np.concatenate([slope, eye])
        step = np.linalg.lstsq(design, apart, rcond=None)[0]
        x = x + step
        if np.abs(step).max(initial=0.0) < CLOSE:
            break
    read, slope = statements.model(x)
    design = weight[:, None] * np.concatenate([slope, eye])
    inverse = np.linalg.pinv(design)
    return Fit(
        unknowns=x,
        covariance=inverse @ inverse.T,
        residuals=weight * np.concatenate([statements.values - read, -x]),
        hat=design @ inverse,
    )


def search(statements: Statements) -> Search:
    """Leave out, one after the other, the rows that do not fit.

    A row goes out where its w is the largest, is beyond ``critical``, and explains more
    of the misfit by ``APART`` than any other row that could explain the same.

    Args:
        statements: Readings and spreads.
    """
    use = np.ones(statements.count, dtype=bool)  # rows that count, the next looked for
    looked = use.copy()  # rows that may yet be told wrong
    if statements.settled is not None:
        looked[len(statements.values) :] = ~statements.settled
    first = fit = weigh(statements)
    limit = critical(max(1, int((first.redundancy > SEEN).sum())))
    wrong: list[int] = []
    unclear: list[tuple[int, ...]] = []
    away = np.where(looked, np.abs(fit.away), 0.0)
    while True:
        away[looked] = np.abs(fit.away)[looked]
        worst = int(np.where(looked, away, 0.0).argmax())
        if not looked[worst] or away[worst] <= limit:
            break
        others = np.flatnonzero(_others(fit, worst, limit) & looked)
        looked[[worst, *others]] = False
        use[worst] = False
        if len(others):
            unclear.append((worst, *map(int, others)))
        else:
            wrong.append(worst)
        fit = weigh(statements, use)
    use[[group[0] for group in unclear]] = True
    every = {rows: weigh(statements, _without(use, rows)) for rows in product(*unclear)}
    # Where nothing else holds an unknown, giving up its statement leads anywhere.
    cases = {
        rows: fit
        for rows, fit in every.items()
        if np.abs(fit.unknowns).max(initial=0.0) < statements.farthest
    } or every
    possible = {row for rows in cases for row in rows}
    groups = [tuple(row for row in group if row in possible) for group in unclear]
    return Search(
        first=first,
        kept=weigh(statements, use),
        fit=_mixed(list(cases.values())),
        alone={
            row: _mixed([fit for rows, fit in cases.items() if row in rows])
            for group in groups
            for row in group
        },
        wrong=tuple(wrong),
        unclear=tuple(groups),
        away=away,
        critical=limit,
    )


def _without(use: Bools, rows: Sequence[int]) -> Bools:
    left = use.copy()
    left[list(rows)] = False
    return left


def _mixed(fits: Sequence[Fit]) -> Fit:
    """Return fits with even odds as one; residuals and hat are those of the first.

    The mean of their estimates, the mean of their covariances and the covariance of their
    estimates about the mean.
    """
    if len(fits) == 1:
        return fits[0]
    each = np.array([fit.unknowns for fit in fits])
    within = np.mean([fit.covariance for fit in fits], axis=0)
    apart = each - each.mean(axis=0)
    return replace(
        fits[0],
        unknowns=each.mean(axis=0),
        covariance=within + apart.T @ apart / len(fits),
    )


def _others(fit: Fit, worst: int, limit: float) -> Bools:
    """Return the rows that explain the misfit of the worst one almost as well.

    With row j left out the worst row i has ``(w_i - r w_j) / sqrt(1 - r^2)``, where r is
    the correlation of the two residuals: small where j explains it.
    """
    away, seen = fit.away, fit.redundancy > SEEN
    free = np.sqrt(np.where(seen, fit.redundancy, 1.0))
    relation = np.clip(-fit.hat[worst] / (free[worst] * free), -1.0, 1.0)
    rest = np.sqrt(np.maximum(1.0 - relation**2, SEEN))
    left = np.abs(away[worst] - relation * away) / rest
    near = away[worst] ** 2 - away**2 < APART
    same = seen & near & (left <= limit)
    same[worst] = False
    return np.asarray(same)
