"""Sizes printed over each other: true size, centre and anchor together, all named."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pypdf
import pytest
from shapely import LineString, Point

from ease.block.grade import Grading, grade
from ease.block.measure import level_girths
from ease.block.pieces import Block, Piece
from ease.body.sizes import load_size_run
from ease.errors import RefusedError
from ease.files.sheet import Print, print_block, print_nest
from ease.files.sheet_nest import NestPiece, nest_pieces, size_key
from ease.files.sheet_paper import SheetOptions, paper_named
from ease.files.sheet_pen import LINES
from ease.fit.aims import AIMS

PLAIN = SheetOptions(paper=paper_named("a4"))


@pytest.fixture(scope="module")
def graded() -> Grading:
    return grade(load_size_run("en").bodies[1:12:2], None, AIMS["regular"])


@pytest.fixture(scope="module")
def printed(graded: Grading) -> Print:
    return print_nest(graded.blocks, labels_of(graded), "All sizes", PLAIN)


def labels_of(graded: Grading) -> list[str]:
    return [size.label for size in graded.made]


def half_width(cut: np.ndarray, y: float) -> float:
    """Return the largest x at which an outline crosses a height, mm."""
    x, rows = cut[:, 0], cut[:, 1] - y
    crossed = np.flatnonzero(rows[:-1] * rows[1:] <= 0)
    share = rows[crossed] / (rows[crossed] - rows[crossed + 1])
    return float((x[crossed] + share * (x[crossed + 1] - x[crossed])).max())


def test_each_size_has_its_own_girth_on_paper(graded: Grading) -> None:
    pieces = nest_pieces(graded.blocks, labels_of(graded), PLAIN)
    waist = float(pieces[0].levels[0][1][0, 1])
    for row, block in enumerate(graded.blocks):
        for name, girth in level_girths(block).items():
            y = waist + 10 * (block.level(name).y - block.level("waist").y)
            halves = [half_width(piece.sizes[row].cut, y) for piece in pieces]
            # The outline is flattened to 0.01 mm; both halves, twice.
            assert 2 * sum(halves) == pytest.approx(10 * girth, abs=0.04)


def test_centre_lines_lie_on_each_other(graded: Grading) -> None:
    for piece in nest_pieces(graded.blocks, labels_of(graded), PLAIN):
        assert piece.fold is not None
        assert np.abs(piece.fold[:, 0]).max() < 1e-9
        ends = np.concatenate([size.cut[[0, -1]] for size in piece.sizes])
        assert np.abs(ends[:, 0]).max() < 1e-9
        # One fold line, from the highest end of all sizes to the lowest.
        assert sorted(piece.fold[:, 1]) == [ends[:, 1].min(), ends[:, 1].max()]


def test_all_sizes_take_the_sheets_of_the_largest(
    graded: Grading, printed: Print
) -> None:
    alone = print_block(graded.blocks[-1], PLAIN)
    assert printed.pages <= alone.pages + 1


def test_every_sheet_with_a_line_on_it_is_printed(printed: Print) -> None:
    layout = printed.layout
    kept = {(sheet.row, sheet.column) for sheet in layout.printed}
    for piece in layout.pieces:
        assert isinstance(piece, NestPiece)
        for size in piece.sizes:
            cells = np.floor((size.cut - PLAIN.overlap) / np.array(layout.step))
            cells = np.clip(cells, 0, [layout.columns - 1, layout.rows - 1])
            assert {(int(row), int(column)) for column, row in cells} <= kept


def words_on_plane(printed: Print) -> Counter[str]:
    """Return how often each text is drawn on the plane of the pieces."""
    pages = pypdf.PdfReader(io.BytesIO(printed.pdf)).pages
    resources: list[Any] = [page["/Resources"] for page in pages]
    forms = [
        form.get_object()
        for named in resources
        if "/XObject" in named
        for form in named["/XObject"].values()
    ]
    plane = forms[0].get_data().decode("latin-1")
    return Counter(part.split(")")[0] for part in plane.split("(")[1:])


def test_every_size_is_named_several_times(graded: Grading, printed: Print) -> None:
    words = words_on_plane(printed)
    for label in labels_of(graded):
        assert words[label] >= 8, label


@pytest.mark.parametrize("grain", ["down", "across"])
@pytest.mark.parametrize("allowance", [0.0, 8.0])
def test_names_stand_in_their_own_line_and_in_no_other(
    graded: Grading, allowance: float, grain: str
) -> None:
    options = SheetOptions(
        paper=paper_named("a0"),
        seam_allowance=allowance,
        turning=allowance,
        grain="across" if grain == "across" else "down",
    )
    for piece in nest_pieces(graded.blocks, labels_of(graded), options):
        lines = [LineString(size.cut) for size in piece.sizes]
        for row, size in enumerate(piece.sizes):
            for at, ahead in size.names:
                assert np.hypot(*(ahead - at)) == pytest.approx(1.0)
                away = [line.distance(Point(at)) for line in lines]
                assert away[row] < 1e-9
                # Half the letters' height and the width of a line.
                assert min(away[:row] + away[row + 1 :]) > 1.7
                notches = size.notches.reshape(-1, 2)
                assert np.hypot(*(notches - at).T).min() > 3.0


def test_sizes_too_near_for_names_are_named_one_below_the_other() -> None:
    run = load_size_run("astm-95").bodies[:5]
    close = grade(run, None, AIMS["regular"])
    blocks = [
        replace(block, pieces=tuple(_nearly(piece, row) for piece in first.pieces))
        for first in close.blocks[:1]
        for row, block in enumerate(close.blocks)
    ]
    for piece in nest_pieces(blocks, labels_of(close), PLAIN):
        assert {len(size.names) for size in piece.sizes} == {1}
        places = np.array([size.names[0, 0] for size in piece.sizes])
        steps = np.hypot(*np.diff(places, axis=0).T)
        assert steps.min() >= 2.6  # mm, the height of the letters


def _nearly(piece: Piece, row: int) -> Piece:
    """Return a piece that is wider by 0.2 mm a row."""
    grown = [1.0 + 0.001 * row, 1.0]
    edges = tuple(replace(e, control=e.control * grown) for e in piece.edges)
    return replace(piece, edges=edges)


def test_neighbours_have_other_dashes(graded: Grading) -> None:
    for piece in nest_pieces(graded.blocks, labels_of(graded), PLAIN):
        dashes = [size.dash for size in piece.sizes]
        assert dashes[-1] == ()
        assert all(a != b for a, b in pairwise(dashes))


def test_the_key_gives_the_dashes_to_their_sizes(
    graded: Grading, printed: Print
) -> None:
    labels = labels_of(graded)
    key = size_key(printed.layout.pieces)
    first = printed.layout.pieces[0]
    assert isinstance(first, NestPiece)
    for size in first.sizes:
        (line,) = [line for line in key.values() if line.dash == size.dash]
        assert size.name in line.meaning.removeprefix("cut: size ").split(", ")
    told = ", ".join(line.meaning.removeprefix("cut: size ") for line in key.values())
    assert sorted(told.split(", ")) == sorted(labels)
    assert LINES["fold"].dash not in {line.dash for line in key.values()}
    page = pypdf.PdfReader(io.BytesIO(printed.pdf)).pages[0].extract_text()
    assert all(line.meaning in page for line in key.values())
    assert "stitch line" not in page
    assert not size_key(print_block(graded.blocks[0], PLAIN).layout.pieces)


@pytest.mark.parametrize("grain", ["down", "across"])
def test_allowances_and_grain_go_to_every_size(graded: Grading, grain: str) -> None:
    options = SheetOptions(
        paper=paper_named("a0"),
        seam_allowance=6.0,
        turning=10.0,
        grain="across" if grain == "across" else "down",
    )
    wide = nest_pieces(graded.blocks, labels_of(graded), options)
    net = nest_pieces(graded.blocks, labels_of(graded), PLAIN)
    for outer, inner in zip(wide, net, strict=True):
        assert outer.net == ()  # no stitch lines in the thicket
        for own, other in zip(outer.sizes, inner.sizes, strict=True):
            turned = np.ptp(own.cut, axis=0)[:: -1 if grain == "across" else 1]
            grown = turned - np.ptp(other.cut, axis=0)
            assert (grown > 5.9).all()
    made = print_nest(graded.blocks, labels_of(graded), "All", options)
    assert made.pages <= 2
    assert made.pdf == print_nest(graded.blocks, labels_of(graded), "All", options).pdf


def test_sizes_of_other_pieces_are_refused(graded: Grading) -> None:
    whole = graded.blocks[0]
    part = Block(
        name="front only", pieces=whole.pieces[:1], levels=whole.levels, anchor="waist"
    )
    with pytest.raises(RefusedError, match="same pieces"):
        print_nest([part, whole], ["a", "b"], "t", PLAIN)
