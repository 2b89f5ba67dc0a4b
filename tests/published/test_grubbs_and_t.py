"""Critical values of Grubbs's test and Student's t: handbook figures and SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from ease.fabric.profile import Estimate
from ease.fabric.statistics import (
    estimate,
    grubbs_critical,
    grubbs_statistic,
    interval,
    outlier_place,
    reading_step,
    t_quantile,
)

# n, Grubbs one-sided 0.05, two-sided 0.05, t 0.975, t 0.95, half-width / s; computed
# from the definitions with SciPy 1.17, four decimals.
TABLE = (
    (3, 1.1531, 1.1543, 4.3027, 2.9200, 2.4841),
    (4, 1.4625, 1.4813, 3.1824, 2.3534, 1.5912),
    (5, 1.6714, 1.7150, 2.7764, 2.1318, 1.2417),
    (6, 1.8221, 1.8871, 2.5706, 2.0150, 1.0494),
    (7, 1.9381, 2.0200, 2.4469, 1.9432, 0.9248),
    (8, 2.0317, 2.1266, 2.3646, 1.8946, 0.8360),
    (9, 2.1096, 2.2150, 2.3060, 1.8595, 0.7687),
    (10, 2.1761, 2.2900, 2.2622, 1.8331, 0.7154),
)


@pytest.mark.parametrize(("n", "one", "two", "t975", "t95", "half"), TABLE)
def test_table(
    n: int, one: float, two: float, t975: float, t95: float, half: float
) -> None:
    """Source keys: grubbs-1969, student-t. Tolerance: half of the last printed digit."""
    assert float(grubbs_critical(n, sides=1)) == pytest.approx(one, abs=0.00005)
    assert float(grubbs_critical(n)) == pytest.approx(two, abs=0.00005)
    assert float(t_quantile(0.975, n - 1)) == pytest.approx(t975, abs=0.00005)
    assert float(t_quantile(0.95, n - 1)) == pytest.approx(t95, abs=0.00005)
    ends = interval(Estimate(0.0, 1.0, n))
    assert ends is not None
    assert ends[1] == pytest.approx(half, abs=0.00005)


def test_grubbs_over_an_array_agrees_with_one_by_one() -> None:
    n = np.arange(3, 30)
    np.testing.assert_array_equal(
        grubbs_critical(n), [float(grubbs_critical(int(one))) for one in n]
    )


def test_a_false_alarm_comes_once_in_twenty() -> None:
    """The definition of the test, by 40 000 seeded samples of five normal readings."""
    samples = np.random.default_rng(7).normal(size=(40_000, 5))
    alarms = grubbs_statistic(samples) > grubbs_critical(5)
    # Three standard errors of a share of 0.05.
    assert alarms.mean() == pytest.approx(0.05, abs=3 * np.sqrt(0.05 * 0.95 / 40_000))


def test_with_three_repeats_g_cannot_exceed_its_ceiling() -> None:
    """2 / sqrt(3) = 1.1547: first principles; the limit 1.1543 is hardly ever passed."""
    assert float(grubbs_statistic([0.0, 0.0, 100.0])) == pytest.approx(2 / np.sqrt(3))
    assert outlier_place([0.5, 0.51, 0.6]) is None


def test_an_outlier_is_found_in_its_place() -> None:
    assert outlier_place([0.60, 0.61, 0.59, 0.80, 0.605]) == 3
    assert outlier_place([0.60, 0.61, 0.59, 0.40, 0.605]) == 3
    assert outlier_place([0.60, 0.62]) is None


def test_the_test_itself_knows_no_rule() -> None:
    """Three equal and another: |x - mean| = 3d/4, s = d/2, so G = 1.5 for any d."""
    for apart in (1e-3, 0.0625, 7.0):
        values = [4.0, 4.0, 4.0, 4.0 + apart]
        assert float(grubbs_statistic(values)) == pytest.approx(1.5)
        assert outlier_place(values) == 3


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([4.0625, 4.125], 1 / 16),
        ([4.0, 4.125, 4.25], 1 / 8),
        ([4.1, 4.3], 1 / 10),
        ([4.03, 4.125], 1 / 16),
    ],
)
def test_the_step_of_a_rule(values: list[float], step: float) -> None:
    found = reading_step(2.54 * np.array(values), 2.54 / np.array([16, 10, 8]))
    assert found == pytest.approx(2.54 * step)


@given(st.lists(st.floats(0.1, 2), min_size=2, max_size=12))
def test_interval_is_that_of_scipy(values: list[float]) -> None:
    if np.std(values) < 1e-9:
        return
    ours = interval(estimate(values))
    theirs = stats.t.interval(
        0.95, len(values) - 1, loc=np.mean(values), scale=stats.sem(values)
    )
    assert ours == pytest.approx(theirs, rel=1e-9)


def test_no_interval_from_one_repeat() -> None:
    one = estimate([0.6])
    assert one == Estimate(0.6, None, 1)
    assert interval(one) is None
