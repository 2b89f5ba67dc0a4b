"""Levels below the crotch are of both legs, and are told as one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from ease.block.check import check_wear
from ease.block.leg_levels import leg_levels, thigh_untold
from ease.block.pieces import Block
from ease.block.plan import Factors
from ease.block.refit import refit
from ease.body.measures import Body
from ease.demo import TRACE, shipped_block
from ease.fabric.profile import Fabric
from ease.files.any_block import load_any_block
from ease.files.trace_file import load_trace

GIRTHS = {"bust": 91.0, "waist": 74.0, "hip": 99.0, "thigh": 59.5}
BODY = Body(name="invented", values=GIRTHS)


def test_a_level_below_the_crotch_is_told_by_the_leg(shorts: Block) -> None:
    """All round both legs 4 x 23 = 92 cm; 59.5 / 46 - 1 = 29.3 %."""
    (thigh,) = leg_levels(shorts, BODY)
    assert (thigh.name, thigh.both_cm, thigh.leg_cm) == ("thigh", 92.0, 46.0)
    assert thigh.strain == pytest.approx(59.5 / 46 - 1)
    assert "92.0 cm are of both legs together, 46.0 cm a leg" in thigh.text
    assert thigh.text.endswith("on a thigh of 59.5 cm worn 29.3 % stretched")
    named = tuple(
        replace(level, name="knee") if level.name == "thigh" else level
        for level in shorts.levels
    )
    (knee,) = leg_levels(replace(shorts, levels=named), BODY)
    assert knee.strain is None
    assert knee.text.endswith("46.0 cm a leg")


@pytest.mark.parametrize(("stretch", "told"), [(0.97, True), (0.98, False)])
def test_what_leaves_no_room_on_the_leg_is_remarked(
    shorts: Block, make_fabric: Callable[..., Fabric], stretch: float, told: bool
) -> None:
    """Room to move: (1 + stretch / 2) / 1.15 - 1 passes 29.35 % at a stretch of 97.5 %."""
    cloth = {"stretch": stretch, "contraction": 0.0}
    result = check_wear(shorts, BODY, make_fabric(cloth, cloth))
    assert result.not_judged == ()
    said = [text for text in result.remarks if text.startswith("thigh: worn 29.3 %")]
    assert bool(said) is told


def test_what_was_cut_says_it_of_itself(shorts: Block) -> None:
    new = Factors(0.9, 1.0, "given")
    result = refit(shorts, Factors(1.0, 1.0, "body"), new, BODY)
    assert any("82.8 cm are of both legs together, 41.4" in n for n in result.notes)


def test_a_trunk_has_no_leg_levels(shorts: Block) -> None:
    suit = shipped_block("demo")
    assert suit is not None
    assert leg_levels(load_any_block(suit)) == ()
    assert leg_levels(load_trace(TRACE).block) == ()
    unsewn = replace(shorts, seams=())  # neither fold nor middle seam: it does not tell
    assert leg_levels(unsewn) == ()
    assert "such as front.rise with front.rise" in thigh_untold(unsewn)
    assert thigh_untold(shorts) == ""
    once = tuple(replace(piece, cut="once") for piece in shorts.pieces)
    assert "front is a whole piece" in thigh_untold(replace(shorts, pieces=once))


def test_a_leg_wider_than_the_thigh_is_larger_by_the_thigh(shorts: Block) -> None:
    """A leg of 46 cm on a thigh of 40: 15 % larger, not the 13 % that it is slack."""
    thin = replace(BODY, values={**BODY.values, "thigh": 40.0})
    (thigh,) = (one for one in leg_levels(shorts, thin) if one.name == "thigh")
    assert thigh.leg_cm == pytest.approx(46.0)
    assert "on a thigh of 40.0 cm 15.0 % larger" in thigh.text
