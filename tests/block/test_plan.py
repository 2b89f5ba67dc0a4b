"""From factors before and after to the ratios of a block."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ease.block.pieces import Block, DraftedFor
from ease.block.plan import (
    Factors,
    factors_of_block,
    inferred_factors,
    level_factor,
    plan_ratios,
)
from ease.body.measures import Body
from ease.errors import RefusedError, UsageError
from ease.fabric.profile import Fabric
from ease.fit.decide import decide
from ease.fit.spread import spread_of

Tube = Callable[..., Block]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 150},
)


def test_ratios_are_new_over_old(make_tube: Tube) -> None:
    ratios = plan_ratios(
        make_tube(), Factors(0.8, 0.95, "old"), Factors(0.9, 1.0, "new"), by_level=False
    )
    assert ratios.girth == pytest.approx(0.9 / 0.8)
    assert ratios.length == pytest.approx(1.0 / 0.95)
    assert ratios.levels is None
    assert ratios.level_factors is None


def test_by_level_each_loop_carries_its_share(make_tube: Tube) -> None:
    """12 % off closed, 5/12 of it partly open, none open. Source key: low-back-block."""
    block = make_tube(loops=("closed", "partly", "open"))
    body_size = Factors(1.0, 1.0, "body size")
    ratios = plan_ratios(block, body_size, Factors(0.88, 1, "new"), by_level=True)
    assert ratios.levels == pytest.approx({"bust": 0.88, "waist": 0.95, "hip": 1.0})
    assert ratios.level_factors == ratios.levels


def test_by_level_counts_from_what_each_level_was_cut_for(make_tube: Tube) -> None:
    block = make_tube(loops=("closed", "partly", "open"))
    old = Factors(0.8, 1.0, "old", levels={"waist": 0.9, "hip": 1.0})
    ratios = plan_ratios(block, old, Factors(0.88, 1.0, "new"), by_level=True)
    assert ratios.levels == pytest.approx(
        {"bust": 0.88 / 0.8, "waist": 0.95 / 0.9, "hip": 1.0}
    )
    assert ratios.level_factors == pytest.approx(
        {"bust": 0.88, "waist": 0.95, "hip": 1.0}
    )


def test_one_ratio_keeps_what_single_levels_were_cut_for(make_tube: Tube) -> None:
    """A hip left at body size and multiplied by 1.1 is then at 1.1, not at 0.88."""
    old = Factors(0.8, 1.0, "old", levels={"hip": 1.0})
    ratios = plan_ratios(make_tube(), old, Factors(0.88, 1.0, "new"), by_level=False)
    assert ratios.levels is None
    assert ratios.level_factors == pytest.approx({"hip": 1.1})


def test_level_factors_lie_between_the_closed_one_and_body_size() -> None:
    for factor in (0.7, 0.88, 1.0):
        values = [level_factor(loop, factor) for loop in ("closed", "partly", "open")]
        assert values == sorted(values)
        assert values[0] == pytest.approx(factor)
        assert values[-1] == 1.0


def test_a_block_says_what_it_was_drafted_for(make_tube: Tube) -> None:
    said = DraftedFor(0.8, 0.95, "soft", "anna", (("hip", 1.0),))
    factors = factors_of_block(make_tube(drafted_for=said), None)
    assert (factors.girth, factors.length) == (0.8, 0.95)
    assert factors.levels == {"hip": 1.0}
    assert factors.origin == "as the block says (soft)"
    assert factors.girth_half is None


@pytest.mark.parametrize("said", [DraftedFor(), DraftedFor(0.8), DraftedFor(None, 0.9)])
def test_one_that_does_not_is_inferred_from_a_body(
    make_tube: Tube, said: DraftedFor
) -> None:
    """Girths add up to 203.2 against 254, the loop of 160 to 150."""
    block = make_tube(88 * 0.8, 70 * 0.8, 96 * 0.8, drafted_for=said)
    factors = factors_of_block(block, MARIT)
    assert factors.girth == pytest.approx(0.8)
    assert factors.length == pytest.approx(160 / 150)
    assert "inferred" in factors.origin


def test_only_closed_girths_count_for_inferring(make_tube: Tube) -> None:
    block = make_tube(70.4, 56.0, 96.0, loops=("closed", "closed", "open"))
    assert inferred_factors(block, MARIT).girth == pytest.approx(0.8)


def test_without_a_loop_the_length_counts_as_body_size(make_tube: Tube) -> None:
    block = make_tube(loop_path=())
    assert inferred_factors(block, MARIT).length == 1.0


def test_nothing_to_infer_from_is_said_with_a_way_out(make_tube: Tube) -> None:
    with pytest.raises(UsageError, match="does not say what it was drafted for") as one:
        factors_of_block(make_tube(), None)
    assert "--from-factors" in one.value.hint
    assert "--body" in one.value.hint
    block = make_tube(loops=("open", "open", "partly"))
    with pytest.raises(RefusedError, match="no girth at a closed level"):
        inferred_factors(block, MARIT)


@pytest.mark.parametrize(
    ("girth", "length", "name"),
    [(0.2, 1.0, "girth"), (1.0, 2.5, "length"), (float("nan"), 1.0, "girth")],
)
def test_factors_that_no_garment_has_are_refused(
    girth: float, length: float, name: str
) -> None:
    with pytest.raises(UsageError, match=f"the {name} factor must lie from 0.3 to 2"):
        Factors(girth, length, "typed")


def test_factors_of_a_reduction_carry_their_spread(
    make_fabric: Callable[..., Fabric],
) -> None:
    table: dict[str, Any] = {"stretch": 0.8, "sd": 0.03, "n": 5, "contraction": 0.3}
    found = decide(make_fabric(table, table), MARIT)
    factors = Factors.from_reduction(found)
    spread = spread_of(found)
    assert (factors.girth, factors.length) == (found.girth.factor, found.length.factor)
    assert factors.girth_half == spread.girth.half
    assert spread.length is not None
    assert factors.length_half == spread.length.half
    assert factors.origin == "test-cloth on invented, hold regular"
    said = factors.drafted_for({"hip": 1.0})
    assert said == DraftedFor(
        found.girth.factor,
        found.length.factor,
        "test-cloth",
        "invented",
        (("hip", 1.0),),
        found.round_body,
    )


def test_a_block_adjusted_by_what_it_says_comes_back(make_tube: Tube) -> None:
    block = replace(make_tube(), drafted_for=DraftedFor(0.8, 0.95))
    own = factors_of_block(block, None)
    ratios = plan_ratios(block, own, own, by_level=False)
    assert (ratios.girth, ratios.length) == (1.0, 1.0)
