import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from ease.block.crossings import inside_width, level_crossings, self_crossings
from ease.block.curves import (
    bounds,
    derivative,
    evaluate,
    flatten,
    reverse,
    signed_area,
    split,
)
from ease.block.lengths import arc_length
from ease.block.pieces import line
from ease.block.smooth import smooth_through
from ease.errors import RefusedError

FloatArray = NDArray[np.float64]
CUBICS = arrays(float, (4, 2), elements=st.floats(-50, 50, width=32))
PARAMETER = st.floats(0, 1)


def polygon(*corners: tuple[float, float]) -> FloatArray:
    ends = zip(corners, corners[1:] + corners[:1], strict=True)
    return np.array([line(a, b) for a, b in ends])


LETTER_L = polygon((0, 0), (4, 0), (4, 2), (2, 2), (2, 5), (0, 5))


@given(CUBICS, PARAMETER, PARAMETER)
def test_both_parts_of_a_split_run_along_the_whole(
    cubic: FloatArray, t: float, u: float
) -> None:
    left, right = split(cubic, t)
    np.testing.assert_allclose(evaluate(left, u), evaluate(cubic, t * u), atol=1e-11)
    there = t + (1 - t) * u
    np.testing.assert_allclose(evaluate(right, u), evaluate(cubic, there), atol=1e-11)


@given(CUBICS, PARAMETER)
@example(
    np.array([[-45.25, -22.0], [2.0, -22.0], [-22.0, -22.0], [-22.0, -22.0]]), 0.25
)
def test_lengths_of_the_parts_add_up(cubic: FloatArray, t: float) -> None:
    left, right = split(cubic, t)
    assert arc_length(left) + arc_length(right) == pytest.approx(
        arc_length(cubic), abs=1e-9
    )


def test_a_cubic_too_small_to_square_has_its_length() -> None:
    """The first part of this cubic runs 3 t far; squares of its legs almost vanish."""
    cubic = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 0.0], [0.0, 0.0]])
    for t in (7.643337394022135e-150, 1e-155, 1e-200):
        left, _ = split(cubic, t)
        assert arc_length(left) == pytest.approx(3 * t, rel=1e-9, abs=0)


@given(CUBICS, PARAMETER)
def test_derivative_is_the_limit_of_differences(cubic: FloatArray, t: float) -> None:
    h = 1e-5
    ahead, behind = evaluate(cubic, t + h), evaluate(cubic, t - h)
    # The cubic term of a difference is h^2 |r'''| / 6, at most 6 * 400 * h^2.
    np.testing.assert_allclose(
        derivative(cubic, t), (ahead - behind) / (2 * h), atol=1e-6
    )


def test_length_of_a_point_and_of_a_line_walked_twice() -> None:
    assert arc_length(np.full((4, 2), 3.0)) == 0.0
    there_and_back = [[0, 0], [10, 0], [10, 0], [0, 0]]
    assert arc_length(there_and_back) == pytest.approx(2 * 7.5, abs=1e-9)


@given(CUBICS)
def test_bounds_hold_the_curve_and_are_touched(cubic: FloatArray) -> None:
    low, high = bounds(cubic)
    points = evaluate(cubic, np.linspace(0, 1, 501))
    assert (points >= low - 1e-9).all()
    assert (points <= high + 1e-9).all()
    # Between samples a curve rises at most by |r''| h^2 / 8.
    slack = 6 * 400 * 0.002**2 / 8
    np.testing.assert_allclose(points.min(axis=0), low, atol=slack)
    np.testing.assert_allclose(points.max(axis=0), high, atol=slack)


@given(CUBICS, st.sampled_from([1.0, 0.1, 0.01]))
def test_flattening_stays_within_its_tolerance(
    cubic: FloatArray, tolerance: float
) -> None:
    points = flatten(cubic[None], tolerance)
    n = len(points) - 1
    on_curve = evaluate(cubic, np.linspace(0, 1, 8 * n + 1))
    on_chords = points[:-1, None] + np.linspace(0, 1, 9)[:-1, None] * np.diff(
        points, axis=0
    ).reshape(n, 1, 2)
    gap = np.linalg.norm(on_curve[:-1] - on_chords.reshape(-1, 2), axis=1)
    assert gap.max() <= tolerance * (1 + 1e-9)


def test_area_turns_its_sign_with_the_direction_and_needs_no_origin() -> None:
    assert signed_area(LETTER_L) == pytest.approx(4 * 2 + 2 * 3)
    assert signed_area(reverse(LETTER_L)) == pytest.approx(-14)
    assert signed_area(LETTER_L + np.array([1e4, -1e4])) == pytest.approx(14, abs=1e-9)
    assert signed_area(LETTER_L[:-1]) == pytest.approx(14)  # the gap is closed


@pytest.mark.parametrize(
    ("y", "width"),
    [(-0.1, 0), (0, 4), (1, 4), (2, 4), (2.1, 2), (5, 2), (5.1, 0)],
)
def test_width_on_horizontal_edges_counts_the_edge(y: float, width: float) -> None:
    assert inside_width(LETTER_L, [y])[0] == pytest.approx(width, abs=1e-12)


def test_width_adds_up_the_strips_between_two_legs() -> None:
    legs = polygon((0, 0), (6, 0), (6, 4), (4, 4), (3, 2), (2, 4), (0, 4))
    np.testing.assert_allclose(inside_width(legs, [1, 2, 3, 4]), [6, 6, 5, 4])


def test_a_level_that_touches_a_curve_has_no_width() -> None:
    dome = np.array([[[0, 0], [0, 4], [4, 4], [4, 0]], line((4, 0), (0, 0))])
    np.testing.assert_allclose(inside_width(dome, [3.0, 3.0 + 1e-9, 0.0]), [0, 0, 4])
    # At 0.99 of the height the parabola y = 12 t (1 - t) has 1 - 2 t = 0.1.
    t = np.array([0.45, 0.55])
    expected = np.diff(evaluate(dome[0], t)[:, 0])
    np.testing.assert_allclose(inside_width(dome, [2.97]), expected, atol=1e-9)


@given(CUBICS, st.floats(-50, 50))
def test_crossings_lie_on_the_level_and_none_is_missed(
    cubic: FloatArray, y: float
) -> None:
    x, t = level_crossings(cubic[None], [y])
    found = t[~np.isnan(t)]
    np.testing.assert_allclose(evaluate(cubic, found)[:, 1], y, atol=1e-9)
    np.testing.assert_allclose(evaluate(cubic, found)[:, 0], x[~np.isnan(x)])
    # Samples on the level carry rounding noise and tell no side.
    over = evaluate(cubic, np.linspace(0, 1, 301))[:, 1] - y
    above = over[np.abs(over) > 1e-9] > 0
    assert len(found) >= np.count_nonzero(np.diff(above))
    assert len(found) % 2 == (cubic[0, 1] > y) ^ (cubic[3, 1] > y)


def test_levels_are_found_all_at_once() -> None:
    many = np.linspace(-1, 6, 29)
    one_by_one = [inside_width(LETTER_L, [y])[0] for y in many]
    np.testing.assert_array_equal(inside_width(LETTER_L, many), one_by_one)


def test_crossing_outlines_are_found_where_they_cross() -> None:
    bow = polygon((0, 0), (4, 4), (4, 0), (0, 4))
    np.testing.assert_allclose(self_crossings(bow), [[2, 2]])
    assert len(self_crossings(LETTER_L)) == 0


def test_a_loop_within_one_curve_crosses() -> None:
    loop = np.array([[[0, 0], [12, 9], [-8, 9], [4, 0]], line((4, 0), (0, 0))])
    places = self_crossings(loop)
    assert len(places) == 1
    assert places[0, 0] == pytest.approx(2, abs=0.01)  # it is symmetrical about x = 2


def test_spurs_overlaps_and_touches_count_as_crossing() -> None:
    spur = polygon((0, 0), (4, 0), (6, 0), (4, 0), (4, 4), (0, 4))
    assert len(self_crossings(spur)) > 0
    touch = polygon((0, 0), (4, 0), (2, 0), (4, 4), (0, 4))
    assert len(self_crossings(touch)) > 0
    corner = polygon((0, 0), (6, 0), (6, 4), (3, 0), (0, 4))
    np.testing.assert_allclose(self_crossings(corner)[0], [3, 0], atol=1e-9)


def curvature(cubic: FloatArray, t: float) -> FloatArray:
    """(x'y'' - y'x'') / |r'|^3 of cubics."""
    first = derivative(cubic, t)
    second = 6 * np.diff(cubic, n=2, axis=-2)
    bend = (1 - t) * second[..., 0, :] + t * second[..., 1, :]
    cross = first[..., 0] * bend[..., 1] - first[..., 1] * bend[..., 0]
    return np.asarray(cross / np.hypot(*np.moveaxis(first, -1, 0)) ** 3)


def test_smooth_chain_passes_its_points_with_one_direction() -> None:
    points = np.array([[0, 0], [1, 3], [4, 4], [7, 2]], dtype=float)
    chain = smooth_through(points, [0, 5], [1, -1])
    np.testing.assert_allclose(chain[:, 0], points[:-1])
    np.testing.assert_allclose(chain[:, 3], points[1:])
    before, after = derivative(chain[:-1], 1.0), derivative(chain[1:], 0.0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    np.testing.assert_allclose(cross, 0, atol=1e-12)
    np.testing.assert_allclose(curvature(chain[:-1], 1), curvature(chain[1:], 0))
    start, end = derivative(chain[0], 0.0), derivative(chain[-1], 1.0)
    assert start[0] == pytest.approx(0)
    assert start[1] > 0
    assert end[1] == pytest.approx(-end[0])
    assert end[0] > 0


def test_free_ends_straighten_out() -> None:
    chain = smooth_through([[0, 0], [1, 3], [4, 4]])
    ends = np.array([curvature(chain[0], 0.0), curvature(chain[-1], 1.0)])
    np.testing.assert_allclose(ends, 0, atol=1e-12)


@pytest.mark.parametrize("points", [[[0, 0]], [[0, 0], [0, 0]], [[0, 0], [np.nan, 1]]])
def test_smooth_chain_refuses_too_few_or_equal_points(
    points: list[list[float]],
) -> None:
    with pytest.raises(RefusedError, match="smooth curve"):
        smooth_through(points)
