"""A fixed amount against a factor over sizes, worked again by hand."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.body.load import load_body
from ease.body.measures import Body
from ease.errors import UsageError
from ease.fabric.profile import Fabric
from ease.fabric.store import load_fabric
from ease.fit.decide import Reduction, decide
from ease.fit.size_run import SIZES, size_run

Make = Callable[..., Fabric]
MARIT = Body(name="invented", values={"bust": 88.0, "waist": 70.0, "hip": 96.0})
STRAIGHT: dict[str, Any] = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}


@pytest.fixture(scope="module")
def firm() -> Reduction:
    return decide(load_fabric("firm-tricot"), load_body("demo"))


def test_the_sizes_run_from_76_to_128() -> None:
    assert (SIZES[0], SIZES[-1]) == (76, 128)
    # Steps of 4 cm, then of 6. Source key: en-13402-3.
    assert np.diff(SIZES).tolist() == [4] * 7 + [6] * 4


def test_one_amount_one_factor(firm: Reduction) -> None:
    run = size_run(firm, 4.0)
    bust = np.array(SIZES)
    np.testing.assert_allclose(run.fixed_cut, bust - 16)
    np.testing.assert_allclose(run.fixed_strain, 16 / (bust - 16))
    np.testing.assert_allclose(run.factor_cut, bust * firm.girth.factor)
    assert run.factor_strain == pytest.approx(firm.girth.strain)


@given(fixed=st.floats(0.5, 12.0))
def test_the_smaller_the_size_the_more_it_is_stretched(fixed: float) -> None:
    reduction = decide(load_fabric("firm-tricot"), load_body("demo"))
    run = size_run(reduction, fixed)
    assert (np.diff(run.fixed_strain) < 0).all()
    # They agree where four quarters are what the factor takes off.
    agree = 4 * fixed / (1 - run.factor)
    more = run.fixed_strain > run.factor_strain
    np.testing.assert_array_equal(more, run.bust < agree)


def test_pressures_by_hand_for_a_straight_cloth(make_fabric: Make) -> None:
    found = decide(make_fabric(STRAIGHT, STRAIGHT), MARIT)
    run = size_run(found, 4.0)
    assert run.fixed_pressure is not None
    assert run.factor_pressure is not None
    worn = 1 + found.length.strain
    for strain, pressure in (
        (run.fixed_strain, run.fixed_pressure),
        (found.girth.strain, run.factor_pressure),
    ):
        expected = 2 * pi * 250 * strain / (run.bust / 100) / worn / 1000
        np.testing.assert_allclose(pressure, expected)
    # A fixed amount loses twice: strain falls, and pressure falls with the girth.
    lost = run.fixed_pressure[-1] / run.fixed_pressure[0]
    assert lost < run.factor_pressure[-1] / run.factor_pressure[0]


def test_the_decided_strain_of_each_size_is_that_of_its_own_body(
    make_fabric: Make,
) -> None:
    fabric = make_fabric(STRAIGHT | {"growth": 0.03}, STRAIGHT)
    run = size_run(decide(fabric, MARIT), 4.0)
    for index in (0, 6, 11):
        bust = run.bust[index]
        values = {key: size * bust / 88 for key, size in MARIT.values.items()}
        alone = decide(fabric, Body(name="alone", values=values)).girth
        assert alone.low is not None
        assert alone.high is not None
        assert run.decided[index] == pytest.approx(alone.strain, abs=1e-9)
        assert run.low[index] == pytest.approx(alone.low.strain, abs=1e-9)
        assert run.high[index] == pytest.approx(alone.high.strain, abs=1e-9)


def test_small_sizes_are_tight_and_large_ones_loose(firm: Reduction) -> None:
    run = size_run(firm, 4.0)
    assert run.fixed_pressure is not None
    for strain, high, low, kpa, hold, beyond in zip(
        run.fixed_strain,
        run.high,
        run.low,
        run.fixed_pressure,
        run.hold,
        run.beyond,
        strict=True,
    ):
        expected = ""
        if strain < low or kpa < 0.20:
            expected = "loose"
        if strain > high or kpa > 0.60:
            expected = "tight"
        assert hold == expected
        assert bool(beyond) == (strain > high or strain < low)
    assert run.hold[0] == "tight"
    assert run.hold[-1] == "loose"
    assert run.beyond[0] == "room to move"


def test_too_little_falls_below_the_window(firm: Reduction) -> None:
    run = size_run(firm, 0.4)
    assert set(run.hold) == {"loose"}
    assert set(run.beyond) <= {"wet growth", "least pressure"}


def test_by_share_of_the_stretch_without_a_load_test(make_fabric: Make) -> None:
    run = size_run(decide(make_fabric({"stretch": 0.9}), MARIT), 2.5)
    assert run.fixed_pressure is None
    assert run.factor_pressure is None
    # Easy is a sixth of the stretch, 15 %; firm a third of it, 29.7 %; room to move
    # ends at (1 + 0.45) / 1.15 - 1 = 26.1 %.
    strains = 10 / (np.array(SIZES) - 10)
    expected = ["loose" if strain < 0.15 else "" for strain in strains]
    assert list(run.hold) == expected
    assert {"loose", ""} == set(expected)


def test_past_the_load_test_there_is_no_pressure(make_fabric: Make) -> None:
    short = STRAIGHT | {"tested": 0.3}
    run = size_run(decide(make_fabric(short, STRAIGHT), MARIT, round_body="along"), 5.0)
    assert run.fixed_pressure is not None
    np.testing.assert_array_equal(np.isnan(run.fixed_pressure), run.fixed_strain > 0.3)
    assert np.isnan(run.fixed_pressure).any()
    assert run.hold[0] == "tight"


@pytest.mark.parametrize("fixed", [0.0, -1.0, 19.0, 50.0, float("nan"), float("inf")])
def test_an_amount_that_no_size_can_lose_is_refused(
    firm: Reduction, fixed: float
) -> None:
    with pytest.raises(UsageError, match=r"above 0 and below 19 cm"):
        size_run(firm, fixed)


def test_a_hold_that_the_factor_itself_misses_judges_nothing(make_fabric: Make) -> None:
    """Room to move stops soft cloth at 21.7 %: 2 pi 21.7 / 0.88 is less than 0.2 kPa."""
    soft = STRAIGHT | {"stretch": 0.8, "load": 100.0}
    run = size_run(decide(make_fabric(soft, soft), MARIT), 4.0)
    assert run.factor_strain == pytest.approx(1.4 / 1.15 - 1)
    assert run.factor_pressure is not None
    assert (run.factor_pressure < 0.2).any()
    for i in np.flatnonzero(run.factor_pressure < 0.2):
        within = run.low[i] <= run.fixed_strain[i] <= run.high[i]
        assert (run.hold[i] == "") is bool(within)
