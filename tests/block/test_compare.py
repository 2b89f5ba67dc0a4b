"""Fabrics side by side agree with each alone, and the cm with their differences."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import pytest

from ease.block.check import check_wear
from ease.block.compare import compare_fabrics
from ease.block.pieces import Block, DraftedFor
from ease.block.plan import Factors, factors_of_block
from ease.block.refit import refit
from ease.body.measures import Body
from ease.errors import RefusedError, UsageError
from ease.fabric.profile import Fabric
from ease.fit.aims import AIMS
from ease.fit.decide import decide

Make = Callable[..., Fabric]
Tube = Callable[..., Block]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 160.0},
)
SOFT: dict[str, Any] = {"stretch": 1.0, "load": 120.0, "growth": 0.03, "contraction": 0}
FIRM: dict[str, Any] = {"stretch": 0.9, "load": 400.0, "growth": 0.02, "contraction": 0}


@pytest.fixture
def soft(make_fabric: Make) -> Fabric:
    return make_fabric(SOFT, SOFT, name="soft")


@pytest.fixture
def firm(make_fabric: Make) -> Fabric:
    return make_fabric(FIRM, FIRM, name="firm")


@pytest.fixture
def block(make_tube: Tube) -> Block:
    return make_tube(88.0, 70.0, 96.0, drafted_for=DraftedFor(1.0, 1.0))


def test_cloth_alone_needs_no_body(soft: Fabric, firm: Fabric) -> None:
    compared = compare_fabrics([soft, firm])
    assert [one.fabric.name for one in compared.suited] == ["soft", "firm"]
    assert all(one.reduction is None and not one.refused for one in compared.suited)
    assert compared.size_names == ()


def test_each_is_decided_as_it_would_be_alone(soft: Fabric, firm: Fabric) -> None:
    aim = AIMS["firm"]
    for one in compare_fabrics([soft, firm], MARIT, aim=aim).suited:
        alone = decide(one.fabric, MARIT, aim=aim)
        assert one.reduction is not None
        assert one.reduction.girth == alone.girth
        assert one.reduction.length == alone.length
        assert one.refit is None


def test_how_it_holds_is_the_aim_where_the_aim_decides(
    soft: Fabric, firm: Fabric
) -> None:
    held = compare_fabrics([firm, soft], MARIT).suited[0].held
    assert held is not None
    assert held.pressure_kpa == pytest.approx(AIMS["regular"].pressure_kpa)
    assert held.pull_n == pytest.approx(AIMS["regular"].pull_n)
    # The waist is the smallest girth of the three, and oval: it has the most.
    waist = 0.40 * 88 / 70
    assert held.side_kpa > waist


def test_a_block_that_hangs_from_nothing_keeps_its_length_and_tells_no_pull(
    firm: Fabric, soft: Fabric, make_tube: Tube
) -> None:
    bare = make_tube(88.0, 70.0, 96.0, loop_path=(), drafted_for=DraftedFor(1.0, 0.97))
    for one in compare_fabrics([firm, soft], MARIT, bare).suited:
        assert one.kept_length == pytest.approx(0.97)
        assert one.reduction is not None
        assert one.held is not None
        assert one.held.pull_n is None
        # A cloth that does not contract, at body length: only the pull round presses.
        around = one.fabric.power("across", one.reduction.girth.strain)
        assert around is not None
        pressure = 2 * pi * around / 0.88 / 1000
        assert one.held.pressure_kpa == pytest.approx(pressure)


def test_without_a_load_test_nothing_is_told_of_holding(
    firm: Fabric, make_fabric: Make
) -> None:
    bare = make_fabric({"stretch": 0.8}, name="bare")
    assert compare_fabrics([bare, firm], MARIT).suited[0].held is None


def test_what_changes_in_cm_when_the_fabric_is_swapped(
    soft: Fabric, firm: Fabric, block: Block
) -> None:
    compared = compare_fabrics([soft, firm], MARIT, block)
    assert compared.size_names == ("bust", "waist", "hip", "torso loop")
    factors = [decide(fabric, MARIT).girth.factor for fabric in (soft, firm)]
    assert compared.after_cm("bust") == pytest.approx([88 * f for f in factors])
    change = compared.swapped_cm("bust")
    assert change == pytest.approx((0.0, 88 * (factors[1] - factors[0])))
    assert change[1] is not None
    assert change[1] > 0  # the firmer cloth is cut larger
    alone = refit(
        block,
        factors_of_block(block, MARIT),
        Factors.from_reduction(decide(firm, MARIT)),
        MARIT,
    )
    loop = {row.name: row.after_cm for row in alone.lengths}["torso loop"]
    assert compared.after_cm("torso loop")[1] == pytest.approx(loop)


def test_the_block_as_it_is_is_checked_in_each(
    soft: Fabric, firm: Fabric, block: Block
) -> None:
    for one in compare_fabrics([soft, firm], MARIT, block).suited:
        assert one.as_it_is is not None
        assert one.as_it_is.verdict == check_wear(block, MARIT, one.fabric).verdict


def test_one_refused_stands_beside_the_rest(
    firm: Fabric, block: Block, make_fabric: Make
) -> None:
    grows = make_fabric({"stretch": 0.2, "growth": 0.15}, name="grows")
    compared = compare_fabrics([grows, firm], MARIT, block)
    bad, good = compared.suited
    assert "clash" in bad.refused
    assert bad.refit is None
    assert bad.as_it_is is not None
    assert good.reduction is not None
    assert compared.after_cm("bust")[0] is None
    assert compared.swapped_cm("bust") == (None, None)
    assert compared.size_names == ("bust", "waist", "hip", "torso loop")


def test_all_refused_is_an_answer_of_no(make_fabric: Make) -> None:
    bad = {"stretch": 0.2, "growth": 0.15}
    fabrics = [make_fabric(bad, name=name) for name in ("one", "two")]
    with pytest.raises(RefusedError, match=r"one: .*; two: "):
        compare_fabrics(fabrics, MARIT)


def test_a_direction_that_was_not_tested_is_refused_alone(
    firm: Fabric, block: Block, make_fabric: Make
) -> None:
    along_only = make_fabric({"stretch": 0.8}, name="along-only")
    compared = compare_fabrics([along_only, firm], MARIT, block, round_body="across")
    assert "not tested across" in compared.suited[0].refused
    assert compared.suited[0].as_it_is is None
    assert compared.suited[1].reduction is not None


def test_two_to_four_each_once_and_a_body_for_the_block(
    soft: Fabric, firm: Fabric, block: Block, make_fabric: Make
) -> None:
    with pytest.raises(UsageError, match="2 to 4 fabrics can be compared, not 1"):
        compare_fabrics([soft])
    five = [make_fabric(SOFT, name=name) for name in "abcde"]
    with pytest.raises(UsageError, match="not 5"):
        compare_fabrics(five)
    with pytest.raises(UsageError, match="soft is named twice"):
        compare_fabrics([soft, firm, soft])
    with pytest.raises(UsageError, match="needs a body"):
        compare_fabrics([soft, firm], None, block)
