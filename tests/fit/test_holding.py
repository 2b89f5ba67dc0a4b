"""Aimed pressure and pull on straight-line cloths, against formulas of their own.

With tensions straight in the strains the equations can be written out by hand:
T_h = (E_h eh + nu sqrt(E_h E_v) ev) / (1 - nu^2) for a cloth of one ratio nu, and for a
cloth that does not contract T = E e each way.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np
import pytest
from scipy.special import ellipe

from ease.fabric.profile import Fabric
from ease.fit.aims import Aim, Allowed
from ease.fit.cases import BodyArrays
from ease.fit.holding import (
    DEPTH_OVER_BREADTH,
    aimed_girth,
    girth_holding,
    length_holding,
    side_over_mean,
)
from ease.fit.membrane import Membrane
from ease.fit.pull import pull_tension

Make = Callable[..., Fabric]
BODY = BodyArrays(
    bust=np.asarray(88.0),
    waist=np.asarray(70.0),
    hip=np.asarray(96.0),
    shoulder_girth=np.asarray(np.nan),
)
AIM = Aim("own", 0.4, 12.0, 0.25, 0.09)


def cloth(make: Make, e_h: float, e_v: float, ratio: float, **more: float) -> Membrane:
    along = {"stretch": 1.2, "load": e_h, "contraction": ratio * np.sqrt(e_h / e_v)}
    across = {"stretch": 1.0, "load": e_v, "contraction": ratio * np.sqrt(e_v / e_h)}
    return Membrane.from_fabric(make(along | more, across))


def by_hand(
    e_h: float, e_v: float, ratio: float, pressure: float
) -> tuple[float, float]:
    """Solve a(eh, ev) = P C (1 + ev)/(2 pi), b(eh, ev) = F (1 + eh)/waist, linear."""
    p = 1000 * pressure * 0.88 / (2 * pi)
    f = AIM.pull_n / 0.70
    cross = ratio * np.sqrt(e_h * e_v)
    stiff = np.array([[e_h, cross], [cross, e_v]]) / (1 - ratio**2)
    system = stiff - np.array([[0.0, p], [f, 0.0]])
    eh, ev = np.linalg.solve(system, [p, f])
    return float(eh), float(ev)


@pytest.mark.parametrize("ratio", [0.0, 0.3, 0.5])
@pytest.mark.parametrize(("e_h", "e_v"), [(250.0, 250.0), (150.0, 300.0)])
def test_the_aimed_strain_round_solves_both_equations(
    make_fabric: Make, e_h: float, e_v: float, ratio: float
) -> None:
    eh, _ = by_hand(e_h, e_v, ratio, AIM.pressure_kpa)
    found = float(
        aimed_girth(
            cloth(make_fabric, e_h, e_v, ratio), BODY, AIM.pressure_kpa, AIM.pull_n
        )
    )
    assert found == pytest.approx(eh, abs=1e-8)


def test_the_aim_gives_the_aimed_pressure_by_laplace(make_fabric: Make) -> None:
    """P = T / ((1 + ev) R) with T per relaxed width. Source key: laplace-bandage."""
    eh, ev = by_hand(200.0, 260.0, 0.3, AIM.pressure_kpa)
    membrane = cloth(make_fabric, 200.0, 260.0, 0.3)
    strain = aimed_girth(membrane, BODY, AIM.pressure_kpa, AIM.pull_n)
    around, down = membrane.tensions(strain, ev)
    radius_m = 0.88 / (2 * pi)
    assert float(around) / ((1 + ev) * radius_m) == pytest.approx(400.0, rel=1e-7)
    relaxed_waist_m = 0.70 / (1 + eh)
    assert float(down) * relaxed_waist_m == pytest.approx(AIM.pull_n, rel=1e-7)


def test_pull_is_tension_times_relaxed_width() -> None:
    tension = float(pull_tension(10.0, np.asarray(0.25), np.asarray(70.0)))
    assert tension * 0.70 / 1.25 == pytest.approx(10.0)


@pytest.mark.parametrize(("name", "ratio"), DEPTH_OVER_BREADTH.items())
def test_side_over_mean_is_the_ellipse(name: str, ratio: float) -> None:
    """Side radius b^2/a against girth/2 pi, perimeter by the elliptic integral."""
    a, b = 1.0, ratio
    perimeter = 4 * a * float(ellipe(1 - (b / a) ** 2))
    expected = (perimeter / (2 * pi)) / (b**2 / a)
    assert float(side_over_mean(ratio)) == pytest.approx(expected, rel=1e-12), name


def test_pressure_limits_round_without_contraction(make_fabric: Make) -> None:
    membrane = cloth(make_fabric, 250.0, 250.0, 0.0)
    low, high = girth_holding(membrane, BODY, AIM.pull_n, Allowed())
    f = AIM.pull_n / 0.70

    def strain_at(mean_kpa: float, girth_cm: float) -> float:
        p = 1000 * mean_kpa * girth_cm / 100 / (2 * pi)
        # 250 eh = p (1 + ev), 250 ev = f (1 + eh)
        return (p / 250) * (1 + f / 250) / (1 - p * f / 250**2)

    assert float(low["least_pressure"]) == pytest.approx(
        strain_at(Allowed().least_pressure_kpa, 96.0), rel=1e-7
    )
    sides = {
        name: 1.3 / float(side_over_mean(ratio)) * girth
        for (name, ratio), girth in zip(
            DEPTH_OVER_BREADTH.items(), (88.0, 70.0, 96.0), strict=True
        )
    }
    first = min(sides, key=lambda name: sides[name])
    girth = {"bust": 88.0, "waist": 70.0, "hip": 96.0}[first]
    assert first == "waist"
    assert float(high["most_pressure"]) == pytest.approx(
        strain_at(sides[first] / girth, girth), rel=1e-7
    )
    assert float(high["test_range"]) == pytest.approx(1.2)


def test_pull_limits_down_without_contraction(make_fabric: Make) -> None:
    membrane = cloth(make_fabric, 250.0, 200.0, 0.0)
    low, high = length_holding(membrane, np.asarray(0.2), BODY.waist, Allowed())
    assert float(low["least_pull"]) == pytest.approx(2.0 * 1.2 / 0.70 / 200.0)
    assert float(high["most_pull"]) == pytest.approx(30.0 * 1.2 / 0.70 / 200.0)


def test_a_least_pressure_past_the_test_lies_past_every_strain(
    make_fabric: Make,
) -> None:
    membrane = cloth(make_fabric, 5.0, 250.0, 0.0)
    low, high = girth_holding(
        membrane,
        BODY,
        AIM.pull_n,
        Allowed(least_pressure_kpa=0.2, most_side_pressure_kpa=9),
    )
    assert float(low["least_pressure"]) > float(high["test_range"])
    assert np.isnan(high["most_pressure"])


def test_a_least_pull_past_the_test_lies_past_every_strain(make_fabric: Make) -> None:
    membrane = cloth(make_fabric, 250.0, 5.0, 0.0)
    low, high = length_holding(
        membrane, np.asarray(0.2), BODY.waist, Allowed(least_pull_n=8.0)
    )
    assert float(low["least_pull"]) > float(high["test_range"])
    assert np.isnan(high["most_pull"])


def test_a_short_test_down_does_not_push_the_girth_to_its_end(
    make_fabric: Make,
) -> None:
    """Tested down to 2 % only: the length stays there, the pressure is still met."""
    fabric = make_fabric(
        {"stretch": 1.2, "load": 250.0, "contraction": 0.0},
        {"stretch": 1.0, "load": 250.0, "tested": 0.02, "contraction": 0.0},
    )
    membrane = Membrane.from_fabric(fabric)
    p = 1000 * AIM.pressure_kpa * 0.88 / (2 * pi)
    found = float(aimed_girth(membrane, BODY, AIM.pressure_kpa, AIM.pull_n))
    assert found == pytest.approx(p * 1.02 / 250.0, rel=1e-9)


def test_a_pressure_that_the_test_does_not_reach_is_nan(make_fabric: Make) -> None:
    weak = cloth(make_fabric, 20.0, 250.0, 0.0, tested=0.3)
    assert np.isnan(aimed_girth(weak, BODY, AIM.pressure_kpa, AIM.pull_n))


def test_many_bodies_at_once(make_fabric: Make) -> None:
    membrane = cloth(make_fabric, 250.0, 250.0, 0.3)
    bust = np.array([80.0, 88.0, 120.0])
    body = BodyArrays(
        bust=bust,
        waist=np.full(3, 70.0),
        hip=np.full(3, 96.0),
        shoulder_girth=np.full(3, np.nan),
    )
    together = aimed_girth(membrane, body, AIM.pressure_kpa, AIM.pull_n)
    for i in range(3):
        one = BodyArrays(
            bust=bust[i],
            waist=BODY.waist,
            hip=BODY.hip,
            shoulder_girth=BODY.shoulder_girth,
        )
        assert float(together[i]) == pytest.approx(
            float(aimed_girth(membrane, one, AIM.pressure_kpa, AIM.pull_n)), abs=1e-10
        )
    # A larger body needs more tension for the same pressure.
    assert (np.diff(together) > 0).all()
