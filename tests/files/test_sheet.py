"""The full-scale print: layout, allowances, folds, sheets and options."""

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pypdf
import pytest
import shapely

from ease.block.curves import bounds
from ease.block.pieces import Block, Level
from ease.errors import UsageError
from ease.files.sheet import print_block
from ease.files.sheet_layout import lay_out
from ease.files.sheet_paper import Grain, PrinterReading, SheetOptions, paper_named
from ease.files.sheet_pieces import print_pieces


def options(paper: str = "a4", **wishes: Any) -> SheetOptions:
    return SheetOptions(paper=paper_named(paper), **wishes)


def text_of(pdf: bytes) -> list[str]:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return [page.extract_text() for page in reader.pages]


def many(block: Block, count: int) -> Block:
    pieces = tuple(
        replace(piece, name=f"{piece.name} {i}")
        for i in range(count)
        for piece in block.pieces
    )
    return Block(name="many", pieces=pieces, levels=block.levels)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "a0", "roll:914", "roll:600"])
@pytest.mark.parametrize("grain", ["down", "across"])
def test_pieces_never_overlap_and_lie_on_the_plane(
    block: Block, paper: str, grain: Grain
) -> None:
    wishes = options(paper, seam_allowance=6, turning=10, grain=grain)
    layout = lay_out(print_pieces(many(block, 3), wishes), wishes)
    shapes = [shapely.Polygon(piece.cut) for piece in layout.pieces]
    for i, one in enumerate(shapes):
        assert one.bounds[0] > 0
        assert one.bounds[1] > 0
        assert one.bounds[2] < layout.width
        assert one.bounds[3] < layout.height
        for other in shapes[i + 1 :]:
            assert one.distance(other) > 5.0


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "roll:914"])
def test_every_line_is_on_a_printed_sheet(block: Block, paper: str) -> None:
    wishes = options(paper, turning=10)
    layout = lay_out(print_pieces(many(block, 2), wishes), wishes)
    sheets = shapely.unary_union(
        [
            shapely.box(
                s.column * layout.step[0],
                s.row * layout.step[1],
                s.column * layout.step[0] + layout.tile[0],
                s.row * layout.step[1] + layout.tile[1],
            )
            for s in layout.printed
        ]
    )
    for piece in layout.pieces:
        assert sheets.buffer(1e-6).covers(shapely.Polygon(piece.cut))


def test_empty_sheets_are_skipped_but_numbered(block: Block) -> None:
    wishes = options("a4")
    wide = replace(many(block, 2), pieces=many(block, 2).pieces)
    layout = lay_out(print_pieces(wide, wishes), wishes)
    codes = [sheet.code for sheet in layout.sheets]
    assert codes == [
        f"{'ABCDEFGH'[r]}{c + 1}"
        for r in range(layout.rows)
        for c in range(layout.columns)
    ]
    empty = [sheet for sheet in layout.sheets if sheet.empty]
    made = print_block(wide, wishes)
    assert made.pages == len(layout.printed) + 1
    pages = text_of(made.pdf)
    assert len(pages) == made.pages
    for sheet, page in zip(layout.printed, pages[1:], strict=True):
        assert f"sheet {sheet.code}, page" in page
    if empty:
        assert empty[0].code in pages[0]


def test_half_piece_is_printed_on_fold_or_whole(block: Block) -> None:
    half = print_pieces(block, options())[0]
    assert half.fold is not None
    assert half.label[-2] == "cut 1 on fold"
    # The fold itself is never part of the line to cut.
    on = np.abs(half.cut[:, 0]) < 1e-9
    assert not (on[1:] & on[:-1]).any()
    whole = print_pieces(block, options(unfold=True))[0]
    assert whole.fold is None
    assert whole.label[-2] == "cut 1"
    double = shapely.Polygon(whole.cut)
    assert double.is_valid
    assert double.area == pytest.approx(2 * shapely.Polygon(half.cut).area, rel=1e-4)
    mirrored = shapely.affinity.scale(double, -1, 1, origin=(0, 0))
    assert double.symmetric_difference(mirrored).area < 1.0


def test_allowances_go_where_they_were_asked_for(block: Block) -> None:
    wishes = options(
        seam_allowance=6, turning=10, edge_allowances={"front.leg": 15, "crotch": 8}
    )
    front, back = print_pieces(block, wishes)
    names = [edge.name for edge in block.piece("front").edges][:-1]
    assert dict(zip(names, front.allowances, strict=True)) == {
        "neckline": 10, "strap": 6, "armhole": 10, "side": 6, "leg": 15, "crotch": 8,
    }  # fmt: skip
    assert back.allowances[4] == 10
    assert front.label[-1] == (
        "allowances included: seams 6 mm, leg 15 mm, crotch 8 mm, other openings 10 mm"
    )
    one = options(turning=0.0, edge_allowances={"leg": 10})
    said = print_pieces(block, one)[0].label[-1]
    assert said == "allowances included: leg 10 mm, other openings none"
    # The stitch line stays the net outline of the block.
    net = np.concatenate(front.net)
    assert net == pytest.approx(
        np.concatenate([edge.control for edge in block.piece("front").edges[:-1]]) * 10
    )


def test_fold_reaches_to_the_cut_line_at_the_neck(block: Block) -> None:
    plain = print_pieces(block, options())[0].fold
    with_turning = print_pieces(block, options(turning=10))[0].fold
    assert plain is not None
    assert with_turning is not None
    assert with_turning[0, 1] == pytest.approx(plain[0, 1] - 10, abs=0.02)


def test_notches_stand_at_levels_and_seam_ends(block: Block) -> None:
    front = print_pieces(block, options(seam_allowance=6, turning=10))[0]
    length = np.linalg.norm(np.diff(front.notches, axis=1)[:, 0], axis=1)
    assert length == pytest.approx([6.0] * len(length))
    heights = front.notches[:, 0, 1]
    for level in block.levels:
        assert np.abs(heights - level.y * 10).min() < 5.0
    seam = shapely.MultiLineString(
        [c.reshape(-1, 4, 2)[:, [0, 3]].reshape(-1, 2).tolist() for c in front.net]
    )
    assert not seam.is_empty


def test_level_lines_stay_inside_the_piece(block: Block) -> None:
    for piece in print_pieces(block, options()):
        inside = shapely.Polygon(piece.cut).buffer(0.05)
        assert {name for name, _ in piece.levels} == {"bust", "waist", "hip"}
        for _, ends in piece.levels:
            assert inside.covers(shapely.LineString(ends))
        assert inside.covers(shapely.LineString(piece.grain))
        assert inside.covers(shapely.Point(piece.label_at))


def test_a_piece_sewn_to_nothing_has_no_level_lines(block: Block) -> None:
    """A gusset lies anywhere on the board."""
    gusset = replace(block.pieces[0], name="gusset")
    made = replace(block, pieces=(*block.pieces, gusset))
    assert [bool(p.levels) for p in print_pieces(made, options())] == [
        True,
        True,
        False,
    ]
    lining = replace(gusset, in_girth=False)
    made = replace(block, pieces=(*block.pieces, lining))
    assert all(piece.levels for piece in print_pieces(made, options()))


@pytest.mark.parametrize(
    ("round_body", "level", "text"),
    [
        ("along", True, "lengthwise"),
        ("across", False, "lengthwise"),
        ("", False, "down the body"),
    ],
)
def test_arrow_lays_the_cloth_as_it_was_decided(
    block: Block, round_body: str, level: bool, text: str
) -> None:
    said = replace(block.drafted_for, round_body=round_body)
    for unfold in (False, True):
        for piece in print_pieces(
            replace(block, drafted_for=said), options(unfold=unfold)
        ):
            (x0, y0), (x1, y1) = piece.grain
            assert (y0 == y1, x0 == x1) == (level, not level)
            assert piece.grain_text == text
            assert not level or min(abs(y0 - e[0, 1]) for _, e in piece.levels) >= 5
            inside = shapely.Polygon(piece.cut).buffer(0.05)
            assert inside.covers(shapely.LineString(piece.grain))
            assert any("round the body" in row for row in piece.label) == bool(
                round_body
            )


def test_labels_tell_what_the_piece_is(block: Block) -> None:
    pages = " ".join(text_of(print_block(block, options("a0", turning=10)).pdf))
    for word in (
        "front", "back", "soft tricot", "girth factor 0.870, length 0.980", "cut 1 on fold",
        "place on fold", "waist", "bust point", "lengthwise", "100 mm square",
        "4 inch square",
        "How the sheets lie", "not medical advice", "not a flotation aid", "actual size",
    ):  # fmt: skip
        assert word in pages


def test_the_key_says_sizes_in_the_units_asked_for(block: Block) -> None:
    """6 mm is no sixteenth of an inch: 6 / 25.4 = 0.2362."""
    inch = options("a0", seam_allowance=9.525, turning=6, units="in")
    key = " ".join(text_of(print_block(block, inch).pdf)).replace("\n", " ")
    assert "allowances included: seams 3/8 in, openings 0.2362 in" in key
    assert "in with allowances, cut 1 on fold" in key
    plain = " ".join(text_of(print_block(block, options("a0")).pdf)).replace("\n", " ")
    low, high = bounds(np.concatenate([e.control for e in block.piece("front").edges]))
    width, height = (high - low) * 10
    assert f"front: {width:.0f} x {height:.0f} mm net, cut 1 on fold" in plain


def test_print_is_the_same_every_time(block: Block) -> None:
    wishes = options(seam_allowance=6)
    assert print_block(block, wishes).pdf == print_block(block, wishes).pdf


def test_names_beyond_western_letters_are_printed(block: Block) -> None:
    odd = replace(block, name="Próba ładna 日")
    assert "Próba ładna" in text_of(print_block(odd, options()).pdf)[0]


def test_viewer_is_asked_not_to_scale(block: Block) -> None:
    reader = pypdf.PdfReader(io.BytesIO(print_block(block, options()).pdf))
    root: Any = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_roll_is_as_long_as_needed(block: Block) -> None:
    made = print_block(block, options("roll:914"))
    page = pypdf.PdfReader(io.BytesIO(made.pdf)).pages[0]
    assert made.pages == 1
    assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(914, abs=0.01)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(
        made.layout.height + 20, abs=0.01
    )


def test_files_are_small(block: Block) -> None:
    assert len(print_block(many(block, 5), options(turning=6)).pdf) < 200_000


def test_level_that_misses_a_piece_is_not_drawn(block: Block) -> None:
    far = replace(block, levels=(*block.levels, Level("thigh", 90.0)))
    assert "thigh" not in {name for name, _ in print_pieces(far, options())[0].levels}


@pytest.mark.parametrize(
    ("make", "match"),
    [
        (lambda: paper_named("a9"), "there is no paper 'a9'"),
        (lambda: paper_named("roll:5"), "200 to 3000"),
        (lambda: options(margin=60), "margin of 60 mm"),
        (lambda: options(overlap=-1), "overlap of -1 mm"),
        (lambda: options(turning=-1), "turning"),
        (lambda: options(seam_allowance=float("nan")), "seam allowance"),
        (lambda: options(edge_allowances={"leg": 500}), "allowance of leg"),
        (lambda: PrinterReading(96.0, 100.0), "more than 3 % off"),
        (lambda: PrinterReading(100.0, 0.0), "more than 3 % off"),
    ],
)
def test_impossible_wishes_are_refused(make: Callable[[], object], match: str) -> None:
    with pytest.raises(UsageError, match=match):
        make()


def test_unknown_edge_is_refused(block: Block) -> None:
    with pytest.raises(UsageError, match="no edge is named 'sleeve'"):
        print_pieces(block, options(edge_allowances={"sleeve": 5}))


def test_far_too_many_sheets_are_refused(block: Block) -> None:
    big = tuple(
        replace(
            p,
            name=f"{p.name} {i}",
            edges=tuple(replace(e, control=e.control * 4) for e in p.edges),
            marks={},
        )
        for p in block.pieces
        for i in range(6)
    )
    levels = (Level("waist", 1.0),)
    many = replace(block, pieces=big, levels=levels, seams=(), holds=(), loop_path=())
    with pytest.raises(UsageError, match="more than 400 sheets"):
        print_block(many, options())
