"""The worn garment as a model: slopes, the loop, invariants, the tape's spread."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import optimize, stats

from ease.block.loop import loop_length_strain
from ease.block.pieces import Block
from ease.fit.toile import Marks, WornModel, fit_toile, spread_factor
from ease.fit.wear import Sizes

Floats = NDArray[np.float64]
LEGS = np.array([[3.0, 60.0], [9.0, 4.0], [2.0, 70.0]])


def model(length: float = 1.0, **fields: Any) -> WornModel:
    sizes = Sizes(
        body=length * np.array([88.0, 70.0, 96.0]),
        block=length * np.array([70.0, 56.0, 80.0]),
        share=np.array([1.0, 1.0, 5 / 12]),
        depth_ratio=np.ones(3),
        length_strain=0.0,
    )
    given = {
        "sizes": sizes,
        "legs": length * LEGS,
        "loop": length * 150.0,
        "origin": np.zeros(6),
        **fields,
    }
    return WornModel(**given)


def marks(stretch: Floats, row: NDArray[np.int64], sd: float = 0.01) -> Marks:
    return Marks(row=row, group=row, stretch=stretch, sd=np.full(len(row), sd))


PRIOR = np.array([0.006, 0.007, 0.005, 0.006, 0.007, 0.006])


@pytest.mark.parametrize("seed", range(4))
def test_slopes_against_finite_differences(seed: int) -> None:
    one = model()
    x = 0.05 * np.random.default_rng(seed).standard_normal(one.unknowns)
    _, slope = one.stretches(x)
    for row in range(4):
        found = optimize.approx_fprime(x, lambda u, r=row: one.stretches(u)[0][r], 1e-7)
        # Forward differences of step 1e-7 are good to about 1e-6.
        assert slope[row] == pytest.approx(found, abs=2e-6)


def test_predicted_strain_is_body_over_block() -> None:
    value, _ = model().stretches(np.zeros(6))
    worn = np.array([88 / 70, 70 / 56, 1 + 5 / 12 * (96 / 80 - 1)])
    assert np.exp(value[:3]) == pytest.approx(worn)


def test_the_length_is_that_of_the_worn_loop(make_tube: Callable[..., Block]) -> None:
    block = make_tube()
    legs = np.array([[0.0, 80.0], [0.0, -80.0]])
    one = model(legs=legs, loop=170.0)
    value, _ = one.stretches(np.zeros(6))
    mean = float(one.sizes.held_strain.mean())
    strain = loop_length_strain(block, 170.0, mean)
    assert strain is not None
    assert np.expm1(value[3]) == pytest.approx(strain, abs=1e-12)


def test_the_whole_fit_against_scipy() -> None:
    """The bent model, several marks at each place, one open line."""
    rng = np.random.default_rng(11)
    one = model()
    row = np.repeat(np.arange(4), 3)
    truth = PRIOR * rng.standard_normal(6)
    read = one.stretches(truth)[0][row] + 0.01 * rng.standard_normal(12)
    fit = fit_toile(one, marks(read, row), PRIOR)
    assert fit.found.wrong == ()

    def rows(x: Floats) -> Floats:
        away = (read - one.stretches(x)[0][row]) / 0.01
        return np.concatenate([away, -x / PRIOR])

    done = optimize.least_squares(rows, np.zeros(6), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert fit.unknowns == pytest.approx(done.x, abs=1e-7)
    sd = np.sqrt(np.diag(np.linalg.inv(done.jac.T @ done.jac)))
    assert fit.found.fit.sd == pytest.approx(sd, rel=1e-4)


@given(length=st.floats(0.2, 5.0), seed=st.integers(0, 1000))
@settings(max_examples=30, deadline=None)
def test_a_larger_wearer_with_a_larger_toile_is_the_same(
    length: float, seed: int
) -> None:
    row = np.repeat(np.arange(4), 2)
    read = model().stretches(np.zeros(6))[0][row]
    read = read + 0.01 * np.random.default_rng(seed).standard_normal(8)
    fits = [fit_toile(model(scale), marks(read, row), PRIOR) for scale in (1.0, length)]
    assert fits[0].unknowns == pytest.approx(fits[1].unknowns, abs=1e-10)


@given(factor=st.floats(0.1, 10.0), seed=st.integers(0, 1000))
@settings(max_examples=30, deadline=None)
def test_only_the_spreads_against_each_other_count(factor: float, seed: int) -> None:
    """All spreads times a factor: the same unknowns, their sd times that factor."""
    row = np.repeat(np.arange(4), 2)
    read = model().stretches(np.zeros(6))[0][row]
    # Within the spread, so that no statement is given up with either factor.
    read = read + 0.0005 * np.random.default_rng(seed).standard_normal(8)
    plain = fit_toile(model(), marks(read, row), PRIOR)
    wide = fit_toile(model(), marks(read, row, 0.01 * factor), PRIOR * factor)
    assert wide.unknowns == pytest.approx(plain.unknowns, abs=1e-10)
    assert wide.found.fit.sd == pytest.approx(factor * plain.found.fit.sd)


def test_perfect_marks_change_nothing() -> None:
    row = np.repeat(np.arange(4), 2)
    fit = fit_toile(model(), marks(model().stretches(np.zeros(6))[0][row], row), PRIOR)
    assert np.abs(fit.unknowns).max() < 1e-12
    assert fit.found.first.misfit < 1e-20
    assert fit.widened == 1.0


def test_noisy_repeats_widen_the_tape_and_one_slip_does_not() -> None:
    group = np.repeat(np.arange(4), 4)
    calm = marks(np.tile([0.01, -0.01, 0.005, -0.005], 4), group)
    assert spread_factor(calm) == 1.0
    slip = calm.stretch.copy()
    slip[5] += 0.2
    assert spread_factor(marks(slip, group)) == 1.0
    noisy = marks(4.0 * calm.stretch, group)
    rest = noisy.stretch.reshape(4, 4)
    sums = ((rest - rest.mean(axis=1, keepdims=True)) ** 2).sum(axis=1) / 0.01**2
    left = np.sort(sums)[:3].sum()
    assert left > stats.chi2.ppf(0.99, 9)
    assert spread_factor(noisy) == pytest.approx(np.sqrt(left / 9))


def test_marks_without_repeats_keep_the_stated_spread() -> None:
    assert spread_factor(marks(np.array([0.1, 0.5, 0.9]), np.arange(3))) == 1.0
