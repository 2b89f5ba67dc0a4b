"""What was cut for a fabric and does not go on is told as the wear check tells it."""

from __future__ import annotations

import pytest

from ease.block.check import check_wear
from ease.block.compare import compare_fabrics
from ease.block.cut_stops import CUT_SO, stops_note
from ease.block.draft import draft_block
from ease.block.garment import for_garment
from ease.block.grade import grade
from ease.block.pieces import Block
from ease.block.plan import BODY_SIZE, Factors
from ease.block.refit import refit
from ease.block.styles import Style
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.sizes import load_size_run
from ease.fabric.profile import Fabric
from ease.fabric.store import load_fabric
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth
from ease.fit.decide import decide

BODY = complete(load_body("demo"))
HIGH_NECK = Style(neck_front=1.0, neck_back=4.0, strap_width=6.0, strap_place=0.3)


@pytest.fixture(scope="module")
def net() -> Fabric:
    return load_fabric("power-net")


@pytest.fixture(scope="module")
def high_neck() -> Block:
    return draft_block(BODY, HIGH_NECK)


def cut(block: Block, fabric: Fabric, allowed: Allowed) -> Block:
    garment = for_garment(allowed, block, [BODY])
    new = Factors.from_reduction(decide(fabric, BODY, allowed=garment))
    return refit(block, BODY_SIZE, new, BODY).block


@pytest.mark.parametrize("allowed", [Allowed(), Allowed(opens=True)])
def test_the_note_is_what_the_wear_check_says(
    net: Fabric, high_neck: Block, allowed: Allowed
) -> None:
    made = cut(high_neck, net, allowed)
    said = check_wear(made, BODY, net, allowed=allowed).faults.get("does not go on")
    note = stops_note(made, BODY, net, allowed)
    assert note == (f"{CUT_SO}: {said}" if said else "")
    assert bool(note) is not allowed.opens
    assert stops_note(made, None, net, allowed) == ""


@pytest.mark.parametrize("style", [HIGH_NECK, Style()])
def test_fabrics_side_by_side_tell_it_of_each(net: Fabric, style: Style) -> None:
    fabrics = [net, load_fabric("rib")]
    for one in compare_fabrics(fabrics, BODY, draft_block(BODY, style)).suited:
        assert one.refit is not None
        stops = any(note.startswith(CUT_SO) for note in one.refit.notes)
        check = check_wear(one.refit.block, BODY, one.fabric)
        assert stops is not check.goes_on
        assert stops is (style is HIGH_NECK)


def test_a_run_of_sizes_tells_it_of_each(net: Fabric) -> None:
    bodies = load_size_run("en").bodies
    run = grade(bodies, Cloth.of(net), AIMS["regular"])
    for size in run.sizes:
        assert size.block is not None
        check = check_wear(size.block, size.body, net)
        assert size.stops == check.faults.get("does not go on", "")
    assert [bool(size.stops) for size in run.sizes] == [False] * 13 + [True]
