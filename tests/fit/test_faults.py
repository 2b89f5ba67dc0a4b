"""Which statements do not fit: with known faults, and with none."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from ease.fit.fault_sets import APART
from ease.fit.faults import search
from ease.fit.weighing import Fit, Statements, Sums, critical, weigh

Floats = NDArray[np.float64]


def linear(design: Floats, values: Floats, sd: float, prior: Floats) -> Statements:
    return Statements(
        lambda x: (design @ x, design), values, np.full(len(values), sd), prior
    )


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
    assert found.unclear == (((6,), (7,)),)
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


def test_a_sum_that_is_known_counts_as_a_reading_and_is_not_doubted() -> None:
    """Earlier readings of x + y are summed up; three new ones of y tell which it was."""
    stated = np.array([0.1, 0.12])
    known = Sums(np.ones((1, 2)), np.array([1.0]), np.array([0.02]))
    alone = replace(linear(np.empty((0, 2)), np.empty(0), 0.05, stated), sums=known)
    # As if read once with that spread.
    read = linear(np.ones((1, 2)), np.array([1.0]), 0.02, stated)
    assert weigh(alone).unknowns == pytest.approx(weigh(read).unknowns)
    assert weigh(alone).covariance == pytest.approx(weigh(read).covariance)
    assert search(alone).unclear == (((0,), (1,)),)
    for y, wrong in ((0.0, (3,)), (1.0, (4,))):
        design = np.array([[0.0, 1.0]] * 3)
        told = search(replace(linear(design, np.full(3, y), 0.05, stated), sums=known))
        assert (told.wrong, told.unclear) == (wrong, ())
        assert told.away[-1] == 0.0
        assert told.fit.unknowns == pytest.approx([1.0 - y, y], abs=0.03)


def test_one_reading_alone_cannot_be_told_from_what_it_reads() -> None:
    found = search(linear(np.ones((1, 1)), np.array([1.0]), 0.1, np.array([0.1])))
    assert found.wrong == ()
    assert found.unclear == (((0,), (1,)),)


Left = dict[tuple[int, ...], tuple[float, int, bool]]


def left_by(statements: Statements, size: int, limit: float) -> Left:
    """What each set of a size leaves: misfit, the row furthest away, is it in order."""
    left: Left = {}
    for out in combinations(range(statements.count), size):
        fit = weigh(statements, ~np.isin(range(statements.count), out))
        if np.linalg.matrix_rank(fit.covariance) == len(statements.prior_sd):
            away = np.abs(fit.away)
            left[out] = fit.misfit, int(away.argmax()), bool(away.max() <= limit)
    return left


def by_every_set(statements: Statements) -> tuple[set[int], set[int]]:
    """Wrong and unclear rows by trying every set of rows, the smallest first.

    Beside those that leave the rest in order stand those that fit as well but for a row
    that none of the first names. A row more must explain as much as a wrong one does.
    """
    first = weigh(statements)
    limit = critical(int((first.redundancy > 1e-6).sum()))
    chosen: Left = {}
    least = np.inf
    for size in range(statements.count - len(statements.prior_sd) + 1):
        left = left_by(statements, size, limit)
        now = min((one[0] for one in left.values() if one[2]), default=np.inf)
        if now + limit**2 < least:
            chosen, least = left, now
        elif chosen:
            break
        if chosen and not size:
            break
    near = {out: one for out, one in chosen.items() if one[0] < least + APART}
    told = {row for out, (_, _, fits) in near.items() if fits for row in out}
    named = [
        set(out)
        for out, (misfit, at, fits) in near.items()
        if fits or (at not in told and first.misfit - misfit > APART * len(out))
    ]
    wrong = named[0].intersection(*named)
    return wrong, set[int]().union(*named) - wrong


@given(
    seed=st.integers(0, 10_000),
    faults=st.lists(st.integers(0, 7), max_size=2, unique=True),
    size=st.floats(4.0, 15.0),
)
@settings(max_examples=60, deadline=None)
def test_the_rows_are_those_of_trying_every_set(
    seed: int, faults: list[int], size: float
) -> None:
    rng = np.random.default_rng(seed)
    design = rng.normal(size=(6, 2))
    values = design @ (truth := rng.normal(size=2)) + rng.normal(size=6)
    asked = linear(design, values, 1.0, np.array([1.0, 1.0]))
    shifted = [row for row in faults if row < 6]
    values[shifted] += size
    for row in set(faults) - set(shifted):
        values += design[:, row - 6] * (size - truth[row - 6])
    found = search(asked)
    wrong, unclear = by_every_set(asked)
    assert set(found.wrong) == wrong
    assert set(found.alone) == unclear


def test_what_explains_nothing_is_no_cause() -> None:
    """Two levels of three are larger; any one mark of them brings all under the limit.

    Three readings of each level, which has one unknown of its own and shares another:
    either the first and what is shared are off, or the other two.
    """
    design: Floats = np.repeat(np.eye(4)[:3], 3, axis=0)
    design[:, 3] = 1.0
    values = np.array([0.4, -0.6, -0.1, 2.8, 3.6, 3.2, 3.1, 2.7, 3.1])
    found = search(linear(design, values, 1.0, np.full(4, 0.5)))
    assert found.wrong == ()
    assert found.unclear == (((9, 12), (10, 11)),)


@pytest.mark.parametrize("around", [-0.06, -0.04, 0.05])
@pytest.mark.parametrize("down", [0.04, 0.05, 0.07, 0.09])
def test_a_second_fault_does_not_hide_what_explains_the_first(
    around: float, down: float
) -> None:
    """Two causes of each of two faults; one of them bears a little on the other fault."""
    design = np.array([[1.0, 1.0, 0.0, 0.0]] * 3 + [[0.0, -0.05, 1.0, 1.0]] * 3)
    values = np.repeat([around, down], 3)
    asked = linear(design, values, 0.01, np.array([0.008, 0.006, 0.006, 0.005]))
    # By the second cause alone of the first fault both could be: that is too far.
    found = search(replace(asked, farthest=0.1))
    assert found.wrong == ()
    assert found.unclear == (((6,), (7,)), ((8,), (9,)))
    assert found.fit.unknowns[:2].sum() == pytest.approx(around, abs=0.001)


def test_any_two_of_three_that_cannot_be_told_are_one_group() -> None:
    """Each reading is one unknown and the next; all three readings are off by as much."""
    design = np.array([[1.0, 1.0, 0.0], [0.0, 1.0, 1.0], [1.0, 0.0, 1.0]]).repeat(3, 0)
    found = search(linear(design, np.full(9, 1.0), 0.05, np.full(3, 0.1)))
    assert found.wrong == (9, 10, 11)  # the sum of two is told, and so is each
    design = np.array([[1.0, 1.0, 1.0]]).repeat(3, 0)
    found = search(linear(design, np.full(3, 1.0), 0.05, np.full(3, 0.1)))
    assert found.unclear == (((3,), (4,), (5,)),)


def test_two_together_or_two_others_are_told_as_that() -> None:
    """Three levels and their cloth: one more and all less, or the two others less."""
    design = np.column_stack([np.eye(3), np.ones(3)]).repeat(3, 0)
    values = np.array([0.01, -0.05, -0.05]).repeat(3)
    stated = np.array([0.006, 0.006, 0.006, 0.006])
    found = search(linear(design, values, 0.01, stated))
    assert found.wrong == ()
    assert found.unclear == (((9, 12), (10, 11)),)
