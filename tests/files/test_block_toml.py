from pathlib import Path

import numpy as np
import pytest

from ease.block.measure import edge_length
from ease.block.pieces import Block
from ease.errors import BlockError, WriteError
from ease.files.block_toml import block_to_toml, load_block, save_block

HAND_BLOCK = Path(__file__).parents[1] / "block" / "hand_block.toml"

SMALL = """\
schema = "ease/block/1"
units = "cm"
name = "small"
anchor = "waist"

[[level]]
name = "waist"
y = 5

[[piece]]
name = "front"

[piece.points]
top = [0, 0]
side = [20, 0]
hem = [0, 10]

[[piece.edge]]
name = "shoulder"
from = "top"
to = "side"

[[piece.edge]]
name = "side"
from = "side"
to = "hem"
curve = [[20, 5], [10, 10]]

[[piece.edge]]
name = "centre"
from = "hem"
to = "top"
"""


def read(tmp_path: Path, text: str) -> Block:
    path = tmp_path / "block.toml"
    path.write_text(text, encoding="utf-8")
    return load_block(path)


def faults(tmp_path: Path, text: str) -> str:
    with pytest.raises(BlockError) as caught:
        read(tmp_path, text)
    assert caught.value.exit_code == 3
    return str(caught.value)


def assert_same(one: Block, other: Block, within: float = 1e-12) -> None:
    for name in (
        "name",
        "note",
        "anchor",
        "seams",
        "holds",
        "loop_path",
        "drafted_for",
    ):
        assert getattr(one, name) == getattr(other, name)
    for a, b in zip(one.levels, other.levels, strict=True):
        assert (a.name, a.loop) == (b.name, b.loop)
        assert a.y == pytest.approx(b.y, abs=within)
    for p, q in zip(one.pieces, other.pieces, strict=True):
        assert (p.name, p.on_fold, p.in_girth) == (q.name, q.on_fold, q.in_girth)
        assert list(p.marks) == list(q.marks)
        for name in p.marks:
            np.testing.assert_allclose(p.marks[name], q.marks[name], atol=within)
        for e, f in zip(p.edges, q.edges, strict=True):
            assert (e.name, e.start, e.end) == (f.name, f.start, f.end)
            assert e.straight == f.straight
            np.testing.assert_allclose(e.control, f.control, rtol=0, atol=within)


def test_the_way_out_and_back_is_exact(tmp_path: Path) -> None:
    block = load_block(HAND_BLOCK)
    assert len(block.pieces) == 2
    path = tmp_path / "out.toml"
    save_block(block, path)
    assert_same(block, load_block(path))


def test_numbers_without_end_come_back(tmp_path: Path) -> None:
    text = SMALL.replace(
        "[20, 5], [10, 10]", f"[{20 / 3}, {np.pi}], [{1e-7 / 3}, -0.0]"
    )
    block = read(tmp_path, text)
    written = block_to_toml(block)
    assert "-0.0" not in written
    assert_same(block, read(tmp_path, written))


def test_every_kind_of_edge_and_odd_names_come_back(tmp_path: Path) -> None:
    text = SMALL.replace(
        "curve = [[20, 5], [10, 10]]",
        "path = [\n  { line = [21, 1] },\n  { curve = [[22, 2], [22, 3], [21, 4]] },\n"
        '  { line = "end" },\n]',
    )
    text = text.replace('"small"', '"Ada\'s \\"best\\" ½"').replace(
        "hem =", "hem-line ="
    )
    text = text.replace('"hem"', '"hem-line"').replace('"top"', '"obere Ecke"')
    text = text.replace("top =", '"obere Ecke" =')
    block = read(tmp_path, text + "[drafted_for]\nlevel_factors = { waist = 0.9 }\n")
    edge = block.edge("front.side")
    assert edge.straight == (True, False, True)
    np.testing.assert_array_equal(edge.control[1, 3], [21, 4])
    assert block.drafted_for.level_factors == (("waist", 0.9),)
    assert_same(block, read(tmp_path, block_to_toml(block)))


def test_cm_mm_and_inch_give_the_same_block(tmp_path: Path) -> None:
    in_cm = read(tmp_path, SMALL)
    in_mm = SMALL.replace('"cm"', '"mm"')
    in_inch = SMALL.replace('"cm"', '"in"')
    for text in (in_mm, in_inch):
        factor = 10 if text is in_mm else 1 / 2.54
        for old in ("y = 5", "[20, 0]", "[0, 10]", "[20, 5]", "[10, 10]"):
            numbers = [float(n) for n in old.strip("y=[] ").split(", ")]
            fresh = ", ".join(repr(n * factor) for n in numbers)
            text = text.replace(old, f"y = {fresh}" if "y" in old else f"[{fresh}]")
        assert_same(in_cm, read(tmp_path, text))


def test_fractions_and_units_in_quotes(tmp_path: Path) -> None:
    text = SMALL.replace('"cm"', '"in"').replace("[20, 0]", '["3 7/8", "1,5 cm"]')
    block = read(tmp_path, text)
    np.testing.assert_allclose(block.piece("front").edges[1].first, [3.875 * 2.54, 1.5])


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "block.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.encode())
    assert edge_length(load_block(path).edge("front.centre")) == pytest.approx(10)


def test_all_faults_come_at_once_with_line_and_path(tmp_path: Path) -> None:
    text = SMALL.replace("side = [20, 0]", "side = [20, nan]")
    text = text.replace("y = 5", "hight = 5").replace('to = "side"', 'to = "sied"')
    text = text.replace("hem = [0, 10]", "hem = [0, 10, 5]") + 'colour = "red"\n'
    lines = faults(tmp_path, text).splitlines()
    assert len(lines) == 6
    assert all(line.startswith(str(tmp_path / "block.toml")) for line in lines)
    where = [line.partition("block.toml: ")[2] for line in lines]
    assert where[0].startswith("line 8, level[1].hight: is unknown; ")
    assert where[1] == "line 6, level[1].y: is missing"
    assert where[2] == (
        "line 15, piece[1].points.side: must be a finite number, not nan"
    )
    assert where[3].startswith("line 16, piece[1].points.hem: a point has two numbers")
    assert "decimal point" in where[3]
    assert where[4] == (
        "line 21, piece[1].edge[1].to: the piece has no point 'sied'; did you mean side?"
    )
    assert where[5].startswith("line 33, piece[1].edge[3].colour: is unknown")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            '"ease/block/1"',
            '"ease/block/9"',
            "schema: is 'ease/block/9'; accepted is \"e",
        ),
        ('units = "cm"\n', "", "units: is missing; accepted are cm, mm, in"),
        ('"cm"', '"ell"', "line 2, units: is ell; accepted are cm, mm, in"),
        ('name = "small"\n', "", "name: is missing"),
        ('anchor = "waist"', 'anchor = "hip"', "no level 'hip'; it has waist"),
        ("y = 5", 'y = 5\nloop = "shut"', "loop: must be one of closed, partly, open"),
        ("[20, 0]", "[2000, 0]", "lies over 300 cm from the centre"),
        ("[20, 0]", "[inf, 0]", "must be a finite number"),
        ("[20, 0]", "[true, 0]", "must be a number or a text such as '3 7/8'"),
        ("[20, 0]", '["wide", 0]', "'wide' is not a number"),
        ("[20, 0]", '["3 kg", 0]', "no unit of length"),
        ("[20, 0]", '"20, 0"', "must be a point [x, y]"),
        ("hem = [0", "spare = [1, 1]\nhem = [0", "spare: is on no edge; put it under"),
        ('"front"', '"front.left"', "a name holds no full stop"),
        ('name = "centre"', 'name = ""', "must be a name in quotes"),
        ('name = "centre"', 'name = "side"', "edge 'side' is named twice"),
        ('from = "side"', 'from = "top"', "the next edge, 'side', starts at 'top'"),
        ("[20, 5], [10, 10]", "[20, 5]", "a curve takes two handles, each [x, y]"),
        (
            "[20, 5], [10, 10]",
            "[20, 5], [-9, 9]",
            "edge 'side' runs past its fold, x = 0",
        ),
        ("curve = [[20, 5], [10, 10]]", "path = []", "must be a list of { line ="),
        ("curve = [[20, 5], [10, 10]]", "path = [{}]", "takes either line or curve"),
        (
            "curve = [[20, 5], [10, 10]]",
            "path = [{ line = [1, 2] }]",
            "ends at (1.0, 2.0), but the edge ends at (0.0, 10.0)",
        ),
        (
            "curve = [[20, 5], [10, 10]]",
            "curve = [[20, 5], [10, 10]]\npath = []",
            "takes curve or path, not both",
        ),
        (
            'name = "front"',
            'name = "front"\non_fold = 1',
            "must be true or false, not 1",
        ),
    ],
)
def test_one_fault_gives_one_clear_line(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    assert old in SMALL
    lines = faults(tmp_path, SMALL.replace(old, new, 1)).splitlines()
    assert len(lines) == 1
    assert message in lines[0]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (
            '[[seam]]\nedges = ["front.sde", "front.centre"]\n',
            "line 34, seam[1].edges: the block has no edge 'front.sde'; did you mean",
        ),
        ('[[seam]]\nedges = "front.side"\n', "must name two edges"),
        (
            '[[hold]]\nname = "w"\nbetween = ["front.top", "front.botom"]\n',
            "hold[1].between: the block has no point 'front.botom'",
        ),
        (
            '[[hold]]\nname = "w"\nbetween = ["front.top", "front.top"]\n',
            "hold[1].between: must name two different points",
        ),
        ("[drafted_for]\ngirth_factor = 9\n", "must be a number 0.2 to 3, not 9"),
        (
            "[drafted_for]\nfabrics = 'x'\n",
            "drafted_for.fabrics: is unknown; did you mean",
        ),
        ("[drafted_for]\nround = 'up'\n", "'up' is none of along, across"),
        ("[drafted_for]\nlevel_factors = 1\n", "must be a table of factors by level"),
        (
            "[drafted_for]\nlevel_factors = { seat = 0.9 }\n",
            "'seat' is no level of the block; levels are",
        ),
        (
            "[drafted_for]\ntoiled = { girth = 9 }\n",
            "drafted_for.toiled.girth: must be a number 0.2 to 3, not 9",
        ),
        (
            "[drafted_for.toiled]\nmeant = { bust = -0.9 }\n",
            "drafted_for.toiled.meant.bust: must be a number -0.7 to 4, not -0.9",
        ),
        (
            "[drafted_for]\ntoiled = { meant = 2 }\n",
            "must be a table by level or measure",
        ),
        ("[drafted_for]\ntoiled = 1\n", "drafted_for.toiled"),
        (
            "[drafted_for.toiled]\nmeasures = { waist = [70, -2] }\n",
            "drafted_for.toiled.measures.waist: must be [taped, found] in cm",
        ),
        ("[drafted_for.toiled]\nunsure = 1\n", "must be a list of measures"),
        (
            '[drafted_for.toiled]\nunsure = ["hip"]\n',
            "drafted_for.toiled.unsure: 'hip' is none of the measures found",
        ),
        (
            "[drafted_for.toiled]\nlay = { hip = [1, 0.01] }\n",
            "drafted_for.toiled.lay: 'hip' is none of the measures found",
        ),
        (
            "[drafted_for.toiled]\nmeasures = { hip = [96, 96] }\nlay = { hip = 1 }\n",
            "drafted_for.toiled.lay.hip: must be [times as taped, its spread], not 1",
        ),
        (
            "[drafted_for.toiled]\nmeasures = { hip = [96, 96] }\n"
            "lay = { hip = [3, 0.01] }\n",
            "hip: no level lay 3 +- 0.01 times",
        ),
        (
            "[drafted_for.toiled]\nmeasures = { waist = [70, 400] }\n",
            "waist: found 400 cm where 70 cm was taped; accepted is 0.5 to 2 times",
        ),
        (
            "[drafted_for.toiled]\nmeasures = { foo = [70, 71] }\n",
            "'foo' is no measure; they are",
        ),
        ("[sleeve]\n", "line 33, sleeve: is unknown"),
    ],
)
def test_faults_in_what_refers_to_pieces(
    tmp_path: Path, more: str, message: str
) -> None:
    assert message in faults(tmp_path, SMALL + more)


def test_a_wrong_unit_is_one_fault_a_piece(tmp_path: Path) -> None:
    """Two points of SMALL and its level, ten metres for a centimetre."""
    far = SMALL.replace("[20, 0]", "[20000, 0]").replace("[0, 10]", "[-9000, 10000]")
    level, piece = faults(tmp_path, far.replace("y = 5", "y = 5000")).splitlines()
    assert level.endswith("level[1].y: lies over 300 cm from the centre: 5000")
    assert piece.endswith(
        "line 15, piece[1].points.side: lies over 300 cm from the centre: 20000, one "
        'of 3 such numbers of piece[1]; is units = "cm" right?'
    )


def test_loop_path_faults(tmp_path: Path) -> None:
    text = SMALL.replace("anchor", 'loop_path = [["front.tip"]]\nanchor')
    assert "line 4, loop_path: the block has no point 'front.tip'" in faults(
        tmp_path, text
    )
    text = SMALL.replace("anchor", 'loop_path = ["front.top"]\nanchor')
    assert "must be a list of lists" in faults(tmp_path, text)


def test_hints_for_decimal_comma_and_bare_fraction(tmp_path: Path) -> None:
    for old, new, hint in (
        ("y = 5", "y = 5,5", "decimal point"),
        ("y = 5", "y = 3 7/8", "fraction in quotes"),
    ):
        with pytest.raises(BlockError) as caught:
            read(tmp_path, SMALL.replace(old, new))
        assert hint in caught.value.hint


def test_files_that_are_no_block(tmp_path: Path) -> None:
    with pytest.raises(BlockError, match="no such file"):
        load_block(tmp_path / "none.toml")
    assert "schema: is missing" in faults(tmp_path, "")
    assert "at least one table [[piece]]" in faults(
        tmp_path, SMALL.partition("[[piece]]")[0]
    )


def test_no_file_is_overwritten_unasked(tmp_path: Path) -> None:
    block, path = load_block(HAND_BLOCK), tmp_path / "block.toml"
    path.write_text("mine")
    with pytest.raises(WriteError, match="exists already"):
        save_block(block, path)
    assert path.read_text() == "mine"
    save_block(block, path, force=True)
    assert_same(load_block(path), block)
