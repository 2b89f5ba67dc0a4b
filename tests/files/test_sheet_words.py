"""Codes of sheets, words at joints and names on the map stand clear of lines."""

from __future__ import annotations

import numpy as np
import pytest

from ease.block.grade import grade
from ease.body.sizes import load_size_run
from ease.files.any_block import read_block_file
from ease.files.sheet import _ink, print_nest
from ease.files.sheet_draw import draw_piece
from ease.files.sheet_ink import InkPen, clear_place, ink_within
from ease.files.sheet_joints import draw_joints, draw_sheet_words
from ease.files.sheet_layout import KEY_SIZE_MM
from ease.files.sheet_marks import draw_key
from ease.files.sheet_paper import Grain, SheetOptions, paper_named
from ease.files.sheet_pen import Pen, text_corners
from ease.files.sheet_pieces import print_pieces
from ease.fit.aims import AIMS


class Words(InkPen):
    """Keeps the boxes of words, and writes on white as on paper."""

    def __init__(self) -> None:
        super().__init__()
        self.boxes: dict[str, list[np.ndarray]] = {}

    def text(self, at, text, size=3.0, **how) -> None:  # type: ignore[no-untyped-def]
        how.pop("grey", None)
        corners = text_corners(at, text, size, **how)
        box = np.stack([corners.min(axis=0), corners.max(axis=0)])
        self.boxes.setdefault(text, []).append(box)

    def plate(self, at, text, size, **how) -> None:  # type: ignore[no-untyped-def]
        self.text(at, text, size, **how)


def within(ink: np.ndarray, box: np.ndarray) -> int:
    return int(((ink > box[0]) & (ink < box[1])).all(axis=1).sum())


@pytest.mark.parametrize("grain", ["down", "across"])
@pytest.mark.parametrize("unfold", [False, True])
@pytest.mark.parametrize("allowance", [0.0, 6.0])
def test_names_of_levels_stand_clear_of_notches(
    grain: Grain, unfold: bool, allowance: float
) -> None:
    """Notches lie a little above or below the line; without allowance they point in."""
    options = SheetOptions(
        paper=paper_named("a4"), grain=grain, unfold=unfold, seam_allowance=allowance
    )
    block = read_block_file("demo-soft").block
    for piece in print_pieces(block, options):
        pen, ticks = Words(), InkPen()
        draw_piece(pen, piece)
        for tick in piece.notches:
            ticks.line(tick)
        for name, _ in piece.levels:
            (box,) = pen.boxes[name]
            wide = box + np.array([[-0.5, -0.5], [0.5, 0.5]])
            assert within(ticks.ink, wide) == 0, name


@pytest.mark.parametrize("only", [slice(1, 12, 2), slice(0, 3)])
def test_words_of_sheets_stand_clear(only: slice) -> None:
    graded = grade(load_size_run("en").bodies[only], None, AIMS["regular"])
    labels = [size.label for size in graded.made]
    options = SheetOptions(paper=paper_named("a4"))
    layout = print_nest(graded.blocks, labels, "All", options).layout
    ink = _ink(layout)
    assert len(ink) > 1000
    for sheet in layout.printed:
        corner = (sheet.column * layout.step[0], sheet.row * layout.step[1])
        local = ink_within(ink, corner, layout.tile)
        pen, edges = Words(), InkPen()
        draw_sheet_words(pen, layout, sheet, local)
        draw_joints(edges, layout, sheet)
        assert sheet.code in pen.boxes
        boxes = [box for own in pen.boxes.values() for box in own]
        for place, box in enumerate(boxes):
            assert within(np.concatenate([local, edges.ink]), box) == 0, sheet.code
            assert (box >= 0).all()
            assert (box <= layout.tile).all()
            for other in boxes[place + 1 :]:
                apart = (box[0] >= other[1]) | (other[0] >= box[1])
                assert apart.any()
    key = Words()
    draw_key(key, layout, "All", [])
    codes = [key.boxes[sheet.code][0] for sheet in layout.sheets]
    for piece in layout.pieces:
        (name,) = key.boxes[piece.name]
        for code in codes:
            assert ((name[0] >= code[1]) | (code[0] >= name[1])).any()


@pytest.mark.parametrize("title", ["All", "all sizes of a long name, " * 5])
def test_a_title_is_written_whole_in_letters_that_fit(title: str) -> None:
    graded = grade(load_size_run("en").bodies[:1], None, AIMS["regular"])
    labels = [size.label for size in graded.made]
    options = SheetOptions(paper=paper_named("a4"))
    layout = print_nest(graded.blocks, labels, title, options).layout
    key = Words()
    draw_key(key, layout, title, [])
    (box,) = key.boxes[title]
    wide = box[0, 0] + box[1, 0]  # without the same blank strip at both ends
    assert wide <= KEY_SIZE_MM[0] + 1e-6
    assert (wide > 0.99 * KEY_SIZE_MM[0]) == (len(title) > 60)


def test_a_pen_of_ink_does_all_that_a_pen_does() -> None:
    public = {name for name in vars(Pen) if not name.startswith("_")}
    assert public - set(vars(InkPen)) == {"use", "width_of"}  # neither draws
    plate, text = InkPen(), InkPen()
    plate.plate((3.0, 4.0), "words", 5.0, align="centre", turn=90.0, grey=0.3)
    text.text((3.0, 4.0), "words", 5.0, align="centre", turn=90.0)
    assert len(plate.ink)
    np.testing.assert_array_equal(plate.ink, text.ink)


def test_the_first_clear_box_is_taken_or_that_with_the_least_ink() -> None:
    ink = np.array([[5.0, 5.0], [15.0, 5.0], [15.2, 5.8]])
    boxes = np.array([[[x, 0.0], [x + 8.0, 9.0]] for x in (10.0, 1.0, 20.0, 30.0)])
    assert clear_place(ink, boxes) == 2
    assert clear_place(ink, boxes[:2]) == 1
    assert clear_place(np.empty((0, 2)), boxes) == 0
