"""What a block as it is needs, and who has it, on straight cloths by hand."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import pytest

from ease.block.pieces import Block
from ease.block.suiting import Suiting, which_suit
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.aims import AIMS

Make = Callable[..., Fabric]
Tube = Callable[..., Block]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 160.0},
)
# The tube is 88/1.25, 70/1.25 and 96/1.25 cm round: worn 25 %. Down it is worn at
# body length, where a cloth without contraction pulls nothing: so the straps hang.
DOWN: dict[str, Any] = {"stretch": 0.6, "load": 200.0, "contraction": 0.0}


def cloth(make: Make, name: str, load: float | None, stretch: float = 1.0) -> Fabric:
    table: dict[str, Any] = {"stretch": stretch, "contraction": 0.0, "growth": 0.02}
    if load is not None:
        table["load"] = load
    return make(table, DOWN, name=name)


@pytest.fixture
def block(make_tube: Tube) -> Block:
    return make_tube(88 / 1.25, 70 / 1.25, 96 / 1.25)


@pytest.fixture
def suiting(block: Block, make_fabric: Make) -> Suiting:
    body = Body(name="longer", values={**MARIT.values, "torso_loop": 168.0})
    fabrics = [
        cloth(make_fabric, "right", 240.0),
        cloth(make_fabric, "weak", 60.0),
        cloth(make_fabric, "short", 240.0, 0.75),
        cloth(make_fabric, "bare", None),
    ]
    return which_suit(block, body, fabrics, AIMS["regular"])


def test_the_stretch_and_the_power_that_are_needed(suiting: Suiting) -> None:
    need = suiting.need
    # Room to move: (1.25 x 1.15 - 1) / 0.5.
    assert need.stretch == pytest.approx(0.875)
    assert need.strain == pytest.approx(0.25)
    assert need.level == "bust"
    # 0.4 kPa round 88 cm, worn longer by the loop, 168/160.
    expected = 0.4 * 1000 * 0.88 * 168 / 160 / (2 * pi)
    assert need.tension == pytest.approx(expected, rel=1e-6)
    assert suiting.least_tension == pytest.approx(expected / 2, rel=1e-6)
    assert suiting.most_tension == pytest.approx(expected * 1.5, rel=1e-6)
    assert suiting.need.possible


def test_who_has_what_of_it(suiting: Suiting) -> None:
    having = {one.check.fabric.name: one for one in suiting.having}
    right, weak, short, bare = (having[n] for n in ("right", "weak", "short", "bare"))
    # Straight cloths: 240 x 0.25 and 60 x 0.25 N/m.
    assert right.tension == pytest.approx(60.0)
    assert weak.tension == pytest.approx(15.0)
    assert (right.enough_stretch, right.right_power, right.suits) == (True, True, True)
    assert (weak.enough_stretch, weak.right_power, weak.suits) == (True, False, False)
    assert (short.enough_stretch, short.right_power) == (False, True)
    assert not short.suits
    assert short.check.verdict == "little room"
    assert (bare.tension, bare.right_power, bare.suits) == (None, None, False)
    assert bare.fits
    assert suiting.having[0] is right


def test_a_cloth_that_was_not_tested_down_is_not_known_to_be_enough(
    block: Block, make_fabric: Make
) -> None:
    one_way = make_fabric({"stretch": 1.0, "contraction": 0.0})
    (one,) = which_suit(block, MARIT, [one_way], AIMS["regular"]).having
    assert (one.enough_stretch, one.check.judged_down, one.suits) == (
        None,
        False,
        False,
    )
    short = make_fabric({"stretch": 0.6, "contraction": 0.0})
    (one,) = which_suit(block, MARIT, [short], AIMS["regular"]).having
    assert one.enough_stretch is False


def test_a_block_cut_to_the_limit_still_counts(block: Block, make_fabric: Make) -> None:
    just = cloth(make_fabric, "just", 240.0, 0.8745)
    (one,) = which_suit(block, MARIT, [just], AIMS["regular"]).having
    assert one.enough_stretch
    less = cloth(make_fabric, "less", 240.0, 0.872)
    (one,) = which_suit(block, MARIT, [less], AIMS["regular"]).having
    assert not one.enough_stretch


def test_past_the_load_test_the_power_is_not_known(
    block: Block, make_fabric: Make
) -> None:
    short = make_fabric(
        {"stretch": 1.0, "load": 240.0, "tested": 0.2, "contraction": 0.0}, DOWN
    )
    (one,) = which_suit(block, MARIT, [short], AIMS["regular"]).having
    assert (one.tension, one.right_power) == (None, None)


def test_a_block_at_body_size_asks_for_the_impossible(
    make_tube: Tube, make_fabric: Make
) -> None:
    found = which_suit(
        make_tube(88.0, 70.0, 96.0),
        MARIT,
        [cloth(make_fabric, "any", 240.0)],
        AIMS["regular"],
    )
    assert not found.need.possible
