"""Pressure on the body: inverses, ovals and the table of bands."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ellipe

from ease.errors import RefusedError
from ease.fit.pressure import (
    BANDS,
    CAUTIONS,
    REFUSED_FROM,
    band,
    band_index,
    ellipse_perimeter,
    ellipse_radii,
    local_pressures,
    mean_pressure,
    tension_for_pressure,
)

positive = st.floats(0.01, 500)
girths = st.floats(5, 200)
strains = st.floats(-0.3, 1.0)


@given(positive, girths, strains)
def test_tension_for_pressure_inverts_mean_pressure(
    tension: float, girth: float, strain: float
) -> None:
    pressure = mean_pressure(tension, girth, strain)
    back = tension_for_pressure(pressure, girth, strain)
    assert float(back) == pytest.approx(tension, rel=1e-12)


@given(st.floats(0.05, 20), st.floats(0.05, 20))
def test_perimeter_is_the_elliptic_integral(a: float, b: float) -> None:
    long, short = max(a, b), min(a, b)
    expected = 4 * long * ellipe(1 - (short / long) ** 2)
    assert float(ellipse_perimeter(a, b)) == pytest.approx(float(expected), rel=1e-13)


@given(girths, st.floats(0.3, 1.5))
def test_radii_belong_to_an_ellipse_of_that_girth(girth: float, ratio: float) -> None:
    side, front = ellipse_radii(girth, ratio)
    # side = b^2/a and front = a^2/b give back a and b.
    a = float((front**2 * side) ** (1 / 3))
    b = float((side**2 * front) ** (1 / 3))
    assert b / a == pytest.approx(ratio)
    assert float(ellipse_perimeter(a, b)) == pytest.approx(girth)


def test_mean_over_an_oval_girth_is_the_mean_of_the_circle() -> None:
    # The curvature of any convex closed line integrates to 2 pi.
    tension, girth, ratio = 80.0, 90.0, 0.7
    a = girth / float(ellipse_perimeter(1.0, ratio))
    b = ratio * a

    def pressure_by_length(t: float) -> float:
        speed = np.hypot(a * np.sin(t), b * np.cos(t))
        radius = speed**3 / (a * b)
        return float(tension / radius * 0.1 * speed)

    total, _ = quad(pressure_by_length, 0, 2 * np.pi)
    assert total / girth == pytest.approx(
        float(mean_pressure(tension, girth)), rel=1e-9
    )
    side, front = local_pressures(tension, girth, ratio)
    assert float(front) < float(mean_pressure(tension, girth)) < float(side)


def test_worn_length_divides_and_slack_cloth_does_not_press() -> None:
    assert float(mean_pressure(50, 90, 0.25)) == pytest.approx(
        float(mean_pressure(50, 90)) / 1.25
    )
    assert float(mean_pressure(-5, 90)) == 0


def test_arrays_of_bodies_and_samples_broadcast() -> None:
    tension = np.full((3, 1), 60.0)
    girth = np.array([80.0, 90.0, 100.0, 110.0])
    side, front = local_pressures(tension, girth, 0.75)
    assert side.shape == front.shape == (3, 4)
    assert (np.diff(side[0]) < 0).all()


def test_bands_join_without_gap() -> None:
    assert BANDS[0].low == 0
    assert BANDS[-1].high == np.inf
    for lower, upper in pairwise(BANDS):
        assert lower.high == upper.low
    for item in BANDS:
        assert item.title.startswith(item.key)  # one word in tables and figures
        assert band(item.low) is item
    assert band(REFUSED_FROM).key == "unsafe"
    with pytest.raises(RefusedError, match="not known"):
        band(float("nan"))
    assert band_index([0.1, 1.0, 9.0]).tolist() == [0, 1, 5]


def test_cautions_speak_of_licensed_practice_and_flotation() -> None:
    assert "licensed practice" in CAUTIONS["comfort"]
    assert "not a flotation aid" in CAUTIONS["flotation"]
