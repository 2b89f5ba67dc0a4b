"""One quantity seen four ways: inverses, identities and what is refused."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.errors import RefusedError
from ease.fit.reduction import (
    combine_strains,
    cut_girth,
    factor_from_strain,
    negative_ease,
    reduction_from_strain,
    strain_from_factor,
    strain_from_reduction,
)

strains = st.floats(-0.9, 20)
sizes = st.floats(1, 500)


@given(strains)
def test_every_way_leads_back(strain: float) -> None:
    assert float(strain_from_factor(factor_from_strain(strain))) == pytest.approx(
        strain, abs=1e-12, rel=1e-12
    )
    assert float(strain_from_reduction(reduction_from_strain(strain))) == pytest.approx(
        strain, abs=1e-12, rel=1e-11
    )


@given(strains)
def test_factor_and_reduction_make_up_the_body(strain: float) -> None:
    total = factor_from_strain(strain) + reduction_from_strain(strain)
    assert float(total) == pytest.approx(1.0, abs=1e-14)


@given(sizes, strains)
def test_the_cut_stretched_by_the_strain_is_the_body(
    body: float, strain: float
) -> None:
    cut = float(cut_girth(body, strain))
    assert cut * (1 + strain) == pytest.approx(body, rel=1e-14)
    ease = float(negative_ease(body, cut))
    assert ease == pytest.approx(body * strain / (1 + strain), abs=1e-10)
    assert (ease > 0) == (strain > 0) or abs(strain) < 1e-12


@given(st.floats(0.001, 5))
def test_taking_the_strain_off_always_stretches_more(strain: float) -> None:
    """The common mistake, body x (1 - strain), cuts smaller than meant."""
    assert float(reduction_from_strain(strain)) < strain


@given(strains, strains)
def test_strains_combine_like_lengths(first: float, second: float) -> None:
    length = 7.0 * (1 + first) * (1 + second)
    both = float(combine_strains(first, second))
    assert both == pytest.approx(length / 7.0 - 1, rel=1e-12, abs=1e-12)


def test_arrays_broadcast() -> None:
    cut = cut_girth(np.array([[80.0], [100.0]]), np.array([0.0, 0.25, 1.0]))
    np.testing.assert_allclose(cut, [[80, 64, 40], [100, 80, 50]])


@pytest.mark.parametrize("bad", [-1.0, -2.0, np.nan, np.inf])
@pytest.mark.parametrize("function", [factor_from_strain, reduction_from_strain])
def test_impossible_strains_are_refused(
    function: Callable[[float], object], bad: float
) -> None:
    with pytest.raises(RefusedError, match="strain must be a finite number above -1"):
        function(bad)


def test_other_impossible_numbers_are_refused() -> None:
    with pytest.raises(RefusedError, match=r"reduction must be .* below 1"):
        strain_from_reduction(1.0)
    with pytest.raises(RefusedError, match="reduction"):
        strain_from_reduction(np.nan)
    with pytest.raises(RefusedError, match=r"factor must be .* above 0"):
        strain_from_factor(0.0)
    with pytest.raises(RefusedError, match=r"a body size must be .* above 0"):
        cut_girth([90.0, 0.0], 0.2)
    with pytest.raises(RefusedError, match="strain"):
        combine_strains(0.2, -1.0)
