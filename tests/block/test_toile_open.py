"""A girth that a toile could not tell from the cloth: the next one may."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ease.block.as_worn import as_worn, found_notes
from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.block.plan import Factors, factors_of_block
from ease.block.refit import refit
from ease.block.toile_correct import Correction, correct
from ease.block.toile_evidence import evidence_of
from ease.block.toile_weigh import weigh_toile
from ease.fabric.profile import Fabric
from ease.fabric.toile_marks import Mark
from ease.fabric.toile_readings import ToileFile
from ease.files.block_toml import load_block, save_block

from .test_toile import BODY, Place, off, plain, quiet, read_off
from .test_toile_again import told
from .test_toile_meant import NAMES, NEW, after, truly

Make = Callable[..., Any]


def sewn_at(
    block: Block, fabric: Fabric, cloth: float, places: tuple[str, ...], **shares: float
) -> Correction:
    """A toile marked round some levels, body and cloth off by shares."""
    at: tuple[Place, ...] = tuple((place, "round") for place in places)
    base = plain(block, fabric, at)
    wearer = truly(**shares)
    unknowns = [np.log(wearer[key] / base.body[key]) for key in NAMES]
    truth = np.array([*unknowns, cloth, 0.0]) - base.fit.model.origin
    marks = read_off(base, truth, quiet, places=at)
    return correct(weigh_toile(marks, block, BODY, fabric))


@pytest.fixture
def half_told(block: Block, fabric: Fabric) -> Block:
    """Corrected by a toile that was marked at the waist alone: 5 % of body or cloth."""
    made = after(sewn_at(block, fabric, 0.05, ("waist",)))
    (found,) = made.drafted_for.toiled.measures
    assert (found.key, found.sure) == ("waist", False)
    assert found.found == pytest.approx(70 * np.exp(0.05), rel=1e-3)
    return made


@pytest.mark.parametrize(
    "places", [("waist", "hip"), ("bust", "waist", "hip"), ("bust", "hip")]
)
def test_other_levels_tell_that_it_was_the_cloth(
    half_told: Block, fabric: Fabric, places: tuple[str, ...]
) -> None:
    """As if all had been marked at once: nothing is laid to a measure that was right."""
    second = sewn_at(half_told, fabric, 0.05, places)
    assert told(second) == [("cloth", "round")]
    # It lies where the first toile put it, marked again or not, and its row says so.
    (waist,) = [move for move in second.moves if move.name == "waist"]
    assert waist.kept == 1.0
    assert abs(waist.found - 1.0) <= waist.half
    assert waist.sd > 0.003
    assert second.body == ()
    made = after(second)
    assert made.drafted_for.toiled.measures == ()
    before, now = level_girths(half_told), level_girths(made)
    assert now["waist"] == pytest.approx(before["waist"], rel=2e-3)
    assert now["hip"] == pytest.approx(before["hip"] * np.exp(0.05), rel=2e-3)
    ratio = evidence_of(second, date(2024, 5, 31)).along
    assert ratio is not None
    assert ratio.clear
    assert ratio.ratio == pytest.approx(np.exp(0.05), rel=2e-3)
    # Cut for another cloth, body and block are as if nothing had been wrong.
    cut = refit(made, factors_of_block(made, BODY), NEW, BODY)
    assert level_girths(cut.block)["waist"] == pytest.approx(NEW.girth * 70, rel=2e-3)


def test_other_levels_tell_that_it_was_the_body(
    half_told: Block, fabric: Fabric
) -> None:
    second = sewn_at(half_told, fabric, 0.0, ("bust", "waist", "hip"), waist=0.05)
    assert told(second) == [("body", "waist")]
    (change,) = second.body
    assert change.taped == pytest.approx(70.0)
    assert change.found == pytest.approx(70 * np.exp(0.05), rel=1e-3)
    # The block is worn as meant already, and now it is known why.
    assert second.moved == ()
    (before,) = half_told.drafted_for.toiled.measures
    said = second.block.drafted_for.toiled
    assert said.measures == (replace(before, sure=True),)
    assert second.block.pieces == half_told.pieces


def test_what_is_laid_to_the_cloth_is_not_the_measures(
    half_told: Block, fabric: Fabric
) -> None:
    """Cloth 5 % shorter and waist 10 % larger made the 5 %, and the level is right."""
    second = sewn_at(half_told, fabric, -0.05, ("bust", "hip"), waist=0.1)
    made = after(second)
    before, now = level_girths(half_told), level_girths(made)
    assert now["waist"] == pytest.approx(before["waist"], rel=2e-3)
    (found,) = made.drafted_for.toiled.measures
    assert set(told(second)) == {("body", "waist"), ("cloth", "round")}
    assert found.found == pytest.approx(70 * np.exp(0.1), rel=3e-3)
    assert found.sure
    factor = made.drafted_for.girth_factor
    assert factor is not None
    assert now["waist"] == pytest.approx(factor * found.found, rel=2e-3)


@pytest.mark.parametrize("share", [0.0, 0.05])
def test_it_is_open_in_the_next_cloth_too(
    make_fabric: Make, half_told: Block, fabric: Fabric, share: float
) -> None:
    """Worn as meant there, the waist was wrong; not, it is cut back to the tape."""
    other = make_fabric(
        {"stretch": 0.9, "sd": 0.02, "n": 5}, {"stretch": 0.7}, name="b"
    )
    new = Factors(0.85, 0.97, "b", other.name, BODY.name)
    found = dict.fromkeys(["waist"], half_told.drafted_for.toiled.measures[0].found)
    person = replace(BODY, values={**BODY.values, **found})
    made = refit(half_told, factors_of_block(half_told, person), new, person).block
    toile = sewn_at(made, other, 0.0, ("bust", "waist", "hip"), waist=share)
    if share:
        assert told(toile) == [("body", "waist")]
        assert toile.moved == ()
    else:
        assert [m.name for m in toile.moved] == ["waist"]
        assert level_girths(after(toile))["waist"] == pytest.approx(0.85 * 70, rel=3e-3)
        # As taped after all, it is found no more.
        assert after(toile).drafted_for.toiled.measures == ()


def test_the_same_marks_leave_it_open(half_told: Block, fabric: Fabric) -> None:
    second = sewn_at(half_told, fabric, 0.05, ("waist",))
    assert {c.kind for c in second.toile.causes if c.verdict == "unclear"} == {
        "body",
        "cloth",
    }
    assert second.moved == ()


def test_a_level_is_not_unclear_that_the_cloth_moved(
    half_told: Block, fabric: Fabric
) -> None:
    """Its neighbours shifted by hairs as the first one was corrected."""
    assert sewn_at(half_told, fabric, 0.05, ("bust", "hip")).unclear == frozenset()
    assert sewn_at(half_told, fabric, 0.05, ("hip",)).unclear == frozenset()


@pytest.mark.parametrize("repeats", [1, 2])
def test_few_marks_that_fit_do_not_cut_back_what_was_found(
    block: Block, fabric: Fabric, repeats: int
) -> None:
    """Waist and hip 4 % larger than taped, or bust and cloth 4 % less: one or the other."""
    base = plain(block, fabric)
    truth = off(waist=0.04, hip=0.04)
    rng = np.random.default_rng(20261128)
    looked = 0
    for _ in range(12):
        marks = read_off(base, truth, rng.standard_normal)
        made = correct(weigh_toile(marks, block, BODY, fabric)).block
        found = made.drafted_for.toiled.measures
        left = {one.key for one in found if one.lay is None and not one.sure}
        if left != {"waist", "hip"}:
            continue
        looked += 1
        # Both count as taped again.
        marks = read_off(plain(made, fabric), truth, quiet, repeats=repeats)
        second = correct(weigh_toile(marks, made, BODY, fabric))
        assert (second.moved, second.followed) == ((), frozenset())
    assert looked >= 3


def test_a_toile_that_brings_nothing_new_leaves_it_open(
    block: Block, fabric: Fabric
) -> None:
    """Waist and hip 6 % larger, or bust smaller and cloth longer: the same marks."""
    truth = off(waist=0.06, hip=0.06)
    first = correct(
        weigh_toile(read_off(plain(block, fabric), truth, quiet), block, BODY, fabric)
    )
    made = first.block
    before = made.drafted_for.toiled.measures
    assert {one.key for one in before if one.lay is None} == {"waist", "hip"}
    assert not any(one.sure for one in before)
    second = correct(
        weigh_toile(read_off(plain(made, fabric), truth, quiet), made, BODY, fabric)
    )
    assert told(second) == []
    assert len(second.toile.fit.found.unclear) == 1
    assert second.moved == ()
    assert second.block.drafted_for.toiled.measures == before


@pytest.fixture
def two_moved(block: Block, fabric: Fabric) -> Block:
    """Waist and hip 6 % larger, or bust smaller and cloth longer: the bust lies right."""
    marks = read_off(plain(block, fabric), off(waist=0.06, hip=0.06), quiet)
    made = after(correct(weigh_toile(marks, block, BODY, fabric)))
    assert level_girths(made)["bust"] == pytest.approx(level_girths(block)["bust"])
    return made


@pytest.mark.parametrize("places", [("waist", "hip"), ("waist",), ("hip",)])
@pytest.mark.parametrize("again", [frozenset[str](), frozenset({"bust"})])
def test_a_level_that_lay_as_meant_is_remembered(
    two_moved: Block, fabric: Fabric, places: tuple[str, ...], again: frozenset[str]
) -> None:
    """Marks at the moved levels alone say no more of the cloth than all did before.

    Whichever it was, the bust lies right as it is.
    """
    at: tuple[Place, ...] = tuple((place, "round") for place in places)
    person = replace(BODY, again=again)
    base = plain(two_moved, fabric, at, body=person)
    wearer = truly(waist=0.06, hip=0.06)
    unknowns = [np.log(wearer[key] / base.body[key]) for key in NAMES]
    truth = np.array([*unknowns, 0.0, 0.0]) - base.fit.model.origin
    marks = read_off(base, truth, quiet, places=at)
    second = correct(weigh_toile(marks, two_moved, person, fabric))
    assert told(second) == []
    assert second.moved == ()
    (bust,) = [move for move in second.moves if move.name == "bust"]
    assert abs(bust.found - 1.0) <= bust.half < 0.03


def test_a_level_that_lay_as_meant_stays_where_the_cloth_is_told_after_all(
    two_moved: Block, fabric: Fabric
) -> None:
    """The bust measured again is 6 % smaller: so the cloth lies 6 % longer."""
    smaller = BODY["bust"] * np.exp(-0.06)
    person = replace(
        BODY, values={**BODY.values, "bust": smaller}, again=frozenset({"bust"})
    )
    base = plain(two_moved, fabric, body=person)
    marks = read_off(base, off(round=0.06), quiet)
    second = correct(weigh_toile(marks, two_moved, person, fabric))
    assert told(second) == [("cloth", "round")]
    before, now = level_girths(two_moved), level_girths(after(second))
    for name in before:
        assert now[name] == pytest.approx(before[name], rel=3e-3)
    assert after(second).drafted_for.toiled.measures == ()


@pytest.mark.parametrize(
    ("cloth", "waist", "hip"),
    [(-0.041, (11.9, 11.9), (12.3, 12.3)), (-0.07, (11.75, 11.75), (12.75, 11.75))],
)
def test_what_a_level_showed_counts_as_much_as_its_marks(
    block: Block,
    fabric: Fabric,
    cloth: float,
    waist: tuple[float, float],
    hip: tuple[float, float],
) -> None:
    """Hip marks that lie off, or apart by a slip, do not say that it lay as meant.

    Worn as meant a mark of 10 cm is 12.5 cm; the marks are given for 12.6 cm.
    """
    rows = [("waist", worn) for worn in waist] + [("hip", worn) for worn in hip]
    marks = tuple(
        Mark(
            place=place,
            direction="round",
            repeat=i,
            relaxed=10.0,
            worn=worn * 12.5 / 12.609,
        )
        for i, (place, worn) in enumerate(rows, start=1)
    )
    read = ToileFile(source="invented", marks=marks)
    made = after(correct(weigh_toile(read, block, BODY, fabric)))
    (lay,) = [one.lay for one in made.drafted_for.toiled.measures if one.key == "hip"]
    own = np.log(np.array(hip) / 12.609)
    assert lay is not None
    assert np.log(lay[0]) == pytest.approx(own.mean(), abs=2e-3)
    assert lay[1] >= own.std(ddof=1) / np.sqrt(2) - 1e-9
    second = sewn_at(made, fabric, cloth, ("bust", "waist", "hip"))
    assert told(second) == [("cloth", "round")]
    assert second.moves[0].kept == pytest.approx(np.exp(cloth), abs=6e-3)
    found = after(second).drafted_for.toiled.measures
    assert [one for one in found if one.key == "hip"] == []


def test_a_girth_found_as_taped_is_no_correction_of_the_body(
    two_moved: Block, tmp_path: Path
) -> None:
    found = {one.key: one for one in two_moved.drafted_for.toiled.measures}
    assert found["bust"].found == found["bust"].taped
    assert not found["bust"].sure
    assert found["bust"].lay == pytest.approx((1.0, 0.008), abs=5e-3)
    worn = as_worn(two_moved, BODY)
    assert worn["bust"] == BODY["bust"]
    assert worn["waist"] > BODY["waist"]
    assert not any(note.startswith("bust") for note in worn.notes)
    assert not any(str(n).startswith("bust") for n in found_notes(two_moved, worn))
    save_block(two_moved, tmp_path / "moved.toml")
    assert load_block(tmp_path / "moved.toml").drafted_for == two_moved.drafted_for


def test_a_girth_read_again_leaves_the_cloth_to_explain_all_levels(
    half_told: Block, fabric: Fabric
) -> None:
    """The waist reads the same; it and the bust lie 5 % longer: one cause, not two."""
    at: tuple[Place, ...] = (("bust", "round"), ("waist", "round"))
    again = replace(BODY, again=frozenset({"waist"}))
    base = plain(half_told, fabric, at, body=again)
    marks = read_off(base, off(round=0.05), quiet, places=at)
    second = correct(weigh_toile(marks, half_told, again, fabric))
    assert told(second) == [("cloth", "round")]
    before, now = level_girths(half_told), level_girths(after(second))
    assert now["waist"] == pytest.approx(before["waist"], rel=2e-3)
    for name in ("bust", "hip"):
        assert now[name] == pytest.approx(before[name] * np.exp(0.05), rel=2e-3)
