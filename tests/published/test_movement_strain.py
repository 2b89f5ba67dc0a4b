"""Movement on top of wear: strains multiply, they do not add.

Source key: strain-product (arithmetic of two stretches in a row). The skin strains
put in (knee 40 %, seat 25 %, back 13-16 %) are widely quoted from Kirk and Ibrahim,
Textile Research Journal 36 (1966) 37-47, from memory; source key: kirk-ibrahim-1966.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.fit.aims import Allowed
from ease.fit.limits import room_to_move
from ease.fit.reduction import combine_strains


@pytest.mark.parametrize(
    ("worn", "moved", "total", "wrong_sum"),
    [
        (0.25, 0.40, 75.0, 65.0),
        (0.05, 0.25, 31.25, 30.0),
        (0.25, 0.30, 62.5, 55.0),
        # Elastic on a leg edge that is itself worn stretched: 33.33 and 13.64 %.
        (1 / 3, 0.1364, 51.5, 47.0),
    ],
)
def test_printed_products(
    worn: float, moved: float, total: float, wrong_sum: float
) -> None:
    both = 100 * float(combine_strains(worn, moved))
    assert both == pytest.approx(total, abs=0.05)
    assert abs(both - wrong_sum) > 1


def test_skin_may_shorten_too() -> None:
    """The neck base was measured 11 % shorter with the back stretched (51 women)."""
    assert float(combine_strains(0.25, -0.11)) == pytest.approx(0.1125)


@given(st.floats(0.1, 3), st.floats(0.1, 1), st.floats(0, 0.6))
def test_the_most_worn_strain_uses_up_the_usable_stretch(
    stretch: float, share: float, move: float
) -> None:
    worn = float(room_to_move(np.asarray(stretch), share, move))
    assert (1 + worn) * (1 + move) - 1 == pytest.approx(share * stretch, abs=1e-12)


def test_the_room_kept_round_is_in_the_quoted_span_of_the_back() -> None:
    assert 0.13 <= Allowed().girth_move <= 0.16
