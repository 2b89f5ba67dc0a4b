from __future__ import annotations

import pytest

from ease.block.draft import draft_block
from ease.block.measure import edge_lengths
from ease.block.openings import (
    ELASTIC_RATIOS,
    OVERLAP_CM,
    Opening,
    OpeningSection,
    block_openings,
)
from ease.block.pieces import Block
from ease.body.load import load_body
from ease.errors import RefusedError


@pytest.fixture(scope="module")
def block() -> Block:
    return draft_block(load_body("demo"))


def _section(name: str, cut: float) -> OpeningSection:
    usual = ELASTIC_RATIOS[name]
    return OpeningSection(name, cut, cut, usual.ratio, usual.ratio, usual.source)


@pytest.mark.parametrize(
    ("front", "back", "elastic", "ring"),
    [(30, 40, 60.0, 61.27), (26, 34, 51.5, 52.77)],
)
def test_published_leg_rule(
    front: float, back: float, elastic: float, ring: float
) -> None:
    # A sewing lesson: front 1 to 1, back 3/4, overlap 1/2 in; worked here from its rule.
    # Source key: leg-elastic
    leg = Opening("leg", (_section("leg front", front), _section("leg back", back)))
    assert sum(part.elastic_cm for part in leg.sections) == pytest.approx(
        elastic, abs=0.01
    )
    assert leg.elastic_cm == pytest.approx(ring, abs=0.01)


def test_worn_stretch_compounds() -> None:
    # (1 + 1/3) (1 + 0.1364) - 1 = 51.5 %, arithmetic on a 12 % reduction.
    back = OpeningSection("leg back", 40.0, 40.0 / 0.88, 0.75, 0.75, "")
    assert back.worn_stretch == pytest.approx(0.515, abs=0.0005)


def test_sections_are_the_edges(block: Block) -> None:
    lengths = edge_lengths(block)
    neck, armhole, leg = block_openings(block)
    assert neck.cut_cm == pytest.approx(
        2 * (lengths["front.neckline"] + lengths["back.neckline"])
    )
    assert armhole.cut_cm == pytest.approx(
        lengths["front.armhole"] + lengths["back.armhole"]
    )
    assert leg.cut_cm == pytest.approx(lengths["front.leg"] + lengths["back.leg"])
    assert leg.worn_cm == leg.cut_cm  # at body size
    assert [part.name for part in leg.sections] == ["leg front", "leg back"]
    assert neck.elastic_cm == pytest.approx(0.95 * neck.cut_cm + OVERLAP_CM)


def test_worn_length_undoes_the_factors(block: Block) -> None:
    plain = block_openings(block)
    for whole, cut in zip(plain, block_openings(block, (0.8, 0.8)), strict=True):
        assert cut.worn_cm == pytest.approx(whole.cut_cm / 0.8)
        assert cut.cut_cm == whole.cut_cm


def test_a_weak_elastic_is_cut_longer(block: Block) -> None:
    leg = block_openings(block, (0.8, 0.9), elastic_stretch=0.3)[2]
    back = leg.sections[1]
    assert back.limited
    assert back.worn_stretch == pytest.approx(0.3)
    assert back.ratio > back.usual_ratio
    strong = block_openings(block, (0.8, 0.9), elastic_stretch=1.0)[2].sections[1]
    assert not strong.limited
    assert strong.ratio == 0.75


def test_stretch_to_pass_a_thigh(block: Block) -> None:
    leg = block_openings(block)[2]
    assert leg.stretch_to_pass(leg.cut_cm * 1.1) == pytest.approx(0.1)
    assert leg.stretch_to_pass(leg.cut_cm - 1) == 0


def test_factors_must_be_above_zero(block: Block) -> None:
    with pytest.raises(RefusedError):
        block_openings(block, (0.0, 1.0))
