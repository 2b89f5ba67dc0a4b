"""The way of the torso loop goes on from seam to seam, or a note says where not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ease.block.drafted_notes import far_notes, shape_notes
from ease.block.loop_ends import open_loop_notes
from ease.block.pieces import Block, PointRef
from ease.block.plan import Factors, factors_of_block
from ease.block.refit import refit
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.demo import shipped_block
from ease.files.any_block import load_any_block

Way = tuple[tuple[str, ...], ...]
FRONT = ("front.strap_middle", "front.bust_point", "front.crotch_centre")
BACK = ("back.crotch_centre", "back.seat_point", "back.strap_middle")


@pytest.fixture
def block() -> Block:
    path = shipped_block("demo-soft")
    assert path is not None
    return load_any_block(path)


def along(block: Block, way: Way) -> Block:
    runs = tuple(tuple(PointRef(*one.split(".")) for one in run) for run in way)
    return replace(block, loop_path=runs)


@pytest.mark.parametrize(
    "way",
    [
        (FRONT, BACK),
        (BACK, FRONT),
        # The other way round, and from the ends of the seams instead of their middles.
        (BACK[::-1], FRONT[::-1]),
        (
            ("front.strap_neck", "front.crotch_side"),
            ("back.crotch_side", "back.strap_arm"),
        ),
    ],
)
def test_a_way_from_seam_to_seam_closes(block: Block, way: Way) -> None:
    assert open_loop_notes(along(block, way)) == ()


SLIPS: list[tuple[Way, list[str]]] = [
    # A corner is left out, another one is named, the neckline is taken for the strap.
    ((FRONT[:2], BACK), ["front.bust_point and back.crotch_centre"]),
    ((FRONT, ("back.leg_side", *BACK[1:])), ["front.crotch_centre and back.leg_side"]),
    (
        (("front.neck_centre", *FRONT[1:]), (*BACK[:2], "back.neck_centre")),
        ["back.neck_centre and front.neck_centre"],
    ),
    # One piece alone.
    ((FRONT,), ["front.crotch_centre and front.strap_middle"]),
    # The way over one piece is turned round.
    (
        (FRONT[::-1], BACK),
        [
            "front.strap_middle and back.crotch_centre",
            "back.strap_middle and front.crotch_centre",
        ],
    ),
]


@pytest.mark.parametrize(("way", "apart"), SLIPS)
def test_a_way_that_does_not_close_is_told(
    block: Block, way: Way, apart: list[str]
) -> None:
    made = along(block, way)
    (note,) = open_loop_notes(made)
    assert f"does not close: {', '.join(apart)}, where" in str(note)
    body = complete(load_body("demo"))
    told = refit(made, factors_of_block(made, body), Factors(0.8, 1.0, "given"), body)
    assert str(note) in map(str, told.notes)


def test_nothing_is_said_where_nothing_tells(block: Block) -> None:
    assert open_loop_notes(replace(along(block, (FRONT,)), seams=())) == ()
    assert open_loop_notes(replace(block, loop_path=())) == ()


def test_a_loop_that_does_not_close_is_none_to_go_by(block: Block) -> None:
    """A block that says its factors is not advised to be taken by its own size."""
    body, said = complete(load_body("demo")), "goes by its own size"
    made = along(block, (FRONT,))
    (note,) = shape_notes(made, factors_of_block(made, body), body)
    assert "the torso loop of the block measures" in str(note)
    assert said not in str(note)
    longer = replace(body, values={**body.values, "torso_loop": 175.0})
    (note,) = shape_notes(block, factors_of_block(block, longer), longer)
    assert str(note).endswith(said)


@pytest.mark.parametrize(
    ("girth", "length", "ways"),
    [
        (0.75, 0.9, []),
        (1.0, 1.0, []),
        (1.2, 1.1, []),
        (0.82, 0.5, ["down"]),
        (0.4, 0.97, ["round"]),
        (1.3, 1.3, ["round", "down"]),
    ],
)
def test_factors_that_no_block_has_are_doubted(
    girth: float, length: float, ways: list[str]
) -> None:
    notes = far_notes(Factors(girth, length, "inferred"))
    assert [one.split(":")[0].rsplit(" ", 1)[1] for one in notes] == ways
