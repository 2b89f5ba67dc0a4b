"""Length under stretch round: contraction already strains it; never count it twice.

Arithmetic on a contraction ratio of 0.3 and a published 12 % round (source key:
low-back-block), and on ratio 0.35 at 25 % (own arithmetic: 60 cm must be cut 65.75 to
stay 60). The trade habit of taking 0 to 5 % down besides, up to 10 % for firm cloth, is
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.aims import Aim, Allowed
from ease.fit.decide import decide
from ease.fit.membrane import Membrane
from ease.fit.window import Strains

Make = Callable[..., Fabric]
BODY = Body(
    name="b", values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 150.0}
)


def strip(make: Make, ratio: float) -> Membrane:
    pulled = {"stretch": 1.0, "load": 250.0, "contraction": ratio}
    return Membrane.from_fabric(make(pulled, pulled), "along")


def test_a_free_strip_contracts_by_its_ratio(make_fabric: Make) -> None:
    """25 % round at 0.35 shortens by 8.75 %: cut 65.75 for 60."""
    free = 1 + float(strip(make_fabric, 0.35).length_strain(0.25))
    assert 100 * (1 - free) == pytest.approx(8.75, abs=1e-6)
    assert 60 / free == pytest.approx(65.75, abs=0.005)


def test_exact_body_length_pulls_and_the_contracted_length_does_not(
    make_fabric: Make,
) -> None:
    membrane = strip(make_fabric, 0.3)
    strain = 0.12 / 0.88
    _, at_body_length = membrane.tensions(strain, 0.0)
    assert float(at_body_length) > 0
    _, free = membrane.tensions(strain, float(membrane.length_strain(strain)))
    assert float(free) == pytest.approx(0.0, abs=1e-9)
    # 4.27 % beyond the free length is what a cut at body length is pulled by.
    worn = Strains(np.asarray(1 - 0.3 * strain))
    assert float(worn(np.asarray(0.0427))) == pytest.approx(0.0, abs=5e-5)


def test_no_pull_asked_for_means_a_longer_cut(make_fabric: Make) -> None:
    """With next to no pull the loop is cut to the length it would take by itself."""
    pulled = {"stretch": 1.0, "load": 250.0, "contraction": 0.3}
    aim = Aim("slack", 0.35, 1e-6, 0.25, 0.09)
    allowed = Allowed(least_pull_n=0.0)
    found = decide(
        make_fabric(pulled, pulled), BODY, aim=aim, allowed=allowed, round_body="along"
    )
    free = 1 - 0.3 * found.girth.strain
    assert found.length.strain == pytest.approx(free - 1, abs=1e-6)
    assert found.pull_strain == pytest.approx(0.0, abs=1e-6)
    assert found.cut("torso_loop") == pytest.approx(150 / free, rel=1e-6)
    assert found.cut("torso_loop") > 150


@pytest.mark.parametrize("ratio", [0.0, 0.2, 0.4])
def test_both_parts_make_up_the_pull(make_fabric: Make, ratio: float) -> None:
    pulled = {"stretch": 1.0, "load": 250.0, "contraction": ratio}
    found = decide(make_fabric(pulled, pulled), BODY, round_body="along")
    whole = (1 + found.contraction_strain) * (1 + found.length.strain) - 1
    assert found.pull_strain == pytest.approx(whole, rel=1e-12)


def test_more_contraction_never_shortens_the_cut(make_fabric: Make) -> None:
    cuts = []
    for ratio in (0.0, 0.15, 0.3, 0.45):
        pulled = {"stretch": 1.0, "load": 250.0, "contraction": ratio}
        found = decide(make_fabric(pulled, pulled), BODY, round_body="along")
        cuts.append(found.cut("torso_loop"))
    assert cuts == sorted(cuts)
    assert cuts[-1] > cuts[0] + 1
