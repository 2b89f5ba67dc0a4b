"""A toile kept with the cloth: strains by it, worked out by hand from its ratio."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from ease.block.check import check_wear
from ease.block.fittings import Loop
from ease.block.pieces import LOOP_SHARE, Block, DraftedFor, Toiled
from ease.block.plan import BODY_SIZE, Factors, plan_ratios
from ease.block.worn_otherwise import (
    ToileMove,
    cut_by_swatch,
    left_behind,
    toile_moves,
    with_toiles,
    worn_otherwise,
)
from ease.body.measures import Body
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import Fabric

Tube = Callable[..., Block]
Make = Callable[..., Fabric]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 168},
)
CUT = (70.4, 56.0, 76.8)  # 25 % worn everywhere; the loop of 160 is worn 5 % down
PLAIN = {"stretch": 1.0, "load": 200.0, "contraction": 0.0}


def seen(day: int, **ratios: WornRatio) -> Evidence:
    return Evidence(
        day=date(2026, 5, day), kind="toile", block="b", fabric="", **ratios
    )


@pytest.fixture
def cloth(make_fabric: Make) -> Callable[..., Fabric]:
    return lambda *found: replace(make_fabric(PLAIN, PLAIN), evidence=found)


def test_round_and_down_are_multiplied_by_the_ratio(
    make_tube: Tube, cloth: Callable[..., Fabric]
) -> None:
    """1.25 x 1.08 = 1.35, and 1.05 x 0.98 = 1.029."""
    fabric = cloth(
        seen(
            31,
            along=WornRatio(1.08, 0.01, 9, True),
            across=WornRatio(0.98, 0.005, 3, True),
        )
    )
    check = check_wear(make_tube(*CUT), MARIT, fabric, round_body="along")
    around, down = worn_otherwise(check)
    assert (around.way, around.cloth, down.way, down.cloth) == (
        *("round", "along"),
        *("down", "across"),
    )
    assert around.by_swatch == pytest.approx(
        dict.fromkeys(("bust", "waist", "hip"), 0.25)
    )
    assert around.by_toile == pytest.approx(
        dict.fromkeys(("bust", "waist", "hip"), 0.35)
    )
    assert down.by_toile == pytest.approx({"length": 0.029})
    assert around.text.startswith(
        "a toile of 2026-05-31 lay 1.080 +- 0.020 times as long along the cloth as "
        "predicted: by that the strain round is 35.0 % at the bust (25.0 % by the swatch)"
    )
    assert "the strain down is 2.9 % (5.0 % by the swatch)" in down.text
    # What is shown otherwise still goes by the swatch.
    bare = check_wear(make_tube(*CUT), MARIT, cloth(), round_body="along")
    assert check.sizes.strain == pytest.approx(bare.sizes.strain)
    assert worn_otherwise(bare) == ()


def test_a_block_multiplied_by_the_ratio_is_worn_as_was_meant(
    make_tube: Tube, cloth: Callable[..., Fabric]
) -> None:
    fabric = cloth(seen(31, along=WornRatio(1.08, 0.01, 9, True)))
    block = make_tube(*(1.08 * girth for girth in CUT))
    (around,) = worn_otherwise(check_wear(block, MARIT, fabric, round_body="along"))
    assert list(around.by_toile.values()) == pytest.approx([0.25] * 3)


def test_the_newest_clear_ratio_counts(
    make_tube: Tube, cloth: Callable[..., Fabric]
) -> None:
    fabric = cloth(
        seen(20, along=WornRatio(1.10, 0.01, 9, True)),
        seen(10, along=WornRatio(1.20, 0.01, 9, True)),
        seen(31, along=WornRatio(1.01, 0.02, 9)),
    )
    check = check_wear(make_tube(*CUT), MARIT, fabric, round_body="along")
    (around,) = worn_otherwise(check)
    assert around.ratio.ratio == 1.10


def asked(factors: Factors, fabric: Fabric, drafted_for: DraftedFor) -> str | None:
    moves = toile_moves(drafted_for, fabric, factors.round_body)
    return cut_by_swatch(factors, moves, corrected=False)


def test_factors_by_the_swatch_are_said_to_be_that(
    cloth: Callable[..., Fabric],
) -> None:
    """0.8 x 1.08 = 0.864; the length was not seen to lie otherwise."""
    factors = Factors(0.8, 0.95, "f on b", round_body="along")
    found = cloth(seen(31, along=WornRatio(1.08, 0.01, 9, True)))
    note = asked(factors, found, DraftedFor())
    assert note is not None
    assert note.startswith("CUT BY THE SWATCH ALONE")
    assert "0.864 round and 0.950 down: `--by-toile`" in note
    # The other way round the body it is the length: 0.95 x 1.08 = 1.026.
    note = asked(replace(factors, round_body="across"), found, DraftedFor())
    assert note is not None
    assert "0.800 round and 1.026 down" in note
    unclear = cloth(seen(31, along=WornRatio(1.02, 0.02, 9)))
    assert asked(factors, unclear, DraftedFor()) is None


def test_what_the_cloth_clearly_did_goes_with_that_cloth_alone(
    cloth: Callable[..., Fabric],
) -> None:
    """A toile of one cloth says nothing of another, and is not called unclear."""
    factors = Factors(0.8, 0.95, "f on b", round_body="along")
    fabric = cloth()
    toiled = Toiled(girth=1.08)
    (move,) = toile_moves(
        DraftedFor(fabric=fabric.name, toiled=toiled), fabric, "along"
    )
    assert (move.way, move.ratio) == ("round", 1.08)
    assert asked(factors, fabric, DraftedFor(fabric="other", toiled=toiled)) is None


def test_factors_by_toiles_hold_what_they_ask_and_say_so(
    cloth: Callable[..., Fabric],
) -> None:
    """Cut by them, a block keeps what is in it, so that it can be told from the rest."""
    factors = Factors(0.8, 0.95, "f on b", round_body="along", girth_half=0.01)
    drafted = DraftedFor(fabric="other", toiled=Toiled(girth=1.05))
    clear = cloth(
        seen(
            31,
            along=WornRatio(1.08, 0.01, 9, True),
            across=WornRatio(1.025, 0.01, 9, True),
        )
    )
    cut = with_toiles(factors, toile_moves(drafted, clear, "along"))
    assert (cut.girth, cut.length) == pytest.approx((0.864, 0.97375))
    assert cut.girth_half == pytest.approx(0.0108)
    assert cut.drafted_for().toiled == Toiled(1.08, 1.025)
    # Foretold to lie 1.30 times as long it lies 1.404: the window is judged by that.
    wide = replace(factors, girth_window=(0.08, 0.404), length_window=(0.0, 0.025))
    shifted = with_toiles(wide, toile_moves(drafted, clear, "along"))
    assert shifted.girth_window == pytest.approx((0.0, 0.3))
    assert shifted.length_window == pytest.approx((1 / 1.025 - 1, 0.0))
    assert cut.girth_window is None
    # Down the body no toile moved it.
    alone = with_toiles(wide, [ToileMove("round", 1.08, "seen")])
    assert alone.length_window == pytest.approx((0.0, 0.025))
    assert left_behind(drafted) is not None
    assert left_behind(DraftedFor()) is None


@pytest.mark.parametrize(
    ("loop", "factor"), [("partly", 1 - 0.2 * LOOP_SHARE["partly"]), ("open", 1.0)]
)
def test_by_level_a_toile_moves_what_is_cut_and_not_what_is_taken_off(
    make_tube: Tube, loop: Loop, factor: float
) -> None:
    """Cloth that lay 1.04 times as long moves every level by as much, open ones too."""
    tube = make_tube(88.0, 70.0, 96.0)
    bust, *others = tube.levels
    block = replace(tube, levels=(replace(bust, loop=loop), *others))
    decided = Factors(0.8, 0.95, "f on b", round_body="along")
    toiled = with_toiles(decided, [ToileMove("round", 1.04, "seen")])
    plain = plan_ratios(block, BODY_SIZE, decided, by_level=True)
    moved = plan_ratios(block, BODY_SIZE, toiled, by_level=True)
    assert plain.level_factors is not None
    assert moved.level_factors is not None
    assert plain.level_factors["bust"] == pytest.approx(factor)
    for name, found in plain.level_factors.items():
        assert moved.level_factors[name] == pytest.approx(1.04 * found)
