"""Labels keep off the joints of sheets, off lines, and inside their piece."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon, box

from ease.block.grade import grade
from ease.block.pieces import Block
from ease.body.sizes import load_size_run
from ease.files.sheet_label import clear_of_joints, label_box
from ease.files.sheet_layout import lay_out
from ease.files.sheet_paper import SheetOptions, paper_named
from ease.files.sheet_pieces import print_pieces
from ease.fit.aims import AIMS


@pytest.fixture(scope="module")
def blocks() -> list[Block]:
    return list(grade(load_size_run("en").bodies[::3], None, AIMS["regular"]).blocks)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("grain", ["down", "across"])
def test_no_joint_runs_through_a_label(
    blocks: list[Block], paper: str, grain: str
) -> None:
    options = SheetOptions(
        paper=paper_named(paper), grain="across" if grain == "across" else "down"
    )
    for block in blocks:
        layout = lay_out(print_pieces(block, options), options)
        for piece in layout.pieces:
            (left, top), (right, bottom) = label_box(piece)
            joints_x = np.arange(layout.columns) * layout.step[0]
            joints_y = np.arange(layout.rows) * layout.step[1]
            for joint in (joints_x, joints_x + options.overlap):
                assert not ((joint[1:] > left) & (joint[1:] < right)).any()
            for joint in (joints_y, joints_y + options.overlap):
                assert not ((joint[1:] > top) & (joint[1:] < bottom)).any()
            assert Polygon(piece.cut).contains(box(left, top, right, bottom))


def test_the_centre_of_a_whole_print_crosses_no_label(blocks: list[Block]) -> None:
    options = SheetOptions(paper=paper_named("a4"), unfold=True)
    for block in blocks:
        for piece in lay_out(print_pieces(block, options), options).pieces:
            assert piece.centre is not None
            (left, _), (right, _) = label_box(piece)
            assert not left < piece.centre[0, 0] < right


def test_a_label_without_such_a_place_stays(blocks: list[Block]) -> None:
    options = SheetOptions(paper=paper_named("a4"))
    (piece, *_) = print_pieces(blocks[0], options)
    narrow = clear_of_joints(piece, np.array([30.0, 30.0]), 10.0)
    assert narrow is piece


def test_a_label_that_stands_clear_does_not_move(blocks: list[Block]) -> None:
    options = SheetOptions(paper=paper_named("a0"))
    wide = np.array([2000.0, 2000.0])
    for piece in print_pieces(blocks[0], options):
        once = clear_of_joints(piece.moved(20.0 - piece.box[0]), wide, 10.0)
        again = clear_of_joints(once, wide, 10.0)
        assert again.label_at.tolist() == once.label_at.tolist()
