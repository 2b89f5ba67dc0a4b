"""A published swim block: 12 % off round, nothing down, less where it is cut open.

Source key: low-back-block. The teaching site cuts a one-piece 12 % smaller round and
0 % down; on the low-backed variation a line cut open springs back by a third to a half,
so that 4 to 6 % is kept there; the hip line, cut by both leg holes, is not reduced. Its
size is for bust 84 and should fit 82 to 86. The worn strains and the contraction of
0.3 are arithmetic on those figures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ease.block.draft import draft_block
from ease.block.pieces import Block
from ease.block.plan import Factors, level_factor
from ease.block.refit import refit
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.aims import Aim
from ease.fit.decide import decide
from ease.fit.explain import explain
from ease.fit.reduction import strain_from_factor

BODY = Body(
    name="size-84", values={"bust": 84.0, "waist": 66.0, "hip": 92.0, "torso_loop": 152}
)
OFF = 0.12
STRAIN = OFF / (1 - OFF)  # 13.64 %
CUT = Factors(1 - OFF, 1.0, "a published block")
BODY_SIZE = Factors(1.0, 1.0, "body size")


def test_bust_84_is_cut_73_92() -> None:
    block = draft_block(BODY)
    result = refit(block, BODY_SIZE, CUT, BODY)
    bust = {row.name: row for row in result.girths}["bust"]
    assert bust.before_cm == pytest.approx(84.0, abs=1e-6)
    assert bust.after_cm == pytest.approx(73.92, abs=0.005)
    assert bust.strain == pytest.approx(0.1364, abs=5e-5)
    assert 100 * bust.change == pytest.approx(-12.0, abs=0.005)


def test_nothing_comes_off_down() -> None:
    result = refit(draft_block(BODY), BODY_SIZE, CUT, BODY)
    for before, after in zip(
        result.adjustment.before.levels, result.block.levels, strict=True
    ):
        assert after.y == pytest.approx(before.y, abs=1e-9)
    fold = {row.name: row for row in result.lengths}["back.centre_back"]
    assert fold.change_cm == pytest.approx(0.0, abs=1e-9)


def test_worn_strain_of_the_bodies_it_should_fit() -> None:
    worn = strain_from_factor(73.92 / np.array([82.0, 84.0, 86.0]))
    np.testing.assert_allclose(100 * worn, [10.93, 13.64, 16.34], atol=0.005)


def test_a_low_back_keeps_4_to_6_per_cent_and_the_leg_line_none() -> None:
    low_back = 1 - level_factor("partly", 1 - OFF)
    assert 0.04 <= low_back <= 0.06
    assert level_factor("open", 1 - OFF) == 1.0
    assert level_factor("closed", 1 - OFF) == pytest.approx(0.88)


def test_by_level_the_block_follows_its_loops(
    make_tube: Callable[..., Block],
) -> None:
    """On a full girth of 84, 4 to 6 % is 80.64 to 78.96; 0 % stays 92."""
    loops = ("closed", "partly", "open")
    block = make_tube(84.0, 84.0, 92.0, loops=loops, loop_path=())
    result = refit(block, BODY_SIZE, CUT, by_level=True)
    girths = {row.name: row.after_cm for row in result.girths}
    assert girths["bust"] == pytest.approx(73.92, abs=0.005)
    assert 78.96 <= girths["waist"] <= 80.64
    assert girths["hip"] == pytest.approx(92.0, abs=1e-6)
    assert result.notes == ()
    plain = refit(block, BODY_SIZE, CUT)
    assert "cut open at waist, hip" in plain.notes[0]


def with_contraction(make_fabric: Callable[..., Fabric], pull: float) -> Aim:
    """An aim whose share of a stretch of 80 % is the published strain round."""
    return Aim("published", 0.35, 10.0, STRAIN / 0.8, pull / 0.8)


def test_contraction_of_0_3_leaves_4_27_per_cent_down(
    make_fabric: Callable[..., Fabric],
) -> None:
    """A loop of 150, cut at body length, is free at 143.86 when stretched round."""
    fabric = make_fabric({"stretch": 0.8, "contraction": 0.3}, {"stretch": 0.8})
    # Pulled just back to body length: 1/(1 - 0.3 x 0.1364) - 1.
    pull = 1 / (1 - 0.3 * STRAIN) - 1
    body = Body(name="b", values={**BODY.values, "torso_loop": 150.0})
    found = decide(
        fabric, body, aim=with_contraction(make_fabric, pull), round_body="along"
    )
    assert found.girth.strain == pytest.approx(STRAIN)
    assert 150 * found.free_length == pytest.approx(143.86, abs=0.005)
    assert 100 * found.contraction_strain == pytest.approx(4.27, abs=0.005)
    assert found.length.strain == pytest.approx(0.0, abs=1e-12)
    assert found.cut("torso_loop") == pytest.approx(150.0)


def test_taking_5_per_cent_off_besides_counts_twice(
    make_fabric: Callable[..., Fabric],
) -> None:
    """142.50 on a loop of 150 is 9.75 % beyond the free length: warned of."""
    fabric = make_fabric({"stretch": 0.8, "contraction": 0.3}, {"stretch": 0.8})
    aim = with_contraction(make_fabric, 0.0975)
    found = decide(fabric, BODY, aim=aim, round_body="along")
    cut = 150.0 * found.length.factor
    assert cut == pytest.approx(142.50, abs=0.05)
    sentences = "\n".join(explain(found))
    assert "contraction brings 4.3 %" in sentences
    assert "the shorter cut 5.3 %" in sentences
    assert "do not take off more for the same reason" in sentences
    without = replace(found, length=replace(found.length, strain=0.0))
    assert "do not take off more" not in "\n".join(explain(without))
