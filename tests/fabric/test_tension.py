"""Tension curves against scipy's PCHIP, and the inverses and limits of a curve."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from ease.errors import RefusedError, TensionRangeError
from ease.fabric.tension import Branch, TensionCurve

gaps = st.lists(
    st.tuples(st.floats(0.01, 0.3), st.sampled_from([0.0, 1.0, 7.5, 20.0, 60.0])),
    min_size=1,
    max_size=9,
)


def branch_from(steps: list[tuple[float, float]]) -> Branch:
    strain = np.concatenate(([0.0], np.cumsum([step[0] for step in steps])))
    tension = np.concatenate(([0.0], np.cumsum([step[1] for step in steps])))
    tension[-1] += 5.0
    return Branch.through(strain, tension)


@given(gaps)
def test_value_slope_and_energy_are_those_of_scipys_pchip(
    steps: list[tuple[float, float]],
) -> None:
    branch = branch_from(steps)
    oracle = PchipInterpolator(branch.strain, branch.tension)
    e = np.linspace(0, branch.last_strain, 101)
    np.testing.assert_allclose(branch.tension_at(e), oracle(e), atol=1e-9)
    np.testing.assert_allclose(
        branch.continued(e)[1], oracle.derivative()(e), rtol=1e-9, atol=1e-7
    )
    np.testing.assert_allclose(
        branch.energy_at(e), oracle.antiderivative()(e), atol=1e-10
    )


@given(gaps, st.floats(0, 1))
def test_strain_at_inverts_tension_at(
    steps: list[tuple[float, float]], share: float
) -> None:
    branch = branch_from(steps)
    tension = share * branch.last_tension
    strain = branch.strain_at(tension)
    assert float(branch.tension_at(strain)) == pytest.approx(tension, abs=1e-9)
    # The smallest strain: nothing below it carries as much.
    below = branch.tension_at(np.linspace(0, 0.999999, 20) * strain)
    assert (below <= tension + 1e-9).all()


def test_a_curve_never_falls_between_knots() -> None:
    branch = Branch.through([0, 0.1, 0.2, 0.5, 0.52], [0, 0, 30, 31, 90])
    e = np.linspace(0, branch.last_strain, 5001)
    assert np.diff(branch.tension_at(e)).min() >= -1e-12


def test_nothing_is_answered_past_the_test() -> None:
    branch = Branch.through([0.2, 0.4], [30, 70])
    with pytest.raises(TensionRangeError, match=r"went to 40\.0 % strain; 41\.0 %"):
        branch.tension_at([0.1, 0.41])
    with pytest.raises(TensionRangeError, match=r"went to 70\.0 N/m"):
        branch.strain_at(71)
    assert np.isnan(branch.tension_at([0.1, 0.41], outside="nan")).tolist() == [
        False,
        True,
    ]
    assert np.isnan(branch.strain_at([-1.0, 71.0], outside="nan")).all()
    assert np.isnan(branch.tension_at(np.nan, outside="nan"))


def test_half_of_the_last_shown_digit_past_the_end_is_the_end() -> None:
    """2.3622 in on 10 cm are 59.9999 %, which is shown as 60.0 %."""
    branch = Branch.through(np.array([0.0, 0.2, 0.4]), np.array([0.0, 30.0, 70.0]))
    assert branch.reached(0.4 + 4.9e-4) == pytest.approx(70.0)
    assert branch.reached(0.4 + 5.1e-4) is None
    assert branch.reached(0.2) == pytest.approx(30.0)
    assert branch.reached(np.nan) is None


def test_below_the_first_knot_the_cloth_is_slack() -> None:
    down = Branch.through([0.04, 0.4], [0, 70])
    assert down.tension_at([-0.5, 0.0, 0.04]).tolist() == [0, 0, 0]
    assert down.energy_at([0.0, 0.04]).tolist() == [0, 0]
    assert float(down.continued(0.02)[1]) == 0


@pytest.mark.parametrize(
    ("strain", "tension", "word"),
    [
        ([0, 0.2, 0.1], [0, 1, 2], "strain must rise"),
        ([0, 0.1, 0.2], [0, 2, 1], "must not fall"),
        ([-0.1, 0.1], [0, 1], "0 or more"),
        ([0, 0.1], [1, 2], "must start at 0"),
        ([0, 0.1], [0, np.nan], "finite"),
        ([0, 0.1], [0, 0], "no point carries"),
        ([0.1], [0], "two points"),
        ([0, 0.1], [0, 1, 2], "same length"),
    ],
)
def test_points_that_no_test_gives_are_refused(
    strain: list[float], tension: list[float], word: str
) -> None:
    with pytest.raises(RefusedError, match=word):
        Branch.through(strain, tension)


def test_slopes_that_make_the_curve_fall_are_refused() -> None:
    with pytest.raises(RefusedError, match="fall between"):
        Branch(np.array([0, 0.1]), np.array([0, 10]), np.array([900.0, 0.0]))


def test_arrays_are_copies_that_cannot_be_written() -> None:
    strain = np.array([0.0, 0.5])
    branch = Branch.through(strain, [0, 50])
    strain[1] = 9
    assert branch.last_strain == 0.5
    with pytest.raises(ValueError, match="read-only"):
        branch.tension[0] = 1
    assert branch == Branch.through([0, 0.5], [0, 50])
    assert hash(branch) == hash(Branch.through([0, 0.5], [0, 50]))


def test_modulus_is_the_secant_over_ten_per_cent_or_the_first_tested_point() -> None:
    early = TensionCurve(Branch.through([0, 0.05, 0.1, 0.5], [0, 10, 18, 60]))
    assert early.modulus == pytest.approx(180)
    late = TensionCurve(Branch.through([0, 0.25, 0.5], [0, 50, 120]))
    assert late.modulus == pytest.approx(200)
    short = TensionCurve(Branch.through([0, 0.02, 0.08], [0, 4, 20]))
    assert short.modulus == pytest.approx(250)


def test_branches_must_belong_together() -> None:
    up = Branch.through([0, 0.5], [0, 50])
    with pytest.raises(RefusedError, match="same strain"):
        TensionCurve(up, Branch.through([0.05, 0.4], [0, 50]))
    with pytest.raises(RefusedError, match="above"):
        TensionCurve(up, Branch.through([0.05, 0.5], [0, 51]))
    with pytest.raises(RefusedError, match="start at strain 0"):
        TensionCurve(Branch.through([0.05, 0.5], [0, 50]))


def test_carried_on_straight_for_a_solver() -> None:
    branch = Branch.through([0, 0.5], [0, 50])
    tension, slope = branch.continued(np.array([0.25, 0.75]))
    assert tension.tolist() == [25, 75]
    assert slope.tolist() == [100, 100]
