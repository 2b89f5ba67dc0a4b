"""Notches of edges that are sewn together meet when the seam is walked."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from ease.block.curves import evaluate, reverse
from ease.block.pieces import Block, Edge, Level, Piece, Seam, line
from ease.files.sheet_notches import notch_shares
from ease.files.sheet_paper import SheetOptions, paper_named
from ease.files.sheet_pieces import PrintPiece, print_pieces

FloatArray = NDArray[np.float64]


def way_of(control: FloatArray) -> shapely.LineString:
    """An edge as very short chords, from its upper end."""
    t = np.linspace(0, 1, 2001)
    points = np.concatenate([evaluate(cubic[None], t) for cubic in control])
    down = points if points[0, 1] <= points[-1, 1] else points[::-1]
    return shapely.LineString(down)


def walked(control: FloatArray, piece: PrintPiece) -> list[float]:
    """How far down an edge the notches of a piece stand that lie on it, mm."""
    way = way_of(control)
    found = [shapely.Point(at) for at in piece.notches[:, 0]]
    return sorted(way.project(at) for at in found if way.distance(at) < 0.02)


def sides_of(piece: PrintPiece) -> list[FloatArray]:
    """The long edges of a printed piece: sides from underarm (240 mm) to leg (586)."""
    ends = [sorted([c[0, 0, 1], c[-1, 3, 1]]) for c in piece.net]
    return [
        control
        for control, (top, low) in zip(piece.net, ends, strict=True)
        if abs(top - 240) < 0.1 and abs(low - 586) < 0.1
    ]


def turned_back(piece: Piece) -> Piece:
    """The same outline drawn the other way round."""
    edges = tuple(
        replace(
            edge,
            start=edge.end,
            end=edge.start,
            control=reverse(edge.control),
            straight=edge.straight[::-1],
        )
        for edge in piece.edges[::-1]
    )
    return replace(piece, edges=edges)


@pytest.mark.parametrize("unfold", [False, True])
@pytest.mark.parametrize("against", [False, True])
@pytest.mark.parametrize("allowance", [0.0, 6.0])
def test_notches_of_front_and_back_meet_when_the_side_is_sewn(
    block: Block, unfold: bool, against: bool, allowance: float
) -> None:
    front, back = block.pieces
    if against:
        block = replace(block, pieces=(front, turned_back(back)))
    printed = print_pieces(
        block,
        SheetOptions(paper=paper_named("a4"), seam_allowance=allowance, unfold=unfold),
    )
    found = [walked(side, piece) for piece in printed for side in sides_of(piece)]
    assert len(found) == (4 if unfold else 2)
    whole = [way_of(side).length for piece in printed for side in sides_of(piece)]
    # Bust and waist; the hip lies 4 mm above the leg, and the ends tick with allowances.
    for one, length in zip(found, whole, strict=True):
        inner = [at for at in one if 1 < at < length - 1]
        assert len(inner) == 3
        assert [at / length for at in inner] == pytest.approx(
            [at / whole[0] for at in found[0] if 1 < at < whole[0] - 1], abs=2e-5
        )
        assert len(one) == (5 if allowance else 3)


def test_a_notch_is_the_mean_of_the_ways_down_to_the_level(block: Block) -> None:
    """Ways along 2000 chords a cubic, by a library that knows nothing of cubics."""
    sides = [way_of(block.edge(f"{name}.side").control) for name in ("front", "back")]
    for level in block.levels:
        line = shapely.LineString([(-100, level.y), (100, level.y)])
        ways = [way.project(way.intersection(line)) / way.length for way in sides]
        shares = notch_shares(block)["front.side"]
        assert np.abs(shares - np.mean(ways)).min() < 1e-6
    assert notch_shares(block)["back.side"] == pytest.approx(shares)


def test_level_near_an_end_leaves_the_notch_to_the_end(block: Block) -> None:
    hip = block.level("hip")
    near = [replace(hip, y=58.4) if lv is hip else lv for lv in block.levels]
    assert len(notch_shares(replace(block, levels=tuple(near)))["front.side"]) == 2


def test_one_edge_of_a_pair_meets_both_sides_of_a_whole_piece(block: Block) -> None:
    """All three edges that meet there carry the same notches."""
    front, back = block.pieces
    wider = [replace(edge, control=edge.control * [1.2, 1]) for edge in front.edges]
    other = replace(front, name="other", edges=tuple(wider))
    made = replace(
        block,
        pieces=(front, back, other),
        seams=(Seam("front.side", "back.side"), Seam("other.side", "back.side")),
    )
    shares = notch_shares(made)
    assert shares["front.side"] == pytest.approx(shares["back.side"])
    assert shares["other.side"] == pytest.approx(shares["back.side"])
    assert np.abs(shares["back.side"] - notch_shares(block)["back.side"]).max() > 1e-4


def test_seam_that_no_level_meets_has_no_notches(block: Block) -> None:
    assert "front.strap" not in notch_shares(block)


def band(*corners: tuple[float, float]) -> Piece:
    """A four-cornered piece whose first side is called top."""
    names = ("top", "end", "low", "start")
    ends = (*corners[1:], corners[0])
    edges = [
        Edge(name, f"{name} 1", f"{other} 1", line(a, b)[None], (True,))
        for name, other, a, b in zip(
            names, (*names[1:], names[0]), corners, ends, strict=True
        )
    ]
    return Piece("band", tuple(edges), cut="pair")


@pytest.mark.parametrize(
    "corners",
    [
        ((0, 80), (23, 80), (23, 85), (0, 85)),  # flat, drawn from the crotch
        ((23, 80), (0, 80), (0, 85), (23, 85)),  # or from the side
        ((40, 63.5), (40, 86.5), (45, 86.5), (45, 63.5)),  # downwards, elsewhere
    ],
)
def test_band_tells_not_which_of_its_ends_is_up(
    block: Block, corners: tuple[tuple[float, float], ...]
) -> None:
    """A notch that may stand at the wrong end is worse than none."""
    made = replace(
        block,
        pieces=(*block.pieces, band(*corners)),
        levels=(*block.levels, Level("leg", 65.0, "partly")),
        seams=(*block.seams, Seam("front.leg", "band.top")),
    )
    shares = notch_shares(made)
    assert len(shares.get("front.leg", [])) == len(shares.get("band.top", [])) == 0
    assert len(shares["front.side"]) == 3
