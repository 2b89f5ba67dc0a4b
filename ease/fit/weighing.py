"""Weighted least squares with stated spreads, and how far each statement lies off.

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

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from statistics import NormalDist
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["SEEN", "Fit", "Model", "Statements", "Sums", "critical", "rows_at", "weigh"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Model = Callable[[Floats], tuple[Floats, Floats]]

LEVEL: Final = 0.95
STEPS: Final = 30
CLOSE: Final = 1e-12
SEEN: Final = 1e-6  # least redundancy of a row that the others can check


class Sums(NamedTuple):
    """What is known of unknowns only together.

    Attributes:
        weights: Weights of the unknowns in each sum, shape (k, p).
        values: The sums, shape (k,).
        sd: Spread of each, above 0, shape (k,).
    """

    weights: Floats
    values: Floats
    sd: Floats


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
        sums: What is known of unknowns only together, and not doubted; nothing if None.
    """

    model: Model
    values: Floats
    sd: Floats
    prior_sd: Floats
    settled: Bools | None = None
    farthest: float = inf
    sums: Sums | None = None

    @property
    def count(self) -> int:
        """Number of rows m: readings first, then unknowns, then sums of them."""
        return self.doubted + (0 if self.sums is None else len(self.sums.values))

    @property
    def doubted(self) -> int:
        """Number of rows n + p that may be wrong: readings and unknowns."""
        return len(self.values) + len(self.prior_sd)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The unknowns that fit best.

    Attributes:
        unknowns: Estimates, shape (p,).
        covariance: Of the estimates, shape (p, p).
        residuals: Stated less fitted, over the stated spread, shape (m,); 0 where a row
            was left out.
        hat: The hat matrix, shape (m, m).
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
        use: Which rows count, shape (m,); all if None.
    """
    keep = np.ones(statements.count) if use is None else use.astype(float)
    x = np.zeros(len(statements.prior_sd))
    for _ in range(STEPS):
        apart, design = rows_at(statements, x)
        step = np.linalg.lstsq(keep[:, None] * design, keep * apart, rcond=None)[0]
        # What nothing holds runs away: it stops where it is impossible already.
        x = np.clip(x + step, -statements.farthest, statements.farthest)
        if np.abs(step).max(initial=0.0) < CLOSE:
            break
    apart, design = rows_at(statements, x)
    design = keep[:, None] * design
    inverse = np.linalg.pinv(design)
    return Fit(
        unknowns=x,
        covariance=inverse @ inverse.T,
        residuals=keep * apart,
        hat=design @ inverse,
    )


def rows_at(statements: Statements, x: Floats) -> tuple[Floats, Floats]:
    """Return stated less fitted and the slopes of what is fitted, over the spreads.

    Args:
        statements: Readings and spreads.
        x: The unknowns, shape (p,).

    Returns:
        Shape (m,) and (m, p).
    """
    read, slope = statements.model(x)
    known = statements.sums or Sums(np.empty((0, len(x))), np.empty(0), np.empty(0))
    weight = 1.0 / np.concatenate([statements.sd, statements.prior_sd, known.sd])
    off = known.values - known.weights @ x
    apart = np.concatenate([statements.values - read, -x, off])
    design = np.concatenate([slope, np.eye(len(x)), known.weights])
    return weight * apart, weight[:, None] * design
