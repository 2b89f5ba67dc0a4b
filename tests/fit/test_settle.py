"""The strain round is found wherever a tested one gives the tension, to the very end."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.cases import BodyArrays
from ease.fit.decide import membrane_of
from ease.fit.holding import aimed_girth
from ease.fit.membrane import Membrane

BODY = BodyArrays.from_body(complete(load_body("demo")))


def cloth(name: str) -> Membrane:
    fabric = load_fabric(name)
    membrane = membrane_of(fabric, fabric.round_body)
    assert membrane is not None
    return membrane


def pressure(membrane: Membrane, eh: np.ndarray, pull_n: float) -> np.ndarray:
    """Go forward: length under the pull, tension round, Laplace on the worn width."""
    down = pull_n * (1 + eh) / (BODY.waist / 100)
    ev = membrane.length_strain(eh, down, outside="nan")
    around, _ = membrane.tensions(eh, ev, outside="nan")
    return np.asarray(around / (1 + ev) * 2 * pi / (BODY.bust / 100) / 1000)


@pytest.mark.parametrize("name", fabric_names())
@pytest.mark.parametrize("pull_n", [2.0, 6.0, 10.0, 16.0, 30.0])
def test_every_tested_strain_comes_back_from_its_pressure(
    name: str, pull_n: float
) -> None:
    membrane = cloth(name)
    share = np.array([0.3, 0.6, 0.8, 0.9, 0.95, 0.99, 0.999])
    strains = share * float(membrane.girth.last_strain)
    forward = pressure(membrane, strains, pull_n)
    for eh, kpa in zip(strains, forward, strict=True):
        if np.isfinite(kpa):
            assert float(aimed_girth(membrane, BODY, kpa, pull_n)) == pytest.approx(
                eh, abs=1e-9
            )


@pytest.mark.parametrize("name", fabric_names())
def test_past_the_end_of_the_test_there_is_no_strain(name: str) -> None:
    membrane = cloth(name)
    last = np.asarray(membrane.girth.last_strain, dtype=float)
    top = float(pressure(membrane, last, 10.0))
    assert np.isfinite(top)
    assert np.isnan(aimed_girth(membrane, BODY, 1.001 * top, 10.0))


@pytest.mark.parametrize("pull_n", [95.0, 100.0, 104.0])
def test_a_great_pull_leaves_little_to_be_held_round(pull_n: float) -> None:
    """The waist narrows under it: brute force over both tests finds the strain."""
    membrane = cloth("soft-tricot")
    eh = np.linspace(-0.3, float(membrane.girth.last_strain), 20_001)
    held = pressure(membrane, eh, pull_n)
    first = int(np.argmax(held >= 0.05))
    found = float(aimed_girth(membrane, BODY, 0.05, pull_n))
    assert eh[first - 1] <= found <= eh[first]
