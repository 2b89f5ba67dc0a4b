"""Notes on an answer: each under a name, said where it is due and nowhere else."""

from __future__ import annotations

import numpy as np
import pytest

from ease.block.grade import grade
from ease.block.measure import torso_loop
from ease.body.fill_in import complete
from ease.body.shipped import shipped_body
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS
from ease.fit.batch import Cloth
from ease.fit.notes import (
    LOOP_TO_CUT,
    WARNINGS,
    cloth_notes,
    garment_notes,
    pulled_twice,
)


def cloth(
    growth: Estimate | None = None,
    wet_growth: Estimate | None = None,
    contraction: Estimate | None = None,
) -> Fabric:
    direction = ClothDirection(
        stretch=Estimate(0.8),
        growth=growth,
        wet_growth=wet_growth,
        contraction=contraction,
    )
    return Fabric(
        name="plain",
        title="Plain",
        origin="invented",
        source="t",
        across=direction,
        along=direction,
    )


def test_what_was_not_read_is_named() -> None:
    names = [note.name for note in cloth_notes(cloth(), "across", None)]
    assert names == [
        "rule_of_thumb",
        "growth_not_read",
        "wet_growth_not_read",
        "contraction_assumed",
    ]


def test_what_was_read_is_not() -> None:
    read = cloth(Estimate(0.02), Estimate(0.03), Estimate(0.3))
    assert [note.name for note in cloth_notes(read, "across", None)] == [
        "rule_of_thumb"
    ]


@pytest.mark.parametrize(
    ("strain", "free", "twice"),
    [
        (0.05, 0.95, True),  # 5 % by the cut, 5.3 % by contraction
        (0.005, 0.95, False),
        (0.05, 0.995, False),  # contraction brings 0.5 %
        (-0.02, 0.95, False),
        (np.nan, 0.95, False),
    ],
)
def test_the_length_is_pulled_twice_where_both_bring_more_than_1_per_cent(
    strain: float, free: float, twice: bool
) -> None:
    assert bool(pulled_twice(strain, free)) is twice
    assert pulled_twice([strain, strain], [free, 1.0]).tolist() == [twice, False]
    notes = garment_notes(strain, free, "", shoulders_filled_in=False)
    assert [note.name for note in notes] == ["length_pulled_twice"] * twice


def test_every_note_has_a_name_of_the_list() -> None:
    notes = garment_notes(0.05, 0.9, "wet, none", shoulders_filled_in=True)
    assert len(notes) == 3
    notes += cloth_notes(cloth(), "across", None)
    assert {note.name for note in notes} <= set(WARNINGS)


def test_the_loop_of_a_block_comes_out_shorter_mostly_by_1_to_2_cm() -> None:
    """Drafted at body size and cut, over all shipped cloths and several sizes."""
    names = [f"en-{size}" for size in (84, 100, 116)]
    bodies = [complete(shipped_body(name)) for name in ("demo", *names)]
    shorter = []
    for fabric in fabric_names():
        sizes = grade(bodies, Cloth.of(load_fabric(fabric)), AIMS["regular"])
        for size in sizes.made:
            assert size.block is not None
            assert size.factors is not None
            loop = torso_loop(size.block)
            assert loop is not None
            shorter.append(size.body["torso_loop"] * size.factors.length - loop)
    assert len(shorter) > 20
    assert min(shorter) > 0
    whole = np.round(shorter)
    assert np.isin(whole, (1, 2)).mean() > 0.75
    assert "shorter, mostly by 1 to 2 cm" in LOOP_TO_CUT
