from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.block.curves import derivative
from ease.block.measure import held_distances, outline, walk_seams
from ease.block.pieces import Block, PointRef, Seam
from ease.block.seams import refuse_crossed, true_seams
from ease.errors import RefusedError


def stretched(block: Block, piece: str, factor: float) -> Block:
    """The block with one piece lengthened, so that its seams no longer match."""
    pieces = []
    for each in block.pieces:
        if each.name == piece:
            edges = tuple(
                replace(e, control=e.control * [1.0, factor]) for e in each.edges
            )
            marks = {n: (x, y * factor) for n, (x, y) in each.marks.items()}
            pieces.append(replace(each, edges=edges, marks=marks))
        else:
            pieces.append(each)
    return replace(block, pieces=tuple(pieces), holds=())


@given(factor=st.floats(0.97, 1.03))
def test_mates_agree_and_outlines_stay_closed(hand_block: Block, factor: float) -> None:
    trued = true_seams(stretched(hand_block, "back", factor))
    for seam in walk_seams(trued):
        assert abs(seam.difference_cm) < 1e-6
    for piece in trued.pieces:
        chain = np.concatenate([edge.control for edge in piece.edges])
        np.testing.assert_array_equal(chain[:, 0], np.roll(chain[:, 3], 1, axis=0))


def test_the_difference_is_shared_between_both_edges(hand_block: Block) -> None:
    block = stretched(hand_block, "back", 1.01)
    trued = true_seams(block)
    before, after = walk_seams(block)[0], walk_seams(trued)[0]
    taken, given_up = (
        after.first_cm - before.first_cm,
        before.second_cm - after.second_cm,
    )
    # Each edge takes its part as the square of how its length answers to its ends; of
    # mates that are drawn alike, these differ no more than the lengths do (1 %).
    assert taken == pytest.approx(
        given_up, rel=abs(before.difference_cm) / before.first_cm
    )
    gap = abs(before.difference_cm)
    for old, new in zip(block.pieces, trued.pieces, strict=True):
        for edge in old.edges:
            shift = new.point(edge.start) - old.point(edge.start)
            assert np.hypot(*shift) < gap / 2


def test_matched_seams_leave_the_block_alone(hand_block: Block) -> None:
    trued = true_seams(hand_block)
    assert true_seams(trued) is trued
    assert true_seams(hand_block, tolerance_cm=0.1) is hand_block


def test_held_distances_folds_and_right_angles_stay(hand_block: Block) -> None:
    trued = true_seams(hand_block)
    assert trued is not hand_block
    for old, new in zip(held_distances(hand_block), held_distances(trued), strict=True):
        assert new.distance_cm == pytest.approx(old.distance_cm, abs=1e-9)
    for piece in trued.pieces:
        assert (piece.edge("centre").control[..., 0] == 0).all()
        leaving = derivative(piece.edge("neckline").control[0], 0.0)
        assert leaving[1] == pytest.approx(0, abs=1e-12)


def test_crotch_seam_that_ends_on_the_fold_is_matched_along_it(
    hand_block: Block,
) -> None:
    block = stretched(hand_block, "back", 1.02)
    curve = block.piece("back").edge("crotch")
    assert not curve.straight[0]
    trued = true_seams(block)
    for piece in trued.pieces:
        assert piece.point("crotch_centre")[0] == 0
    assert abs(walk_seams(trued)[2].difference_cm) < 1e-6


def test_marks_on_an_edge_go_with_it_and_others_stay(hand_block: Block) -> None:
    block = replace(
        stretched(hand_block, "back", 1.02),
        seams=(Seam("front.strap", "back.strap"),),
        loop_path=(),
    )
    edge = block.piece("back").edge("strap")
    quarter = 0.75 * edge.first + 0.25 * edge.last
    back = replace(
        block.piece("back"), marks={"notch": tuple(quarter), "blade": (8.0, 18.0)}
    )
    block = replace(block, pieces=(block.pieces[0], back))
    trued = true_seams(block)
    edge = trued.piece("back").edge("strap")
    fresh = trued.point(PointRef("back", "notch"))
    along, off = edge.last - edge.first, fresh - edge.first
    assert along[0] * off[1] - along[1] * off[0] == pytest.approx(0, abs=1e-9)
    assert not np.allclose(fresh, quarter, atol=1e-6, rtol=0)
    np.testing.assert_array_equal(trued.point(PointRef("back", "blade")), [8, 18])


def test_seams_that_held_distances_keep_apart_are_refused(hand_block: Block) -> None:
    back = hand_block.piece("back")
    strap = back.edge("strap").control.copy()
    strap[-1, 2:] += [0.5, 0.0]
    armhole = back.edge("armhole").control.copy()
    armhole[0, 0] = strap[-1, 3]
    fresh = {"strap": strap, "armhole": armhole}
    edges = tuple(replace(e, control=fresh.get(e.name, e.control)) for e in back.edges)
    pieces = (hand_block.piece("front"), replace(back, edges=edges))
    match = r"seam front\.strap / back\.strap cannot"
    with pytest.raises(RefusedError, match=match) as caught:
        true_seams(replace(hand_block, pieces=pieces))
    held = "held at both edges are front strap width, back strap width: leave out the"
    assert caught.value.hint.startswith(held)
    one = tuple(hold for hold in hand_block.holds if "back" not in hold.name)
    trued = true_seams(replace(hand_block, pieces=pieces, holds=one))
    assert all(abs(seam.difference_cm) < 1e-6 for seam in walk_seams(trued))


def test_a_crossed_outline_is_refused_with_piece_and_place(hand_block: Block) -> None:
    front = hand_block.piece("front")
    edge = front.edge("neckline")
    control = edge.control.copy()
    control[0, 1:3] = [[30, 10], [30, 30]]
    edges = tuple(
        replace(edge, control=control) if e is edge else e for e in front.edges
    )
    crossed = replace(
        hand_block, pieces=(replace(front, edges=edges), hand_block.piece("back"))
    )
    assert len(outline(crossed.piece("front"))) == 8
    with pytest.raises(
        RefusedError, match=r"piece 'front' crosses itself now, near x ="
    ):
        refuse_crossed(crossed, "now")


def test_truing_that_would_spoil_an_outline_is_refused(hand_block: Block) -> None:
    block = replace(hand_block, seams=(Seam("front.strap", "back.centre"),), holds=())
    with pytest.raises(RefusedError, match=r"truing its seams|cannot be"):
        true_seams(block)
