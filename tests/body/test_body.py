from __future__ import annotations

import pytest

from ease.body.load import load_body
from ease.body.measures import Body, Filled
from ease.errors import BodyError, RefusedError

GIRTHS = {"bust": 92.0, "waist": 76.0, "hip": 100.0}


def test_values_are_frozen_and_in_the_order_of_the_keys() -> None:
    body = Body(name="b", values={"hip": 100, "bust": 92, "waist": 76})
    assert list(body.values) == ["bust", "waist", "hip"]
    with pytest.raises(TypeError):
        body.values["bust"] = 1.0  # type: ignore[index]  # that it cannot is tested


def test_girths_are_the_horizontal_ones() -> None:
    girths = load_body("demo").girths
    assert girths["bust"] == 88
    assert "torso_loop" not in girths
    assert "weight_kg" not in girths


def test_a_missing_measure_is_asked_for_by_name() -> None:
    with pytest.raises(RefusedError, match="has no thigh"):
        Body(name="b", values=GIRTHS)["thigh"]
    assert "thigh" not in Body(name="b", values=GIRTHS)


def test_impossible_values_are_all_named() -> None:
    with pytest.raises(BodyError) as caught:
        Body(
            name="b", values={"bust": 920, "waist": float("nan"), "hip": 100, "neck": 3}
        )
    places = [problem.where for problem in caught.value.problems]
    assert places == ["neck", "bust", "waist"]
    assert "given in mm" in str(caught.value)


def test_how_sure_a_measure_is() -> None:
    filled = {"hip": Filled(3.0, "bust", "none")}
    body = Body(name="b", values={**GIRTHS, "torso_loop": 155}, filled=filled)
    assert body.sd("hip") == 3.0
    assert body.sd("bust") == 0.5
    assert body.sd("torso_loop") == 1.0
    with pytest.raises(RefusedError, match="marked as filled in"):
        Body(name="b", values=GIRTHS, filled={"thigh": Filled(1, "hip", "x")})
