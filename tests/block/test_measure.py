from dataclasses import replace
from typing import Any, cast

import numpy as np
import pytest

from ease.block.adjust import adjust_block
from ease.block.measure import (
    edge_length,
    edge_lengths,
    girth_at,
    held_distances,
    infer_factors,
    level_girths,
    outline,
    piece_area,
    piece_width,
    torso_loop,
    walk_seams,
)
from ease.block.pieces import Block, Cut, Edge, Level, Piece, PointRef, Seam, line
from ease.errors import RefusedError


def rectangle(
    name: str,
    width: float,
    height: float,
    *,
    x: float = 0.0,
    cut: Cut = "fold",
    in_girth: bool = True,
) -> Piece:
    corners = {"a": (x, 0.0), "b": (x + width, 0.0), "c": (x + width, height)}
    corners["d"] = (x, height)
    order = "abcd"
    edges = tuple(
        Edge(n, s, e, line(corners[s], corners[e])[None], (True,))
        for n, s, e in zip(
            ("top", "side", "hem", "centre"), order, order[1:] + order[:1], strict=True
        )
    )
    return Piece(name, edges, {"middle": (x, height / 2)}, cut, in_girth)


def two_rectangles(**changes: Any) -> Block:
    block = Block(
        name="sack",
        pieces=(rectangle("front", 20, 30), rectangle("back", 25, 30)),
        levels=(Level("waist", 10.0), Level("hip", 30.0)),
        seams=(Seam("front.side", "back.side"),),
        loop_path=(
            (PointRef("front", "a"), PointRef("front", "middle")),
            (PointRef("back", "d"), PointRef("back", "a")),
        ),
    )
    return replace(block, **changes)


def test_rectangles_have_the_measures_of_rectangles() -> None:
    block = two_rectangles()
    assert girth_at(block, 10.0) == pytest.approx(2 * (20 + 25))
    assert level_girths(block) == pytest.approx({"waist": 90.0, "hip": 90.0})
    assert piece_area(block.piece("front")) == pytest.approx(20 * 30)
    assert piece_width(block.piece("back"), 1.0) == pytest.approx(25)
    assert torso_loop(block) == pytest.approx(15 + 30)
    assert edge_lengths(block)["back.hem"] == pytest.approx(25)
    assert walk_seams(block)[0].difference_cm == pytest.approx(0)


def test_pairs_count_twice_and_a_lining_does_not_count() -> None:
    side = rectangle("panel", 5, 30, x=40, cut="pair")
    lining = rectangle("lining", 20, 30, in_girth=False)
    block = two_rectangles()
    sewn = (Seam("front.side", "panel.centre"), Seam("panel.side", "back.side"))
    block = replace(block, pieces=(*block.pieces, side, lining), seams=sewn)
    assert girth_at(block, 10.0) == pytest.approx(2 * (20 + 25 + 5))


def test_a_piece_sewn_to_nothing_beside_sewn_ones_does_not_count() -> None:
    """A gusset that lies on the board at the height of the waist."""
    gusset = rectangle("gusset", 3, 12)
    block = two_rectangles()
    block = replace(block, pieces=(*block.pieces, gusset))
    assert level_girths(block) == pytest.approx({"waist": 90.0, "hip": 90.0})
    assert [piece.name for piece in block.girth_pieces] == ["front", "back"]
    sewn = replace(block, seams=(*block.seams, Seam("gusset.hem", "front.hem")))
    assert girth_at(sewn, 10.0) == pytest.approx(90 + 2 * 3)
    # Without any seam nothing tells it from the others.
    assert girth_at(replace(block, seams=()), 10.0) == pytest.approx(90 + 2 * 3)


def test_a_piece_sewn_to_nothing_above_or_below_the_others_counts() -> None:
    """A waistband of its own, 6 cm high, of which 2 cm lie beside the skirt."""
    band = rectangle("band", 18, 6)
    up = [replace(e, control=e.control - [0.0, 4.0]) for e in band.edges]
    block = two_rectangles()
    pieces = (*block.pieces, replace(band, edges=tuple(up), marks={}))
    assert girth_at(replace(block, pieces=pieces), -2.0) == pytest.approx(36)


def test_a_piece_that_is_cut_once_counts_once() -> None:
    whole = (
        rectangle("front", 20, 30, cut="once"),
        rectangle("back", 25, 30, cut="once"),
    )
    assert girth_at(two_rectangles(pieces=whole), 10.0) == pytest.approx(20 + 25)


def test_a_level_on_the_seam_between_two_tiers_counts_once() -> None:
    def lower(name: str, width: float) -> Piece:
        piece = rectangle(name, width, 30)
        down = np.array([0.0, 30.0])
        edges = [replace(e, control=e.control + down) for e in piece.edges]
        return replace(piece, edges=tuple(edges), marks={})

    tiers = (rectangle("top", 20, 30), lower("brief", 22))
    block = replace(two_rectangles(), pieces=tiers, seams=(), loop_path=())
    # The wider of the two; a hair above or below it is that tier's own.
    at = girth_at(block, np.array([29.999, 30.0, 30.001]))
    assert at == pytest.approx([40.0, 44.0, 44.0])


def test_a_way_to_cut_that_is_not_known_is_refused() -> None:
    with pytest.raises(RefusedError, match="cut 'twice' is none of fold, pair, once"):
        rectangle("front", 20, 30, cut=cast("Cut", "twice"))


def test_many_heights_at_once_with_nan_where_nothing_is_met() -> None:
    girths = girth_at(two_rectangles(), np.array([[-1.0, 0.0], [30.0, 31.0]]))
    np.testing.assert_allclose(girths, [[np.nan, 90], [90, np.nan]])


def test_one_height_outside_the_pieces_is_refused_and_a_level_is_named() -> None:
    with pytest.raises(RefusedError, match=r"y = 31 cm"):
        girth_at(two_rectangles(), 31.0)
    block = two_rectangles(levels=(Level("waist", 10.0), Level("knee", 50.0)))
    with pytest.raises(RefusedError, match="'knee'"):
        level_girths(block)


def test_outline_closes_exactly(hand_block: Block) -> None:
    for piece in hand_block.pieces:
        chain = outline(piece)
        np.testing.assert_array_equal(chain[:, 0], np.roll(chain[:, 3], 1, axis=0))
        assert piece_area(piece) > 0


def test_girths_of_the_hand_drawn_block_are_those_of_its_points(
    hand_block: Block,
) -> None:
    # At the waist both side seams have a node: 18.8 and 19.3 cm from the fold.
    assert girth_at(hand_block, 37.0) == pytest.approx(2 * (18.8 + 19.3), abs=1e-9)


def test_loop_and_held_distances_are_straight_legs(hand_block: Block) -> None:
    expected = (
        np.hypot(9.2 - 7.75, 21 - 0.25)
        + np.hypot(9.2, 75 - 21)
        + np.hypot(8, 75 - 18)
        + np.hypot(8 - 7.75, 18.25)
    )
    assert torso_loop(hand_block) == pytest.approx(expected)
    held = {hold.name: hold.distance_cm for hold in held_distances(hand_block)}
    assert held["front strap width"] == pytest.approx(np.hypot(3.5, 0.5))


def test_no_loop_path_gives_no_loop() -> None:
    assert torso_loop(two_rectangles(loop_path=())) is None


def test_factors_are_inferred_from_closed_levels_only() -> None:
    levels = (Level("waist", 10.0), Level("hip", 20.0, "open"), Level("bust", 5.0))
    block = two_rectangles(levels=levels)
    body = {"waist": 100.0, "bust": 125.0, "hip": 1.0, "neck": 3.0}
    girth_factor, length_factor = infer_factors(block, body, 50.0)
    assert girth_factor == pytest.approx(180 / 225)
    assert length_factor == pytest.approx(45 / 50)
    assert infer_factors(block, body, None)[1] is None


def test_inferred_factors_are_those_that_a_slanted_loop_was_cut_by(
    hand_block: Block,
) -> None:
    """Points of a body-size block moved to 0.8 round and 0.95 down give just these."""
    loop = torso_loop(hand_block)
    cut = adjust_block(replace(hand_block, holds=()), 0.8, 0.95, true=False).after
    found = infer_factors(cut, level_girths(hand_block), loop)
    assert found == pytest.approx((0.8, 0.95), abs=1e-9)
    # The plain ratio of the loops is another number, for their legs run aslant.
    short = torso_loop(cut)
    assert loop is not None
    assert short is not None
    assert short / loop < 0.95 - 1e-3


def test_factors_that_cannot_be_inferred_are_refused() -> None:
    with pytest.raises(RefusedError, match="closed levels: waist, hip"):
        infer_factors(two_rectangles(), {"bust": 88.0}, None)
    for body in ({"waist": 0.0}, {"waist": float("nan")}):
        with pytest.raises(RefusedError, match="above 0"):
            infer_factors(two_rectangles(), body, None)


def test_every_edge_has_a_length(hand_block: Block) -> None:
    lengths = edge_lengths(hand_block)
    assert len(lengths) == 14
    assert lengths["front.centre"] == pytest.approx(65)
    assert lengths["front.side"] == edge_length(hand_block.edge("front.side"))


@pytest.mark.parametrize("away", [-0.02, -1e-12, 0.0, 1e-12, 0.02])
def test_a_level_on_an_edge_reads_all_pieces(make_tube: Any, away: float) -> None:
    """A hair beyond the edge of one piece it would read the other alone."""
    tube = make_tube(70.4, 56.0, 76.8)
    top = min(float(edge.control[..., 1].min()) for edge in tube.pieces[0].edges)
    inside = float(girth_at(tube, top + 0.03))
    assert float(girth_at(tube, top + away)) == pytest.approx(inside, abs=0.1)
    with pytest.raises(RefusedError, match="no piece"):
        girth_at(tube, top - 0.04)
