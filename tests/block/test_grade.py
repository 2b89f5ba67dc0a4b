"""Grading: every size has its own body's girths times its own factor."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ease.block.adjust import adjust_block
from ease.block.as_worn import as_worn
from ease.block.draft import draft_block
from ease.block.grade import Grading, grade, size_labels
from ease.block.measure import girth_at, held_distances, level_girths, walk_seams
from ease.block.on_body import worn_strains
from ease.block.pieces import Block, DraftedFor, FoundMeasure, Level, Toiled
from ease.block.plan import BODY_SIZE, Factors, factors_of_block
from ease.block.refit import refit
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.body.sizes import load_size_run
from ease.demo import shipped_block
from ease.errors import RefusedError
from ease.fabric.store import fabric_names, load_fabric
from ease.files.any_block import load_any_block
from ease.files.trace_file import load_trace
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth
from ease.fit.decide import decide
from ease.fit.outside import SAME_STRAIN

SIZES = load_size_run("en").bodies[1:12:3]
AIM = AIMS["regular"]
SHOWN_CM = 0.05  # half of the last digit shown; truing and holds move less


def cloth(name: str = "firm-tricot") -> Cloth:
    return Cloth.of(load_fabric(name))


@pytest.fixture(scope="module")
def graded() -> Grading:
    return grade(SIZES, cloth(), AIM)


def test_sizes_are_those_of_single_drafts_and_decisions(graded: Grading) -> None:
    for size, body in zip(graded.sizes, SIZES, strict=True):
        one = decide(load_fabric("firm-tricot"), body)
        assert size.factors is not None
        assert size.factors.girth == pytest.approx(one.girth.factor, abs=1e-12)
        assert size.factors.length == pytest.approx(one.length.factor, abs=1e-12)
        assert size.bound_by == (one.girth.bound_by, one.length.bound_by)
        single = refit(draft_block(body), BODY_SIZE, Factors.from_reduction(one), body)
        assert size.girths == pytest.approx(level_girths(single.block), rel=1e-12)
        for name in ("bust", "waist", "hip"):
            assert size.girths[name] == pytest.approx(one.cut(name), abs=SHOWN_CM)


def test_blocks_say_what_they_were_cut_for(graded: Grading) -> None:
    for size, block in zip(graded.made, graded.blocks, strict=True):
        said = block.drafted_for
        assert size.factors is not None
        assert (said.girth_factor, said.fabric, said.body, said.round_body) == (
            size.factors.girth,
            "firm-tricot",
            size.body.name,
            load_fabric("firm-tricot").round_body,
        )


def test_steps_are_the_differences_of_neighbours(graded: Grading) -> None:
    busts = [size.girths["bust"] for size in graded.sizes]
    assert graded.steps("girths")["bust"] == pytest.approx(np.diff(busts))
    assert set(graded.steps("lengths")) == set(graded.sizes[0].lengths)
    assert all(step > 0 for step in graded.steps("lengths")["torso loop"])


def test_seams_match_in_every_size(graded: Grading) -> None:
    for block in graded.blocks:
        for seam in walk_seams(block):
            assert abs(seam.difference_cm) < 0.1  # the promise of an adjustment


def test_without_a_fabric_sizes_are_the_bodies() -> None:
    result = grade(SIZES, None, AIM)
    for size, body in zip(result.made, SIZES, strict=True):
        assert size.girths["hip"] == pytest.approx(body["hip"], abs=1e-6)
        assert size.lengths["torso loop"] == pytest.approx(body["torso_loop"], abs=1e-6)


def test_a_block_is_graded_in_proportion_to_the_bodies() -> None:
    path = shipped_block("demo-soft")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    result = grade(SIZES, cloth(), AIM, block=block, base=base)
    held = [row.distance_cm for row in held_distances(block)]
    girth_of = {lv.name: girth_at(block, lv.y) for lv in block.levels}
    said = block.drafted_for
    assert said.girth_factor is not None
    for size, own in zip(result.made, result.blocks, strict=True):
        assert size.factors is not None
        for name, girth in girth_of.items():
            # What the block had at this level, on this body, in this fabric.
            wanted = girth * size.body[name] / base[name]
            wanted *= size.factors.girth / said.girth_factor
            assert size.girths[name] == pytest.approx(wanted, abs=SHOWN_CM)
        now = [row.distance_cm for row in held_distances(own)]
        assert now == pytest.approx(held, abs=1e-6)
        assert own.drafted_for.body == size.body.name


def test_the_loop_of_every_size_is_worn_by_its_own_factor() -> None:
    """As far off its factor as the block is on its own body, and no further."""
    path = shipped_block("demo-soft")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    said = block.drafted_for.length_factor
    assert said is not None
    _, own = worn_strains(block, base)
    assert own is not None
    for size in grade(SIZES, cloth(), AIM, block=block, base=base).sizes:
        assert size.block is not None
        assert size.factors is not None
        _, down = worn_strains(size.block, size.body)
        wanted = (1 + own) * said / size.factors.length - 1
        assert down == pytest.approx(wanted, abs=SAME_STRAIN)


def test_a_level_that_nobody_measured_changes_no_size() -> None:
    """Two heights between waist and hip that no size table has."""
    path = shipped_block("demo-soft")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    own = Level("low waist", 44.0), Level("high hip", 52.0)
    marked = replace(block, levels=(*block.levels, *own))
    plain = grade(SIZES, cloth(), AIM, block=block, base=base)
    run = grade(SIZES, cloth(), AIM, block=marked, base=base)
    for size, same in zip(run.made, plain.made, strict=True):
        assert size.block is not None
        assert same.block is not None
        assert size.lengths == pytest.approx(same.lengths, abs=1e-9)
        for y in (44.0, 50.0, 60.0):
            there = girth_at(same.block, y)
            assert girth_at(size.block, y) == pytest.approx(there, abs=1e-9)
    (note,) = (text for text in run.notes if "are not all measured" in text)
    assert "at low waist, high hip; there it is graded as" in note
    assert not any("are not all measured" in text for text in plain.notes)


@pytest.mark.parametrize("taken", [True, False])
def test_the_leg_grows_by_the_thigh_where_every_size_was_measured(
    shorts: Block, *, taken: bool
) -> None:
    """A thigh that was filled in beside one that was taken is no step."""
    taped = {"bust": 88.0, "waist": 70.0, "hip": 96.0, "thigh": 57.5}
    small = {"bust": 84.0, "waist": 66.0, "hip": 92.0, "thigh": 50.0}
    if not taken:
        del small["thigh"]
    base, body = (complete(Body(name="own", values=one)) for one in (taped, small))
    run = grade([body], None, AIM, block=shorts, base=base)
    (size,) = run.sizes
    assert size.block is not None
    girths, before = level_girths(size.block), level_girths(shorts)
    assert size.factors is not None
    by = size.factors.girth / factors_of_block(shorts, base).girth
    assert girths["hip"] == pytest.approx(before["hip"] * by * 92 / 96, abs=SHOWN_CM)
    share = 50 / 57.5 if taken else 92 / 96
    assert girths["thigh"] == pytest.approx(before["thigh"] * by * share, abs=SHOWN_CM)
    told = [text for text in run.notes if "are not all measured at thigh" in text]
    assert bool(told) is not taken


LEGS = """# name = tights
# fold leg = pair
# level waist = 0
# level hip = 20
# seam inside leg = leg.inseam front, leg.inseam back
# seam rise = leg.rise, leg.rise
# seam seat = leg.seat, leg.seat
piece,edge,point,across,down,hint
leg,waist,wf,0,0,
leg,seat,wb,36,0,
leg,inseam back,sb,44,26,
leg,hem,ab,32,90,
leg,inseam front,af,8,90,
leg,rise,cf,-4,26,
"""


@pytest.mark.parametrize(
    ("taller", "rise", "leg"),
    [
        ({"stature": 168.0}, 27.3 / 26, 1.0),
        ({"stature": 176.4}, 27.3 / 26, 1.05),
        ({}, 27.3 / 26, 1.0),  # one height of two tells nothing
    ],
)
def test_legs_grow_by_height_and_what_hangs_from_the_waist_by_the_rise(
    tmp_path: Path, taller: dict[str, float], rise: float, leg: float
) -> None:
    path = tmp_path / "legs.csv"
    path.write_text(LEGS, encoding="utf-8")
    block = load_trace(path).block
    own = {
        "bust": 88.0,
        "waist": 70.0,
        "hip": 96.0,
        "stature": 168.0,
        "body_rise": 26.0,
    }
    size = {"bust": 88.0, "waist": 70.0, "hip": 96.0, "body_rise": 27.3, **taller}
    base, body = (complete(Body(name="own", values=one)) for one in (own, size))
    run = grade([body], None, AIM, block=block, base=base)
    (made,) = run.blocks
    down = {point: made.pieces[0].point(point)[1] for point in ("wf", "cf", "sb", "ab")}
    assert down["cf"] - down["wf"] == pytest.approx(26 * rise, abs=1e-9)
    assert down["ab"] - down["sb"] == pytest.approx(64 * leg, abs=0.05)
    (said,) = (text for text in run.notes if "grow by the body rise" in text)
    assert ("stay as long" in said) is (not taller)


def test_graded_to_its_own_body_and_fabric_a_block_stays() -> None:
    path = shipped_block("demo")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    (size,) = grade([base], None, AIM, block=block, base=base).made
    assert size.girths == pytest.approx(level_girths(block), abs=1e-9)


def test_what_a_toile_found_of_the_wearer_is_said_of_a_run() -> None:
    """Taken as found, or read the same again: every other command says so too."""
    path = shipped_block("demo-soft")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    found = FoundMeasure("torso_loop", base["torso_loop"], 163.0, sure=False)
    toiled = Toiled(wearer=base.name, measures=(found,))
    corrected = replace(block, drafted_for=replace(block.drafted_for, toiled=toiled))
    again = replace(base, again=frozenset({"torso_loop"}))
    for body, text in (
        (base, "as a toile of this block found"),
        (again, "measured again"),
    ):
        worn = as_worn(corrected, body)
        run = grade(SIZES[:1], cloth(), AIM, block=corrected, base=worn)
        assert [note for note in run.notes if text in note]
        assert set(worn.notes[:1]) <= set(run.notes)
    plain = grade(SIZES[:1], cloth(), AIM, block=block, base=base)
    assert not [note for note in plain.notes if "toile" in note]


def test_a_block_needs_its_body() -> None:
    path = shipped_block("demo")
    assert path is not None
    with pytest.raises(RefusedError, match="names no body"):
        grade(SIZES, None, AIM, block=load_any_block(path))


def test_a_size_that_cannot_be_made_says_why_and_the_others_are_done() -> None:
    odd = complete(Body(name="odd", values={"bust": 80, "waist": 50, "hip": 140}))
    result = grade([SIZES[0], odd, SIZES[1]], cloth("heavy-matt"), AIM)
    fault = result.sizes[1]
    assert fault.block is None
    assert fault.factors is None
    assert "no strain round meets both limits" in fault.fault
    assert fault.girths == fault.lengths == {}
    assert len(result.made) == 2
    assert len(result.steps("girths")["bust"]) == 1


def test_a_draft_that_is_impossible_says_why() -> None:
    values = dict(SIZES[0].values) | {"torso_loop": 120.0}
    odd = Body(name="odd", values=values)
    result = grade([SIZES[0], odd], None, AIM)
    assert result.sizes[1].block is None
    assert result.sizes[1].fault


def test_limits_are_kept_with_the_answer() -> None:
    allowed = Allowed(usable_share=0.9)
    wider = grade(SIZES, cloth("soft-tricot"), AIM, allowed)
    usual = grade(SIZES, cloth("soft-tricot"), AIM)
    assert wider.allowed == allowed
    assert wider.sizes[0].factors is not None
    assert usual.sizes[0].factors is not None
    assert wider.sizes[0].factors.girth < usual.sizes[0].factors.girth


@pytest.mark.parametrize(
    ("names", "labels"),
    [
        (["en-76", "en-80"], ("76", "80")),
        (["en-76-short", "en-140-short"], ("76", "140")),
        (["astm-95-2", "astm-95-4"], ("2", "4")),
        (["S", "M", "L"], ("S", "M", "L")),
        (["en-76"], ("76",)),
        (["a-1", "b-1"], ("a", "b")),
        (["X-S", "X"], ("X-S", "X")),
    ],
)
def test_labels_leave_out_what_all_share(
    names: list[str], labels: tuple[str, ...]
) -> None:
    assert size_labels(names) == labels


def test_what_a_toile_moved_in_the_block_is_said_to_be_left_out() -> None:
    base = load_body("demo")
    block = draft_block(base)
    toiled = replace(block.drafted_for, toiled=Toiled(length=1.05))
    moved = grade(
        [base], None, AIM, block=replace(block, drafted_for=toiled), base=base
    )
    (note,) = moved.notes
    assert "x 1.050 down" in note
    assert grade([base], None, AIM, block=block, base=base).notes == ()


def test_sizes_that_a_single_run_would_warn_of_are_named() -> None:
    """Wet, rib leaves 1.3 N; soft-tricot is pulled down by contraction and the cut."""
    for name, warning in (
        ("rib", "straps_slack_later"),
        ("soft-tricot", "length_pulled_twice"),
    ):
        sizes = grade(SIZES, cloth(name), AIM).sizes
        assert any(warning in size.warnings for size in sizes)
        for size in sizes:
            notes = " ".join(decide(load_fabric(name), size.body).notes)
            told = {
                "straps_slack_later": "the straps hang slack then" in notes,
                "length_pulled_twice": "the length is pulled twice" in notes,
            }
            assert {key for key, said in told.items() if said} == set(size.warnings)


def test_a_block_that_hangs_from_nothing_keeps_its_length_factor() -> None:
    path = shipped_block("demo-soft")
    assert path is not None
    block = replace(load_any_block(path), loop_path=())
    cloth = Cloth.of(load_fabric("firm-tricot"))
    bodies = [complete(load_body("demo"))]
    run = grade(bodies, cloth, AIMS["regular"], block=block, base=bodies[0])
    (size,) = run.sizes
    assert size.factors is not None
    assert size.factors.length == block.drafted_for.length_factor
    assert size.bound_by == ("aim", "as_it_is")


def test_sizes_of_a_block_that_is_off_are_told_beyond_the_window() -> None:
    """Cut 4 % narrower than it says: (1 + worn) / 0.96 - 1 lies past room to move."""
    path = shipped_block("demo-soft")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    true = grade(SIZES, cloth(), AIM, block=block, base=base)
    assert not any(size.beyond for size in true.sizes)
    cut = adjust_block(block, 0.96, 1.0).after
    narrow = replace(cut, drafted_for=block.drafted_for)
    run = grade(SIZES, cloth(), AIM, block=narrow, base=base)
    room = (1 + 0.5 * 0.8) / 1.15 - 1
    for size, same in zip(run.sizes, true.sizes, strict=True):
        (beyond,) = size.beyond
        assert beyond.way == "round"
        assert beyond.window[1] == pytest.approx(room)
        worn = size.body["hip"] / (0.96 * same.girths["hip"]) - 1
        assert worn > room
        assert f"{100 * worn:.1f} % at hip" in beyond.worn


@pytest.mark.parametrize("name", fabric_names())
def test_drafted_sizes_lie_in_the_window(name: str) -> None:
    run = grade(SIZES, cloth(name), AIM)
    assert not any(size.beyond for size in run.sizes)


def test_what_a_block_is_taken_for_is_said_where_it_does_not_say_it() -> None:
    path = shipped_block("demo-soft")
    assert path is not None
    block, base = load_any_block(path), complete(load_body("demo"))
    bare = replace(block, drafted_for=DraftedFor())
    run = grade(SIZES, cloth(), AIM, block=bare, base=base)
    assert any(note.startswith("the block does not say") for note in run.notes)
    told = grade(SIZES, cloth(), AIM, block=block, base=base)
    assert not any(note.startswith("the block does not say") for note in told.notes)
