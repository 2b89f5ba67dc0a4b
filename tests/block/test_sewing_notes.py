"""What is said of pieces in no seam, and of whole pieces drawn the wrong way round."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ease.block.curves import reverse
from ease.block.cut_levels import cut_levels
from ease.block.pieces import Block, Level, Piece, Seam
from ease.block.plan import Factors, inferred_factors
from ease.block.refit import refit
from ease.block.sewing_notes import sewing_notes

from .test_cut_levels import BODY, brief, half, outlined


def with_lining(block: Block) -> Block:
    lining = half("lining", (0, 15), (4, 15), (4, 30), (0, 30))
    return replace(block, pieces=(*block.pieces, lining))


def test_a_lining_that_counts_in_no_girth_is_told() -> None:
    plain = brief(0.0, 0.0, 1.0)
    block = with_lining(plain)
    assert cut_levels(block) == ()
    (note,) = sewing_notes(block)
    assert note.startswith("lining is in no seam, so that its width counts in no girth")
    told = refit(block, inferred_factors(block, BODY), Factors(0.8, 1.0, "given"), BODY)
    assert note in told.notes
    assert told.old == inferred_factors(plain, BODY)
    # Kept out of girths, or where no level meets it, nothing is to be said.
    *others, lining = block.pieces
    kept = replace(block, pieces=(*others, replace(lining, in_girth=False)))
    assert sewing_notes(kept) == ()
    assert sewing_notes(replace(block, levels=(Level("waist", 1.0),))) == ()


def test_pieces_side_by_side_without_a_seam_are_told() -> None:
    block = replace(brief(0.0, 0.0, 1.0), seams=())
    assert sewing_notes(block) == ()
    (note,) = sewing_notes(with_lining(block))
    assert "level hip counts front, back and lining side by side" in note


def test_a_middle_edge_of_a_pair_in_no_seam_is_told(shorts: Block) -> None:
    """Girths go round there; without the seam the print has no allowance at it."""
    assert sewing_notes(shorts) == ()
    side, front, _, inner = shorts.seams
    one = replace(shorts, seams=(side, front, inner))
    (note,) = sewing_notes(one)
    assert note.startswith(
        "back.centre is in no seam: the two halves are taken as sewn"
    )
    assert note.endswith("a seam `back.centre, back.centre` says that they are")
    bare = sewing_notes(replace(one, seams=(side, inner)))
    assert [said.split(" is in ")[0] for said in bare] == [
        "front.centre",
        "back.centre",
    ]
    # Nothing tells without seams, nor where the girth is cut open.
    assert sewing_notes(replace(shorts, seams=())) == ()
    open_levels = tuple(replace(level, loop="open") for level in shorts.levels)
    assert sewing_notes(replace(one, levels=open_levels)) == ()
    body = replace(BODY, values={**BODY.values, "thigh": 57.0})
    told = refit(one, inferred_factors(one, body), Factors(0.8, 1.0, "given"), body)
    assert note in told.notes


NAMES = ("top", "right", "hem", "left")


def one_shoulder(name: str) -> Piece:
    """A whole piece whose top slants: 0 cm down at the right, 12 cm at the left."""
    return outlined(name, NAMES, [(-20, 12), (20, 0), (20, 40), (-20, 40)], "once")


def turned_over(piece: Piece) -> Piece:
    """The same piece seen from its other side, its edges called as they were."""
    edges = tuple(
        replace(e, start=e.end, end=e.start, control=reverse(e.control) * [-1, 1])
        for e in piece.edges[::-1]
    )
    return replace(piece, edges=edges)


def top(front: Piece, back: Piece, *seams: tuple[str, str]) -> Block:
    return Block(
        name="top",
        pieces=(front, back),
        levels=(Level("waist", 30.0),),
        seams=tuple(Seam(f"front.{a}", f"back.{b}") for a, b in seams),
    )


def test_a_back_traced_over_its_front_is_told() -> None:
    """Both shoulders lie to the right of the drawing: face up they never meet."""
    front, over = one_shoulder("front"), one_shoulder("back")
    (note,) = sewing_notes(top(front, over, ("left", "left"), ("right", "right")))
    assert note.startswith(
        "front and back, each cut once, are drawn as if seen through"
    )
    assert "front.left with back.left" in note
    # As seen from behind the shoulder lies to the left.
    behind = turned_over(over)
    assert behind.point("p1")[0] == pytest.approx(-20)
    assert sewing_notes(top(front, behind, ("left", "left"), ("right", "right"))) == ()
    # Walked round the other way nothing changes.
    other_way = tuple(
        replace(e, start=e.end, end=e.start, control=reverse(e.control))
        for e in over.edges[::-1]
    )
    back = replace(over, edges=other_way)
    assert len(sewing_notes(top(front, back, ("left", "left")))) == 1


def test_what_can_be_turned_over_is_not_told() -> None:
    front, over = one_shoulder("front"), one_shoulder("back")
    even = outlined("back", NAMES, [(-20, 0), (20, 0), (20, 40), (-20, 40)], "once")
    assert sewing_notes(top(front, even, ("left", "left"))) == ()
    pair = replace(over, cut="pair")
    assert sewing_notes(top(front, pair, ("left", "left"), ("right", "right"))) == ()
    # Edges that lie across do not tell which of their ends meet.
    assert sewing_notes(top(front, over, ("top", "top"))) == ()
