"""A block lies in its own cloth as it was cut, and what toiles showed turns with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ease.block.check import check_wear
from ease.block.compare import compare_fabrics
from ease.block.earlier_toiles import toiled_ways
from ease.block.pieces import Block, DraftedFor, Toiled
from ease.block.toile_correct import correct
from ease.block.toile_weigh import weigh_toile
from ease.block.way_round import turned_note, way_round
from ease.block.worn_otherwise import toile_moves
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import Fabric

from .test_toile import BODY, off, plain, quiet, read_off

Make = Callable[..., Any]
SEEN = WornRatio(1.0, 0.01, 3)


@pytest.fixture
def turned(block: Block) -> Block:
    """The tube, cut with the less stretchy way, across, round the body."""
    return replace(block, drafted_for=DraftedFor(0.8, 0.95, "own", "b", (), "across"))


@pytest.fixture
def own(fabric: Fabric) -> Fabric:
    return replace(fabric, name="own")


def test_the_way_of_the_block_counts_in_its_own_cloth(
    turned: Block, own: Fabric, fabric: Fabric, make_fabric: Make
) -> None:
    assert own.round_body == "along"
    assert way_round(turned, own) == "across"
    assert way_round(turned, own, "along") == "along"
    assert way_round(turned, fabric) == "along"
    assert (
        way_round(replace(turned, drafted_for=DraftedFor(fabric="own")), own) == "along"
    )
    # Sewn in a cloth that had that name when its toile was kept; the block's name tells
    # nothing.
    seen = Evidence(day=date(2024, 5, 1), kind="toile", block=turned.name, across=SEEN)
    renamed = replace(fabric, evidence=(replace(seen, fabric="own"),))
    assert way_round(turned, renamed) == "across"
    assert way_round(turned, replace(fabric, evidence=(seen,))) == "along"
    one_way = replace(make_fabric({"stretch": 0.8}), name="own")
    assert way_round(turned, one_way) == one_way.round_body == "along"
    assert "--round along tells otherwise" in turned_note(turned, own)
    assert turned_note(turned, own, "along") == turned_note(turned, fabric) == ""


def test_check_and_comparison_go_by_it(
    turned: Block, own: Fabric, fabric: Fabric
) -> None:
    check = check_wear(turned, BODY, own)
    assert (check.round_body, check.stretch) == ("across", 0.6)
    compared = compare_fabrics([own, fabric], BODY, turned)
    assert [one.round_body for one in compared.suited] == ["across", "along"]


def test_a_toile_is_kept_under_the_way_that_went_round(
    turned: Block, own: Fabric
) -> None:
    read = read_off(plain(turned, own), off(round=0.05), quiet)
    result = correct(weigh_toile(read, turned, BODY, own))
    assert result.toile.round_body == "across"
    assert result.result is not None
    assert result.result.block.drafted_for.round_body == "across"
    # Sewn with the other way round, it says so of itself.
    along = correct(weigh_toile(read, turned, BODY, own, round_body="along"))
    assert along.result is not None
    assert along.result.block.drafted_for.round_body == "along"


def test_what_toiles_showed_goes_with_the_way_of_the_cloth(own: Fabric) -> None:
    """Along it lay 1.04 times as long: turned, that is down the body."""
    said = DraftedFor(fabric="own", round_body="along", toiled=Toiled(1.04, 0.98))
    assert toiled_ways(said, "along") == (1.04, 0.98)
    assert toiled_ways(said, "across") == (0.98, 1.04)
    assert toiled_ways(replace(said, round_body=""), "across") == (1.04, 0.98)
    moves = {move.way: move.ratio for move in toile_moves(said, own, "across")}
    assert moves == {"round": 0.98, "down": 1.04}
