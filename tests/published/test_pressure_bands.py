"""The bands of pressure against published figures.

Source keys: pressure-groups (seen), waistband-1991 (seen), capillary-pressure (from
memory), denton-1972 (from memory).
"""

import pytest

from ease.fit.pressure import BANDS, REFUSED_FROM, band, mean_pressure
from ease.units import KPA_PER_MMHG


@pytest.mark.parametrize(
    ("pressure", "key"),
    [
        (0.39, "negligible"),
        (0.40, "comfortable"),
        (1.29, "comfortable"),
        (1.65, "close"),
        (2.80, "shaping"),
        (3.31, "tight"),
    ],
)
def test_published_groups(pressure: float, key: str) -> None:
    assert band(pressure).key == key


def test_edges_are_those_of_the_table() -> None:
    assert [item.low for item in BANDS[1:5]] == [0.4, 1.3, 2.0, 3.3]


def test_module_of_compression_of_the_groups() -> None:
    # P at 20 % stretch over 20, in Pa per per cent: 20, 65, 100, 165 (seen).
    modules = [1000 * item.low / 20 for item in BANDS[1:5]]
    assert modules == pytest.approx([20, 65, 100, 165])


def test_swimwear_is_comfortable_to_close() -> None:
    assert band(0.98).key == "comfortable"
    assert band(1.96).key == "close"


def test_refusal_begins_at_the_capillary_pressure_and_below_discomfort() -> None:
    assert pytest.approx(32 * KPA_PER_MMHG, abs=0.005) == REFUSED_FROM
    assert pytest.approx(5.884, abs=5e-4) == 60 * 0.0980665  # 60 gf/cm2
    assert REFUSED_FROM < 5.884


def test_waistband_study() -> None:
    # 17.5 mmHg was worn quietly; above 35 mmHg was felt uncomfortable.
    assert band(17.5 * KPA_PER_MMHG).key == "shaping"
    assert band(35 * KPA_PER_MMHG).key == "unsafe"


def test_stretch_knit_point_of_a_handbook() -> None:
    # 15 gf/cm at 20 % (p. 344, fig. 13.6, seen): 0.1471 N/cm; on 90 cm 0.103 kPa.
    tension = 15 * 0.00980665 * 100
    assert tension / 100 == pytest.approx(0.1471, abs=5e-5)
    pressure = float(mean_pressure(tension, 90))
    assert pressure == pytest.approx(0.103, abs=5e-4)
    assert band(pressure).key == "negligible"
