"""The weighing against scipy, refitting, and simulation with known truth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import optimize, stats

from ease.fit.weighing import Statements, critical, weigh

Floats = NDArray[np.float64]


def linear(design: Floats, values: Floats, sd: float, prior: Floats) -> Statements:
    return Statements(
        lambda x: (design @ x, design), values, np.full(len(values), sd), prior
    )


def curved(x: Floats) -> tuple[Floats, Floats]:
    """Readings that bend with two unknowns, and their slopes."""
    t = np.linspace(0.1, 2.0, 9)
    read = np.exp(t * x[0]) + np.sin(x[1]) * t - 1.0
    return read, np.stack([t * np.exp(t * x[0]), np.cos(x[1]) * t], axis=1)


def by_scipy(statements: Statements) -> tuple[Floats, Floats]:
    """Unknowns and covariance by a general-purpose solver."""

    def rows(x: Floats) -> Floats:
        read = (statements.values - statements.model(x)[0]) / statements.sd
        return np.concatenate([read, -x / statements.prior_sd])

    start = np.zeros(len(statements.prior_sd))
    done = optimize.least_squares(rows, start, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return done.x, np.linalg.inv(done.jac.T @ done.jac)


@pytest.mark.parametrize("truth", [(0.0, 0.0), (0.3, -0.4), (-0.5, 0.2)])
def test_the_estimate_is_that_of_scipy(truth: tuple[float, float]) -> None:
    noise = 0.05 * np.random.default_rng(5).standard_normal(9)
    values = curved(np.array(truth))[0] + noise
    statements = Statements(curved, values, np.full(9, 0.05), np.array([0.4, 0.3]))
    fit = weigh(statements)
    x, covariance = by_scipy(statements)
    # The solver stops at a step of about the root of the machine's precision.
    assert fit.unknowns == pytest.approx(x, abs=1e-7)
    assert fit.covariance == pytest.approx(covariance, rel=1e-4, abs=1e-9)


@given(
    design=st.lists(
        st.tuples(st.floats(-2, 2), st.floats(-2, 2)), min_size=3, max_size=8
    ),
    seed=st.integers(0, 10_000),
)
@settings(max_examples=60, deadline=None)
def test_leaving_a_row_out_lowers_the_misfit_by_w_squared(
    design: list[tuple[float, float]], seed: int
) -> None:
    """Source key: baarda-1968."""
    rng = np.random.default_rng(seed)
    rows = np.array(design)
    statements = linear(rows, rng.normal(size=len(rows)), 0.5, np.array([1.0, 2.0]))
    fit = weigh(statements)
    for row in np.flatnonzero(fit.redundancy > 1e-3):
        use = np.arange(statements.count) != row
        drop = fit.misfit - weigh(statements, use).misfit
        assert drop == pytest.approx(fit.away[row] ** 2, abs=1e-8)


@pytest.mark.parametrize("count", [1, 4, 19, 200])
def test_the_limit_against_scipy(count: int) -> None:
    """Source key: sidak-1967."""
    inside = stats.norm.cdf(critical(count)) - stats.norm.cdf(-critical(count))
    assert inside**count == pytest.approx(0.95, abs=1e-12)


def test_a_row_that_nothing_checks_is_never_called_wrong() -> None:
    design = np.array([[1.0, 0.0], [1.0, 0.0]])
    statements = linear(design, np.zeros(2), 0.1, np.array([0.1, 0.1]))
    fit = weigh(statements)
    assert fit.redundancy[3] == pytest.approx(0.0)
    assert fit.away[3] == 0.0
    assert fit.unknowns[1] == 0.0
