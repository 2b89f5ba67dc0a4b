from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.body.dictionary import KEYS, MEASURES
from ease.body.equations import EQUATIONS
from ease.body.fill_in import complete, fill_in
from ease.body.load import load_body
from ease.body.measures import Body
from ease.errors import BodyError, RefusedError
from ease.sentence import in_units
from ease.units import length_text

GIRTHS = {"bust": 92.0, "waist": 76.0, "hip": 100.0}


def test_hand_worked_values() -> None:
    # 13.55 + 0.4602 x 168 + 0.2763 x 92 + 0.4044 x 100 = 156.7 (a printed check value
    # of the same regressions for bust 92, stature 168 is 156.7, thigh 60.2, neck 37.1).
    body = complete(Body(name="b", values={**GIRTHS, "stature": 168}))
    assert body["torso_loop"] == pytest.approx(156.7, abs=0.05)
    assert body["thigh"] == pytest.approx(60.2, abs=0.05)
    assert body["neck_base"] == pytest.approx(37.1, abs=0.05)
    assert body["crotch_length"] == pytest.approx(70.7, abs=0.06)
    assert body.sd("torso_loop") == 3.6


def test_given_values_stay_and_are_not_marked() -> None:
    demo = load_body("demo")
    whole = complete(demo)
    assert dict(whole.values) == dict(demo.values)
    assert not whole.filled
    assert not whole.notes


def test_a_filled_in_loop_is_loud_and_a_given_one_is_not() -> None:
    loud = complete(Body(name="b", values=GIRTHS))
    assert any("TORSO LOOP WAS NOT MEASURED" in note for note in loud.notes)
    quiet = complete(Body(name="b", values={**GIRTHS, "torso_loop": 155}))
    assert not any("TORSO LOOP" in note for note in quiet.notes)
    assert quiet.filled["stature"].basis == "torso_loop, bust, hip"


def test_spread_of_filled_in_inputs_is_carried_on() -> None:
    # nape_to_waist = 6.05 + 0.1963 stature, stature itself 131.66 - 0.023 b + 0.3257 h.
    body = complete(Body(name="b", values=GIRTHS))
    wanted = np.hypot(1.8, 0.1963 * 5.9)
    assert body.sd("nape_to_waist") == pytest.approx(wanted, abs=0.005)


def test_the_best_equation_whose_inputs_are_measured_is_used() -> None:
    some = {**GIRTHS, "stature": 168, "nape_to_waist": 40, "crotch_length": 70}
    assert complete(Body(name="b", values=some)).sd("torso_loop") == 2.9
    del some["nape_to_waist"]
    assert complete(Body(name="b", values=some)).sd("torso_loop") == 3.6


def test_bust_and_hip_are_never_filled_in() -> None:
    assert not {"bust", "waist", "hip"} & {equation.target for equation in EQUATIONS}
    with pytest.raises(BodyError, match="hip: is missing"):
        Body(name="b", values={"bust": 92, "waist": 76})
    with pytest.raises(RefusedError, match="hip is missing"):
        fill_in({"bust": [92], "waist": [76], "hip": [np.nan]})


def test_completing_twice_changes_nothing() -> None:
    once = complete(Body(name="b", values=GIRTHS))
    twice = complete(once)
    assert dict(twice.values) == dict(once.values)
    assert dict(twice.filled) == dict(once.filled)


@given(
    bust=st.floats(75, 125),
    hip=st.floats(80, 134),
    stature=st.floats(141, 183) | st.none(),
    loop=st.floats(134, 180) | st.none(),
)
def test_columns_agree_with_one_body_at_a_time(
    bust: float, hip: float, stature: float | None, loop: float | None
) -> None:
    values = {"bust": bust, "waist": 0.8 * bust, "hip": hip}
    optional = {"stature": stature, "torso_loop": loop}
    values |= {key: value for key, value in optional.items() if value is not None}
    whole = complete(Body(name="b", values=values))
    columns = {key: [90.0, value] for key, value in values.items()}
    filled = fill_in(columns)
    for key in whole.values:
        assert filled.values[key][1] == pytest.approx(whole[key], abs=1e-9)
    assert np.isfinite(list(filled.values.values())).all()


def test_every_equation_names_known_measures() -> None:
    for equation in EQUATIONS:
        assert equation.target in KEYS
        assert set(equation.inputs) <= set(KEYS)
        assert equation.sd > 0
    assert all(measure.definition and measure.how for measure in MEASURES.values())


def test_outside_the_fitted_range_is_said() -> None:
    whole = complete(Body(name="b", values={"bust": 140, "waist": 124, "hip": 142}))
    (said,) = [note for note in whole.notes if note.startswith("bust")]
    assert said.startswith("bust 140.0 cm lies outside 75.0 to 125.0 cm,")
    # 140, 75 and 125 cm over 2.54, to the nearest eighth.
    assert in_units(said, "in").startswith(
        "bust 55 1/8 in lies outside 29 1/2 to 49 1/4"
    )


def test_a_loop_that_was_filled_in_is_told_in_either_unit() -> None:
    whole = complete(Body(name="b", values={"bust": 92, "waist": 76, "hip": 100}))
    (said,) = [note for note in whole.notes if note.startswith("THE TORSO LOOP")]
    loop = whole["torso_loop"]
    # 1.96 standard deviations to either side hold 95 % of a normal spread.
    half = 1.96 * whole.filled["torso_loop"].sd
    assert (
        f"filled in as {loop:.1f} +- {half:.1f} cm ({100 * half / loop:.1f} %" in said
    )
    assert "holds 95 of 100 bodies" in said
    inches = in_units(said, "in")
    told = f"{length_text(loop, 'in')} +- {length_text(half, 'in')} in"
    assert f"filled in as {told}" in inches
    assert "cm" not in inches
