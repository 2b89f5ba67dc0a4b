"""A corrected block sewn and marked again: it comes to rest where it is worn as meant."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from ease.block.adjust import adjust_block
from ease.block.as_worn import as_worn, cut_back
from ease.block.grade import grade
from ease.block.measure import level_girths, torso_loop
from ease.block.pieces import Block, FoundMeasure, Toiled
from ease.block.plan import Factors, factors_of_block
from ease.block.refit import refit
from ease.block.toile_correct import Correction, correct
from ease.block.toile_evidence import evidence_of
from ease.block.toile_weigh import weigh_toile
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.files.any_block import load_any_block
from ease.fit.aims import AIMS

from .test_toile import BODY, FACTOR, Floats, plain, quiet, read_off

Make = Callable[..., Any]
NAMES = ("bust", "waist", "hip", "torso_loop")
NEW = Factors(0.85, 0.93, "given", "other")


def truly(**shares: float) -> dict[str, float]:
    """The wearer's true measures, off those taped by shares."""
    return {key: BODY[key] * float(np.exp(shares.get(key, 0.0))) for key in NAMES}


def sewn(
    block: Block, body: Body, fabric: Fabric, wearer: dict[str, float], cloth: Floats
) -> Correction:
    """A toile of a block on a wearer, the cloth off its swatch round and down."""
    base = plain(block, fabric, body=body)
    unknowns = [np.log(wearer[key] / base.body[key]) for key in NAMES]
    truth = np.array([*unknowns, *(cloth - base.fit.model.origin[-2:])])
    return correct(weigh_toile(read_off(base, truth, quiet), block, body, fabric))


def after(correction: Correction) -> Block:
    assert correction.result is not None
    return correction.result.block


def round_cloth(share: float, down: float = 0.0) -> Floats:
    return np.array([share, down])


CASES: list[tuple[dict[str, float], Floats]] = [
    ({}, round_cloth(0.08)),
    ({}, round_cloth(-0.06, 0.05)),
    ({"waist": 0.07}, round_cloth(0.0)),
    ({}, round_cloth(0.0, -0.05)),
    ({"torso_loop": 0.05}, round_cloth(0.0)),
    ({"waist": 0.07, "torso_loop": 0.04}, round_cloth(0.05)),
]


@pytest.mark.parametrize(("shares", "cloth"), CASES)
def test_a_corrected_block_that_fits_is_not_corrected_again(
    block: Block, fabric: Fabric, shares: dict[str, float], cloth: Floats
) -> None:
    first = sewn(block, BODY, fabric, truly(**shares), cloth)
    again = sewn(after(first), BODY, fabric, truly(**shares), cloth)
    assert again.moved == ()
    for move in again.moves:
        assert abs(np.log(move.found)) <= again.limit * move.sd
    # Predicted is what was meant of the first: 1 / 0.8 - 1 round.
    assert [row.predicted for row in again.toile.rows] == pytest.approx(
        [row.predicted for row in first.toile.rows], abs=1e-3
    )


@pytest.mark.parametrize(("shares", "cloth"), CASES)
def test_it_is_worn_as_meant_in_the_next_cloth_too(
    make_fabric: Make,
    block: Block,
    fabric: Fabric,
    shares: dict[str, float],
    cloth: Floats,
) -> None:
    """What a toile found of the wearer goes with the block, what of the cloth does not."""
    corrected = after(sewn(block, BODY, fabric, truly(**shares), cloth))
    other = make_fabric(
        {"stretch": 0.9, "sd": 0.02, "n": 5}, {"stretch": 0.7}, name="other"
    )
    new = Factors(0.85, 0.97, "other", other.name, BODY.name)
    for by_level in (False, True):
        person = as_worn(corrected, BODY)
        old = factors_of_block(corrected, person)
        cut = refit(corrected, old, new, person, by_level=by_level).block
        toile = sewn(cut, BODY, other, truly(**shares), round_cloth(0.0))
        # A length that could not be told from the cloth may be found to be the cloth's.
        sure = all(one.sure for one in corrected.drafted_for.toiled.measures)
        assert [m.name for m in toile.moved if sure or m.name != "length"] == []
        for row in toile.toile.rows:
            if row.direction == "round":
                assert row.measured == pytest.approx(
                    1 / 0.85 - 1, abs=row.measured_half
                )


def test_a_measure_that_is_put_right_is_not_put_right_again(
    block: Block, fabric: Fabric
) -> None:
    """The waist is really 7 % larger: corrected for, taken again, and toiled again."""
    wearer = truly(waist=0.07, torso_loop=0.04)
    corrected = after(sewn(block, BODY, fabric, wearer, round_cloth(0.0)))
    taken = replace(BODY, values={**BODY.values, **wearer})
    again = sewn(corrected, taken, fabric, wearer, round_cloth(0.0))
    assert again.moved == ()
    assert again.body == ()


def test_measures_taken_again_clear_the_cloth_of_blame(
    block: Block, fabric: Fabric
) -> None:
    """All girths 4 % larger looks like the cloth; with the body taken again it is not."""
    wearer = truly(bust=0.043, waist=0.043, hip=0.043)
    first = sewn(block, BODY, fabric, wearer, round_cloth(0.0))
    assert first.cloth_told[0]
    taken = replace(BODY, values={**BODY.values, **wearer})
    again = sewn(after(first), taken, fabric, wearer, round_cloth(0.0))
    ratio = evidence_of(again, date(2026, 5, 31)).along
    assert ratio is not None
    assert ratio.clear
    assert ratio.ratio == pytest.approx(1.0, abs=ratio.half)
    assert not ratio.differs
    # The block is worn as meant and stays; only the factor is called what it is.
    assert level_girths(after(again)) == pytest.approx(level_girths(after(first)))
    assert again.moves[0].new == pytest.approx(FACTOR, rel=0.01)


def test_a_loop_that_reads_the_same_again_was_not_what_was_off(
    block: Block, fabric: Fabric
) -> None:
    """The cloth lay 5 % longer down; the loop, thought to be the cause, is as taped.

    In another cloth the block is then to be cut as if it had never been corrected.
    """
    corrected = after(sewn(block, BODY, fabric, truly(), round_cloth(0.0, 0.05)))
    (found,) = corrected.drafted_for.toiled.measures
    assert (found.key, found.sure) == ("torso_loop", False)
    worn = as_worn(corrected, BODY)
    assert worn["torso_loop"] == found.found
    assert "`# measured_again = torso_loop`" in worn.notes[0]
    again = replace(BODY, again=frozenset({"torso_loop"}))
    cleared = as_worn(corrected, again)
    assert cleared.values == again.values
    assert "so that the cloth lay otherwise" in cleared.notes[0]
    assert "right for that cloth alone" in cleared.notes[0]
    assert as_worn(corrected, cleared) == cleared
    # Cut anew in its own cloth by the swatch, the block loses the correction.
    lost = cut_back(corrected, again, fabric)
    assert lost is not None
    assert "cuts back what a toile corrected (the torso loop)" in lost
    assert cut_back(corrected, BODY, fabric) is None
    assert cut_back(corrected, again, replace(fabric, name="other")) is None
    # Adjusted for another cloth by the loop as found, it is right for none.
    moved = refit(corrected, factors_of_block(corrected, BODY), NEW, worn).block
    assert cut_back(moved, again, replace(fabric, name="other")) is None
    assert "adjusted since" in as_worn(moved, again).notes[0]
    # Nearer to what was found than to the tape, it was the loop.
    near = replace(BODY, values={**BODY.values, "torso_loop": found.found - 0.1})
    assert as_worn(corrected, near).notes == ()
    for body in (again, replace(BODY, values={**BODY.values, "torso_loop": 169.0})):
        old = factors_of_block(corrected, body)
        said = corrected.drafted_for.length_factor
        assert said is not None
        assert old.length == pytest.approx(said * found.found / body["torso_loop"])
        cut = refit(corrected, old, NEW, body).block
        assert cut.drafted_for.toiled.measures == ()
        # What it says of itself now is of this body: nothing is set right twice.
        assert factors_of_block(cut, body).length == pytest.approx(0.93)
    loop = torso_loop(refit(corrected, factors_of_block(corrected, again), NEW).block)
    first = torso_loop(refit(block, factors_of_block(block, BODY), NEW).block)
    # The loop runs aslant, so that factors and loops differ by tenths of a per cent.
    assert loop == pytest.approx(first, rel=0.005)


@pytest.mark.parametrize(
    "person",
    [
        replace(BODY, again=frozenset({"torso_loop"})),
        replace(BODY, values={**BODY.values, "torso_loop": 171.0}),
        replace(BODY, name="other", values={**BODY.values, "torso_loop": 176.0}),
    ],
)
def test_a_toile_that_moves_nothing_leaves_the_block_its_measures(
    block: Block, fabric: Fabric, person: Body
) -> None:
    """Its factors are cut over the loop as found, whatever was measured since."""
    made = after(sewn(block, BODY, fabric, truly(), round_cloth(0.0, 0.05)))
    assert [one.key for one in made.drafted_for.toiled.measures] == ["torso_loop"]
    second = sewn(made, person, fabric, truly(torso_loop=0.045), round_cloth(0.0))
    assert second.moved == ()
    assert second.block == made


@pytest.mark.parametrize("corrected", [False, True])
def test_with_the_loop_measured_again_it_is_the_cloth(
    block: Block, fabric: Fabric, *, corrected: bool
) -> None:
    """The marks of the first toile, or of the corrected block, then tell it so."""
    cloth = round_cloth(0.0, 0.08)
    first = sewn(block, BODY, fabric, truly(), cloth)
    assert not first.cloth_told[1]
    made = after(first) if corrected else block
    again = replace(BODY, again=frozenset({"torso_loop"}))
    second = sewn(made, again, fabric, truly(), cloth)
    assert second.cloth_told == (False, True)
    assert second.body == ()
    ratio = evidence_of(second, date(2024, 5, 31)).across
    assert ratio is not None
    assert ratio.clear
    assert ratio.ratio == pytest.approx(np.exp(0.08), rel=1e-4)
    # Cut as it was meant already, the block stays.
    assert bool(second.moved) is not corrected


@pytest.mark.parametrize("taped", [0.055, 0.065])
def test_a_level_moves_beside_one_that_was_taken_again(
    block: Block, fabric: Fabric, taped: float
) -> None:
    """The waist has a factor of its own then; of the hip the usual one holds."""
    worn = truly(waist=0.06)
    made = after(sewn(block, BODY, fabric, worn, round_cloth(0.0)))
    values = {**BODY.values, "waist": truly(waist=taped)["waist"]}
    body = replace(BODY, values=values)
    assert set(factors_of_block(made, body).levels) == {"waist"}
    second = sewn(made, body, fabric, {**worn, **_hip()}, round_cloth(0.0))
    assert [change.key for change in second.body] == ["hip"]
    (move,) = second.moved
    assert move.name == "hip"
    assert move.kept == pytest.approx(np.exp(0.05), rel=2e-3)
    assert second.result is not None
    unsure = {row.name: row.half_cm for row in second.result.girths}
    girths, half = level_girths(after(second)), second.moves[0].half
    assert unsure["hip"] == pytest.approx(girths["hip"] * half)


def _hip() -> dict[str, float]:
    return {"hip": truly(hip=0.05)["hip"]}


def test_a_measure_that_was_taken_again_is_not_kept_as_found(
    block: Block, fabric: Fabric
) -> None:
    """The waist is worn 7 % further, and reads the same twice: its factor holds it."""
    again = replace(BODY, again=frozenset({"waist", "torso_loop"}))
    first = sewn(block, again, fabric, truly(waist=0.04), round_cloth(0.0))
    made = after(first)
    said = made.drafted_for
    assert "waist" not in {one.key for one in said.toiled.measures}
    (move,) = [move for move in first.moved if move.name == "waist"]
    assert dict(said.level_factors)["waist"] == pytest.approx(move.new)
    # What the block says of itself is what it is, and nothing is asked for again.
    size = level_girths(made)["waist"]
    assert size == pytest.approx(move.new * again["waist"], rel=1e-3)
    assert not [note for note in as_worn(made, again).notes if note.startswith("waist")]


def test_a_length_with_its_loop_taken_again_is_the_factors(
    block: Block, fabric: Fabric
) -> None:
    again = replace(BODY, again=frozenset({"torso_loop"}))
    first = sewn(block, again, fabric, truly(), round_cloth(0.0, 0.03))
    (move,) = first.moved
    made = after(first)
    assert move.name == "length"
    assert made.drafted_for.length_factor == pytest.approx(move.new)
    assert made.drafted_for.toiled.measures == ()


def test_a_girth_that_was_taken_again_is_off_by_itself(
    block: Block, fabric: Fabric
) -> None:
    corrected = after(sewn(block, BODY, fabric, truly(waist=0.07), round_cloth(0.0)))
    (found,) = corrected.drafted_for.toiled.measures
    again = replace(BODY, again=frozenset({"waist"}))
    old = factors_of_block(corrected, again)
    own = old.girth * found.found / BODY["waist"]
    assert old.levels == pytest.approx({"waist": own})
    by_level = refit(corrected, old, NEW, again, by_level=True).block
    assert level_girths(by_level)["waist"] == pytest.approx(0.85 * 70, rel=0.002)


def test_another_wearer_is_no_cause_to_move_the_block(
    block: Block, fabric: Fabric
) -> None:
    corrected = after(sewn(block, BODY, fabric, truly(), round_cloth(0.06)))
    values = {"bust": 92.0, "waist": 76.0, "hip": 100.0, "torso_loop": 170.0}
    other = Body(name="other", values=values)
    toile = sewn(corrected, other, fabric, values, round_cloth(0.06))
    assert toile.moved == ()
    assert toile.body == ()
    ratio = evidence_of(toile, date(2026, 5, 31)).along
    assert ratio is not None
    assert ratio.ratio == pytest.approx(np.exp(0.06), rel=0.01)


def test_what_a_toile_showed_of_one_cloth_is_not_said_of_another(
    make_fabric: Make, block: Block, fabric: Fabric
) -> None:
    """The corrected block sewn as it is in a cloth that lies as its swatch says."""
    wearer = truly(waist=0.07)
    corrected = after(sewn(block, BODY, fabric, wearer, round_cloth(0.06)))
    cloth = {"stretch": 0.9, "sd": 0.02, "n": 5}
    other = make_fabric(cloth, {**cloth, "stretch": 0.7}, name="other")
    toile = sewn(corrected, BODY, other, wearer, round_cloth(0.0))
    # By hand: the waist as found, the others as taped, over the girths of the block.
    girths, found = level_girths(corrected), as_worn(corrected, BODY)
    for row in toile.toile.rows[:3]:
        strain = found[row.place] / girths[row.place] - 1
        assert row.predicted == pytest.approx(strain)
    assert toile.moved == ()
    # Once it is corrected for that cloth, only that one's ratio stands in it.
    moved = after(sewn(corrected, BODY, other, wearer, round_cloth(0.05)))
    assert moved.drafted_for.fabric == "other"
    assert moved.drafted_for.toiled.girth == pytest.approx(np.exp(0.05), rel=0.01)
    assert [one.key for one in moved.drafted_for.toiled.measures] == ["waist"]


def test_a_cloth_that_is_kept_under_another_name_is_known_by_its_toile(
    block: Block, fabric: Fabric
) -> None:
    first = sewn(block, BODY, fabric, truly(), round_cloth(0.06))
    kept = replace(
        fabric, name="kept", evidence=(evidence_of(first, date(2026, 5, 31)),)
    )
    again = sewn(after(first), BODY, kept, truly(), round_cloth(0.06))
    assert again.moved == ()
    assert again.toile.rows[0].predicted == pytest.approx(1 / FACTOR - 1, abs=1e-3)


def test_a_loop_that_was_filled_in_stays_found_whatever_else_is_taken_again(
    block: Block, fabric: Fabric
) -> None:
    """It was never taped; a new hip fills in another, which is no tape of it either."""
    taped = {key: BODY[key] for key in NAMES[:3]}
    body = complete(Body(name="worn", values=taped))
    wearer = {**taped, "torso_loop": body["torso_loop"] * 1.06}
    corrected = after(sewn(block, body, fabric, wearer, round_cloth(0.0)))
    (found,) = corrected.drafted_for.toiled.measures
    assert found.key == "torso_loop"
    again = complete(Body(name="worn", values={**taped, "hip": 97.0}))
    assert again["torso_loop"] != body["torso_loop"]
    worn = as_worn(corrected, again)
    assert worn["torso_loop"] == found.found
    assert any("filled in as" in note for note in worn.notes)
    told = complete(Body(name="worn", values={**taped, "torso_loop": 165.0}))
    assert as_worn(corrected, told)["torso_loop"] == 165.0


def test_a_cloth_that_changed_is_followed_back(block: Block, fabric: Fabric) -> None:
    """A later toile that finds the cloth as its swatch says leads back to the start."""
    corrected = after(sewn(block, BODY, fabric, truly(), round_cloth(0.08)))
    back = after(sewn(corrected, BODY, fabric, truly(), round_cloth(0.0)))
    start, end = level_girths(block), level_girths(back)
    # Each toile is weighed with the swatch, so each goes nearly all of the way.
    for name, size in start.items():
        assert end[name] == pytest.approx(size, rel=0.01)
    assert back.drafted_for.toiled.girth == pytest.approx(1.0, abs=0.01)


def test_each_toile_tells_the_cloth_as_a_whole(block: Block, fabric: Fabric) -> None:
    """What is kept with the fabric is the ratio to the swatch, not to the last toile."""
    first = sewn(block, BODY, fabric, truly(), round_cloth(0.08))
    again = sewn(after(first), BODY, fabric, truly(), round_cloth(0.08))
    day = date(2026, 5, 31)
    ratios = [evidence_of(one, day).along for one in (first, again)]
    assert all(ratio is not None and ratio.clear for ratio in ratios)
    assert [ratio.ratio for ratio in ratios if ratio] == pytest.approx(
        [np.exp(0.08)] * 2, rel=0.01
    )


def test_a_length_without_a_clear_cause_goes_with_the_wearer(
    block: Block, fabric: Fabric
) -> None:
    """Marks down tell loop and cloth apart hardly; the block takes it for the loop."""
    corrected = after(sewn(block, BODY, fabric, truly(), round_cloth(0.0, 0.03)))
    toiled = corrected.drafted_for.toiled
    if toiled.length != 1.0:
        pytest.fail("the cloth was told: the case is too clear for this test")
    (loop,) = toiled.measures
    assert loop.key == "torso_loop"
    assert not loop.sure
    worn = as_worn(corrected, BODY)
    assert worn["torso_loop"] == loop.found
    assert "could not tell it from the cloth" in str(worn.notes[0])
    # Taken again, the tape counts.
    again = replace(BODY, values={**BODY.values, "torso_loop": 169.0})
    assert as_worn(corrected, again).values == again.values
    assert as_worn(corrected, replace(BODY, name="someone else"))["torso_loop"] == 168.0


def test_a_size_run_holds_no_ones_slip_of_the_tape() -> None:
    """Sizes graded from a block that was corrected for a waist of 72.7 taped as 70."""
    base = complete(load_body("demo"))
    block = load_any_block("demo-soft")
    sizes = [complete(load_body(name)) for name in ("en-84", "en-88")]
    ratio = 72.7 / 70.0
    corrected = adjust_block(block, 1.0, 1.0, level_ratios={"waist": ratio}).after
    toiled = Toiled(wearer=base.name, measures=(FoundMeasure("waist", 70.0, 72.7),))
    corrected = replace(
        corrected, drafted_for=replace(block.drafted_for, toiled=toiled)
    )
    aim = AIMS["regular"]
    plain_run = grade(sizes, None, aim, block=block, base=base)
    run = grade(sizes, None, aim, block=corrected, base=as_worn(corrected, base))
    for one, other in zip(run.made, plain_run.made, strict=True):
        assert one.girths == pytest.approx(other.girths, abs=0.02)
