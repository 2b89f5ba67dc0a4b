"""What kind of garment a block is: by the closed levels and the loop that it has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from ease.block.check import check_wear
from ease.block.draft import draft_block
from ease.block.garment import for_garment
from ease.block.grade import grade
from ease.block.pieces import Block
from ease.block.plan import BODY_SIZE, Factors
from ease.block.refit import refit
from ease.body.measures import Body
from ease.body.sizes import load_size_run
from ease.errors import EmptyWindowError, RefusedError
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth
from ease.fit.decide import decide

Tube = Callable[..., Block]
Make = Callable[..., Fabric]
VALUES = {"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 168.0}
BODY = Body(name="invented", values={**VALUES, "shoulder_girth": 101.0})
WIDE = Body(name="wide", values={**VALUES, "hip": 110.0, "shoulder_girth": 120.0})
OVER = Allowed(over_head=True)


def only(block: Block, *names: str, **other: Any) -> Block:
    levels = tuple(level for level in block.levels if level.name in names)
    return replace(block, levels=levels, anchor=names[0], **other)


def test_a_one_piece_passes_what_it_did(make_tube: Tube) -> None:
    """Stepped into, the waist of 70 passes a hip of 96; over head, shoulders of 101."""
    tube = make_tube(70.4, 56.0, 76.8)
    assert for_garment(Allowed(), tube, [BODY]).passing == pytest.approx(96 / 70)
    assert for_garment(OVER, tube, [BODY]).passing == pytest.approx(101 / 70)
    assert for_garment(Allowed(), tube, [BODY]).hangs
    many = for_garment(Allowed(), tube, [BODY, WIDE]).passing
    assert np.asarray(many) == pytest.approx([96 / 70, 110 / 70])
    assert for_garment(Allowed(), tube, []).passing is None


def test_a_crop_top_has_no_waist_to_pass(make_tube: Tube, make_fabric: Make) -> None:
    """Of 45 % stretch: 1.45 / (101 / 70) - 1 = 0.5 %; at the bust 1.45 / (101 / 88) - 1."""
    top = only(make_tube(70.4, 56.0, 76.8), "bust", loop_path=())
    garment = for_garment(OVER, top, [BODY])
    assert garment.passing == pytest.approx(101 / 88)
    assert not garment.hangs
    fabric = make_fabric({"stretch": 0.45}, {"stretch": 0.45})
    whole = decide(fabric, BODY, allowed=OVER).girth
    alone = decide(fabric, BODY, allowed=garment).girth
    assert whole.strains["goes_on"] == pytest.approx(1.45 * 70 / 101 - 1)
    assert alone.strains["goes_on"] == pytest.approx(1.45 * 88 / 101 - 1)
    # Cut to that limit, the wear check lets it pass, and a little smaller it does not.
    for slip, goes_on in ((1.0, True), (0.99, False)):
        cut = 88 / (1 + alone.strains["goes_on"]) * slip
        made = only(make_tube(cut, 56.0, 76.8), "bust", loop_path=())
        assert check_wear(made, BODY, fabric, allowed=OVER).goes_on is goes_on


def test_levels_that_are_cut_open_pass_freely(make_tube: Tube) -> None:
    tube = make_tube(70.4, 56.0, 76.8)
    levels = tuple(
        replace(level, loop="open") if level.name == "waist" else level
        for level in tube.levels
    )
    low = for_garment(Allowed(), replace(tube, levels=levels), [BODY])
    assert low.passing == pytest.approx(96 / 88)


def test_over_head_the_shoulders_must_be_known(make_tube: Tube) -> None:
    bare = Body(name="bare", values=VALUES)
    with pytest.raises(RefusedError, match="shoulder"):
        for_garment(OVER, make_tube(70.4, 56.0, 76.8), [bare])


def test_a_level_at_the_neck_passes_the_head_alone(make_tube: Tube) -> None:
    """Over head, 36.5 cm of neck pass a head of 56 (from memory), not the shoulders."""
    tube = make_tube(70.4, 56.0, 76.8)
    neck = replace(tube.levels[0], name="neck_base", y=10.0)
    body = Body(name="necked", values={**BODY.values, "neck_base": 36.5})
    top = only(tube, "bust", loop_path=())
    high = replace(top, levels=(neck, *top.levels))
    assert for_garment(OVER, high, [body]).passing == pytest.approx(56 / 36.5)
    assert for_garment(Allowed(), high, [body]).passing == pytest.approx(96 / 36.5)


@pytest.mark.parametrize("opens", [False, True])
@pytest.mark.parametrize("count", [1, 2])
def test_by_hand_every_size_is_decided(
    make_tube: Tube, make_fabric: Make, opens: bool, count: int
) -> None:
    """Without a load test nothing but going on differs from body to body."""
    fabric = make_fabric({"stretch": 0.45}, {"stretch": 0.45})
    bodies = load_size_run("en").bodies[:count]
    sizes = grade(bodies, Cloth.of(fabric), AIMS["regular"], Allowed(opens=opens)).sizes
    block = draft_block(bodies[0])
    graded = grade(
        bodies,
        Cloth.of(fabric),
        AIMS["regular"],
        Allowed(opens=opens),
        block=block,
        base=bodies[0],
    ).sizes
    for size, same, body in zip(sizes, graded, bodies, strict=True):
        one = decide(fabric, body, allowed=Allowed(opens=opens))
        assert size.factors is not None
        assert same.factors is not None
        assert size.factors.girth == pytest.approx(one.girth.factor, abs=1e-12)
        assert same.factors.girth == pytest.approx(one.girth.factor, abs=1e-12)


@pytest.mark.parametrize("name", fabric_names())
@pytest.mark.parametrize("hold", ["regular", "firm"])
def test_every_size_of_a_block_is_decided_as_alone(name: str, hold: str) -> None:
    """Some sizes are moved by a limit down and chosen anew, each past its own hip."""
    fabric, bodies = load_fabric(name), load_size_run("en").bodies
    block = draft_block(bodies[0])
    run = grade(bodies, Cloth.of(fabric), AIMS[hold], block=block, base=bodies[0])
    for size, body in zip(run.sizes, bodies, strict=True):
        garment = for_garment(Allowed(), block, [body])
        if size.factors is None:
            with pytest.raises(EmptyWindowError):
                decide(fabric, body, aim=AIMS[hold], allowed=garment)
            continue
        one = decide(fabric, body, aim=AIMS[hold], allowed=garment)
        assert size.factors.girth == pytest.approx(one.girth.factor, abs=1e-12)
        assert size.factors.length == pytest.approx(one.length.factor, abs=1e-12)


@pytest.mark.parametrize("waist", [50.0, 60.0, 80.0])
def test_a_waist_that_a_block_has_not_sets_no_limit(
    make_tube: Tube, waist: float
) -> None:
    """Most pressure is at the narrowest girth that the garment lies round."""
    top = only(make_tube(70.4, 56.0, 76.8), "bust", loop_path=())
    body = replace(BODY, values={**BODY.values, "waist": waist})
    fabric = load_fabric("power-net")
    allowed = for_garment(Allowed(), top, [body])
    usual = for_garment(Allowed(), top, [BODY])
    assert allowed.held_at == ("bust",)
    factor = decide(fabric, body, aim=AIMS["firm"], allowed=allowed).girth.factor
    assert factor == decide(fabric, BODY, aim=AIMS["firm"], allowed=usual).girth.factor
    many = Cloth.of(fabric)
    run = grade([body], many, AIMS["firm"], block=top, base=BODY).sizes[0].factors
    assert run is not None
    assert run.girth == pytest.approx(factor, abs=1e-12)


def test_without_a_bust_the_pressure_is_aimed_at_the_highest_girth(
    make_tube: Tube,
) -> None:
    """As the wear check reads it: 0.4 kPa round a waist of 70, less at the hip."""
    tube = only(make_tube(70.4, 70.0, 96.0), "waist", "hip", loop_path=())
    fabric = load_fabric("soft-tricot")
    garment = for_garment(Allowed(usable_share=1.0), tube, [BODY])
    assert garment.held_at == ("waist", "hip")
    found = decide(fabric, BODY, allowed=garment)
    assert found.girth.bound_by == "aim"
    made = refit(tube, BODY_SIZE, Factors.from_reduction(found), BODY).block
    check = check_wear(made, BODY, fabric, allowed=Allowed(usable_share=1.0))
    now = check.states["now"][0].pressure
    assert now[0] == pytest.approx(0.4, abs=1e-4)
    assert now[1] == pytest.approx(0.4 * 70 / 96, abs=1e-4)
