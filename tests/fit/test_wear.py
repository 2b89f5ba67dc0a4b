"""Loads of a garment on a body, level by level, by formulas of their own."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pytest
from scipy.special import ellipe

from ease.errors import RefusedError
from ease.fabric.profile import Fabric
from ease.fit.membrane import Membrane
from ease.fit.wear import Sizes, loads, reach, wear_states

Make = Callable[..., Fabric]
DOWN = ([0.05, 1.0], [0.0, 250.0])
PLAIN: dict[str, Any] = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}


def sizes(**other: Any) -> Sizes:
    given: dict[str, Any] = {
        "body": np.array([88.0, 70.0, 96.0]),
        "block": np.array([70.4, 60.0, 80.0]),
        "share": np.array([1.0, 5 / 12, 0.0]),
        "depth_ratio": np.array([0.9, 0.7, 0.65]),
        "length_strain": 0.05,
    }
    return Sizes(**{**given, **other})


def membrane(make: Make, **more: Any) -> Membrane:
    return Membrane.from_fabric(make(PLAIN | more, PLAIN | more), "along")


def test_strain_is_body_over_block() -> None:
    assert sizes().strain == pytest.approx([0.25, 1 / 6, 0.2])
    # Cut open in part it holds 5/12 of the 25 % beside it, which is 5/48.
    assert sizes().held_strain == pytest.approx([0.25, 5 / 48, 0.0])


def test_a_line_cut_for_what_its_loop_holds_holds_all_of_it() -> None:
    """12 % off at the closed level, 5 % of it kept at the open one."""
    cut = Sizes(
        body=np.array([88.0, 70.0]),
        block=np.array([88.0 * 0.88, 70.0 * 0.95]),
        share=np.array([1.0, 5 / 12]),
        depth_ratio=np.ones(2),
        length_strain=0.0,
    )
    assert cut.held_strain == pytest.approx([1 / 0.88 - 1, 1 / 0.95 - 1])


def test_tension_and_pressure_by_laplace_on_the_worn_length(make_fabric: Make) -> None:
    """T = 250 e; mean T / ((1 + ev) R); side by b^2/a. Source key: laplace-bandage."""
    worn = loads(membrane(make_fabric), sizes())
    held = np.array([0.25, 5 / 48, 0.0])
    np.testing.assert_allclose(worn.tension, 250 * held, atol=1e-9)
    radius = np.array([0.88, 0.70, 0.96]) / (2 * pi)
    mean = 250 * held / (1.05 * radius) / 1000
    np.testing.assert_allclose(worn.pressure, mean, atol=1e-12)
    for i, ratio in enumerate((0.9, 0.7, 0.65)):
        mean_radius = 4 * float(ellipe(1 - ratio**2)) / (2 * pi)
        assert worn.side[i] == pytest.approx(mean[i] * mean_radius / ratio**2)
    np.testing.assert_allclose(worn.down, 250 * 0.05)


def test_pull_is_the_relaxed_girth_times_the_tension_down(make_fabric: Make) -> None:
    worn = loads(membrane(make_fabric), sizes())
    assert worn.pull(1, 60.0) == pytest.approx(12.5 * 0.60)
    slack = loads(membrane(make_fabric), sizes(length_strain=-0.1))
    assert slack.pull(1, 60.0) == 0


def test_a_line_cut_open_presses_nowhere_however_much_it_is_stretched(
    make_fabric: Make,
) -> None:
    coupled = membrane(make_fabric, contraction=0.3)
    worn = loads(coupled, sizes(share=np.zeros(3)))
    assert worn.tension.tolist() == [0, 0, 0]
    assert worn.side.tolist() == [0, 0, 0]


def test_loose_cloth_does_not_push(make_fabric: Make) -> None:
    loose = sizes(block=np.array([90.0, 80.0, 100.0]), share=np.ones(3))
    worn = loads(membrane(make_fabric), loose)
    assert worn.tension.tolist() == [0, 0, 0]
    assert worn.pressure.tolist() == [0, 0, 0]


def test_past_the_load_test_nothing_is_told(make_fabric: Make) -> None:
    tight = sizes(block=np.array([40.0, 60.0, 80.0]), share=np.ones(3))
    worn = loads(membrane(make_fabric), tight)
    assert np.isnan(worn.side).tolist() == [True, False, False]
    assert np.isnan(worn.pressure).tolist() == [True, False, False]


def test_states_follow_what_was_tested(make_fabric: Make) -> None:
    bare = wear_states(membrane(make_fabric), sizes())
    assert set(bare) == {"now"}
    grown = wear_states(membrane(make_fabric, growth=0.04), sizes())
    assert {state: len(ends) for state, ends in grown.items()} == {
        "now": 1,
        "after_hour": 1,
    }
    full = wear_states(
        membrane(make_fabric, growth=0.04, wet_growth=0.06, down=DOWN), sizes()
    )
    assert {state: len(ends) for state, ends in full.items()} == {
        "now": 1,
        "after_hour": 2,
        "wet": 1,
    }


def test_rested_and_wet_cloth_pull_from_the_grown_length(make_fabric: Make) -> None:
    """T = 250 ((1 + e)/(1 + growth) - 1); the down branch is a line from its set."""
    full = wear_states(
        membrane(make_fabric, growth=0.04, wet_growth=0.06, down=DOWN), sizes()
    )
    unloading, rested = full["after_hour"]
    assert rested.tension[0] == pytest.approx(250 * (1.25 / 1.04 - 1))
    assert full["wet"][0].tension[0] == pytest.approx(250 * (1.25 / 1.06 - 1))
    assert unloading.tension[0] == pytest.approx(250 * (0.25 - 0.05) / 0.95)
    assert full["now"][0].tension[0] == pytest.approx(62.5)


def test_reach_is_the_fully_stretched_girth() -> None:
    np.testing.assert_allclose(reach(np.array([60.0, 80.0]), 0.5), [90, 120])


def test_impossible_girths_are_refused() -> None:
    with pytest.raises(RefusedError, match="must be above 0 cm"):
        sizes(block=np.array([70.0, 0.0, 80.0]))


@pytest.mark.parametrize("contraction", [0.2, 0.3, 0.35])
def test_loose_cloth_presses_no_more_after_an_hour_than_just_put_on(
    make_fabric: Make, contraction: float
) -> None:
    """Below its set it is flat in energy, and still as narrow as its pull makes it."""
    along = PLAIN | {"down": ([0.1, 1.0], [0.0, 250.0])}
    across = PLAIN | {"load": 120.0, "down": ([0.08, 1.0], [0.0, 120.0])}
    ratios = {"contraction": contraction}, {"contraction": contraction / 2}
    fabric = make_fabric(along | ratios[0], across | ratios[1])
    cloth = Membrane.from_fabric(fabric, "along")
    hour = cloth.in_state("unloading")
    assert np.isnan(hour.girth_strain(0.0, 0.05, outside="nan"))
    assert hour.free_girth(0.05) == pytest.approx(cloth.girth_strain(0.0, 0.05))
    loose = sizes(block=np.array([88.0, 70.0, 96.0]) * 1.02, share=np.ones(3))
    for ends in wear_states(cloth, loose)["after_hour"]:
        assert ends.tension == pytest.approx([0.0] * 3, abs=1e-12)
        assert ends.side == pytest.approx([0.0] * 3, abs=1e-15)
