"""Which legs go together: by name, and where seams say otherwise by them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ease.block.openings import block_openings
from ease.block.pieces import Block, Level, Piece, Seam
from ease.block.rings import rings

from .test_cut_levels import outlined

EDGES = ("waist", "side right", "leg right", "crotch", "leg left", "side left")


def whole(name: str, high: str) -> Piece:
    """A whole piece with one leg cut 4 cm higher, sides called as they are drawn."""
    right, left = (26, 30) if high == "right" else (30, 26)
    spots = [(-20, 0), (20, 0), (20, right), (4, 40), (-4, 40), (-20, left)]
    return outlined(name, EDGES, spots, "once")


def leotard(back_high: str, *sides: tuple[str, str]) -> Block:
    seams = [Seam(f"front.side {a}", f"back.side {b}") for a, b in sides]
    return Block(
        name="leotard",
        pieces=(whole("front", "left"), whole("back", back_high)),
        levels=(Level("waist", 1.0),),
        seams=(*seams, Seam("front.crotch", "back.crotch")),
    )


def named(block: Block) -> dict[str, list[str]]:
    return {
        ring: [f"{piece.name} {edge.name}" for piece, edge in found]
        for ring, found in rings(block).items()
        if ring.startswith("leg")
    }


def test_seams_say_whose_left_is_meant() -> None:
    """Seen from behind, the wearer's left lies to the left; from before, to the right."""
    crossed = leotard("right", ("left", "right"), ("right", "left"))
    assert named(crossed) == {
        "leg left": ["front leg left", "back leg right"],
        "leg right": ["front leg right", "back leg left"],
    }
    legs = {one.name: one.cut_cm for one in block_openings(crossed)}
    high, low = (16**2 + 14**2) ** 0.5, (16**2 + 10**2) ** 0.5
    assert legs["leg left"] == pytest.approx(2 * high)
    assert legs["leg right"] == pytest.approx(2 * low)


def test_names_hold_where_seams_agree_or_do_not_tell() -> None:
    plain = {
        "leg left": ["front leg left", "back leg left"],
        "leg right": ["front leg right", "back leg right"],
    }
    assert named(leotard("left", ("left", "left"), ("right", "right"))) == plain
    # The crotch meets both legs of a piece.
    assert named(leotard("left")) == plain
    bare = leotard("left")
    assert named(replace(bare, seams=())) == plain
