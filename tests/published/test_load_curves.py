"""Load-extension curves: worked cases and published forms.

No complete table of a swim knit was found in print. Case A takes its straight line from
a published finding (nylon and elastane knits near linear to 100 %); its figures and
case B's are invented, and worked figures are own arithmetic. Source keys:
straight-load-curve (abstract seen), fung-1967 (the exponential form, from memory),
kawabata-1980 (hysteresis, from memory).
"""

import numpy as np
import pytest
from numpy.typing import NDArray

from ease.errors import TensionRangeError
from ease.fabric.tension import Branch, TensionCurve
from ease.fit.pressure import mean_pressure, tension_for_pressure
from ease.units import KPA_PER_MMHG

Floats = NDArray[np.float64]


def joined(strain: list[float], tension: list[float]) -> Branch:
    """Return the straight lines between points, as a branch with knots close by."""
    fine = np.unique(np.concatenate([np.linspace(strain[0], strain[-1], 801), strain]))
    return Branch.through(fine, np.interp(fine, strain, tension))


def case_a() -> Branch:
    return joined([0, 1.0], [0, 600])


@pytest.mark.parametrize(
    ("reduction", "strain", "tension", "pressures"),
    [
        (0.10, 0.1111, 66.67, (20.95, 12.57, 7.85, 5.24)),
        # The third is 12.474995: 12.48 comes of rounding twice.
        (0.15, 0.1765, 105.88, (33.27, 19.96, 12.47, 8.32)),
        (0.20, 0.2500, 150.00, (47.13, 28.28, 17.67, 11.78)),
    ],
)
def test_case_a_from_reduction_to_pressure(
    reduction: float, strain: float, tension: float, pressures: tuple[float, ...]
) -> None:
    worn = 1 / (1 - reduction) - 1
    pull = float(case_a().tension_at(worn))
    assert worn == pytest.approx(strain, abs=5e-5)
    assert pull == pytest.approx(tension, abs=0.005)
    for girth, expected in zip((15, 25, 40, 60), pressures, strict=True):
        found = float(mean_pressure(pull, girth)) / KPA_PER_MMHG
        assert found == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(
    ("mmhg", "girth", "tension", "strain", "pattern", "reduction"),
    [
        (15, 30, 95.49, 0.1591, 25.88, 13.73),
        (25, 30, 159.14, 0.2652, 23.71, 20.96),
        (15, 50, 159.14, 0.2652, 39.52, 20.96),
        (25, 50, 265.24, 0.4421, 34.67, 30.65),
    ],
)
def test_case_a_from_pressure_to_pattern(
    mmhg: float,
    girth: float,
    tension: float,
    strain: float,
    pattern: float,
    reduction: float,
) -> None:
    pull = tension_for_pressure(mmhg * KPA_PER_MMHG, girth)
    worn = float(case_a().strain_at(pull))
    assert float(pull) == pytest.approx(tension, abs=0.005)
    assert worn == pytest.approx(strain, abs=5e-5)
    assert girth / (1 + worn) == pytest.approx(pattern, abs=0.005)
    assert 100 * worn / (1 + worn) == pytest.approx(reduction, abs=0.005)


def case_b() -> TensionCurve:
    strain = [0, 0.2, 0.4, 0.6, 0.8]
    up = joined(strain, [0, 24, 44, 68, 104])
    down = joined([0.04, *strain[1:]], [0, 14, 30, 52, 104])
    return TensionCurve(up, down)


def test_case_b_work_and_hysteresis() -> None:
    curve = case_b()
    assert curve.unloading is not None
    # Work of the 5 cm strip, N per unit strain.
    assert float(curve.loading.energy_at(0.8)) * 0.05 == pytest.approx(1.880, abs=5e-4)
    assert float(curve.unloading.energy_at(0.8)) * 0.05 == pytest.approx(
        1.466, abs=5e-4
    )
    assert curve.energy_lost == pytest.approx(0.2202, abs=5e-5)
    assert curve.set_strain == pytest.approx(0.04)


def test_case_b_readings_between_points() -> None:
    up = case_b().loading
    assert float(up.strain_at(60)) == pytest.approx(0.5333, abs=5e-5)
    assert float(up.tension_at(0.1364)) == pytest.approx(16.37, abs=0.005)
    assert float(up.tension_at(0.25)) == pytest.approx(29.0, abs=1e-6)
    for strain, mmhg in ((0.1364, 0.857), (0.25, 1.519)):
        pressure = mean_pressure(up.tension_at(strain), 90) / KPA_PER_MMHG
        assert float(pressure) == pytest.approx(mmhg, abs=5e-4)
    with pytest.raises(TensionRangeError, match=r"went to 80\.0 %"):
        up.tension_at(0.81)


def test_hysteresis_of_kawabata() -> None:
    # (0,0)(20 %,0.5)(40 %,1.5) up, (40 %,1.5)(20 %,0.35)(0,0) down, N/cm: 12.0 % lost.
    up = joined([0, 0.2, 0.4], [0, 50, 150])
    down = joined([0, 0.2, 0.4], [0, 35, 150])
    assert float(up.energy_at(0.4)) / 100 == pytest.approx(0.250, abs=1e-5)
    assert float(down.energy_at(0.4)) / 100 == pytest.approx(0.220, abs=1e-5)
    assert TensionCurve(up, down).energy_lost == pytest.approx(0.120, abs=1e-5)


def fung(strain: Floats) -> Floats:
    return np.asarray(50 * np.expm1(np.log(2) / 0.2 * strain))


def test_fung_curve_through_few_readings() -> None:
    # A 0.5 N/cm, B ln 2/0.2: 0.5, 1.5 and 3.5 N/cm at 20, 40 and 60 %.
    np.testing.assert_allclose(fung(np.array([0.2, 0.4, 0.6])), [50, 150, 350])
    readings = np.linspace(0, 0.6, 7)
    branch = Branch.through(readings, fung(readings))
    fine = np.linspace(0, 0.6, 601)
    # A cubic through readings h apart misses by the order h^2 T'' / 8 at most.
    most = 0.1**2 * 350 * (np.log(2) / 0.2) ** 2 / 8
    assert np.abs(branch.tension_at(fine) - fung(fine)).max() < most


def test_inverse_design_on_the_fung_curve() -> None:
    # 1.5 kPa on 90 cm: T 2.1486 N/cm, strain 0.48105, cut 60.768 cm, 32.480 % less.
    readings = np.linspace(0, 0.6, 301)
    branch = Branch.through(readings, fung(readings))
    tension = tension_for_pressure(1.5, 90)
    strain = float(branch.strain_at(tension))
    assert float(tension) / 100 == pytest.approx(2.1486, abs=5e-5)
    assert strain == pytest.approx(0.48105, abs=5e-6)
    assert 90 / (1 + strain) == pytest.approx(60.768, abs=5e-4)
    assert 100 * strain / (1 + strain) == pytest.approx(32.480, abs=5e-4)
