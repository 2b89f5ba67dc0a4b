"""How sure a wear check is, against linear propagation by the ``uncertainties`` package."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat

from ease.fabric.profile import Fabric
from ease.fit.wear import Sizes
from ease.fit.wear_spread import wear_spread

Make = Callable[..., Fabric]
# 1000 samples give a 95 % half-width within about 6 % of the true one (2 sd of its own).
NEAR = 0.08


def sizes(**changes: Any) -> Sizes:
    usual: dict[str, Any] = {
        "body": np.array([88.0, 70.0]),
        "block": np.array([70.4, 60.0]),
        "share": np.array([1.0, 0.0]),
        "depth_ratio": np.array([1.0, 1.0]),
        "length_strain": 0.0,
    }
    return Sizes(**(usual | changes))


def test_strain_carries_the_tape(make_fabric: Make) -> None:
    found = wear_spread(
        make_fabric({"stretch": 0.8}), "along", sizes(), np.array([0.5, 1.0]), 0.0, 1
    )
    for interval, body, cut, sd in zip(
        found.strain, (88.0, 70.0), (70.4, 60.0), (0.5, 1.0), strict=True
    ):
        exact = ufloat(body, sd) / cut - 1
        assert interval.half == pytest.approx(1.96 * exact.s, rel=NEAR)
        assert interval.low < exact.n < interval.high
    assert found.pressure == ()
    assert found.pull is None


def test_pressure_carries_tape_and_load_test(make_fabric: Make) -> None:
    """T = E e with one repeat, 5 %; P = T / R on a round body, no contraction."""
    cloth = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}
    fabric = make_fabric(cloth, cloth)
    found = wear_spread(fabric, "along", sizes(), np.array([0.5, 0.5]), 0.0, 1)
    body, scale = ufloat(88.0, 0.5), ufloat(1.0, 0.05)
    # Contraction was read once: clipped at 0, its 4 points make the cloth stiffer only,
    # through 1 / (1 - nu^2), by far less than the rest.
    exact = 250 * scale * (body / 70.4 - 1) / (body / 100 / (2 * pi)) / 1000
    assert found.pressure[0].half == pytest.approx(1.96 * exact.s, rel=NEAR)
    assert found.side[0].low < exact.n < found.side[0].high


def test_a_level_that_is_cut_through_presses_nowhere(make_fabric: Make) -> None:
    cloth = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}
    found = wear_spread(
        make_fabric(cloth, cloth), "along", sizes(), np.full(2, 0.5), 0.0, 1
    )
    assert (found.pressure[1].low, found.pressure[1].high) == (0.0, 0.0)


def test_the_same_question_gives_the_same_answer(make_fabric: Make) -> None:
    cloth = {"stretch": 1.0, "load": 250.0, "contraction": 0.3}
    fabric, sd = make_fabric(cloth, cloth), np.full(2, 0.5)
    once, again = (wear_spread(fabric, "along", sizes(), sd, 0.01, 1) for _ in range(2))
    assert once == again
