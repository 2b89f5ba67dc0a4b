"""What is chosen keeps its promises as worn, also where a limit moves the length."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from scipy.special import ellipe

from ease.body.fill_in import complete
from ease.body.sizes import load_size_run
from ease.errors import EmptyWindowError
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS, Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.decide import Reduction, decide, membrane_of
from ease.fit.holding import DEPTH_OVER_BREADTH
from ease.fit.solve import solve

TESTED = [
    name
    for name in fabric_names()
    if membrane_of(load_fabric(name), load_fabric(name).round_body) is not None
]
BODIES = [complete(body) for body in load_size_run("en").bodies[::3]]


def worn(found: Reduction) -> tuple[float, float]:
    """Return mean pressure at the bust, kPa, and pull, N, from tensions as worn."""
    membrane = membrane_of(found.fabric, found.round_body)
    assert membrane is not None
    eh, ev = found.girth.strain, found.length.strain
    around, down = (float(t) for t in membrane.tensions(eh, ev))
    bust, waist = found.body["bust"] / 100, found.body["waist"] / 100
    # Laplace on the worn width: N/m of relaxed width, girth in m, Pa to kPa.
    return around / (1 + ev) * 2 * pi / bust / 1000, down * waist / (1 + eh)


@pytest.mark.parametrize("name", TESTED)
@pytest.mark.parametrize("hold", AIMS)
def test_an_aim_that_binds_is_met_as_worn(name: str, hold: str) -> None:
    aim, fabric = AIMS[hold], load_fabric(name)
    for body in BODIES:
        try:
            found = decide(fabric, body, aim=aim)
        except EmptyWindowError:
            continue
        pressure, pull = worn(found)
        if found.girth.bound_by == "aim":
            assert pressure == pytest.approx(aim.pressure_kpa, abs=1e-10)
        if found.length.bound_by == "aim":
            assert pull == pytest.approx(aim.pull_n, abs=1e-8)


def test_the_length_is_moved_by_a_limit_in_some_of_these() -> None:
    found = [
        decide(load_fabric(name), body, aim=AIMS["easy"])
        for name in ("heavy-matt", "power-net")
        for body in BODIES
    ]
    moved = [
        one
        for one in found
        if one.girth.bound_by == "aim" and one.length.bound_by != "aim"
    ]
    assert len(moved) > 5


@pytest.mark.parametrize("limit", ["least_pressure", "most_pressure"])
def test_a_pressure_limit_holds_as_worn(limit: str) -> None:
    """The length is moved by wet growth, and the pressure limit by that length."""
    fabric = load_fabric("heavy-matt")
    allowed = {
        "least_pressure": Allowed(least_pressure_kpa=0.25),
        "most_pressure": Allowed(most_side_pressure_kpa=0.3),
    }[limit]
    for body in BODIES:
        found = decide(fabric, body, aim=AIMS["easy"], allowed=allowed)
        assert found.length.bound_by == "wet_growth"
        assert found.girth.bound_by == limit
        pressure, _ = worn(found)
        means = {name: pressure * body["bust"] / body[name] for name in SECTIONS}
        if limit == "least_pressure":
            assert min(means.values()) == pytest.approx(0.25, abs=1e-9)
        else:
            side = max(means[name] * at_the_side(SECTIONS[name]) for name in SECTIONS)
            assert side == pytest.approx(0.3, abs=1e-9)


SECTIONS = dict(DEPTH_OVER_BREADTH)


def at_the_side(ratio: float) -> float:
    """Return the pressure at the side of an ellipse over the mean: girth over 2 pi r."""
    return float(4 * ellipe(1 - ratio**2)) / (2 * pi) / ratio**2


def test_many_bodies_at_once_are_one_after_another() -> None:
    fabric = load_fabric("heavy-matt")
    cloth = ClothArrays.from_fabric(fabric, fabric.round_body)
    membrane = membrane_of(fabric, fabric.round_body)
    assert membrane is not None
    alone = [BodyArrays.from_body(body) for body in BODIES]
    together = BodyArrays(
        **{
            name: np.array([getattr(body, name) for body in alone])
            for name in BodyArrays.__dataclass_fields__
        }
    )
    found = solve(cloth, together, AIMS["easy"], Allowed(), membrane)
    for row, body in enumerate(alone):
        one = solve(cloth, body, AIMS["easy"], Allowed(), membrane)
        for axis in ("girth", "length"):
            both = getattr(found, axis).strain[row], getattr(one, axis).strain
            assert both[0] == pytest.approx(float(both[1]), abs=1e-12)
