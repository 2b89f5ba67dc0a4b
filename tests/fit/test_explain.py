"""The sentences: every number in them is worked out again here."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from math import pi

import numpy as np
import pytest

from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.aims import AIMS, Aim, Allowed
from ease.fit.decide import Decision, Reduction, decide
from ease.fit.explain import explain, sizes_at
from ease.fit.window import LIMITS

Make = Callable[..., Fabric]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 155},
)
ROUND = {"stretch": 0.8, "contraction": 0.3, "growth": 0.02, "wet_growth": 0.03}


def test_round_and_down_by_the_share_rule(make_fabric: Make) -> None:
    """Worn 0.25 x 80 = 20 %: 16.7 % off, factor 0.833; free length 1 - 0.3 x 0.2."""
    lines = explain(decide(make_fabric(ROUND, {"stretch": 0.5}), MARIT))
    assert lines[0] == (
        "Round: cut 16.7 % smaller than the body (factor 0.833), so that the cloth is "
        "worn 20.0 % stretched; no limit stands in the way of the aim."
    )
    # Down: (1 + 0.09 x 0.5) x 0.94 - 1 = -1.77 %: cut 1.8 % larger.
    assert lines[1] == (
        "Down: cut 1.8 % larger than the body (factor 1.018); no limit stands in the "
        "way of the aim."
    )
    assert lines[2] == (
        "Stretched round, the cloth shortens by 6.0 % by itself; worn, it is pulled "
        "4.5 % beyond that."
    )
    assert lines[-1] == (
        "Not the same: 20.0 % stretch is 16.7 % off the body; taking 20.0 % off would "
        "stretch it 25.0 %."
    )
    assert len(lines) == 4


def test_length_taken_off_besides_contraction_is_warned_of(make_fabric: Make) -> None:
    aim = Aim("own", 0.35, 10.0, 0.25, 0.1875)
    lines = explain(decide(make_fabric(ROUND, {"stretch": 0.8}), MARIT, aim=aim))
    # 1.15 x 0.94 = 1.081: 8.1 % by the shorter cut, 1/0.94 - 1 = 6.4 % by contraction.
    assert "Of this, contraction brings 6.4 % and the shorter cut 8.1 %" in lines[2]
    assert "do not take off more for the same reason" in lines[2]


@pytest.mark.parametrize("key", ["growth", "room_to_move"])
def test_a_limit_that_binds_is_given_as_the_reason(make_fabric: Make, key: str) -> None:
    cloth, allowed = ROUND, Allowed()
    aim = Aim("own", 0.35, 10.0, 0.25, 0.09)
    if key == "growth":
        cloth = ROUND | {"growth": 0.21}
    else:
        allowed = Allowed(usable_share=0.3)
    found = decide(make_fabric(cloth), MARIT, aim=aim, allowed=allowed)
    sentence = explain(found)[0]
    way = "up" if key == "growth" else "down"
    kind = LIMITS[key]
    assert sentence.endswith(
        f"the aim of 20.0 % was moved {way} by {kind.title}: beyond that, {kind.why}."
    )


def test_one_direction_says_that_the_length_stays(make_fabric: Make) -> None:
    lines = explain(decide(make_fabric(ROUND), MARIT))
    assert lines[1] == "Down: not tested, so the length stays at body length."
    assert len(lines) == 3


def test_pressure_and_pull_in_the_sentence_are_laplace(make_fabric: Make) -> None:
    cloth = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}
    found = decide(make_fabric(cloth, cloth), MARIT, aim=AIMS["regular"])
    line = explain(found)[-2]
    eh, ev = found.girth.strain, found.length.strain
    tension = 250 * eh
    bust = tension / ((1 + ev) * 0.88 / (2 * pi)) / 1000
    assert bust == pytest.approx(AIMS["regular"].pressure_kpa, rel=1e-6)
    # Side over mean of an ellipse of 0.703 depth to breadth, by its own figures:
    # perimeter/(2 pi a) = 0.85803 (elliptic integral), over 0.703^2.
    waist = tension / ((1 + ev) * 0.70 / (2 * pi)) / 1000 * 0.85803 / 0.703**2
    assert f"presses {bust:.2f} kPa ({bust / 0.133322:.1f} mmHg) on average" in line
    assert f"at most {waist:.2f} kPa" in line
    assert "side of the waist (comfortable all day)" in line
    assert f"pulls {250 * ev * 0.70 / (1 + eh):.1f} N over both shoulders" in line
    assert "10.0 N" in line


def test_sizes_cut_by_a_reduction(make_fabric: Make) -> None:
    found = decide(make_fabric(ROUND, {"stretch": 0.5}), MARIT)
    sizes = sizes_at(found)
    assert sizes.block == pytest.approx([88 / 1.2, 70 / 1.2, 96 / 1.2])
    assert sizes.strain == pytest.approx([0.2, 0.2, 0.2])
    assert sizes.length_strain == found.length.strain


def test_a_strain_of_a_hundred_per_cent_has_no_wrong_cut(make_fabric: Make) -> None:
    found = decide(make_fabric(ROUND), MARIT)
    wide = replace(found, girth=replace(found.girth, strain=1.0))
    assert explain(wide)[-1].endswith("taking 100.0 % off would leave nothing.")
    assert isinstance(wide.girth, Decision)


def test_sentences_are_plain(make_fabric: Make) -> None:
    cloth = {"stretch": 1.0, "load": 250.0, "contraction": 0.3}
    for line in explain(decide(make_fabric(cloth, cloth), MARIT)):
        assert line[0].isupper()
        assert line.endswith(".")
        assert not re.search(r"nan|inf\b|None|_", line)


def soft(make_fabric: Make, tested: float) -> Reduction:
    """Cloth of 60 N/m per unit strain, stretch 80 %, tested to less than the aim."""
    cloth = {"stretch": 0.8, "load": 60.0, "contraction": 0.0, "tested": tested}
    loose = Allowed(least_pressure_kpa=0.01, least_pull_n=0.1)
    return decide(make_fabric(cloth, cloth), MARIT, aim=AIMS["firm"], allowed=loose)


def test_an_aim_beyond_the_load_test_is_not_named_as_a_strain(
    make_fabric: Make,
) -> None:
    """0.6 kPa at 88 cm is 84 N/m, at 60 N/m per unit 140 %; 16 N at 70 cm is over 22.

    Room to move: (1 + 0.8 x 0.5) / 1.15 - 1 = 21.7 % round.
    """
    found = soft(make_fabric, 0.3)
    assert found.girth.aim_beyond_test
    assert found.length.aim_beyond_test
    lines = explain(found)
    assert lines[0].endswith(
        "0.60 kPa at the bust is not reached even at 30.0 %, where the load test ends; "
        "room to move stops it at 21.7 %: beyond that, it is stretched out in movement."
    )
    assert "16.0 N over both shoulders is not reached even at 30.0 %" in lines[1]
    assert not any("the aim of 30.0 %" in line for line in lines)


def test_an_aim_beyond_the_load_test_can_be_stopped_by_the_test(
    make_fabric: Make,
) -> None:
    found = soft(make_fabric, 0.1)
    assert found.girth.bound_by == "test_range"
    assert explain(found)[0].endswith(
        "0.60 kPa at the bust is not reached even at 10.0 %, where the load test ends; "
        "so it stops there, as it was not tested that far."
    )


def test_wherever_the_load_test_ends_what_it_presses_there_is_told(
    make_fabric: Make,
) -> None:
    """Cut at body / (1 + e), a girth is worn e but for the last bit of a number."""
    rounded = 0
    for gauge_cm, read_cm in product((10.0, 20.0), np.arange(10.3, 12.0, 0.1)):
        found = soft(make_fabric, float(read_cm * gauge_cm / 10.0) / gauge_cm - 1.0)
        assert found.girth.bound_by == "test_range"
        rounded += bool((sizes_at(found).strain > found.girth.strain).any())
        told = next(line for line in explain(found) if "So it presses" in line)
        tension = 60.0 * found.girth.strain  # no contraction: the strip alone
        mean = 2 * pi * tension / 0.88 / (1.0 + found.length.strain) / 1000.0
        assert f"presses {mean:.2f} kPa" in told
        assert "unsafe" not in told
    assert rounded > 5


@pytest.mark.parametrize("load", [70.0, 400.0])
def test_an_aim_within_the_load_test_is_named(make_fabric: Make, load: float) -> None:
    """Within the test to 200 % the aim is a strain, whether or not it is moved."""
    cloth = {"stretch": 0.8, "load": load, "contraction": 0.0, "tested": 2.0}
    found = decide(make_fabric(cloth, cloth), MARIT, aim=AIMS["firm"])
    assert not found.girth.aim_beyond_test
    assert not found.length.aim_beyond_test
    assert "not reached" not in " ".join(explain(found))
