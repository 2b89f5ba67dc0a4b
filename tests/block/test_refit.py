"""A block from old factors to new ones, beside the body, with its spread."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ease.block.curves import flatten
from ease.block.measure import level_girths
from ease.block.pieces import Block, DraftedFor, Hold, Level, PointRef
from ease.block.plan import Factors, factors_of_block, inferred_factors
from ease.block.refit import SizeRow, refit
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.files.any_block import load_any_block

Tube = Callable[..., Block]
MARIT = Body(
    name="invented",
    values={
        "bust": 88.0,
        "waist": 70.0,
        "hip": 96.0,
        "torso_loop": 168,
        "shoulder": 13,
    },
)
BODY_SIZE = Factors(1.0, 1.0, "body size")
NEW = Factors(0.8, 0.95, "test-cloth on invented", "test-cloth", "invented")


def test_girths_and_loop_before_and_after(make_tube: Tube) -> None:
    result = refit(make_tube(), BODY_SIZE, NEW, MARIT)
    rows = {row.name: row for row in (*result.girths, *result.lengths)}
    for name, girth in (("bust", 88), ("waist", 70), ("hip", 96)):
        assert rows[name].before_cm == pytest.approx(girth)
        assert rows[name].after_cm == pytest.approx(0.8 * girth)
        assert rows[name].change_cm == pytest.approx(-0.2 * girth)
        assert rows[name].change == pytest.approx(-0.2)
        assert rows[name].strain == pytest.approx(0.25)
    loop = rows["torso loop"]
    assert loop.before_cm == pytest.approx(160)
    assert loop.body_cm == 168
    assert loop.after_cm == pytest.approx(152)
    assert loop.strain == pytest.approx(168 / 152 - 1)
    assert rows["front.fold"].after_cm == pytest.approx(76)
    assert rows["front.top"].after_cm == pytest.approx(22 * 0.8)
    assert rows["front.fold"].body_cm is None
    assert rows["front.fold"].strain is None


def test_the_new_block_says_what_it_was_cut_for(make_tube: Tube) -> None:
    result = refit(make_tube(), BODY_SIZE, NEW)
    assert result.block.drafted_for == DraftedFor(0.8, 0.95, "test-cloth", "invented")
    assert level_girths(result.block)["bust"] == pytest.approx(70.4)


def test_there_and_back(make_tube: Tube) -> None:
    block = make_tube()
    there = refit(block, BODY_SIZE, NEW).block
    back = refit(there, factors_of_block(there, None), BODY_SIZE).block
    assert level_girths(back) == pytest.approx(level_girths(block), abs=1e-9)
    assert back.drafted_for.girth_factor == 1.0


def test_by_level_there_and_then_by_another_factor(make_tube: Tube) -> None:
    """A step over a first fabric ends where going straight to the second does."""
    block = make_tube(loops=("closed", "partly", "open"))
    second = Factors(0.9, 1.0, "second")
    first = refit(block, BODY_SIZE, Factors(0.8, 1.0, "first"), by_level=True).block
    over = refit(first, factors_of_block(first, None), second, by_level=True)
    straight = refit(block, BODY_SIZE, second, by_level=True)
    assert level_girths(over.block) == pytest.approx(
        level_girths(straight.block), abs=1e-6
    )
    assert dict(over.block.drafted_for.level_factors) == pytest.approx(
        dict(straight.block.drafted_for.level_factors)
    )


def test_by_level_and_then_by_one_ratio_is_remembered(make_tube: Tube) -> None:
    block = make_tube(loops=("closed", "closed", "open"))
    first = refit(block, BODY_SIZE, Factors(0.8, 1.0, "first"), by_level=True).block
    plain = refit(first, factors_of_block(first, None), Factors(0.88, 1.0, "second"))
    said = dict(plain.block.drafted_for.level_factors)
    for name, girth in level_girths(plain.block).items():
        assert girth / MARIT[name] == pytest.approx(said[name], abs=1e-9)
    assert said["hip"] == pytest.approx(1.1)


def test_spread_of_the_factor_becomes_centimetres(make_tube: Tube) -> None:
    unsure = replace(NEW, girth_half=0.008, length_half=0.019)
    result = refit(make_tube(), BODY_SIZE, unsure, MARIT)
    rows = {row.name: row for row in (*result.girths, *result.lengths)}
    assert rows["bust"].half_cm == pytest.approx(88 * 0.008)
    assert rows["torso loop"].half_cm == pytest.approx(160 * 0.019)
    assert refit(make_tube(), BODY_SIZE, NEW).girths[0].half_cm is None


def test_a_slanted_edge_is_as_unsure_as_its_two_directions(hand_block: Block) -> None:
    """By the chain rule: x of each bit of edge by one share, y by the other."""
    unsure = replace(NEW, girth_half=0.008, length_half=0.019)
    bare = replace(hand_block, holds=(), seams=())
    result = refit(bare, BODY_SIZE, unsure)
    rows = {row.name: row for row in result.lengths}
    for name in ("front.leg", "back.neckline", "front.side"):
        steps = np.diff(flatten(result.block.edge(name).control, 1e-5), axis=0)
        sizes = np.hypot(*steps.T)
        parts = (steps**2 / sizes[:, None]).sum(axis=0)
        parts *= 0.008 / unsure.girth, 0.019 / unsure.length
        # Shares of 1 and 2 % leave terms of second order out.
        assert rows[name].half_cm == pytest.approx(np.hypot(*parts), rel=0.02)


def test_an_open_level_and_a_held_edge_are_not_unsure(make_tube: Tube) -> None:
    unsure = replace(NEW, girth_half=0.012, length_half=0.019)
    hold = Hold("top", PointRef("front", "neck"), PointRef("front", "arm"))
    block = make_tube(loops=("closed", "partly", "open"), holds=(hold,))
    result = refit(block, BODY_SIZE, unsure, by_level=True)
    girths = {row.name: row for row in result.girths}
    # Of a reduction that is unsure by 0.012 a partly open level takes 5/12.
    waist = girths["waist"]
    assert waist.half_cm == pytest.approx(
        waist.after_cm * (0.012 * 5 / 12) / (1 - 0.2 * 5 / 12)
    )
    assert girths["hip"].half_cm == 0
    lengths = {row.name: row for row in result.lengths}
    assert lengths["front.top"].half_cm == 0
    assert lengths["front.fold"].half_cm == pytest.approx(80 * 0.019)
    assert lengths["front.top"].after_cm == pytest.approx(22.0)


def test_a_girth_is_set_beside_a_girth_only(make_tube: Tube) -> None:
    """A level named shoulder is not compared with the shoulder length of 13 cm."""
    block = make_tube(levels=(Level("shoulder", 10.0), Level("waist", 40.0)))
    rows = {row.name: row for row in refit(block, BODY_SIZE, NEW, MARIT).girths}
    assert rows["shoulder"].body_cm is None
    assert rows["waist"].body_cm == 70


def test_open_levels_are_named_unless_each_gets_its_own(make_tube: Tube) -> None:
    block = make_tube(loops=("closed", "partly", "open"))
    block = replace(block, loop_path=())
    note = refit(block, BODY_SIZE, NEW).notes
    assert len(note) == 1
    assert note[0].startswith("cut open at waist, hip: ")
    assert "--by-level" in note[0]
    assert refit(block, BODY_SIZE, NEW, by_level=True).notes == ()
    assert refit(make_tube(loop_path=()), BODY_SIZE, NEW).notes == ()


def test_seams_stay_matched(hand_block: Block) -> None:
    for by_level in (False, True):
        result = refit(hand_block, BODY_SIZE, NEW, by_level=by_level)
        assert all(abs(seam.after_cm) < 0.1 for seam in result.adjustment.seams)


def test_a_senseless_ratio_is_refused(make_tube: Tube) -> None:
    with pytest.raises(RefusedError, match="ratio must lie within"):
        refit(make_tube(), Factors(0.4, 1.0, "a"), Factors(1.9, 1.0, "b"))


def test_a_row_without_size_has_no_change() -> None:
    assert SizeRow("empty", 0.0, 0.0).change == 0.0


def test_a_block_that_is_not_what_it_is_said_to_be_is_named(make_tube: Tube) -> None:
    """Cut for a cloth, but said to be at body size: it would be taken in twice."""
    cut = refit(make_tube(), BODY_SIZE, NEW, MARIT).block
    notes = [n for n in refit(cut, BODY_SIZE, NEW, MARIT).notes if "as said" in n]
    note, loop = notes
    assert loop.startswith("the torso loop of the block measures ")
    assert "bust 70.4 cm, waist 56.0 cm, hip 76.8 cm" in note
    assert "(body size) it would be bust 88.0 cm, waist 70.0 cm, hip 96.0 cm" in note
    for old in (NEW, Factors(0.83, NEW.length, "as given")):
        assert not any("as said" in n for n in refit(cut, old, NEW, MARIT).notes)
    own = Factors(
        1.0, NEW.length, "own", levels={"bust": 0.8, "waist": 0.8, "hip": 0.8}
    )
    assert not any("as said" in n for n in refit(cut, own, NEW, MARIT).notes)


def test_what_could_not_be_compared_is_said(make_tube: Tube) -> None:
    bare = replace(make_tube(), seams=(), loop_path=())
    notes = " ".join(refit(bare, BODY_SIZE, NEW, MARIT).notes)
    assert "no torso loop is marked" in notes
    assert "no seams are named" in notes
    assert "no distance is held" not in notes  # a tube has neither strap nor crotch

    assert "length taken as 1" in factors_of_block(bare, MARIT).origin
    whole = make_tube()
    assert whole.loop_path
    notes = " ".join(refit(whole, BODY_SIZE, NEW, MARIT).notes)
    assert "no torso loop is marked" not in notes


def test_straps_that_nothing_holds_are_named() -> None:
    demo = load_any_block("demo")
    notes = " ".join(refit(replace(demo, holds=()), BODY_SIZE, NEW, MARIT).notes)
    named = "front.strap, front.crotch, back.strap, back.crotch change width"
    assert f"no distance is held on the block, so {named}" in notes
    assert "no distance is held" not in " ".join(
        refit(demo, BODY_SIZE, NEW, MARIT).notes
    )


def test_a_block_that_is_not_cut_evenly_is_named(make_tube: Tube) -> None:
    """0.81, 1.00 and 0.79 of the body: one factor for all describes none of them."""
    uneven = make_tube(bust=0.81 * 88, waist=70.0, hip=0.79 * 96)
    old = inferred_factors(uneven, MARIT)
    found = [n for n in refit(uneven, old, NEW, MARIT).notes if "evenly" in n]
    assert len(found) == 1
    assert "it is 0.81 at bust, 1.00 at waist, 0.79 at hip" in found[0]
    whole = (0.81 * 88 + 70 + 0.79 * 96) / (88 + 70 + 96)
    assert f"one factor of {whole:.2f} (inferred" in found[0]
    assert "the new one keeps these differences" in found[0]
    # Levels that are known to differ are no news, nor is what lies within the tape.
    levels = {"bust": 0.81, "waist": 1.0, "hip": 0.79}
    for block, factors in (
        (uneven, Factors(whole, 1.0, "own", levels=levels)),
        (make_tube(waist=0.98 * 70), BODY_SIZE),
    ):
        assert not any("evenly" in n for n in refit(block, factors, NEW, MARIT).notes)


def test_known_levels_and_other_bodies_are_no_uneven_cut(make_tube: Tube) -> None:
    """A block says its own factors, and another body has another shape."""
    corrected = make_tube(bust=0.81 * 88, waist=0.90 * 70.0, hip=0.79 * 96)
    levels = {"bust": 0.81, "waist": 0.83, "hip": 0.79}
    known = Factors(0.81, 1.0, "own", levels=levels)
    (found,) = [n for n in refit(corrected, known, NEW, MARIT).notes if "evenly" in n]
    assert "against 0.81, 0.83, 0.79 (own)" in found
    other = replace(corrected, drafted_for=DraftedFor(body="somebody else"))
    assert not any("evenly" in n for n in refit(other, known, NEW, MARIT).notes)


def test_levels_that_end_outside_the_window_are_named(make_tube: Tube) -> None:
    """Bust and hip are taken in twice; only what was tested has a window."""
    uneven = make_tube(bust=0.81 * 88, waist=70.0, hip=0.79 * 96)
    new = replace(NEW, girth_window=(0.02, 0.27))
    ratio = 0.8 / inferred_factors(uneven, MARIT).girth
    result = refit(uneven, inferred_factors(uneven, MARIT), new, MARIT)
    (note,) = [n for n in result.notes if "window" in n]
    bust, hip = (100 * (1 / (share * ratio) - 1) for share in (0.81, 0.79))
    assert bust > 27 + 0.5
    assert f"worn {bust:.1f} % at bust, {hip:.1f} % at hip: outside" in note
    assert "test-cloth round, 2.0 to 27.0 %" in note
    assert "waist" not in note
    plain = refit(make_tube(), BODY_SIZE, new, MARIT).notes
    assert not any("window" in n for n in plain)
    assert not any("window" in n for n in refit(uneven, BODY_SIZE, NEW, MARIT).notes)


def test_a_length_beyond_its_window_is_said(make_tube: Tube) -> None:
    """The loop of the tube is 160 long, and body and block are one: nothing is worn."""
    new = replace(BODY_SIZE, girth_window=(0.0, 0.5), length_window=(0.05, 0.1))
    body = replace(MARIT, values={**MARIT.values, "torso_loop": 160.0})
    (note,) = [n for n in refit(make_tube(), BODY_SIZE, new, body).notes if "down" in n]
    assert note.startswith("worn 0.0 % down: outside the window of ")
    assert "down, 5.0 to 10.0 %" in note
    longer = replace(MARIT, values={**MARIT.values, "torso_loop": 172.0})
    notes = refit(make_tube(), BODY_SIZE, new, longer).notes
    assert not any("outside the window" in n for n in notes)
