"""Does a finished size fit: garment x (1 + stretch) against the body, four measures.

Source key: fit-reach (a pattern house's page on choosing a size with negative ease, with
all four printed; inches).
"""

from __future__ import annotations

import numpy as np
import pytest

from ease.fit.reduction import strain_from_factor
from ease.fit.wear import reach

# name, garment, body, stretch, printed reach, fits, needed strain %, negative ease %
MEASURES = [
    ("bust", 28.0, 37.0, 0.30, 36.40, False, 32.14, 24.32),
    ("waist", 23.5, 28.5, 0.30, 30.55, True, 21.28, 17.54),
    ("hip", 32.0, 36.0, 0.30, 41.60, True, 12.50, 11.11),
    ("rise", 12.0625, 14.0, 0.20, 14.475, True, 16.06, 13.84),
]


@pytest.mark.parametrize(
    ("garment", "body", "stretch", "printed", "fits", "needed", "ease"),
    [row[1:] for row in MEASURES],
    ids=[row[0] for row in MEASURES],
)
def test_reach_against_the_body(
    garment: float,
    body: float,
    stretch: float,
    printed: float,
    fits: bool,
    needed: float,
    ease: float,
) -> None:
    reached = float(reach(np.array([garment]), stretch)[0])
    assert reached == pytest.approx(printed, abs=5e-4)
    assert (reached >= body) is fits
    strain = float(strain_from_factor(garment / body))
    assert 100 * strain == pytest.approx(needed, abs=5e-3)
    assert (strain <= stretch) is fits
    assert 100 * (1 - garment / body) == pytest.approx(ease, abs=5e-3)
