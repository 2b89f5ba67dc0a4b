"""The cut line against polygon offsets of an independent geometry library."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from ease.block.curves import flatten
from ease.block.pieces import Block, Piece, line
from ease.demo import shipped_block
from ease.errors import RefusedError
from ease.files.any_block import load_any_block
from ease.files.cut_line import CORNER_LIMIT, cut_outline

FloatArray = NDArray[np.float64]


def polygon(edges: list[FloatArray]) -> Any:
    return shapely.Polygon(np.concatenate([flatten(e, 1e-6)[:-1] for e in edges]))


def controls(piece: Piece) -> list[FloatArray]:
    return [edge.control for edge in piece.edges]


@pytest.mark.parametrize("name", ["front", "back"])
@pytest.mark.parametrize("width", [0.3, 0.6, 1.0, 2.0])
def test_even_allowance_is_the_mitred_buffer(
    block: Block, name: str, width: float
) -> None:
    """shapely.buffer, mitre joins; its own arcs are chords, so 0.1 mm is what it shows."""
    edges = controls(block.piece(name))
    found = shapely.Polygon(cut_outline(edges, [width] * len(edges)))
    expected = polygon(edges).buffer(
        width, join_style="mitre", mitre_limit=CORNER_LIMIT
    )
    assert found.is_valid
    assert found.hausdorff_distance(expected) < 0.01


@pytest.mark.parametrize("turned", [False, True])
def test_each_edge_takes_its_own_allowance(block: Block, turned: bool) -> None:
    edges = controls(block.piece("front"))
    widths = [1.0, 0.6, 1.2, 0.6, 2.0, 0.0, 0.0]
    if turned:
        flipped = [np.ascontiguousarray(e[::-1, ::-1]) for e in reversed(edges)]
        points = cut_outline(flipped, widths[::-1])
    else:
        points = cut_outline(edges, widths)
    cut = shapely.Polygon(points)
    assert cut.is_valid
    for edge, width in zip(edges, widths, strict=True):
        middle = flatten(edge, 1e-4)
        inner = shapely.LineString(middle[len(middle) // 3 : 2 * len(middle) // 3 + 1])
        far = cut.boundary.distance(
            shapely.Point(inner.interpolate(0.5, normalized=True))
        )
        assert far == pytest.approx(width, abs=2e-3)
    # The fold stays where it is, on a straight line.
    assert np.asarray(cut.bounds)[0] == pytest.approx(0.0, abs=1e-9)


def test_no_point_comes_nearer_than_the_allowance_in_a_tight_hollow() -> None:
    """A notch of radius 0.4 cm with an allowance of 1 cm: the loop must be cut out."""
    hollow = np.array([[[4, 0], [4, 0.53], [3.2, 0.53], [3.2, 0]]], dtype=float)
    edges = [
        line((0, 0), (3.2, 0))[None],
        np.ascontiguousarray(hollow[:, ::-1]),
        line((4, 0), (7, 0))[None],
        line((7, 0), (7, 5))[None],
        line((7, 5), (0, 5))[None],
        line((0, 5), (0, 0))[None],
    ]
    points = cut_outline(edges, [1.0] * 6)
    cut = shapely.Polygon(points)
    assert cut.is_valid
    net = polygon(edges)
    assert net.boundary.distance(shapely.LineString(points)) > 1.0 - 0.005
    assert (
        cut.symmetric_difference(
            net.buffer(1.0, join_style="mitre", mitre_limit=CORNER_LIMIT)
        ).area
        < 0.02
    )


def test_sharp_corner_is_cut_off_square() -> None:
    corners = [(0, 0), (10, 0.6), (0, 1.2)]
    edges = [
        line(a, b)[None]
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    cut = shapely.Polygon(cut_outline(edges, [1.0] * 3))
    assert cut.is_valid
    assert cut.bounds[2] < 10 + CORNER_LIMIT
    assert shapely.Polygon(corners).boundary.distance(cut.boundary) == pytest.approx(
        1.0, abs=1e-6
    )


def test_no_allowance_gives_the_net_outline(block: Block) -> None:
    edges = controls(block.piece("back"))
    cut = shapely.Polygon(cut_outline(edges, [0.0] * len(edges)))
    assert cut.symmetric_difference(polygon(edges)).area < 0.01


@pytest.mark.parametrize("width", [-0.1, float("nan"), float("inf"), 200.0])
def test_impossible_allowance_is_refused(block: Block, width: float) -> None:
    edges = controls(block.piece("front"))
    with pytest.raises(RefusedError, match="allowance"):
        cut_outline(edges, [width] * len(edges))


def back() -> Piece:
    path = shipped_block("demo-soft")
    assert path is not None
    return load_any_block(path).piece("back")


@pytest.mark.parametrize("width", [0.6, 1.27, 1.4, 1.5, 2.0])
def test_where_an_edge_folds_over_at_its_corner_it_is_the_buffer_too(
    width: float,
) -> None:
    """The leg bends by 1.3 cm of radius where it leaves the side; so does the armhole."""
    edges = controls(back())
    found = shapely.Polygon(cut_outline(edges, [width] * len(edges)))
    expected = polygon(edges).buffer(
        width, join_style="mitre", mitre_limit=CORNER_LIMIT
    )
    assert found.is_valid
    assert found.hausdorff_distance(expected) < 0.03  # the line itself is that wide


@pytest.mark.parametrize("turning", [1.0, 1.2, 1.27, 1.35, 1.5, 2.0])
def test_a_seam_runs_on_through_the_whole_turning(turning: float) -> None:
    """Both pieces of a seam end in the same corner, however wide the turning is."""
    piece, seam = back(), 0.6
    widths = {"side": seam, "strap": seam, "crotch": seam, "centre_back": 0.0}
    allowances = [widths.get(edge.name, turning) for edge in piece.edges]
    cut = shapely.Polygon(cut_outline(controls(piece), allowances))
    side, leg = piece.edge("side").control, piece.edge("leg").control
    corner, down, back_in = (
        side[-1, 3],
        side[-1, 3] - side[-1, 2],
        leg[0, 1] - leg[0, 0],
    )
    u, v = down / np.linalg.norm(down), back_in / np.linalg.norm(back_in)
    # Both moved lines: corner + seam * n_u + s u = corner + turning * n_v + t v.
    n_u, n_v = np.array([u[1], -u[0]]), np.array([v[1], -v[0]])
    s, _ = np.linalg.solve(np.stack([u, -v], axis=1), turning * n_v - seam * n_u)
    assert s > 0.9 * turning
    meeting = shapely.Point(corner + seam * n_u + s * u)
    assert cut.is_valid
    assert cut.exterior.distance(meeting) < 1e-9


@pytest.mark.parametrize(
    ("first", "second"), [(0.6, 1.0), (1.0, 0.6), (0.6, 2.0), (1.0, 2.0), (0.0, 1.0)]
)
def test_a_sharp_corner_keeps_the_narrower_allowance(
    first: float, second: float
) -> None:
    """At every angle, also where only one of the two lines would run on too far."""
    for degrees in np.arange(12.0, 170.0, 0.5):
        turn = np.radians(degrees)
        tip = 20.0 * np.array([np.cos(turn), np.sin(turn)])
        corners = [np.zeros(2), np.array([20.0, 0.0]), tip]
        ends = [(tuple(a), tuple(b)) for a, b in pairwise([*corners, corners[0]])]
        edges = [line(*end)[None] for end in ends]
        points = cut_outline(edges, [second, 1.0, first])
        cut = shapely.Polygon(points)
        assert cut.is_valid
        kept = cut.exterior.distance(shapely.Point(0.0, 0.0))
        assert kept > min(first, second) - 1e-9
        assert cut.exterior.distance(shapely.Point(0.0, 0.0)) < 2.6 * max(first, second)
