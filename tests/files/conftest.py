"""A block of some realism for the tests of files: front and back of a one-piece suit."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from ease.block.pieces import (
    Block,
    DraftedFor,
    Edge,
    FoundMeasure,
    Hold,
    Level,
    Piece,
    PointRef,
    Seam,
    Toiled,
    line,
)

FloatArray = NDArray[np.float64]
Spot = tuple[float, float]


def curve(*points: Spot) -> FloatArray:
    return np.array([points], dtype=float)


def straight(name: str, start: str, end: str, a: Spot, b: Spot) -> Edge:
    return Edge(name, start, end, line(a, b)[None], (True,))


def bent(name: str, start: str, end: str, *points: Spot) -> Edge:
    return Edge(name, start, end, curve(*points), (False,))


def half(name: str, neck_y: float, bust_x: float) -> Piece:
    """One half on the fold; every number differs, so that a flip or swap shows."""
    side = np.array(
        [
            [(bust_x, 24.0), (bust_x - 1.0, 30.0), (17.1, 35.0), (17.2, 41.3)],
            [(17.2, 41.3), (17.3, 48.0), (22.0, 52.0), (22.4, 58.6)],
        ]
    )
    edges = (
        bent(
            "neckline",
            "fold neck",
            "strap in",
            (0, neck_y),
            (5.1, neck_y),
            (7.7, 9),
            (8.2, 1),
        ),
        straight("strap", "strap in", "strap out", (8.2, 1.0), (11.7, 1.9)),
        bent(
            "armhole",
            "strap out",
            "underarm",
            (11.7, 1.9),
            (12, 14),
            (16, 23),
            (bust_x, 24),
        ),
        Edge("side", "underarm", "leg out", side, (False, False)),
        bent(
            "leg", "leg out", "crotch out", (22.4, 58.6), (13, 60), (6, 66), (3.6, 71.9)
        ),
        straight("crotch", "crotch out", "fold crotch", (3.6, 71.9), (0, 71.9)),
        straight("fold", "fold crotch", "fold neck", (0, 71.9), (0, neck_y)),
    )
    return Piece(name, edges, {"bust point": (9.3, 25.7)})


def suit() -> Block:
    """An invented block: no two numbers alike."""
    return Block(
        name="invented suit",
        pieces=(half("front", 13.3, 23.9), half("back", 20.1, 21.7)),
        levels=(
            Level("bust", 25.5),
            Level("waist", 41.3),
            Level("hip", 58.2, "partly"),
        ),
        seams=(Seam("front.side", "back.side"), Seam("front.strap", "back.strap")),
        holds=(
            Hold(
                "strap width",
                PointRef("front", "strap in"),
                PointRef("front", "strap out"),
            ),
        ),
        loop_path=(
            (PointRef("front", "strap in"), PointRef("front", "fold crotch")),
            (PointRef("back", "fold crotch"), PointRef("back", "strap in")),
        ),
        anchor="waist",
        drafted_for=DraftedFor(
            *(0.87, 0.98, "soft tricot", "size 40", (("bust", 0.86),), "along"),
            toiled=Toiled(
                *(1.08, 1.025, "worn by"),
                (
                    FoundMeasure("waist", 70.1, 72.7),
                    FoundMeasure("torso_loop", 155.0, 158.2, sure=False),
                    FoundMeasure("hip", 96.3, 96.3, sure=False, lay=(0.97, 0.012)),
                ),
                (("bust", 0.21), ("waist", 0.2)),
                -0.01,
            ),
        ),
        note='asymmetric on purpose; "quoted" & <angled>, Größe 40',
    )


@pytest.fixture
def block() -> Block:
    return suit()


def assert_same_block(first: Block, second: Block, tolerance: float = 1e-6) -> None:
    """Compare all that a block knows; coordinates in cm."""
    for name in (
        "name",
        "note",
        "anchor",
        "drafted_for",
        "seams",
        "holds",
        "loop_path",
    ):
        assert getattr(first, name) == getattr(second, name), name
    levels = [[(v.name, v.loop) for v in b.levels] for b in (first, second)]
    assert levels[0] == levels[1]
    heights = [[v.y for v in b.levels] for b in (first, second)]
    assert heights[0] == pytest.approx(heights[1], abs=tolerance)
    assert [p.name for p in first.pieces] == [p.name for p in second.pieces]
    for one, other in zip(first.pieces, second.pieces, strict=True):
        assert (one.cut, one.in_girth) == (other.cut, other.in_girth)
        assert list(one.marks) == list(other.marks)
        for name, at in one.marks.items():
            assert at == pytest.approx(other.marks[name], abs=tolerance)
        for a, b in zip(one.edges, other.edges, strict=True):
            assert (a.name, a.start, a.end) == (b.name, b.start, b.end)
            assert a.straight == b.straight
            assert a.control == pytest.approx(b.control, abs=tolerance)


@pytest.fixture
def same_block() -> Callable[..., None]:
    return assert_same_block
