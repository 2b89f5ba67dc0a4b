"""SVG in and out: size, names, transforms, what is left out, and what is refused."""

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ease.block.lengths import arc_length
from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.errors import InputError
from ease.files.any_block import read_block_file
from ease.files.drawing import KnownLength, box_round
from ease.files.svg_in import read_svg
from ease.files.svg_out import svg_text
from ease.sentence import in_units

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:draw="urn:some-drawing-program" '
)
PAGE = HEAD + 'width="400mm" height="400mm" viewBox="0 0 400 400">'
# A piece that is different from its mirror images: the fold is on the left, the
# neckline above, the side slants.
FRONT = '<path id="front" d="M20 30 C60 30 80 20 80 10 L120 25 L150 200 L20 210 Z"/>'
WAIST = '<path id="waist" d="M10 110H200"/>'


@pytest.fixture
def svg(tmp_path: Path) -> Callable[..., Path]:
    def write(body: str, head: str = PAGE, name: str = "drawn.svg") -> Path:
        path = tmp_path / name
        path.write_text(head + body + "</svg>", encoding="utf-8")
        return path

    return write


def test_own_file_comes_back_as_the_same_block(
    block: Block, same_block: Callable[..., None], tmp_path: Path
) -> None:
    path = tmp_path / "own.svg"
    path.write_text(svg_text(block), encoding="utf-8")
    found = read_block_file(path)
    same_block(block, found.block)
    assert found.notes == ()


def test_own_file_is_the_same_every_time(block: Block) -> None:
    assert svg_text(block) == svg_text(block)


def test_own_file_has_one_group_for_each_piece_and_line_type(block: Block) -> None:
    text = svg_text(block)
    for piece in ("front", "back"):
        for kind in ("outline", "levels", "marks", "labels"):
            assert f'<g id="{piece}.{kind}"' in text
    assert re.search(r'width="[\d.]+mm" height="[\d.]+mm" viewBox="0 0 ', text)


def test_pushed_piece_still_comes_back(
    block: Block, same_block: Callable[..., None], tmp_path: Path
) -> None:
    moved = svg_text(block).replace(
        'transform="translate(', 'transform="translate(37 -12) translate('
    )
    path = tmp_path / "moved.svg"
    path.write_text(moved, encoding="utf-8")
    same_block(block, read_block_file(path).block)


def test_level_moved_in_the_drawing_counts(block: Block, tmp_path: Path) -> None:
    text = svg_text(block)
    path = tmp_path / "level.svg"
    moved = text.replace("M0 255H", "M0 265H")
    assert moved != text
    path.write_text(moved, encoding="utf-8")
    assert read_block_file(path).block.level("bust").y == pytest.approx(26.5, abs=1e-9)


def test_without_own_data_names_still_tell(block: Block, tmp_path: Path) -> None:
    bare = re.sub(r' data-ease-[a-z]+="[^"]*"', "", svg_text(block))
    bare = re.sub(r"<metadata>.*</metadata>", "", bare, flags=re.DOTALL)
    path = tmp_path / "bare.svg"
    path.write_text(bare, encoding="utf-8")
    found = read_block_file(path).block
    assert [p.name for p in found.pieces] == ["front", "back"]
    assert [e.name for e in found.piece("front").edges] == [
        e.name for e in block.piece("front").edges
    ]
    assert level_girths(found)["waist"] == pytest.approx(level_girths(block)["waist"])
    assert {str(s.first) for s in found.seams} == {
        "front.strap",
        "front.side",
        "front.crotch",
    }


def test_foreign_drawing_lies_the_right_way_up(svg: Callable[..., Path]) -> None:
    found = read_block_file(svg(FRONT + WAIST)).block
    piece = found.piece("front")
    assert piece.on_fold
    assert [e.name for e in piece.edges] == [
        "edge 1",
        "edge 2",
        "edge 3",
        "edge 4",
        "fold",
    ]
    # y = 0 at the top of the piece, 1 cm below the page's edge; x = 0 at its left.
    assert piece.edges[0].first == pytest.approx([0.0, 2.0])
    assert piece.edges[0].last == pytest.approx([6.0, 0.0])
    assert piece.edges[1].last == pytest.approx([10.0, 1.5])
    assert piece.edges[3].first == pytest.approx([13.0, 19.0])
    assert found.level("waist").y == pytest.approx(10.0)


def test_fold_on_the_right_turns_the_piece_over(svg: Callable[..., Path]) -> None:
    mirrored = f'<g transform="translate(300 0) scale(-1 1)">{FRONT}</g>'
    found = read_block_file(svg(mirrored + '<path id="waist" d="M110 110H290"/>'))
    plain = read_block_file(svg(FRONT + WAIST)).block.piece("front")
    piece = found.block.piece("front")
    for edge, other in zip(piece.edges, plain.edges, strict=True):
        assert edge.control == pytest.approx(other.control)
    assert any("right edge is taken as the fold" in note for note in found.notes)


@pytest.mark.parametrize(
    ("size", "box", "scale"),
    [
        ('width="100mm" height="100mm"', "0 0 100 100", 0.1),
        ('width="10cm" height="10cm"', "0 0 200 200", 0.05),
        ('width="4in" height="4in"', "0 0 4 4", 2.54),
        ('width="72pt" height="72pt"', "0 0 72 72", 2.54 / 72),
        ('width="6pc" height="6pc"', "-5 -5 10 10", 0.254),
    ],
)
def test_size_is_exact(
    svg: Callable[..., Path], size: str, box: str, scale: float
) -> None:
    path = svg('<path d="M0 0H7V3Z"/>', head=HEAD + f'{size} viewBox="{box}">')
    shape = read_svg(path).shapes[0]
    width, height = np.ptp(box_round([shape.control]), axis=0)
    # Exact to the last digits: no factor of 96 / 25.4 gets in.
    assert (width, height) == pytest.approx((7 * scale, 3 * scale), rel=1e-14)


@pytest.mark.parametrize(
    "size",
    [
        "",
        'width="400" height="400"',
        'width="100%" height="9"',
        'width="400px" height="400px"',
    ],
)
def test_without_a_paper_size_a_length_must_be_known(
    svg: Callable[..., Path], size: str
) -> None:
    path = svg(FRONT + WAIST, head=HEAD + f'{size} viewBox="0 0 400 400">')
    with pytest.raises(InputError, match="how large it is on paper"):
        read_svg(path)
    found = read_svg(path, KnownLength("waist", 19.0))  # it runs over 190 units
    assert np.ptp(found.shapes[0].control[..., 1]) == pytest.approx(20.0)


def test_known_length_names_a_line_that_is_there(svg: Callable[..., Path]) -> None:
    with pytest.raises(InputError, match="no line is named 'hip'"):
        read_svg(svg(FRONT + WAIST), KnownLength("hip", 19.0))


def test_known_length_of_an_outline_is_its_longer_side(
    svg: Callable[..., Path],
) -> None:
    found = read_svg(svg(FRONT + WAIST), KnownLength("front", 10.0))
    box = box_round([found.shapes[0].control])
    assert np.ptp(box, axis=0).max() == pytest.approx(10.0)


def test_a_size_set_aside_for_a_known_length_is_told(svg: Callable[..., Path]) -> None:
    sized = HEAD + 'width="400mm" height="400mm" viewBox="0 0 400 400">'
    path = svg(FRONT + WAIST, head=sized)
    other = read_svg(path, KnownLength("waist", 38.0)).notes[-1]
    assert other == (
        "scaled so that waist is 38 cm; by the size that the drawing gives it is "
        "19.0 cm, which is set aside"
    )
    assert "7 1/2 in" in in_units(other, "in")
    same = read_svg(path, KnownLength("waist", 19.01)).notes[-1]
    assert same == "scaled so that waist is 19.01 cm"
    bare = svg(FRONT + WAIST, head=HEAD + 'viewBox="0 0 400 400">')
    assert "set aside" not in read_svg(bare, KnownLength("waist", 38.0)).notes[-1]


def test_aspect_ratio_is_kept_as_the_standard_says(svg: Callable[..., Path]) -> None:
    head = HEAD + 'width="100mm" height="50mm" viewBox="0 0 100 100">'
    found = read_svg(svg('<path d="M0 0H10V10Z"/>', head=head))
    assert np.ptp(box_round([found.shapes[0].control]), axis=0) == pytest.approx(
        [0.5, 0.5]
    )
    assert any("do not match the viewBox" in note for note in found.notes)
    head = head.replace("viewBox", 'preserveAspectRatio="none" viewBox')
    found = read_svg(svg('<path d="M0 0H10V10Z"/>', head=head))
    assert np.ptp(box_round([found.shapes[0].control]), axis=0) == pytest.approx(
        [1.0, 0.5]
    )


def test_transforms_and_groups_are_applied_outside_in(svg: Callable[..., Path]) -> None:
    body = (
        '<g transform="translate(10 20)"><g transform="rotate(90)">'
        '<g transform="scale(2 3)"><path d="M1 1L5 1"/></g></g></g>'
    )
    control = read_svg(svg(body)).shapes[0].control[0] * 10
    # (1, 1) -> scale (2, 3) -> rotate (-3, 2) -> translate (7, 22)
    assert control[0] == pytest.approx([7, 22])
    assert control[3] == pytest.approx([7, 30])


def test_every_path_command_and_shape_is_read(svg: Callable[..., Path]) -> None:
    d = (
        "m10 10 l10 0 h5 v5 H10 V20 c1 2 3 4 5 6 s3 4 5 6 q1 2 3 4 t3 4 "
        "a5 5 0 0 1 5 5 L0 0z"
    )
    body = (
        f'<path d="{d}"/><rect x="1" y="2" width="30" height="20" rx="4"/>'
        '<circle cx="50" cy="50" r="10"/><ellipse cx="9" cy="9" rx="4" ry="2"/>'
        '<line x1="0" y1="0" x2="3" y2="4"/><polyline points="0,0 3,4 6,0"/>'
        '<polygon points="0,0 3,4 6,0"/>'
    )
    shapes = read_svg(svg(body)).shapes
    assert len(shapes) == 7
    lengths = [10 * float(arc_length(shape.control).sum()) for shape in shapes[1:]]
    assert lengths[0] == pytest.approx(2 * (22 + 12) + 2 * math.pi * 4, abs=1e-3)
    assert lengths[1] == pytest.approx(2 * math.pi * 10, abs=1e-3)
    assert lengths[3:] == pytest.approx([5.0, 10.0, 16.0])
    assert [shape.closed for shape in shapes] == [
        True,
        True,
        True,
        True,
        False,
        False,
        True,
    ]


def test_arcs_stay_within_a_thousandth_of_a_millimetre(
    svg: Callable[..., Path],
) -> None:
    body = '<g transform="scale(3 1) rotate(20)"><circle cx="50" cy="50" r="40"/></g>'
    shape = read_svg(svg(body)).shapes[0]
    t = np.linspace(0, 1, 200)[:, None]
    s = 1 - t
    curve = np.concatenate(
        [
            s**3 * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t**3 * c[3]
            for c in shape.control
        ]
    )
    angle = math.radians(20)
    turn = np.array(
        [[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]
    )
    back = (curve * 10 / [3, 1]) @ turn
    assert np.abs(np.hypot(*(back - 50).T) - 40).max() < 1e-3


def test_use_places_a_copy(svg: Callable[..., Path]) -> None:
    body = (
        '<defs><path id="shape" d="M0 0H10V10Z"/></defs>'
        '<g id="front"><use xlink:href="#shape" x="5" y="7"/></g>'
        '<use id="back" href="#shape" transform="translate(50 0)"/>'
    )
    shapes = read_svg(svg(body)).shapes
    assert shapes[0].control[0, 0] * 10 == pytest.approx([5, 7])
    assert shapes[1].control[0, 0] * 10 == pytest.approx([50, 0])
    assert shapes[0].groups == ("front",)
    assert shapes[1].groups == ("back",)


@pytest.mark.parametrize(
    "hidden",
    [
        '<g id="old" display="none">{}</g>',
        '<g id="old" style="display: none">{}</g>',
        '<g id="old" visibility="hidden">{}</g>',
        '<style>.off {{ display: none }}</style><g id="old" class="off">{}</g>',
        '<style>#old {{ visibility:hidden }}</style><g id="old">{}</g>',
    ],
)
def test_hidden_shapes_are_left_out_and_said(
    svg: Callable[..., Path], hidden: str
) -> None:
    body = FRONT + WAIST + hidden.format('<path id="older" d="M0 0H10V10Z"/>')
    drawing = read_svg(svg(body))
    assert [shape.name for shape in drawing.shapes] == ["front", "waist"]
    assert any("hidden" in note and "old" in note for note in drawing.notes)


def test_what_is_no_line_is_named(svg: Callable[..., Path]) -> None:
    body = (
        FRONT.replace("/>", ' clip-path="url(#c)"/>')
        + WAIST
        + '<text>hello</text><image href="x.png"/>'
        '<clipPath id="c"><path d="M0 0H9"/></clipPath>'
    )
    drawing = read_svg(svg(body))
    assert len(drawing.shapes) == 2
    note = next(note for note in drawing.notes if "ignored" in note)
    assert all(word in note for word in ("text", "image", "clip-path on front"))


@pytest.mark.parametrize(
    "named",
    [
        '<g draw:groupmode="layer" draw:label="left front" id="layer1">{}</g>',
        '<g data-name="left front" id="x">{}</g>',
        '<g id="left_x20_front">{}</g>',
        '<g id="g12"><title>left front</title>{}</g>',
    ],
)
def test_pieces_take_the_name_a_person_gave(
    svg: Callable[..., Path], named: str
) -> None:
    body = (
        named.format('<path id="path7" d="M20 30 L80 10 L150 200 L20 210 Z"/>') + WAIST
    )
    found = read_block_file(svg(body)).block
    assert found.pieces[0].name.replace("_x20_", " ") == "left front"


def test_open_lines_of_a_layer_are_chained_in_any_order(
    svg: Callable[..., Path],
) -> None:
    body = (
        '<g id="front"><path id="side" d="M150 200L120 25"/>'
        '<path id="hem" d="M20 210L150 200"/><path id="shoulder" d="M80 10L120 25"/>'
        '<path id="neckline" d="M20 30C60 30 80 20 80 10"/>'
        '<path id="fold" d="M20 210V30"/></g>'
    )
    found = read_block_file(svg(body + WAIST)).block
    names = [edge.name for edge in found.piece("front").edges]
    assert names == ["neckline", "shoulder", "side", "hem", "fold"]


def test_open_outline_is_refused_with_the_place(svg: Callable[..., Path]) -> None:
    lines = '<path id="a" d="M20 30L80 10"/><path id="b" d="M80 10L20 200"/>'
    body = f'<g id="front">{lines}</g>'
    with pytest.raises(InputError, match=r"piece front: its lines do not close"):
        read_block_file(svg(body + WAIST))


def test_an_open_line_as_large_as_a_piece_is_never_left_out(
    svg: Callable[..., Path],
) -> None:
    whole = '<path id="front" d="M20 30L80 10L150 200L20 210Z"/>'
    back = '<path id="back" d="M220 30L280 10L350 200L220 210"/>'
    with pytest.raises(
        InputError, match=r"line back: it does not close: it stops at 22"
    ):
        read_block_file(svg(whole + back + WAIST))
    # Inside a piece such a line belongs to it.
    inside = '<path id="style" d="M25 40L80 30L130 190L25 200"/>'
    found = read_block_file(svg(whole + inside + WAIST))
    assert [piece.name for piece in found.block.pieces] == ["front"]
    assert any("style" in note for note in found.notes)


def test_outline_that_crosses_itself_is_refused(svg: Callable[..., Path]) -> None:
    body = '<path id="front" d="M20 30L150 210L20 210L150 30Z"/>' + WAIST
    with pytest.raises(InputError, match="crosses itself"):
        read_block_file(svg(body))


def test_pieces_drawn_apart_are_lined_up_by_their_levels(
    svg: Callable[..., Path],
) -> None:
    back = FRONT.replace("front", "back").replace(
        "<path", '<path transform="translate(200 55)"'
    )
    waist = '<path id="waist" transform="translate(200 55)" d="M10 110H170"/>'
    own = '<path id="waist" d="M10 110H160"/>'
    body = f'<g id="a">{FRONT}{own}</g><g id="b">{back}{waist}</g>'
    found = read_block_file(svg(body)).block
    tops = [box_round(e.control for e in piece.edges)[0, 1] for piece in found.pieces]
    assert tops == pytest.approx([0.0, 0.0])


def test_without_a_level_it_is_refused_with_what_would_mend_it(
    svg: Callable[..., Path],
) -> None:
    with pytest.raises(InputError, match="no level is drawn") as caught:
        read_block_file(svg(FRONT))
    assert "--map" in caught.value.hint


MAP = """schema = "ease/map/1"
name = "mapped"
anchor = "waist"
loop_path = [["front.neck", "front.hem-fold"]]
[[piece]]
name = "front"
from = "path7"
fold = "left"
in_girth = false
edges = { "edge 1" = "neckline", "edge 4" = "hem" }
points = { "fold-neckline" = "neck" }
[[level]]
name = "waist"
from = "line9"
loop = "open"
[[level]]
name = "hip"
y = 15.5
[[hold]]
name = "neck width"
between = ["front.neck", "front.neckline-edge 2"]
"""


def test_map_says_what_lines_mean(svg: Callable[..., Path], tmp_path: Path) -> None:
    body = (FRONT + WAIST).replace('"front"', '"path7"').replace('"waist"', '"line9"')
    path = tmp_path / "map.toml"
    path.write_text(MAP, encoding="utf-8")
    found = read_block_file(svg(body), map_path=path).block
    assert found.name == "mapped"
    assert [e.name for e in found.piece("front").edges][0::3] == ["neckline", "hem"]
    assert found.level("waist").loop == "open"
    assert found.level("hip").y == 15.5
    assert found.holds[0].name == "neck width"
    assert not found.piece("front").in_girth
    assert len(found.loop_path[0]) == 2


LEG_MAP = """[[piece]]
name = "{name}"
from = "{name}"
fold = "{fold}"
[piece.edges]
"edge 1" = "waist edge"
"edge 2" = "side"
"edge 4" = "inside leg"
"edge 5" = "rise"
"""


@pytest.mark.parametrize(("fold", "sewn"), [("pair", True), ("none", False)])
def test_the_rise_of_what_is_cut_twice_is_sewn_by_its_name(
    svg: Callable[..., Path], tmp_path: Path, *, fold: str, sewn: bool
) -> None:
    leg = '<path id="{}" d="M{} 10H{}V190H{}L{} 80Z"/>'
    at = {"front": (25, 70, 40, 0), "back": (125, 170, 140, 100)}
    pieces = "".join(leg.format(name, *xs) for name, xs in at.items())
    path = tmp_path / "map.toml"
    each = [LEG_MAP.format(name=name, fold=fold) for name in ("front", "back")]
    head = 'schema = "ease/map/1"\nanchor = "waist"\n'
    path.write_text(head + "".join(each), encoding="utf-8")
    found = read_block_file(
        svg(pieces + '<path id="waist" d="M0 12H180"/>'), map_path=path
    )
    own = [seam.first for seam in found.block.seams if seam.first == seam.second]
    assert own == (["front.rise", "back.rise"] if sewn else [])
    told = [note for note in found.notes if note.startswith("sewn together")]
    assert ("front.rise to its own mirror image" in told[0]) is sewn
    assert "front.side to back.side" in told[0]


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ('"path7"', '"path8"', "no line or group is named 'path8'"),
        ('"line9"', '"line8"', "no horizontal line named 'line8'"),
        ('"edge 1"', '"edge 9"', "the map names the edge 'edge 9'"),
        ('fold = "left"', 'fold = "up"', "must be one of auto, left, right, none"),
        ("front.neck-", "side.neck-", "no piece 'side'"),
        ("in_girth", "girthy", "is unknown"),
        ("ease/map/1", "ease/map/9", 'must be "ease/map/1"'),
    ],
)
def test_wrong_map_is_refused(
    svg: Callable[..., Path], tmp_path: Path, old: str, new: str, match: str
) -> None:
    body = (FRONT + WAIST).replace('"front"', '"path7"').replace('"waist"', '"line9"')
    path = tmp_path / "map.toml"
    text = MAP.replace('"front.neck", "front.neckline', '"front.neck", "front.neckline')
    if old == "front.neck-":
        old, new = (
            '["front.neck", "front.neckline-edge 2"]',
            '["side.neck", "front.neck"]',
        )
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=match):
        read_block_file(svg(body), map_path=path)


USE_BOMB = "<defs><path id='u0' d='M0 0H1V1Z'/>" + "".join(
    f"<g id='u{i}'>" + f"<use href='#u{i - 1}'/>" * 10 + "</g>" for i in range(1, 8)
)


@pytest.mark.parametrize(
    ("body", "match"),
    [
        ("<g>" * 5000 + "</g>" * 5000, "nested more than 60"),
        ('<g id="a"><use href="#a"/></g>', "uses 'a' inside itself"),
        ('<use href="#gone"/>', "uses 'gone', which is not there"),
        (
            USE_BOMB + "</defs><use href='#u7'/>",
            "more than the 20000 segments|repeat each other",
        ),
        ('<path d="M0 0' + "L1 2" * 200_000 + 'Z"/>', "far more than 20000 segments"),
        ('<path d="M0 0L1e999 2L3 1Z"/>', "not a finite number"),
        ('<path d="M0 0L1e300 2L3 1Z"/>', "its unit is probably another one"),
        ('<path d="M0 0Lnan 2Z"/>', "holds 'n', which no path has"),
        ('<path d="M0 0L1"/>', "cannot be read"),
        ('<path d="L1 2L3 4Z"/>', "does not start with a move"),
        ('<path transform="turn(3)" d="M0 0H1V1Z"/>', "transform 'turn\\(3\\)'"),
        ('<rect width="10em" height="3"/>', "unit 'em' is not read"),
        ("", "no line that could be an outline"),
    ],
)
def test_hostile_drawing_is_refused(
    svg: Callable[..., Path], body: str, match: str
) -> None:
    with pytest.raises(InputError, match=match):
        read_svg(svg(body))


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"", "is empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "no readable SVG"),
        (b"<html/>", "outermost element is 'html'"),
        (b"<svg", "no readable SVG"),
        (b'<?xml version="1.0" encoding="foo"?><svg/>', "no readable SVG"),
        (
            b'<!DOCTYPE s [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg>&b;</svg>',
            "entities",
        ),
        (
            b'<!DOCTYPE s [<!ENTITY a SYSTEM "file:///etc/hostname">]><svg>&a;</svg>',
            "entities",
        ),
        (b" " * 10_000_001, "too large"),
    ],
)
def test_what_is_no_svg_is_refused(tmp_path: Path, data: bytes, match: str) -> None:
    path = tmp_path / "bad.svg"
    path.write_bytes(data)
    with pytest.raises(InputError, match=match):
        read_svg(path)


def test_folder_and_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder"):
        read_svg(tmp_path)
    with pytest.raises(InputError, match="no such file"):
        read_svg(tmp_path / "none.svg")


@pytest.mark.parametrize(
    "value", ["[[[", '["bust", "x", "closed"]', '["bust", 1.0, "round"]']
)
def test_damaged_own_data_is_refused(block: Block, tmp_path: Path, value: str) -> None:
    text = svg_text(block).replace('["bust", 25.5, "closed"]', value)
    path = tmp_path / "bad.svg"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"bust|cannot be read|damaged"):
        read_block_file(path)


coordinate = st.floats(-150, 150, allow_nan=False)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(coordinate, coordinate), min_size=4, max_size=4))
def test_any_cubic_survives_writing_and_reading(
    points: list[tuple[float, float]],
) -> None:
    from ease.block.pieces import Edge
    from ease.files.svg_out import path_data
    from ease.files.svg_shapes import _path_lines

    control = np.array([points])
    if np.abs(control - control[:, :1]).max() < 1e-6:
        return
    text = path_data(Edge("e", "a", "b", control, (False,)))
    lines = _path_lines(text, np.diag([0.1, 0.1, 1.0]))
    assert lines[0][0] == pytest.approx(control, abs=1e-9)
