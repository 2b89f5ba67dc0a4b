"""A toile kept with the cloth: strains by it, worked out by hand from its ratio."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from ease.block.check import check_wear
from ease.block.pieces import Block, DraftedFor
from ease.block.plan import Factors
from ease.block.worn_otherwise import cut_by_swatch, unclear_moves, worn_otherwise
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
    return Evidence(day=date(2026, 5, day), kind="toile", block="b", **ratios)


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


def test_factors_by_the_swatch_are_said_to_be_that(
    cloth: Callable[..., Fabric],
) -> None:
    """0.8 x 1.08 = 0.864; the length was not seen to lie otherwise."""
    factors = Factors(0.8, 0.95, "f on b", round_body="along")
    note = cut_by_swatch(factors, cloth(seen(31, along=WornRatio(1.08, 0.01, 9, True))))
    assert note is not None
    assert note.startswith("CUT BY THE SWATCH ALONE")
    assert "`--to-factors 0.864 0.950`" in note
    # The other way round the body it is the length: 0.95 x 1.08 = 1.026.
    other = replace(factors, round_body="across")
    note = cut_by_swatch(other, cloth(seen(31, along=WornRatio(1.08, 0.01, 9, True))))
    assert note is not None
    assert "`--to-factors 0.800 1.026`" in note
    unclear = cloth(seen(31, along=WornRatio(1.02, 0.02, 9)))
    assert cut_by_swatch(factors, unclear) is None


def test_what_a_toile_moved_without_a_cause_goes_with_the_block(
    make_tube: Tube, cloth: Callable[..., Fabric]
) -> None:
    """0.95 x 1.025 = 0.974 down; round, the cloth's own clear ratio counts, not both."""
    factors = Factors(0.8, 0.95, "f on b", round_body="along")
    note = cut_by_swatch(factors, cloth(), (1.0, 1.025))
    assert note is not None
    assert "moved the factors of this block x 1.025 down, cloth or body" in note
    assert "`--to-factors 0.800 0.974`" in note
    clear = cloth(seen(31, along=WornRatio(1.08, 0.01, 9, True)))
    note = cut_by_swatch(factors, clear, (1.08, 1.025))
    assert note is not None
    assert "x 1.080 round" not in note
    assert "`--to-factors 0.864 0.974`" in note
    assert cut_by_swatch(factors, cloth(), (1.0, 1.0)) is None
    block = make_tube(*CUT)
    moved = replace(block, drafted_for=DraftedFor(by_toile=(1.0, 1.025)))
    check = check_wear(moved, MARIT, cloth(), round_body="along")
    assert unclear_moves(check.by_toile, check.fabric, "along") == ("x 1.025 down",)
