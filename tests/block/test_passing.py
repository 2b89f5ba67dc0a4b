"""How a block goes on: openings by lengths worked out here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ease.block.adjust import adjust_block
from ease.block.check import WearCheck, check_wear
from ease.block.draft import draft_block
from ease.block.measure import girth_at
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


def test_with_an_opening_the_neck_stops_nothing(
    make_fabric: Make, high_neck: Block
) -> None:
    assert not worn(make_fabric, high_neck, 0.5).goes_on
    result = worn(make_fabric, high_neck, 0.5, opens=True)
    assert result.goes_on
    assert result.opens


def test_what_has_legs_is_not_pulled_over_head(
    make_fabric: Make, high_neck: Block
) -> None:
    """The shoulders would have to pass a leg: so the neck does not send there either."""
    stepped = worn(make_fabric, high_neck, 0.5).faults["does not go on"]
    assert stepped.endswith("a larger neck, or an opening (--opens)")
    result = worn(make_fabric, high_neck, 0.7, over_head=True)
    assert result.stops_at == "leg"
    assert result.passes == ("shoulder girth", BODY["shoulder_girth"])
    assert "or --opens where the crotch opens" in result.faults["does not go on"]


@pytest.mark.parametrize("short", [0.001, -0.001])
def test_over_head_the_neck_of_a_top_must_pass_the_head(
    make_fabric: Make, high_neck: Block, short: float
) -> None:
    """A top has the neck of a one-piece and no leg: a head of 56 cm, from memory."""
    pieces = tuple(
        replace(
            piece,
            edges=tuple(
                replace(edge, name="hem") if edge.name == "leg" else edge
                for edge in piece.edges
            ),
        )
        for piece in high_neck.pieces
    )
    wide = replace(high_neck, pieces=pieces)
    bust = tuple(level for level in wide.levels if level.name == "bust")
    top = adjust_block(replace(wide, levels=bust, anchor="bust"), 0.6, 1.0).after
    neck = ring(top, "neck")
    (way,) = opening_passes(top, BODY, Allowed(over_head=True))
    assert (way.name, way.part, way.girth_cm) == ("neck", "head", 56.0)
    assert way.stretch == pytest.approx(56.0 / neck - 1.0)
    assert way.stretch > 0.2
    # A body so narrow that only its head asks for anything.
    narrow = Body(
        name="narrow",
        values={"bust": 60.0, "waist": 50.0, "hip": 65.0, "shoulder_girth": 71.0},
    )
    stretch = way.stretch - short
    fabric = make_fabric({"stretch": stretch}, {"stretch": stretch})
    allowed = Allowed(over_head=True)
    result = check_wear(top, narrow, fabric, allowed=allowed)
    assert result.stops_at == ("neck" if short > 0 else None)
    assert not result.remarks  # hems as long as legs pass shoulders of 71 cm


FULL = {"bust": 140.0, "waist": 90.0, "hip": 120.0, "shoulder_girth": 123.6}
WAYS_DOWN = [
    ({**FULL, "bust": 100.0}, "shoulder girth", 123.6),
    (FULL, "bust", 140.0),
]


@pytest.mark.parametrize(("girths", "part", "girth"), WAYS_DOWN)
def test_over_head_a_lower_edge_passes_shoulders_and_bust(
    girths: dict[str, float], part: str, girth: float
) -> None:
    body = Body(name="full", values=girths)
    brief = load_trace(TRACE).block
    ways = opening_passes(brief, body, Allowed(over_head=True))
    (waist,) = (one for one in ways if one.name == "waist")
    assert (waist.part, waist.girth_cm) == (part, girth)


@pytest.mark.parametrize(("girths", "part", "girth"), WAYS_DOWN)
@pytest.mark.parametrize("more", [-0.002, 0.002])
def test_over_head_a_level_that_none_measured_passes_them_too(
    make_fabric: Make,
    make_tube: Callable[..., Block],
    girths: dict[str, float],
    part: str,
    girth: float,
    more: float,
) -> None:
    """At an underband of 60 cm, under a bust of 72."""
    tube = make_tube(72.0, 60.0, 80.0)
    bust, waist, _ = tube.levels
    levels = bust, replace(waist, name="underband")
    top = replace(tube, levels=levels, anchor="bust", loop_path=())
    cloth = {"stretch": girth / 60.0 - 1.0 + more}
    body = Body(name="full", values=girths)
    over = Allowed(over_head=True)
    result = check_wear(top, body, make_fabric(cloth, cloth), allowed=over)
    assert result.stops_at == ("underband" if more < 0 else None)
    if more < 0:
        said = result.faults["does not go on"]
        assert f"the {part} measures {girth:.1f} cm" in said


def test_a_waist_without_a_level_must_pass_the_hip(make_fabric: Make) -> None:
    brief = load_trace(TRACE).block
    bare = replace(brief, levels=brief.levels[1:], anchor=brief.levels[1].name)
    waist = ring(bare, "waist")
    stiff = make_fabric({"stretch": 96 / waist - 1.01}, {"stretch": 96 / waist - 1.01})
    result = check_wear(bare, BODY, stiff)
    assert result.stops_at == "waist"
    assert result.passes == ("hip", 96.0)


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


def test_what_opens_must_still_lie_round_the_body(make_fabric: Make) -> None:
    """A zip in the trunk makes no leg longer, nor a waist that cannot reach."""
    brief = load_trace(TRACE).block
    leg, waist = ring(brief, "leg"), girth_at(brief, brief.levels[0].y)
    cloth = {"stretch": 0.8, "contraction": 0.0}
    fabric, opens = make_fabric(cloth, cloth), Allowed(opens=True)
    wide = Body(name="wide", values={**BODY.values, "thigh": 1.8 * leg + 0.1})
    assert check_wear(brief, wide, fabric, allowed=opens).stops_at == "leg"
    wider = Body(name="wider", values={**BODY.values, "thigh": 2.0 * leg})
    need = fabric_need(brief, wider, AIMS["regular"], opens)
    assert need.stretch == pytest.approx(1.0)
    assert need.stretch_for == "the leg to pass the thigh"
    big = {"waist": 1.8 * waist + 0.2, "hip": 125.0, "bust": 120.0}
    large = Body(name="large", values={**BODY.values, **big})
    assert check_wear(brief, large, fabric, allowed=opens).stops_at == "waist"


def test_the_need_of_a_block_counts_its_openings(high_neck: Block) -> None:
    aim = AIMS["regular"]
    stepped = fabric_need(high_neck, BODY, aim)
    assert stepped.stretch == pytest.approx(96.0 / ring(high_neck, "neck") - 1.0)
    opened = fabric_need(high_neck, BODY, aim, Allowed(opens=True))
    assert opened.stretch == pytest.approx(0.15 / 0.5, abs=2e-3)  # body size, moved


def test_what_is_not_measured_passes_nothing(high_neck: Block) -> None:
    bare = replace(BODY, values={k: v for k, v in BODY.values.items() if k != "thigh"})
    ways = opening_passes(high_neck, bare, Allowed())
    assert [(one.name, one.part) for one in ways] == [("neck", "hip")]
