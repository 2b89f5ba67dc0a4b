"""The numbers of the lesson, each worked again by hand."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.decide import decide
from ease.fit.lesson import (
    TwoCuts,
    falling_pressure,
    grown_states,
    pulled_strips,
)

Make = Callable[..., Fabric]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "thigh": 57.5, "torso_loop": 155},
)
CLOTH: dict[str, Any] = {
    "stretch": 0.8,
    "load": 250.0,
    "contraction": 0.0,
    "growth": 0.02,
    "wet_growth": 0.03,
}


def test_strips_give_the_means_on_the_gauge(make_fabric: Make) -> None:
    found = decide(make_fabric(CLOTH, {"stretch": 0.6}), MARIT)
    first, second = pulled_strips(found)
    assert (first.cloth, first.goes) == ("along", "round")
    assert (second.cloth, second.goes) == ("across", "down")
    assert first.reading.extended == pytest.approx(18.0)
    assert first.reading.rested == pytest.approx(10.2)
    assert first.reading.stretch == pytest.approx(0.8)
    # (18.0 - 10.2) / (18.0 - 10.0), and 1 - 0.02: two numbers.
    assert first.reading.recovery == pytest.approx(7.8 / 8.0)
    assert first.reading.recovered_elongation == pytest.approx(0.98)
    assert first.wet_growth == 0.03
    assert second.reading.rested is None
    assert second.wet_growth is None
    inches = pulled_strips(found, 12.7)[0].reading
    assert inches.gauge == 12.7
    assert inches.extended == pytest.approx(22.86)


def test_one_tested_direction_is_one_strip(make_fabric: Make) -> None:
    found = decide(make_fabric({"stretch": 0.8}), MARIT)
    assert [strip.cloth for strip in pulled_strips(found)] == ["along"]
    assert [state.state for state in grown_states(found)] == ["new"]


@given(body=st.floats(40, 150), strain=st.floats(0.01, 0.9))
def test_right_and_wrong_cut(body: float, strain: float) -> None:
    cuts = TwoCuts(body, strain)
    assert body / cuts.right_cm - 1 == pytest.approx(strain)
    assert body * (1 - cuts.reduction) == pytest.approx(cuts.right_cm)
    assert body / cuts.wrong_cm - 1 == pytest.approx(cuts.wrong_strain)
    assert cuts.wrong_cm < cuts.right_cm
    assert cuts.reduction < strain < cuts.wrong_strain


def test_a_body_size_suit_grows_past_the_body(make_fabric: Make) -> None:
    found = decide(make_fabric(CLOTH, {"stretch": 0.6, "growth": 0.018}), MARIT)
    new, grown, wet = grown_states(found)
    assert (new.strain, new.round, new.down) == (0, 0, 0)
    assert grown.strain == pytest.approx(1 / 1.02 - 1)
    assert grown.down == 0.018
    assert wet.strain == pytest.approx(1 / 1.03 - 1)
    assert wet.down is None
    # Every state lies below the window.
    assert found.girth.low is not None
    assert all(one.strain < found.girth.low.strain for one in (new, grown, wet))


def test_pressure_falls_as_one_over_girth(make_fabric: Make) -> None:
    found = decide(make_fabric(CLOTH, CLOTH), MARIT)
    falling = falling_pressure(found)
    assert falling.names == ("thigh", "waist", "bust", "hip", "large bust")
    np.testing.assert_allclose(falling.girth, [57.5, 70, 88, 96, 128])
    # Straight cloth without contraction: T = 250 e.
    tension = 250 * found.girth.strain
    assert falling.tension == pytest.approx(tension)
    assert falling.alone == pytest.approx(tension)
    worn = 1 + found.length.strain
    expected = 2 * pi * tension / (falling.girth / 100) / worn / 1000
    np.testing.assert_allclose(falling.pressure, expected)
    products = falling.pressure * falling.girth
    np.testing.assert_allclose(products, products[0])
    assert not falling.is_example


def test_without_a_load_test_the_tension_is_an_example(make_fabric: Make) -> None:
    falling = falling_pressure(decide(make_fabric({"stretch": 0.8}), MARIT))
    assert falling.is_example
    assert falling.alone is None
    assert (falling.tension, falling.length_strain) == (100.0, 0.0)
    at = falling.names.index("waist")
    # 100 N/m at 70 cm: 0.8976 kPa. Source key: laplace-bandage.
    assert falling.pressure[at] == pytest.approx(0.8976, abs=5e-5)


def test_a_body_without_a_thigh_has_no_row_for_it(make_fabric: Make) -> None:
    body = Body(name="b", values={"bust": 130.0, "waist": 110.0, "hip": 134.0})
    falling = falling_pressure(decide(make_fabric({"stretch": 0.8}), body))
    # A bust of 128 cm is no larger one beside this body's own 130.
    assert falling.names == ("waist", "bust", "hip")
