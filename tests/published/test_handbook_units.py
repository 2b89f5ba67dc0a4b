"""Conversion factors as a handbook prints them. Source key: nist-sp-811."""

from __future__ import annotations

import pytest

from ease.units import KPA_PER_MMHG, NEWTON_PER


def test_millimetre_of_mercury_and_pound_force() -> None:
    # Printed: 1.333 224 E+02 Pa and 4.448 222 N.
    assert pytest.approx(133.3224, abs=5e-5) == 1000 * KPA_PER_MMHG
    assert NEWTON_PER["lb"] == pytest.approx(4.448222, abs=5e-7)
