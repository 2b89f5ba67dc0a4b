"""Pieces on the fold, cut as a pair or cut once: read, kept, counted and labelled."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ease.block.measure import level_girths
from ease.block.pieces import Block, Cut
from ease.errors import BlockError
from ease.files.any_block import read_block_file
from ease.files.block_toml import block_to_toml, load_block
from ease.files.dxf_out import dxf_bytes
from ease.files.sheet_paper import SheetOptions, paper_named
from ease.files.sheet_pieces import print_pieces
from ease.files.svg_out import svg_text
from ease.files.trace_file import load_trace

WAYS: tuple[Cut, ...] = ("fold", "pair", "once")
PANELS = """{lines}# level waist = 5
# seam left = front.left, back.left
# seam right = front.right, back.right
piece,edge,point,across,down
front,top,a,0,0
front,right,b,28,0
front,hem,c,28,20
front,left,d,0,20
back,top,a,40,0
back,right,b,70,0
back,hem,c,70,20
back,left,d,40,20
"""


def cut(block: Block, way: Cut) -> Block:
    pieces = [replace(piece, cut=way) for piece in block.pieces]
    return replace(block, pieces=tuple(pieces))


def traced(folder: Path, lines: str) -> Path:
    path = folder / "panels.csv"
    path.write_text(PANELS.format(lines=lines), encoding="utf-8")
    return path


@pytest.mark.parametrize("way", WAYS)
def test_every_format_keeps_how_a_piece_is_cut(
    block: Block, tmp_path: Path, way: Cut
) -> None:
    wanted = cut(block, way)
    texts = {
        "b.toml": block_to_toml(wanted).encode(),
        "b.svg": svg_text(wanted).encode(),
        "b.dxf": dxf_bytes(wanted),
    }
    for name, data in texts.items():
        (tmp_path / name).write_bytes(data)
        found = read_block_file(tmp_path / name).block
        assert [piece.cut for piece in found.pieces] == [way, way], name
        assert level_girths(found) == pytest.approx(level_girths(wanted), abs=1e-6)


@pytest.mark.parametrize(
    ("way", "words"),
    [("fold", "cut 1 on fold"), ("pair", "cut 1 pair, mirrored"), ("once", "cut 1")],
)
def test_the_print_says_how_many_to_cut(block: Block, way: Cut, words: str) -> None:
    options = SheetOptions(paper=paper_named("a4"))
    (label, _) = (piece.label for piece in print_pieces(cut(block, way), options))
    assert label[-2] == words


@pytest.mark.parametrize(
    ("lines", "girth", "told"),
    [
        # 28 + 30 cm once; twice as a pair; a note where nothing was said of the fold.
        ("# fold = none\n", 58.0, 0),
        ("# fold = pair\n", 116.0, 0),
        ("# fold front = pair\n# fold back = none\n", 86.0, 0),
        ("", 58.0, 2),
        ("# fold front = none\n", 58.0, 1),
        # Half pieces on folds at 0 and 40 cm.
        ("# fold front = 0\n# fold back = 40\n", 116.0, 0),
    ],
)
def test_a_traced_piece_counts_as_it_is_cut(
    tmp_path: Path, lines: str, girth: float, told: int
) -> None:
    found = load_trace(traced(tmp_path, lines))
    assert level_girths(found.block)["waist"] == pytest.approx(girth)
    notes = [note for note in found.notes if "no fold is given" in note]
    assert len(notes) == told


def test_a_fold_inside_its_piece_is_told_as_the_board_reads(tmp_path: Path) -> None:
    with pytest.raises(BlockError) as caught:
        load_trace(traced(tmp_path, "# fold front = 14\n# fold back = 40\n"))
    message = str(caught.value)
    assert "its fold lies 14 across, but it has points on both sides" in message
    assert message.count("piece front") == 1


def test_a_map_says_that_a_piece_is_cut_twice(tmp_path: Path) -> None:
    drawing = tmp_path / "p.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" '
        'viewBox="0 0 300 200"><path id="front" d="M20 0 H280 L300 200 H0 Z"/>'
        '<path id="waist" d="M0 100 H300"/></svg>',
        encoding="utf-8",
    )
    girths = {}
    for fold in ("none", "pair"):
        path = tmp_path / f"{fold}.toml"
        path.write_text(
            'schema = "ease/map/1"\n[[piece]]\nname = "front"\n'
            f'fold = "{fold}"\n[[level]]\nname = "waist"\n',
            encoding="utf-8",
        )
        found = read_block_file(drawing, map_path=path)
        girths[fold] = level_girths(found.block)["waist"]
    # Half way between 260 and 300 mm.
    assert girths == pytest.approx({"none": 28.0, "pair": 56.0})
    plain = read_block_file(drawing)
    assert plain.block.pieces[0].cut == "once"
    assert any('say fold = "pair"' in note for note in plain.notes)


def test_older_files_tell_only_the_fold(block: Block, tmp_path: Path) -> None:
    text = block_to_toml(cut(block, "pair"))
    path = tmp_path / "old.toml"
    path.write_text(text.replace('cut = "pair"', "on_fold = false"), encoding="utf-8")
    assert [piece.cut for piece in load_block(path).pieces] == ["pair", "pair"]
    both = text.replace('cut = "pair"', 'cut = "pair"\non_fold = false', 1)
    path.write_text(both, encoding="utf-8")
    with pytest.raises(BlockError, match="older way to say cut"):
        load_block(path)
    path.write_text(text.replace('cut = "pair"', 'cut = "twice"', 1), encoding="utf-8")
    with pytest.raises(BlockError, match="must be one of fold, pair, once"):
        load_block(path)


def test_a_slip_of_the_ruler_at_the_fold_is_put_on_it(tmp_path: Path) -> None:
    """A fold read 1 mm off stays a fold; 2 cm off, it is none."""
    found = load_trace(traced(tmp_path, "# fold front = 0\n# fold back = 39.9\n"))
    back = found.block.piece("back")
    assert any(back.is_fold(edge) for edge in back.edges)
    (note,) = (str(note) for note in found.notes if "put on it" in note)
    assert note.startswith("back: points along the fold lie up to 1.0 mm off it")
    with pytest.raises(BlockError, match="no edge runs along its fold, 38"):
        load_trace(traced(tmp_path, "# fold front = 0\n# fold back = 38\n"))


def test_a_half_piece_without_an_edge_on_the_fold_is_refused(
    block: Block, tmp_path: Path
) -> None:
    """It would be counted twice and printed without a fold."""
    text = block_to_toml(block)
    panels = replace(
        load_trace(traced(tmp_path, "# fold = pair\n")).block, holds=(), loop_path=()
    )
    path = tmp_path / "b.toml"
    shifted = block_to_toml(panels).replace('cut = "pair"', 'cut = "fold"')
    shifted = shifted.replace("[-14.0, ", "[1.0, ").replace("[-15.0, ", "[1.0, ")
    path.write_text(shifted, encoding="utf-8")
    with pytest.raises(BlockError, match="no edge lies on x = 0"):
        load_block(path)
    path.write_text(text, encoding="utf-8")
    assert load_block(path).pieces[0].on_fold


def test_girths_of_no_body_ask_for_the_unit(tmp_path: Path) -> None:
    path = traced(tmp_path, "# fold = none\n# units = mm\n")
    (note,) = (str(note) for note in load_trace(path).notes if "goes round" in note)
    assert note.startswith("level waist goes round 5.8 cm: is `units` right")
