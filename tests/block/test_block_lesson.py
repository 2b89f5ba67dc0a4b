"""The lesson's block step: what comes off each quarter, level by level."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ease.block.lesson import make_lesson
from ease.block.pieces import Block, Level
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import Fabric
from ease.fit.decide import decide

Make = Callable[..., Fabric]
Tube = Callable[..., Block]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 160.0},
)
CLOTH: dict[str, Any] = {"stretch": 0.8, "growth": 0.02, "contraction": 0.3}


def test_levels_by_hand(make_tube: Tube, make_fabric: Make) -> None:
    """A quarter of 80 % stretch is 20 % worn: factor 1/1.2."""
    block = make_tube(80.0, 66.0, 96.0, loops=("closed", "partly", "open"))
    lesson = make_lesson(block, decide(make_fabric(CLOTH, {"stretch": 0.6}), MARIT))
    # Cut partly open or open, a level takes another share: it is left out here.
    (bust,) = lesson.levels
    assert (bust.name, bust.body_cm) == ("bust", 88.0)
    assert bust.block_cm == pytest.approx(80.0)
    assert bust.strain == pytest.approx(0.10)
    assert bust.cut_cm == pytest.approx(88 / 1.2)
    assert bust.off_quarter_cm == pytest.approx((80 - 88 / 1.2) / 4)


def test_the_steps_are_of_one_decision(make_tube: Tube, make_fabric: Make) -> None:
    found = decide(make_fabric(CLOTH, {"stretch": 0.6}), MARIT)
    lesson = make_lesson(make_tube(), found, 3.0, 12.7)
    assert (lesson.taught.body_cm, lesson.taught.strain) == (88.0, 0.25)
    assert lesson.own.strain == found.girth.strain
    assert lesson.own.right_cm == pytest.approx(found.cut("bust"))
    assert lesson.sizes.fixed_cm == 3.0
    assert lesson.pulled[0].reading.gauge == 12.7
    # 20 % round at a contraction of 0.3 leaves 94 % of the length.
    assert lesson.free_loop_cm == pytest.approx(160 * 0.94)


def test_a_body_without_a_loop(make_tube: Tube, make_fabric: Make) -> None:
    body = Body(name="b", values={"bust": 88.0, "waist": 70.0, "hip": 96.0})
    lesson = make_lesson(make_tube(), decide(make_fabric(CLOTH), body))
    assert lesson.free_loop_cm is None


def test_a_block_that_the_body_does_not_know(
    make_tube: Tube, make_fabric: Make
) -> None:
    block = make_tube(levels=(Level("middle", 40.0),), anchor="middle")
    with pytest.raises(RefusedError, match="no closed level at the bust"):
        make_lesson(block, decide(make_fabric(CLOTH), MARIT))


def test_a_block_that_holds_nowhere(make_tube: Tube, make_fabric: Make) -> None:
    block = make_tube(loops=("open", "open", "partly"))
    with pytest.raises(RefusedError, match="no closed level at the bust"):
        make_lesson(block, decide(make_fabric(CLOTH), MARIT))


def test_what_hangs_from_nothing_is_not_taught(
    make_tube: Tube, make_fabric: Make
) -> None:
    bare = replace(make_tube(88.0, 70.0, 96.0), loop_path=())
    with pytest.raises(RefusedError, match="no torso loop: the lesson is about one"):
        make_lesson(bare, decide(make_fabric(CLOTH), MARIT))
