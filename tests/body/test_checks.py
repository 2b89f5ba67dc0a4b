from __future__ import annotations

import pytest

from ease.body.checks import check_body, percentile
from ease.body.equations import EQUATIONS
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.body.shipped import shipped_names

DEMO = dict(load_body("demo").values)


def _texts(**changes: float) -> list[str]:
    return [
        finding.text for finding in check_body(Body(name="b", values=DEMO | changes))
    ]


def test_the_demo_body_and_its_completion_have_no_findings() -> None:
    assert check_body(load_body("demo")) == ()
    assert check_body(complete(load_body("demo"))) == ()


@pytest.mark.parametrize(
    "name", [n for n in shipped_names() if n.startswith(("en", "us"))]
)
def test_no_size_of_a_table_is_impossible(name: str) -> None:
    found = check_body(complete(load_body(name)))
    assert not [finding for finding in found if finding.impossible]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"torso_loop": 125.0}, "torso_loop 125.0 cm does not agree with"),
        ({"nape_to_waist": 50.0, "torso_loop": 160.0}, "a tape was read 10 cm off"),
        ({"thigh": 75.0}, "thigh 75.0 cm does not agree with hip"),
        ({"neck_base": 29.0, "shoulder": 13.0}, "neck_base 29.0 cm does not agree"),
        ({"waist_to_hip": 26.0}, "waist_to_hip 26.0 cm must be less than body_rise"),
        ({"waist_to_hip": 30.0, "body_rise": 20.0}, "below the crotch"),
    ],
)  # fmt: skip
def test_slips_are_named(changes: dict[str, float], words: str) -> None:
    assert any(words in text for text in _texts(**changes))


def test_what_is_expected_holds_95_of_100_bodies() -> None:
    """The thigh from the hip alone, its published spread times 1.96."""
    (one,) = [e for e in EQUATIONS if e.target == "thigh" and e.inputs == ("hip",)]
    expected = one.constant + one.terms[0][1] * DEMO["hip"]
    told = f"let expect {expected:.1f} cm +- {1.96 * one.sd:.1f} cm in 95 of 100 bodies"
    assert any(told in text for text in _texts(thigh=75.0))


def test_swapped_fields_are_suggested() -> None:
    swapped = {
        "nape_to_waist": DEMO["back_width"] - 7,
        "back_width": DEMO["nape_to_waist"] + 9,
    }
    wrong = {
        "body_rise": DEMO["nape_to_waist"] - 5,
        "nape_to_waist": DEMO["body_rise"] + 4,
    }
    assert any("nape_to_waist" in text for text in _texts(**wrong))
    assert any("back_width" in text for text in _texts(**swapped))
    both = {"thigh": DEMO["neck_base"], "neck_base": DEMO["thigh"]}
    assert any("thigh and neck_base are swapped" in text for text in _texts(**both))


def test_a_rare_value_is_named_with_its_place() -> None:
    rare = Body(name="b", values={"bust": 140, "waist": 124, "hip": 142})
    texts = [finding.text for finding in check_body(rare)]
    assert any(
        text.startswith("bust 140.0 cm: more than any surveyed") for text in texts
    )
    small = Body(name="b", values={"bust": 76, "waist": 60, "hip": 84})
    texts = [finding.text for finding in check_body(small)]
    assert any("bust 76.0 cm: percentile 0.5" in text for text in texts)


def test_percentiles_run_through_the_quantiles() -> None:
    assert percentile("bust", 94.0) == 50
    assert percentile("bust", 60.0) == 0
    assert percentile("bust", 200.0) == 100
    assert percentile("underbust", 75.0) is None


def test_filled_in_values_are_not_judged() -> None:
    whole = complete(Body(name="b", values={"bust": 92, "waist": 76, "hip": 100}))
    assert check_body(whole) == ()
