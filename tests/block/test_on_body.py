"""A block beside a body: girths where cloth is cut away, and the way on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from ease.block.check import check_wear
from ease.block.draft import draft_block
from ease.block.measure import girth_at
from ease.block.on_body import aimed_level, missing_loop, passed_girths, sizes_on
from ease.block.pieces import Block, DraftedFor, Level, Loop
from ease.block.plan import BODY_SIZE, Factors
from ease.block.refit import refit
from ease.block.styles import Style
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import Fabric

Tube = Callable[..., Block]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 168},
)
CUT = (70.4, 56.0, 76.8)  # 25 % worn everywhere
LOW_AND_HIGH = Style(back_scoop=22.0, leg_height=12.0)


def test_levels_and_sizes(make_tube: Tube) -> None:
    block = make_tube(*CUT, loops=("closed", "partly", "open"))
    extra = replace(block, levels=(Level("rib", 30.0), *block.levels))
    levels, sizes = sizes_on(extra, MARIT)
    assert [level.name for level in levels] == ["bust", "waist", "hip"]
    assert sizes.block == pytest.approx(CUT)
    assert sizes.body == pytest.approx([88, 70, 96])
    assert sizes.share == pytest.approx([1, 5 / 12, 0])
    assert sizes.length_strain == pytest.approx(168 / 160 - 1)


def test_without_a_loop_the_length_counts_as_drafted(make_tube: Tube) -> None:
    bare = Body(name="b", values={"bust": 88, "waist": 70, "hip": 96})
    pairs = (
        (make_tube(loop_path=()), MARIT, "block tube names no loop path"),
        (make_tube(), bare, "body b has no torso loop"),
        (make_tube(), MARIT, ""),
    )
    for block, body, missing in pairs:
        sizes = sizes_on(block, body)[1]
        assert sizes.length_known is (missing == "")
        assert sizes.length_known or sizes.length_strain == 0
        assert missing_loop(block, body) == missing


def test_a_body_without_any_level_of_the_block_is_refused(make_tube: Tube) -> None:
    block = make_tube(levels=(Level("rib", 30.0),), anchor="rib")
    with pytest.raises(RefusedError, match=r"no girth at any level of the block \(rib"):
        sizes_on(block, MARIT)


def test_cloth_cut_away_by_neck_and_legs_is_no_stretch(
    make_fabric: Callable[..., Fabric],
) -> None:
    """A body-size draft with a low back and high legs is worn unstretched."""
    body = Body(name="b", values={"bust": 88.0, "waist": 70.0, "hip": 96.0})
    block = draft_block(body, LOW_AND_HIGH)
    assert [level.loop for level in block.levels] == ["partly", "closed", "open"]
    assert girth_at(block, block.level("hip").y) < 50
    assert girth_at(block, block.level("bust").y) < 80
    _, sizes = sizes_on(block, body)
    assert sizes.strain == pytest.approx([0, 0, 0], abs=1e-9)
    plain = {"stretch": 1.0, "load": 200.0, "contraction": 0.3}
    worn = check_wear(block, body, make_fabric(plain, plain))
    assert worn.stretch_used == pytest.approx([0, 0, 0], abs=1e-9)
    assert worn.states["now"][0].pressure == pytest.approx([0, 0, 0], abs=1e-6)


def test_a_cut_level_counts_as_cut_by_what_the_block_says_of_it() -> None:
    """At 0.8 a partly open bust is cut by 1 - 5/12 x 0.2, the open hip by 1."""
    body = Body(name="b", values={"bust": 88.0, "waist": 70.0, "hip": 96.0})
    block = draft_block(body, LOW_AND_HIGH)
    cut = refit(block, BODY_SIZE, Factors(0.8, 1.0, "new"), by_level=True).block
    _, sizes = sizes_on(cut, body)
    wanted = [88 * (1 - 0.2 * 5 / 12), 70 * 0.8, 96]
    assert sizes.block == pytest.approx(wanted, abs=0.01)  # held straps move the seam
    # On a body a tenth larger the closed waist shows it, and the others go with it.
    larger = Body(name="c", values={"bust": 96.8, "waist": 77.0, "hip": 105.6})
    assert sizes_on(cut, larger)[1].block == pytest.approx(wanted, abs=0.01)


def test_with_no_closed_level_the_block_is_taken_at_its_word(make_tube: Tube) -> None:
    loops = ("open", "partly", "open")
    said = make_tube(*CUT, loops=loops, drafted_for=DraftedFor(0.9, 1.0))
    assert sizes_on(said, MARIT)[1].block == pytest.approx([79.2, 63.0, 86.4])
    assert sizes_on(make_tube(*CUT, loops=loops), MARIT)[1].block == pytest.approx(CUT)


def test_a_cut_level_is_set_beside_no_girth_of_the_body(make_tube: Tube) -> None:
    block = make_tube(loops=("closed", "partly", "open"))
    rows = refit(block, BODY_SIZE, Factors(0.8, 1.0, "new"), MARIT).girths
    assert [row.body_cm for row in rows] == [88.0, None, None]
    assert [row.strain for row in rows] == [pytest.approx(0.25), None, None]


def test_what_each_level_passes_on_the_way_on(make_tube: Tube) -> None:
    wide = Body(
        name="b",
        values={"bust": 104.0, "waist": 112.0, "hip": 106.0, "shoulder_girth": 110.0},
    )
    levels, _ = sizes_on(make_tube(), wide)
    assert passed_girths(levels, wide, over_head=False) == (
        ("waist", 112.0),
        ("hip", 106.0),
        ("hip", 106.0),
    )
    assert passed_girths(levels, wide, over_head=True) == (
        ("shoulder girth", 110.0),
        ("shoulder girth", 110.0),
        ("waist", 112.0),
    )
    with pytest.raises(RefusedError, match="no shoulder_girth"):
        passed_girths(levels, MARIT, over_head=True)


@pytest.mark.parametrize(
    ("loops", "at"),
    [
        (("closed", "closed", "closed"), 0),
        (("partly", "closed", "open"), 1),
        (("open", "open", "open"), 0),
    ],
)
def test_pressure_is_aimed_at_the_bust_or_the_next_closed_level(
    make_tube: Tube, loops: tuple[Loop, Loop, Loop], at: int
) -> None:
    assert aimed_level(make_tube(loops=loops).levels) == at
