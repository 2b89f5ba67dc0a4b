"""The weighing against scipy, refitting, and simulation with known truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import optimize, stats

from ease.fit.weighing import Fit, Statements, critical, search, weigh

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


def test_sound_statements_are_called_wrong_in_five_of_a_hundred() -> None:
    rng = np.random.default_rng(20260531)
    rows, runs = np.ones((40, 1)), 2000
    alarms = 0
    for _ in range(runs):
        truth = rng.normal(0.0, 1.0)
        values = truth + rng.normal(size=40)
        found = search(linear(rows, values, 1.0, np.array([1.0])))
        alarms += bool(found.wrong or found.unclear)
    # 41 rows, nearly independent. A binomial count of 0.05 lies within these bounds but
    # once in 10000 draws.
    low, high = stats.binom.ppf([5e-5, 1 - 5e-5], runs, 0.05)
    assert low <= alarms <= high


def mean_of(fit: Fit) -> float:
    return float(fit.unknowns[0])


def test_a_slip_is_found_and_left_out() -> None:
    values = np.array([1.0, 1.1, 0.9, 1.0, 9.0])
    found = search(linear(np.ones((5, 1)), values, 0.1, np.array([2.0])))
    assert found.wrong == (4,)
    assert found.unclear == ()
    # Four readings of spread 0.1 and the statement 0 of spread 2.
    four = 4.0 / 0.1**2
    assert mean_of(found.fit) == pytest.approx(four / (four + 1 / 4) * 1.0)
    assert found.away[4] > found.critical
    assert found.fit.residuals[4] == 0


def test_two_slips_are_found_one_after_the_other() -> None:
    values = np.array([1.0, 1.1, 0.9, 1.0, 9.0, -7.0, 1.05])
    found = search(linear(np.ones((7, 1)), values, 0.1, np.array([2.0])))
    assert set(found.wrong) == {4, 5}


def test_what_cannot_be_told_apart_is_known_as_a_sum() -> None:
    """Two unknowns that six readings see only as their sum, 1 +- 0.05 / sqrt(6).

    Whichever is the false one, the other is as stated and it is the rest.
    """
    stated = np.array([0.1, 0.12])
    found = search(linear(np.ones((6, 2)), np.full(6, 1.0), 0.05, stated))
    assert found.wrong == ()
    (group,) = found.unclear
    assert set(group) == {6, 7}
    by_readings = 0.05**2 / 6
    for row, other in ((6, 1), (7, 0)):
        alone = found.alone[row]
        assert alone.unknowns == pytest.approx(np.eye(2)[row - 6], abs=1e-9)
        assert alone.sd[other] == pytest.approx(stated[other])
        assert alone.sd[row - 6] == pytest.approx(
            np.sqrt(by_readings + stated[other] ** 2)
        )
    assert found.fit.unknowns == pytest.approx([0.5, 0.5])
    both = np.ones(2)
    assert both @ found.fit.covariance @ both == pytest.approx(by_readings)
    # Each is off by all or by nothing.
    assert found.fit.sd**2 == pytest.approx(
        [(by_readings + stated[1] ** 2 + stated[0] ** 2) / 2 + 0.25] * 2
    )
    assert found.kept.unknowns.sum() < 1.0


def test_what_is_settled_is_not_doubted() -> None:
    """Of two that explain the same, the other one is wrong."""
    asked = linear(np.ones((6, 2)), np.full(6, 1.0), 0.05, np.array([0.1, 0.12]))
    found = search(replace(asked, settled=np.array([True, False])))
    assert (found.wrong, found.unclear) == ((7,), ())
    assert found.fit.unknowns == pytest.approx([0.0, 1.0], abs=1e-9)
    assert found.away[6] == 0.0


def test_one_reading_alone_cannot_be_told_from_what_it_reads() -> None:
    found = search(linear(np.ones((1, 1)), np.array([1.0]), 0.1, np.array([0.1])))
    assert found.wrong == ()
    assert {row for group in found.unclear for row in group} == {0, 1}


def test_a_row_that_nothing_checks_is_never_called_wrong() -> None:
    design = np.array([[1.0, 0.0], [1.0, 0.0]])
    statements = linear(design, np.zeros(2), 0.1, np.array([0.1, 0.1]))
    fit = weigh(statements)
    assert fit.redundancy[3] == pytest.approx(0.0)
    assert fit.away[3] == 0.0
    assert fit.unknowns[1] == 0.0
