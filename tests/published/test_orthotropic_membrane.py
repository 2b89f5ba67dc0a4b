"""The membrane of a straight-line cloth is the orthotropic membrane of the textbooks.

T1 = E1 (e1 + nu21 e2)/(1 - nu12 nu21) with nu12/E1 = nu21/E2; worked figures are own
arithmetic. Source key: orthotropic-plane-stress (textbook form, from memory).
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.tension import Branch, TensionCurve
from ease.fit.membrane import Membrane


def straight(modulus: float, ratio: float | None) -> ClothDirection:
    curve = TensionCurve(Branch.through([0, 0.5, 1.0], [0, 0.5 * modulus, modulus]))
    contraction = None if ratio is None else Estimate(ratio)
    return ClothDirection(stretch=Estimate(1.0), tension=curve, contraction=contraction)


def linear(e1: float, e2: float, nu12: float, nu21: float | None = None) -> Membrane:
    fabric = Fabric(
        name="linear",
        title="Straight lines",
        origin="invented",
        source="invented",
        across=straight(e1, nu12),
        along=straight(e2, nu21),
    )
    return Membrane.from_fabric(fabric, "across")


def test_worked_figures() -> None:
    # E 1 and 2 N/cm, nu12 0.3, so nu21 0.6; strains 0.4 and 0.1.
    membrane = linear(100, 200, 0.3)
    assert float(membrane.length.ratio) == pytest.approx(0.6)
    t1, t2 = membrane.tensions(0.4, 0.1)
    assert float(t1) / 100 == pytest.approx(0.5610, abs=5e-5)
    assert float(t2) / 100 == pytest.approx(0.5366, abs=5e-5)


def test_held_in_length_it_is_stiffer_than_a_strip() -> None:
    # e2 = 0: 0.4878 N/cm, 1.2195 times the free strip.
    t1, _ = linear(100, 200, 0.3).tensions(0.4, 0.0)
    assert float(t1) / 100 == pytest.approx(0.4878, abs=5e-5)
    assert float(t1) / 40 == pytest.approx(1.2195, abs=5e-5)


def test_contraction_of_a_swatch() -> None:
    # 100 to 140 long, 50 to 44 wide: ratio 0.12/0.40 = 0.30 (own arithmetic).
    membrane = linear(100, 100, 0.12 / 0.40)
    assert 50 * (1 + float(membrane.length_strain(0.4))) == pytest.approx(44.0)
    # Strain 25 % round at ratio 0.35 takes 8.75 % off the free length.
    assert float(linear(100, 100, 0.35).length_strain(0.25)) == pytest.approx(-0.0875)


@given(
    st.floats(20, 400),
    st.floats(20, 400),
    st.floats(0.01, 0.6),
    st.floats(0.0, 0.9),
    st.floats(0.0, 0.9),
)
def test_closed_form_both_ways(
    e1: float, e2: float, nu: float, first: float, second: float
) -> None:
    nu12 = nu * np.sqrt(e1 / e2)
    nu21 = nu12 * e2 / e1
    stiff = np.array([[e1, nu21 * e1], [nu12 * e2, e2]]) / (1 - nu12 * nu21)
    membrane = linear(e1, e2, nu12, nu21)
    assert membrane.reciprocity_gap is not None
    assert float(membrane.reciprocity_gap) == pytest.approx(0.0, abs=1e-12)
    expected = stiff @ np.array([first, second])
    found = membrane.tensions(first, second)
    assert [float(t) for t in found] == pytest.approx(list(expected), rel=1e-9)
    strains = membrane.strains(*found)
    assert [float(e) for e in strains] == pytest.approx([first, second], abs=1e-9)
    energy = 0.5 * float(expected @ np.array([first, second]))
    assert float(membrane.energy(first, second)) == pytest.approx(energy, rel=1e-9)
    np.testing.assert_allclose(membrane.tangent(first, second), stiff, rtol=1e-9)
