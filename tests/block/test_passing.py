"""How a block goes on: openings by lengths worked out here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ease.block.check import WearCheck, check_wear
from ease.block.draft import draft_block
from ease.block.need import fabric_need
from ease.block.openings import block_openings
from ease.block.passing import opening_passes
from ease.block.pieces import Block
from ease.block.styles import Style
from ease.body.fill_in import complete
from ease.body.measures import Body
from ease.demo import TRACE
from ease.fabric.profile import Fabric
from ease.files.trace_file import load_trace
from ease.fit.aims import AIMS, Allowed

Make = Callable[..., Fabric]
BODY = complete(
    Body(
        name="invented",
        values={
            **{"bust": 88.0, "waist": 70.0, "hip": 96.0, "thigh": 57.5},
            **{"torso_loop": 155.0, "stature": 166.0},
        },
    )
)


@pytest.fixture(scope="module")
def high_neck() -> Block:
    """A one-piece at body size whose neck is a little larger than a head."""
    style = Style(neck_front=1.0, neck_back=4.0, strap_width=6.0, strap_place=0.3)
    return draft_block(BODY, style)


def worn(make: Make, block: Block, stretch: float, **allowed: Any) -> WearCheck:
    cloth = {"stretch": stretch, "contraction": 0.0}
    fabric = make({**cloth, "stretch": stretch - 0.1}, cloth)
    return check_wear(block, BODY, fabric, allowed=Allowed(**allowed))


def ring(block: Block, name: str) -> float:
    return next(one.cut_cm for one in block_openings(block) if one.name == name)


@pytest.mark.parametrize(("short", "stops"), [(0.001, True), (-0.001, False)])
def test_stepped_into_the_neck_must_pass_the_hip(
    make_fabric: Make, high_neck: Block, short: float, stops: bool
) -> None:
    """By the stretch of the direction that gives more: an edge runs aslant."""
    neck = ring(high_neck, "neck")
    assert neck < 60
    result = worn(make_fabric, high_neck, 96.0 / neck - 1.0 - short)
    assert result.goes_on is not stops
    assert result.stops_at == ("neck" if stops else None)
    if stops:
        said = result.faults["does not go on"]
        assert said.startswith("the neck opening reaches 9")
        assert "the hip measures 96.0 cm" in said
        assert not result.can_be_worn


@pytest.mark.parametrize("way_in", ["over_head", "opens"])
def test_over_head_or_with_an_opening_the_neck_stops_nothing(
    make_fabric: Make, high_neck: Block, way_in: str
) -> None:
    assert not worn(make_fabric, high_neck, 0.5).goes_on
    result = worn(make_fabric, high_neck, 0.5, **{way_in: True})
    assert result.goes_on
    assert result.opens is (way_in == "opens")


def test_what_opens_need_not_pass_at_its_levels_either(
    make_fabric: Make, make_tube: Callable[..., Block]
) -> None:
    """A waist of 56 in cloth of 50 % reaches 84: not over a hip of 96."""
    cut = make_tube(70.4, 56.0, 76.8)
    assert worn(make_fabric, cut, 0.5).stops_at == "waist"
    opened = worn(make_fabric, cut, 0.5, opens=True)
    assert opened.goes_on
    assert opened.stops_at is None


def test_a_leg_must_pass_the_thigh(make_fabric: Make) -> None:
    brief = load_trace(TRACE).block
    leg = ring(brief, "leg")
    wide = Body(name="wide", values={**BODY.values, "thigh": 1.8 * leg + 0.1})
    cloth = {"stretch": 0.8, "contraction": 0.0}
    fabric = make_fabric(cloth, cloth)
    stopped = check_wear(brief, wide, fabric)
    assert stopped.stops_at == "leg"
    assert stopped.passes == ("thigh", wide["thigh"])
    assert "call an edge lower down the leg `hem`" in stopped.faults["does not go on"]
    near = Body(name="near", values={**BODY.values, "thigh": 1.8 * leg - 0.1})
    passed = check_wear(brief, near, fabric)
    assert passed.goes_on
    (far,) = passed.remarks
    assert far.startswith("the leg opening is worn 80 % stretched, where 40 % counts")


def test_the_need_of_a_block_counts_its_openings(high_neck: Block) -> None:
    aim = AIMS["regular"]
    stepped = fabric_need(high_neck, BODY, aim)
    assert stepped.stretch == pytest.approx(96.0 / ring(high_neck, "neck") - 1.0)
    pulled = fabric_need(high_neck, BODY, aim, Allowed(over_head=True))
    assert pulled.stretch < stepped.stretch
    opened = fabric_need(high_neck, BODY, aim, Allowed(opens=True))
    assert opened.stretch == pytest.approx(0.15 / 0.5, abs=2e-3)  # body size, moved


def test_what_is_not_measured_passes_nothing(high_neck: Block) -> None:
    bare = replace(BODY, values={k: v for k, v in BODY.values.items() if k != "thigh"})
    assert [one.name for one in opening_passes(high_neck, bare, over_head=True)] == []
    ways = opening_passes(high_neck, bare, over_head=False)
    assert [(one.name, one.part) for one in ways] == [("neck", "hip")]
