"""Limits that need no load test, each recomputed with a tape in hand."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from ease.errors import UsageError
from ease.fit.aims import AIMS, SWITCHES, Aim, Allowed, changed, choices
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.limits import girth_bounds, pull_bounds, room_to_move


def value(number: float) -> np.ndarray:
    return np.asarray(number)


CLOTH = ClothArrays(
    stretch_girth=value(0.80),
    stretch_length=value(0.50),
    growth_girth=value(0.03),
    growth_length=value(0.02),
    wet_growth_girth=value(0.05),
    wet_growth_length=value(np.nan),
    contraction=value(0.3),
)
BODY = BodyArrays(
    bust=value(88.0), waist=value(70.0), hip=value(96.0), shoulder_girth=value(105.0)
)


def test_at_the_growth_limit_the_grown_cut_is_the_body() -> None:
    bounds = girth_bounds(CLOTH, BODY, Allowed())
    for key, growth in (("growth", 0.03), ("wet_growth", 0.05)):
        cut = 88.0 / (1 + float(bounds.low[key]))
        assert cut * (1 + growth) == pytest.approx(88.0)


def test_at_the_room_limit_movement_uses_the_usable_stretch() -> None:
    allowed = Allowed(usable_share=0.6, girth_move=0.1, length_move=0.2)
    round_ = float(girth_bounds(CLOTH, BODY, allowed).high["room_to_move"])
    assert (1 + round_) * 1.1 == pytest.approx(1 + 0.6 * 0.80)
    down = float(
        pull_bounds(CLOTH, allowed, value(0.2), value(0.94)).high["room_to_move"]
    )
    assert (1 + down) * 1.2 == pytest.approx(1 + 0.6 * 0.50)


@pytest.mark.parametrize(("over_head", "passed"), [(False, 96.0), (True, 105.0)])
def test_at_the_limit_of_going_on_the_cut_waist_just_passes(
    over_head: bool, passed: float
) -> None:
    allowed = Allowed(over_head=over_head)
    strain = float(girth_bounds(CLOTH, BODY, allowed).high["goes_on"])
    cut_waist = 70.0 / (1 + strain)
    assert cut_waist * 1.80 == pytest.approx(passed)


def test_a_body_narrower_on_the_way_than_in_place_still_has_to_get_in() -> None:
    """Bust 110 over hips 90: the hips pass easily, the bust needs its own stretch."""
    body = replace(BODY, bust=value(110.0), waist=value(100.0), hip=value(90.0))
    strain = float(girth_bounds(CLOTH, body, Allowed()).high["goes_on"])
    assert 110.0 / (1 + strain) * 1.80 == pytest.approx(110.0)


def test_a_bust_part_comes_up_over_a_waist_wider_than_the_hips() -> None:
    """Waist 112 over hips 106: the bust part, cut 104 / (1 + e), must pass 112."""
    body = replace(BODY, bust=value(104.0), waist=value(112.0), hip=value(106.0))
    strain = float(girth_bounds(CLOTH, body, Allowed()).high["goes_on"])
    assert 104.0 / (1 + strain) * 1.80 == pytest.approx(112.0)


def test_over_head_the_hip_part_comes_down_over_all_above() -> None:
    """Hips of 84 under shoulders of 120 and a bust of 110: the hips are narrowest."""
    allowed = Allowed(over_head=True)
    body = replace(
        BODY,
        bust=value(110.0),
        waist=value(90.0),
        hip=value(84.0),
        shoulder_girth=value(120.0),
    )
    strain = float(girth_bounds(CLOTH, body, allowed).high["goes_on"])
    assert 84.0 / (1 + strain) * 1.80 == pytest.approx(120.0)


def test_what_opens_passes_nothing() -> None:
    bounds = girth_bounds(CLOTH, BODY, Allowed(opens=True))
    assert list(bounds.high) == ["room_to_move"]


def test_unread_wet_growth_and_unknown_shoulders_set_no_limit() -> None:
    assert np.isnan(
        pull_bounds(CLOTH, Allowed(), value(0.2), value(0.94)).low["wet_growth"]
    )
    body = replace(BODY, shoulder_girth=value(np.nan))
    high = girth_bounds(CLOTH, body, Allowed(over_head=True)).high
    assert np.isnan(high["goes_on"])


def test_limits_work_on_many_bodies_and_cloths_at_once() -> None:
    body = replace(BODY, waist=np.array([60.0, 70.0, 80.0]))
    cloth = replace(CLOTH, stretch_girth=np.array([[0.5], [1.0]]))
    high = girth_bounds(cloth, body, Allowed()).high["goes_on"]
    expected = [[1.5 * w / 96 - 1 for w in (60, 70, 80)]]
    expected.append([2.0 * w / 96 - 1 for w in (60, 70, 80)])
    np.testing.assert_allclose(high, expected)


def test_worn_strain_without_movement_is_the_usable_stretch() -> None:
    assert float(room_to_move(value(0.8), 0.5, 0.0)) == pytest.approx(0.4)


@pytest.mark.parametrize(
    "wrong",
    [
        {"usable_share": 0.0},
        {"usable_share": 1.2},
        {"girth_move": -0.1},
        {"most_pull_n": float("nan")},
        {"least_pressure_kpa": float("inf")},
    ],
)
def test_senseless_limits_are_refused_by_name(wrong: dict[str, Any]) -> None:
    with pytest.raises(UsageError, match=next(iter(wrong))) as caught:
        Allowed(**wrong)
    assert caught.value.exit_code == 2


@pytest.mark.parametrize(
    "numbers", [(0.0, 10, 0.2, 0.1), (0.3, -1, 0.2, 0.1), (0.3, 10, 1.2, 0.1)]
)
def test_senseless_aims_are_refused(numbers: tuple[float, ...]) -> None:
    with pytest.raises(UsageError, match="the aim "):
        Aim("own", *numbers)


def test_aims_rise_and_lie_in_the_published_groups() -> None:
    """Locally 0.4 to 1.3 kPa is comfortable all day. Source key: pressure-groups."""
    pressures = [AIMS[name].pressure_kpa for name in ("easy", "regular", "firm")]
    pulls = [AIMS[name].pull_n for name in ("easy", "regular", "firm")]
    assert pressures == sorted(pressures)
    assert pulls == sorted(pulls)
    # An oval body has up to twice the mean at its side.
    assert 2 * pressures[-1] <= Allowed().most_side_pressure_kpa <= 1.3


def test_every_choice_has_its_number_and_a_reason() -> None:
    table = {choice.name: choice for choice in choices(Allowed(usable_share=0.4))}
    assert table["usable share of the stretch"].value == "40 %"
    assert {choice.setting for choice in table.values()} >= {
        item.name
        for record in (Aim, Allowed)
        for item in fields(record)
        if item.name not in ("name", *SWITCHES)
    }
    for choice in table.values():
        assert any(digit.isdigit() for digit in choice.value)
        assert len(choice.reason) > 15


def test_the_unit_of_every_setting_is_the_one_its_name_ends_in() -> None:
    units = {"kpa": " kPa", "n": " N", "share": " %", "move": " %"}
    for choice in choices():
        if choice.setting != "(fixed)":
            # An ending that is not here has no unit: name it in both places.
            assert choice.value.endswith(units[choice.setting.rpartition("_")[2]])


def test_numbers_are_changed_by_name_and_the_aim_says_so() -> None:
    aim, allowed = changed(
        AIMS["regular"], Allowed(), {"pressure_kpa": 0.5, "most_pull_n": 12.0}
    )
    regular = AIMS["regular"]
    assert aim == replace(regular, name="regular, changed", pressure_kpa=0.5)
    assert aim.pull_n == regular.pull_n
    assert allowed == Allowed(most_pull_n=12.0)
    same, _ = changed(AIMS["firm"], Allowed(), {"girth_move": 0.1})
    assert same is AIMS["firm"]


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ({"pressure": 0.5}, "'pressure' is no aim or limit; did you mean pressure_kpa"),
        ({"over_head": 1.0}, "'over_head' is no aim or limit"),
        ({"name": 1.0}, "'name' is no aim or limit"),
        ({"pull_n": -2.0}, "the aim pull_n must be above 0"),
        ({"usable_share": 3.0}, "usable_share must lie above 0 and up to 1"),
    ],
)
def test_unknown_names_and_senseless_numbers_are_refused(
    numbers: dict[str, float], said: str
) -> None:
    with pytest.raises(UsageError, match=said):
        changed(AIMS["regular"], Allowed(), numbers)
