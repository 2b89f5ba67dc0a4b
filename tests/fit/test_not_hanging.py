"""Garments that hang from no shoulder: only the strain round is decided."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pytest

from ease.body.measures import Body
from ease.errors import EmptyWindowError
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth, decide_many
from ease.fit.cases import BodyArrays
from ease.fit.decide import decide, membrane_of
from ease.fit.explain import explain
from ease.fit.spread import spread_of
from ease.fit.window import AS_IT_IS

Make = Callable[..., Fabric]
MARIT = Body(name="invented", values={"bust": 88.0, "waist": 70.0, "hip": 96.0})
BRIEF = Allowed(hangs=False)
STRIP: dict[str, Any] = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}


def test_the_aim_is_met_at_body_length(make_fabric: Make) -> None:
    """0.4 kPa at 88 cm is 56 N/m; 250 N/m per unit strain alone: 22.4 %."""
    found = decide(make_fabric(STRIP, STRIP), MARIT, allowed=BRIEF)
    assert found.girth.strain == pytest.approx(400 * 0.88 / (2 * pi) / 250)
    assert found.girth.bound_by == "aim"
    assert (found.length.strain, found.length.bound_by) == (0.0, AS_IT_IS)
    assert found.length.bound_title == "as it is"
    assert spread_of(found).length is None


def test_coupled_cloth_presses_as_aimed_at_body_length() -> None:
    found = decide(load_fabric("firm-tricot"), MARIT, allowed=BRIEF)
    membrane = membrane_of(found.fabric, found.round_body)
    assert membrane is not None
    around, _ = membrane.tensions(found.girth.strain, 0.0)
    assert 2 * pi * float(around) / 0.88 / 1000 == pytest.approx(0.4)
    said = explain(found)
    assert said[1].startswith("Down: nothing hangs from the shoulders")
    assert "presses 0.40 kPa" in " ".join(said)
    assert not any("over both shoulders" in line for line in said)


def test_a_window_down_that_is_empty_stops_only_what_hangs() -> None:
    fabric = load_fabric("one-way-stretch")
    with pytest.raises(EmptyWindowError, match="no strain down meets both limits"):
        decide(fabric, MARIT)
    assert decide(fabric, MARIT, allowed=BRIEF).girth.strain > 0.1


def test_by_hand_the_girth_is_what_it_was(make_fabric: Make) -> None:
    fabric = make_fabric({"stretch": 0.8, "contraction": 0.3}, {"stretch": 0.9})
    hangs, brief = decide(fabric, MARIT), decide(fabric, MARIT, allowed=BRIEF)
    assert brief.girth == hangs.girth
    assert brief.length.bound_by == AS_IT_IS


@pytest.mark.parametrize("name", fabric_names())
def test_many_equal_one(name: str) -> None:
    fabric = load_fabric(name)
    girths = {
        key: np.array([size, 1.1 * size]) for key, size in MARIT.values.items()
    } | {"shoulder_girth": np.full(2, np.nan)}
    many = decide_many(Cloth.of(fabric), BodyArrays(**girths), AIMS["regular"], BRIEF)
    one = decide(fabric, MARIT, allowed=BRIEF)
    assert many.girth_strain[0] == pytest.approx(one.girth.strain, abs=1e-12)
    assert many.length_strain.tolist() == [0.0, 0.0]
    assert many.length_bound.tolist() == [AS_IT_IS] * 2
    assert np.isnan(many.pull).all()
    assert not many.slack_later.any()
    assert not any("shoulders" in note for note in one.notes)
