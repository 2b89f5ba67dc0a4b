"""A corrected block sewn and marked again: it comes to rest where it is worn as meant."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.block.toile import weigh_toile
from ease.block.toile_correct import Correction, correct, evidence_of
from ease.body.measures import Body
from ease.fabric.profile import Fabric

from .test_toile import BODY, FACTOR, Floats, off, plain, quiet, read_off

Make = Callable[..., Any]


@pytest.fixture
def block(make_tube: Make) -> Block:
    made: Block = make_tube(88 * FACTOR, 70 * FACTOR, 96 * FACTOR)
    return made


@pytest.fixture
def fabric(make_fabric: Make) -> Fabric:
    cloth = {"stretch": 0.8, "sd": 0.02, "n": 5, "growth": 0.02, "contraction": 0.3}
    made: Fabric = make_fabric(cloth, {**cloth, "stretch": 0.6})
    return made


def sewn(block: Block, body: Body, fabric: Fabric, truth: Floats) -> Correction:
    """A toile of a block on a wearer whose measures and cloth are off by known shares."""
    base = plain(block, fabric, body=body)
    read = read_off(base, truth - base.fit.model.origin, quiet)
    return correct(weigh_toile(read, block, body, fabric))


def after(correction: Correction) -> Block:
    assert correction.result is not None
    return correction.result.block


@pytest.mark.parametrize(
    "truth",
    [
        {"round": 0.08},
        {"round": -0.06, "down": 0.05},
        {"waist": 0.07},
        {"down": -0.05},
        {"torso_loop": 0.05},
        {"round": 0.05, "waist": 0.07, "torso_loop": 0.04},
    ],
)
def test_a_corrected_block_that_fits_is_not_corrected_again(
    block: Block, fabric: Fabric, truth: dict[str, float]
) -> None:
    first = sewn(block, BODY, fabric, off(**truth))
    corrected = after(first)
    again = sewn(corrected, BODY, fabric, off(**truth))
    assert again.moved == ()
    for move in again.moves:
        assert abs(np.log(move.found)) <= again.limit * move.sd
    # Predicted is what was meant of the first: 1 / 0.8 - 1 round.
    around = [row.predicted for row in again.toile.rows if row.direction == "round"]
    assert around == pytest.approx([0.25] * 3)
    assert [row.predicted for row in again.toile.rows] == pytest.approx(
        [row.predicted for row in first.toile.rows], abs=1e-9
    )


def test_a_measure_that_is_put_right_is_not_put_right_again(
    block: Block, fabric: Fabric
) -> None:
    """The waist is really 7 % larger: corrected for, taken again, and toiled again."""
    corrected = after(sewn(block, BODY, fabric, off(waist=0.07, torso_loop=0.04)))
    true = {"waist": 70 * np.exp(0.07), "torso_loop": 168 * np.exp(0.04)}
    taken = replace(BODY, values={**BODY.values, **true})
    again = sewn(corrected, taken, fabric, off())
    assert again.moved == ()
    assert again.body == ()


def test_a_cloth_that_changed_is_followed_back(block: Block, fabric: Fabric) -> None:
    """A later toile that finds the cloth as its swatch says leads back to the start."""
    corrected = after(sewn(block, BODY, fabric, off(round=0.08)))
    back = after(sewn(corrected, BODY, fabric, off()))
    start, end = level_girths(block), level_girths(back)
    # Each toile is weighed with the swatch, so each goes nearly all of the way.
    for name, size in start.items():
        assert end[name] == pytest.approx(size, rel=0.01)
    assert back.drafted_for.toiled.girth == pytest.approx(1.0, abs=0.01)


def test_each_toile_tells_the_cloth_as_a_whole(block: Block, fabric: Fabric) -> None:
    """What is kept with the fabric is the ratio to the swatch, not to the last toile."""
    first = sewn(block, BODY, fabric, off(round=0.08))
    again = sewn(after(first), BODY, fabric, off(round=0.08))
    day = date(2026, 5, 31)
    ratios = [evidence_of(one, day).along for one in (first, again)]
    assert all(ratio is not None and ratio.clear for ratio in ratios)
    assert [ratio.ratio for ratio in ratios if ratio] == pytest.approx(
        [np.exp(0.08)] * 2, rel=0.01
    )


def test_what_moved_by_cloth_or_body_is_kept_apart(
    block: Block, fabric: Fabric
) -> None:
    """Marks down tell the sum of loop and cloth alone."""
    base = plain(block, fabric)
    places = tuple((row.place, row.direction) for row in base.rows)
    assert ("bust", "down") in places
    toiled = after(sewn(block, BODY, fabric, off(down=0.05))).drafted_for.toiled
    assert toiled.unsure_length * toiled.length != 1.0
    assert toiled.girth == 1.0
    assert toiled.meant_length == pytest.approx(base.rows[-1].predicted)
