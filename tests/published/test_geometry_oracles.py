"""The block's geometry against closed forms and general-purpose libraries.

Closed forms are textbook calculus; the figure for the circle is cited where it stands.
Libraries: scipy.integrate.quad, fontTools.misc.bezierTools, shapely.
"""

from pathlib import Path

import numpy as np
import pytest
from fontTools.misc import bezierTools
from fontTools.pens.areaPen import AreaPen
from numpy.typing import NDArray
from scipy.integrate import quad
from shapely import LineString, Polygon

from ease.block.adjust import adjust_block
from ease.block.crossings import inside_width, self_crossings
from ease.block.curves import (
    bounds,
    derivative,
    evaluate,
    flatten,
    signed_area,
    split,
)
from ease.block.lengths import arc_length
from ease.block.measure import edge_length, girth_at, outline, piece_area
from ease.block.pieces import line
from ease.files.block_toml import load_block

FloatArray = NDArray[np.float64]
HAND_BLOCK = Path(__file__).parents[1] / "block" / "hand_block.toml"
RANDOM = np.random.default_rng(20).normal(scale=20, size=(40, 4, 2))
CUSPS = np.array(
    [
        [[0, 0], [10, 10], [0, 10], [10, 0]],
        [[0, 0], [10, 0], [0, 0], [10, 0]],
        [[0, 0], [9, 9], [-3, 3], [5, 5]],
    ],
    dtype=float,
)
# Handle of a quarter circle of radius 1: 4/3 (sqrt 2 - 1) = 0.5522847.
HANDLE = 4 / 3 * (np.sqrt(2) - 1)


def quarter_circles(radius: float = 1.0) -> FloatArray:
    first = np.array([[1, 0], [1, HANDLE], [HANDLE, 1], [0, 1]])
    turn = np.array([[0, 1], [-1, 0]])
    return radius * np.array(
        [first @ np.linalg.matrix_power(turn, k) for k in range(4)]
    )


def speed(cubic: FloatArray, t: float) -> float:
    return float(np.hypot(*derivative(cubic, t)))


@pytest.mark.parametrize("cubic", [*RANDOM[:20], *CUSPS])
def test_arc_length_against_quadrature(cubic: FloatArray) -> None:
    # The integrand has kinks where the curve almost stands still: told to quad.
    t = np.linspace(0, 1, 4001)
    v = np.hypot(*np.moveaxis(derivative(cubic, t), -1, 0))
    kinks = t[1:-1][(v[1:-1] <= v[:-2]) & (v[1:-1] < v[2:])]
    expected, error = quad(
        lambda u: speed(cubic, u),
        0,
        1,
        points=kinks if len(kinks) else None,
        limit=400,
        epsabs=1e-12,
        epsrel=1e-13,
    )
    assert error < 1e-9
    assert arc_length(cubic) == pytest.approx(expected, abs=1e-9)


def test_arc_length_of_a_parabola() -> None:
    # y = x^2 from 0 to 1: sqrt(5)/2 + asinh(2)/4 (integral calculus).
    parabola = [[0, 0], [1 / 3, 0], [2 / 3, 1 / 3], [1, 1]]
    expected = np.sqrt(5) / 2 + np.arcsinh(2) / 4
    assert arc_length(np.array(parabola)) == pytest.approx(expected, abs=1e-12)


def test_arc_length_through_a_cusp() -> None:
    # Semicubical parabola (t^2, t^3), t from -1 to 1: 2 (13 sqrt(13) - 8) / 27.
    cusp = [[1, -1], [-1 / 3, 1], [-1 / 3, -1], [1, 1]]
    expected = 2 * (13 * np.sqrt(13) - 8) / 27
    assert arc_length(np.array(cusp)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("cubic", RANDOM)
def test_bounds_and_split_against_font_tools(cubic: FloatArray) -> None:
    points = [tuple(map(float, point)) for point in cubic]
    low, high = bounds(cubic)
    expected = bezierTools.calcCubicBounds(*points)
    np.testing.assert_allclose([*low, *high], expected, atol=1e-9)
    for mine, theirs in zip(
        split(cubic, 0.3), bezierTools.splitCubicAtT(*points, 0.3), strict=True
    ):
        np.testing.assert_allclose(mine, theirs, atol=1e-9)


@pytest.mark.parametrize("cubic", RANDOM[:10])
def test_crossings_against_font_tools(cubic: FloatArray) -> None:
    points = [tuple(map(float, point)) for point in cubic]
    closed = np.array([cubic, line(tuple(cubic[3]), tuple(cubic[0]))])
    low, high = bounds(cubic)
    for share in (0.2, 0.5, 0.8):
        y = float(low[1] + share * (high[1] - low[1]))
        parts = bezierTools.splitCubic(*points, y, isHorizontal=True)
        x = [part[0][0] for part in parts[1:]]
        a, b = cubic[3], cubic[0]
        if min(a[1], b[1]) <= y < max(a[1], b[1]):
            x.append(a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]))
        x.sort()
        expected = sum(b - a for a, b in zip(x[::2], x[1::2], strict=True))
        # The library rounds a parameter to six digits; |dx/dt| is within 3 x a leg.
        slack = len(x) * 0.5e-6 * 3 * np.abs(np.diff(cubic[:, 0])).max()
        assert inside_width(closed, [y])[0] == pytest.approx(expected, abs=slack)


def test_area_against_font_tools_pen() -> None:
    block = load_block(HAND_BLOCK)
    for piece in block.pieces:
        pen = AreaPen()
        chain = outline(piece)
        pen.moveTo(tuple(chain[0, 0]))
        for cubic in chain:
            pen.curveTo(*(tuple(point) for point in cubic[1:]))
        pen.closePath()
        assert signed_area(chain) == pytest.approx(pen.value, abs=1e-9)


def test_area_girth_and_length_against_shapely() -> None:
    block = load_block(HAND_BLOCK)
    heights = np.array([-0.2, 5.0, 12.0, 20.0, 37.0, 57.0, 62.0, 70.0, 74.8])
    total = np.zeros(len(heights))
    for piece in block.pieces:
        ring = Polygon(flatten(outline(piece), 1e-6)[:-1])
        assert piece_area(piece) == pytest.approx(ring.area, abs=1e-3)
        for i, y in enumerate(heights):
            total[i] += ring.intersection(LineString([(-1, y), (99, y)])).length
        for edge in piece.edges:
            length = LineString(flatten(edge.control, 1e-7)).length
            assert edge_length(edge) == pytest.approx(length, abs=1e-5)
    np.testing.assert_allclose(girth_at(block, heights), 2 * total, atol=1e-3)


def test_self_crossing_agrees_with_shapely() -> None:
    rng = np.random.default_rng(4)
    verdicts = []
    for _ in range(300):
        corners = rng.normal(size=(5, 2)) * 10
        ends = zip(corners, np.roll(corners, -1, axis=0), strict=True)
        chain = np.array([line(tuple(a), tuple(b)) for a, b in ends])
        verdicts.append(Polygon(corners).is_valid)
        assert (len(self_crossings(chain)) == 0) == verdicts[-1]
    assert 30 < sum(verdicts) < 270  # both kinds were met


def test_circle_by_cubics_errs_by_the_known_amount() -> None:
    """Greatest radial error 2/27 sin^6(a/4) / cos^2(a/4): 2.73e-4 for a = 90 degrees.

    Source key: arc-by-cubic
    """
    t = np.linspace(0, 1, 20001)
    radius = np.hypot(*np.moveaxis(evaluate(quarter_circles()[0], t), -1, 0))
    angle = np.pi / 2
    known = 2 / 27 * np.sin(angle / 4) ** 6 / np.cos(angle / 4) ** 2
    assert known == pytest.approx(2.73e-4, abs=0.005e-4)
    assert radius.max() - 1 == pytest.approx(known, abs=0.005e-4)
    assert radius.min() - 1 == pytest.approx(0, abs=1e-12)


def test_circle_by_cubics_has_nearly_the_circle_s_measures() -> None:
    circle = quarter_circles(10.0)
    low, high = bounds(circle)
    np.testing.assert_allclose([*low, *high], [-10, -10, 10, 10], atol=1e-12)
    # All errors are outwards and at most 2.73e-4 of the radius.
    assert 0 < arc_length(circle).sum() / (20 * np.pi) - 1 < 2.73e-4
    assert 0 < abs(signed_area(circle)) / (100 * np.pi) - 1 < 2 * 2.74e-4
    y = np.array([0.0, 3.0, 8.0])
    chord = 2 * np.sqrt(100 - y**2)
    assert (inside_width(circle, y) >= chord - 1e-9).all()
    # A chord at height y grows by the radial error times radius / half chord.
    np.testing.assert_allclose(
        inside_width(circle, y), chord, atol=2 * 2.73e-3 * 10 / 6 + 1e-9
    )


def test_a_block_of_a_size_with_twelve_per_cent_off_round_and_nothing_down() -> None:
    """A published one-piece block takes 12 % off round, nothing down.

    On an 84 cm bust that is 73.92 cm (0.88 x 84).

    Source key: low-back-block
    """
    block = load_block(HAND_BLOCK)
    y = block.level("bust").y
    to_84 = adjust_block(block, 84 / girth_at(block, y), 1.0, true=False).after
    reduced = adjust_block(to_84, 1 - 0.12, 1.0, true=False)
    bust = reduced.girths[0]
    assert bust.before_cm == pytest.approx(84.0, abs=1e-9)
    assert bust.after_cm == pytest.approx(73.92, abs=0.005)
    lengths = {change.name: change for change in reduced.lengths}
    fold = lengths["front.centre"]
    assert fold.after_cm == pytest.approx(fold.before_cm, abs=1e-9)
