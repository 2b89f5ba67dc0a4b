"""A hand test taken again: nothing that was not read anew is lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ease.errors import RefusedError
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import Fabric
from ease.fabric.retested import retested

Make = Callable[..., Fabric]
SOFT: dict[str, Any] = {"stretch": 0.8, "contraction": 0.4, "growth": 0.02}
LOADED = SOFT | {"load": 200.0}
TOILE = Evidence(
    day=date(2026, 5, 31),
    kind="toile",
    block="b",
    fabric="mine",
    across=WornRatio(1.03, 0.003, 6, True),
)


@pytest.fixture
def old(make_fabric: Make) -> Fabric:
    made = make_fabric(LOADED, LOADED)
    return replace(
        made,
        title="blue, shiny",
        origin="measured",
        mass_gsm=190.0,
        evidence=(TOILE,),
        tested={
            "along": "3 repeats",
            "load_across": "2 repeats, weights",
            "load_along": "1 repeat, weights",
            "outlier_along_2": "growth, kept",
            "outlier_across_1": "stretch, kept",
        },
    )


def fresh(make_fabric: Make, **said: Any) -> Fabric:
    made = make_fabric(SOFT, SOFT | {"stretch": 0.7})
    return replace(made, title=made.name, tested={"across": "5 repeats"}, **said)


def test_load_tests_and_toiles_stay(make_fabric: Make, old: Fabric) -> None:
    fabric, note = retested(fresh(make_fabric), old)
    assert fabric.across is not None
    assert old.across is not None
    assert fabric.across.stretch.mean == 0.7
    assert fabric.across.tension is old.across.tension
    assert fabric.across.tension_scale == old.across.tension_scale
    assert (fabric.title, fabric.mass_gsm) == ("blue, shiny", 190.0)
    assert fabric.evidence == (TOILE,)
    assert fabric.tested == {
        "across": "5 repeats",
        "load_across": "2 repeats, weights",
        "load_along": "1 repeat, weights",
    }
    assert "kept beside them: the load test across and along, 1 toile" in note


def test_a_direction_that_was_not_read_again_stays_whole(
    make_fabric: Make, old: Fabric
) -> None:
    new = replace(fresh(make_fabric), along=None)
    fabric, note = retested(new, old)
    # A load test that is read with it leaves the hand test alone.
    _, loaded = retested(new, old, loaded=["along"])
    assert "kept beside them: the hand test along, the load test across" in loaded
    assert fabric.along == old.along
    assert fabric.tested["along"] == "3 repeats"
    assert fabric.tested["outlier_along_2"] == "growth, kept"
    assert "outlier_across_1" not in fabric.tested
    assert "all that was read along, the load test across, 1 toile" in note


def test_a_load_test_that_is_taken_again_does_not_stay(
    make_fabric: Make, old: Fabric
) -> None:
    fabric, note = retested(fresh(make_fabric), old, ["along"])
    assert fabric.along is not None
    assert fabric.along.tension is None
    assert "load_along" not in fabric.tested
    assert "the load test across, 1 toile" in note


def test_the_less_sure_origin_counts_where_something_stays(
    make_fabric: Make, old: Fabric
) -> None:
    invented = replace(old, origin="invented")
    mine = fresh(make_fabric, origin="measured")
    assert retested(mine, invented)[0].origin == "invented"
    assert retested(replace(mine, origin="invented"), old)[0].origin == "invented"
    bare = replace(
        make_fabric(SOFT, SOFT), origin="invented", evidence=(), tested={}, title="t"
    )
    fabric, note = retested(mine, bare)
    assert (fabric.origin, note) == ("measured", "")


def test_figures_that_no_cloth_has_together_are_refused(
    make_fabric: Make, old: Fabric
) -> None:
    apart = make_fabric(SOFT | {"contraction": 2.9})
    with pytest.raises(RefusedError, match="contraction ratios are too large"):
        retested(apart, old)
