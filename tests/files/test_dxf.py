"""DXF in and out: exact curves, units, layers, and files that are refused."""

import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ezdxf.filemanagement import new, read, readfile

from ease.block.curves import evaluate
from ease.block.lengths import arc_length
from ease.block.pieces import Block
from ease.errors import InputError, UsageError
from ease.files.any_block import load_any_block, read_block_file
from ease.files.arcs import ARC_TOLERANCE_CM
from ease.files.drawing import KnownLength, box_round
from ease.files.dxf_in import read_dxf
from ease.files.dxf_out import dxf_bytes

Draw = Callable[[Any, Any], object]


@pytest.fixture
def saved(tmp_path: Path) -> Callable[..., Path]:
    """Write a drawing made with the DXF library and return its path."""

    def save(
        draw: Draw, *, unit: int = 4, version: str = "R2010", name: str = "drawn.dxf"
    ) -> Path:
        document = new(version)
        document.header["$INSUNITS"] = unit
        draw(document, document.modelspace())
        path = tmp_path / name
        document.saveas(path)
        return path

    return save


def outline(space: Any, layer: str = "front") -> None:
    """A piece in mm, y up, that differs from its mirror images."""
    style = {"layer": layer}
    corners = [(0, 180), (60, 200), (100, 185), (130, 10), (0, 0)]
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        space.add_line(a, b, dxfattribs=style)
    space.add_line((0, 100), (115, 100), dxfattribs={"layer": "waist"})


def test_own_file_comes_back_as_the_same_block(
    block: Block, same_block: Callable[..., None], tmp_path: Path
) -> None:
    path = tmp_path / "own.dxf"
    path.write_bytes(dxf_bytes(block))
    same_block(block, read_block_file(path).block, 1e-9)


def test_own_file_is_the_same_every_time(block: Block) -> None:
    for version in ("r2000", "r12"):
        assert dxf_bytes(block, version) == dxf_bytes(block, version)


def test_r12_keeps_names_and_stays_within_its_tolerance(
    block: Block, tmp_path: Path
) -> None:
    path = tmp_path / "old.dxf"
    path.write_bytes(dxf_bytes(block, "r12"))
    found = read_block_file(path).block
    assert (found.levels, found.seams, found.holds) == (
        block.levels,
        block.seams,
        block.holds,
    )
    assert found.loop_path == block.loop_path
    t = np.linspace(0, 1, 400)
    for piece, other in zip(block.pieces, found.pieces, strict=True):
        for edge, polyline in zip(piece.edges, other.edges, strict=True):
            assert (edge.name, edge.start) == (polyline.name, polyline.start)
            assert all(polyline.straight)
            curve = np.concatenate([evaluate(c, t) for c in edge.control])
            a, b = polyline.control[:, 0], polyline.control[:, 3]
            leg = b - a
            share = ((curve[:, None] - a) * leg).sum(axis=2) / (leg * leg).sum(axis=1)
            gap = curve[:, None] - a - np.clip(share, 0, 1)[..., None] * leg
            # 0.02 mm as promised.
            assert np.linalg.norm(gap, axis=2).min(axis=1).max() < 0.002


def test_file_as_written_to_the_outside(block: Block, tmp_path: Path) -> None:
    document = read(io.StringIO(dxf_bytes(block).decode("cp1252")))
    assert document.header["$INSUNITS"] == 4
    assert document.acad_release == "R2000"
    front: Any = document.blocks.get("front")
    kinds = {entity.dxftype() for entity in front if entity.dxf.layer == "1"}
    assert kinds == {"LINE", "SPLINE"}
    texts = [entity.dxf.text for entity in front if entity.dxftype() == "TEXT"]
    assert "PIECE NAME: front" in texts
    assert not document.audit().errors
    # y points up there: the neckline lies above the crotch.
    points = [p for e in front if e.dxftype() == "SPLINE" for p in e.control_points]
    assert max(p[1] for p in points) == pytest.approx(-10.0)
    assert len(document.modelspace().query("INSERT")) == 2


def test_long_notes_and_odd_signs_survive(
    block: Block, same_block: Callable[..., None], tmp_path: Path
) -> None:
    from dataclasses import replace

    odd = replace(block, note="50 %%d ^I \\U+0041 | ę 日本 " * 40, name="a^b 100% 'x'")
    for version in ("r2000", "r12"):
        path = tmp_path / f"{version}.dxf"
        path.write_bytes(dxf_bytes(odd, version))
        found = read_block_file(path).block
        assert (found.note, found.name) == (odd.note, odd.name)


def test_foreign_lines_lie_the_right_way_up(saved: Callable[..., Path]) -> None:
    found = read_block_file(saved(lambda _, space: outline(space)))
    piece = found.block.piece("front")
    assert piece.on_fold
    assert piece.edges[0].first == pytest.approx([0.0, 2.0])
    assert piece.edges[0].last == pytest.approx([6.0, 0.0])
    assert piece.edges[2].last == pytest.approx([13.0, 19.0])
    assert found.block.level("waist").y == pytest.approx(10.0)


def test_a_polyline_over_several_edges_is_cut_at_its_corners(
    saved: Callable[..., Path],
) -> None:
    def draw(_: Any, space: Any) -> None:
        style = {"layer": "front"}
        space.add_line((0, 180), (60, 200), dxfattribs=style)
        # One line down the side, along the hem and up the fold.
        round_it = [(60, 200), (100, 185), (130, 10), (0, 0), (0, 180)]
        space.add_lwpolyline(round_it, dxfattribs=style)
        space.add_line((0, 100), (115, 100), dxfattribs={"layer": "waist"})

    piece = read_block_file(saved(draw)).block.piece("front")
    assert piece.on_fold
    assert len(piece.edges) == 5
    assert piece.edges[-1].name == "fold"


@pytest.mark.parametrize(
    ("unit", "cm"), [(1, 2.54), (2, 30.48), (4, 0.1), (5, 1.0), (6, 100.0)]
)
def test_header_unit_is_taken(saved: Callable[..., Path], unit: int, cm: float) -> None:
    path = saved(lambda _, s: s.add_line((0, 0), (3, 4)), unit=unit)
    drawing = read_dxf(path)
    assert float(arc_length(drawing.shapes[0].control).sum()) == pytest.approx(5 * cm)


def test_text_unit_counts_before_the_header(saved: Callable[..., Path]) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_text("Units: ENGLISH")
        space.add_line((0, 0), (3, 4))

    assert float(
        arc_length(read_dxf(saved(draw)).shapes[0].control).sum()
    ) == pytest.approx(12.7)
    assert (
        "read in inches, as its text UNITS: ENGLISH says" in read_dxf(saved(draw)).notes
    )
    told = read_dxf(saved(draw), "mm")
    assert float(arc_length(told.shapes[0].control).sum()) == pytest.approx(0.5)
    own = "as its text UNITS: ENGLISH says"
    assert f"read in mm, as --units-in says, not in inches, {own}" in told.notes
    agreed = read_dxf(saved(draw), "in")
    assert "read in inches, as --units-in says" in agreed.notes


def test_a_drawing_of_all_size_is_told_in_metres(saved: Callable[..., Path]) -> None:
    """30 000 inches are 762 m, no 7.62e+04 cm."""
    path = saved(lambda _, s: s.add_line((0, 0), (30_000, 4)), unit=1)
    with pytest.raises(InputError, match="is 762 m across; up to 10 m is accepted"):
        read_dxf(path)


def test_without_a_unit_it_must_be_told(saved: Callable[..., Path]) -> None:
    path = saved(lambda _, s: s.add_line((0, 0), (3, 4)), unit=0)
    with pytest.raises(InputError, match="does not say in which unit") as caught:
        read_dxf(path)
    assert "--units-in" in caught.value.hint


def test_missing_header_is_no_unit(tmp_path: Path) -> None:
    path = tmp_path / "bare.dxf"
    path.write_text(
        "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n3\n21\n4\n0\nENDSEC\n0\nEOF\n"
    )
    with pytest.raises(InputError, match="does not say in which unit"):
        read_dxf(path)
    drawing = read_dxf(path, known=KnownLength("0", 10.0))
    assert float(arc_length(drawing.shapes[0].control).sum()) == pytest.approx(10.0)


def test_arcs_and_bulges_keep_their_true_length(saved: Callable[..., Path]) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_arc((10, 20), 50, 30, 210)
        space.add_circle((0, 0), 50)
        space.add_lwpolyline([(0, 0, 1.0), (100, 0, 0)], format="xyb")
        space.add_lwpolyline(
            [(0, 0, -0.3), (100, 0, 0.2), (100, 50, 0)], format="xyb", close=True
        )
        space.add_ellipse((0, 0), (30, 0), 0.5)

    shapes = read_dxf(saved(draw)).shapes
    lengths = [10 * float(arc_length(shape.control).sum()) for shape in shapes]
    # Cubics run outside an arc by at most ARC_TOLERANCE_CM; a round line that lies
    # outside another by so much is longer by that times the angle it turns through.
    longer = 10 * ARC_TOLERANCE_CM
    assert lengths[0] == pytest.approx(math.pi * 50, abs=longer * math.pi)
    assert lengths[1] == pytest.approx(2 * math.pi * 50, abs=longer * 2 * math.pi)
    assert lengths[2] == pytest.approx(math.pi * 50, abs=longer * math.pi)

    def bulged(chord: float, bulge: float) -> float:
        angle = 4 * math.atan(abs(bulge))
        return angle * chord / (2 * math.sin(angle / 2))

    turned = 4 * (math.atan(0.3) + math.atan(0.2))
    closing = math.hypot(100, 50)
    assert lengths[3] == pytest.approx(
        bulged(100, 0.3) + bulged(50, 0.2) + closing, abs=longer * turned
    )
    radius = np.hypot(
        *(evaluate(shapes[1].control[:, None], np.linspace(0, 1, 50)).reshape(-1, 2)).T
    )
    assert np.abs(radius - 5).max() < ARC_TOLERANCE_CM


def test_bulge_runs_to_the_right_side(saved: Callable[..., Path]) -> None:
    path = saved(
        lambda _, s: s.add_lwpolyline([(0, 0, 1.0), (100, 0, 0)], format="xyb")
    )
    box = box_round([read_dxf(path).shapes[0].control])
    # A positive bulge from left to right hangs below, in DXF's y up; below is +y here.
    assert box[:, 1] == pytest.approx([0.0, 5.0], abs=1e-4)


def test_mirrored_plane_is_undone(saved: Callable[..., Path]) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_arc((-10, 0), 5, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})

    control = read_dxf(saved(draw)).shapes[0].control
    ends = sorted(map(tuple, np.round(control[[0, -1], [0, 3]], 9).tolist()))
    assert ends == [(0.5, 0.0), (1.0, -0.5)]


def test_splines_of_each_kind(saved: Callable[..., Path]) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_open_spline([(0, 0), (10, 20), (30, 20), (40, 0), (50, 9)], degree=3)
        space.add_open_spline([(0, 0), (10, 20), (30, 20)], degree=2)
        space.add_open_spline([(0, 0), (10, 20), (30, 20), (40, 0), (50, 9)], degree=4)
        space.add_rational_spline(
            [(0, 0), (10, 20), (30, 20), (40, 0)], [1, 2, 3, 1], degree=3
        )
        space.add_spline([(0, 0), (10, 20), (30, 20), (40, 0)])

    path = saved(draw)
    drawing = read_dxf(path)
    entities: list[Any] = list(readfile(path).modelspace())
    for shape, entity in zip(drawing.shapes[:4], entities[:4], strict=True):
        curve = entity.construction_tool()
        far = (
            np.array(
                [[p.x, -p.y] for p in curve.points(np.linspace(0, curve.max_t, 300))]
            )
            / 10
        )
        near = evaluate(shape.control[:, None], np.linspace(0, 1, 2000)).reshape(-1, 2)
        gap = np.linalg.norm(far[:, None] - near, axis=2).min(axis=1)
        assert gap.max() < 2e-3  # what samples 0.02 mm apart can show
    assert [len(s.control) for s in drawing.shapes[:2]] == [2, 1]
    text = " ".join(drawing.notes)
    assert "rational spline is approximated" in text
    assert "degree 4 is approximated" in text
    assert "points it passes through only" in text


def test_blocks_are_placed_turned_and_scaled(saved: Callable[..., Path]) -> None:
    def draw(document: Any, space: Any) -> None:
        part = document.blocks.new("part", base_point=(1, 0))
        part.add_line((1, 0), (2, 0))
        insert = space.add_blockref("part", (10, 20))
        insert.dxf.rotation, insert.dxf.xscale = 90, 5

    control = read_dxf(saved(draw)).shapes[0].control[0]
    assert control[[0, 3]] * 10 == pytest.approx(np.array([[10, -20], [10, -25]]))


def test_apparel_layers_are_understood(saved: Callable[..., Path]) -> None:
    def draw(document: Any, space: Any) -> None:
        part = document.blocks.new("P1")
        part.add_text("Piece Name: left front")
        outline(part, "1")
        part.add_lwpolyline(
            [(5, 5), (50, 5), (50, 50)], close=True, dxfattribs={"layer": "14"}
        )
        part.add_line((60, 20), (60, 150), dxfattribs={"layer": "7"})
        space.add_blockref("P1", (0, 0))

    found = read_block_file(saved(draw))
    assert [piece.name for piece in found.block.pieces] == ["left front"]
    assert any("stitch" in note and "grain" in note for note in found.notes)


def test_hidden_layers_are_left_out_and_said(saved: Callable[..., Path]) -> None:
    def draw(document: Any, space: Any) -> None:
        outline(space)
        document.layers.add("old").off()
        space.add_line((0, 0), (5, 5), dxfattribs={"layer": "old"})
        space.add_mtext("hello")

    drawing = read_dxf(saved(draw))
    assert len(drawing.shapes) == 6
    text = " ".join(drawing.notes)
    assert "layer old" in text
    assert "MTEXT (1)" in text


def nested(depth: int) -> Draw:
    def draw(document: Any, space: Any) -> None:
        document.blocks.new("B0").add_line((0, 0), (1, 0))
        for i in range(1, depth):
            block = document.blocks.new(f"B{i}")
            for _ in range(60):
                block.add_blockref(f"B{i - 1}", (0, 0))
        space.add_blockref(f"B{depth - 1}", (0, 0))

    return draw


def itself(document: Any, space: Any) -> None:
    block = document.blocks.new("A")
    block.add_line((0, 0), (1, 1))
    block.add_blockref("A", (0, 0))
    space.add_blockref("A", (0, 0))


def upright(_: Any, space: Any) -> None:
    space.add_circle((0, 0), 5, dxfattribs={"extrusion": (1, 0, 0)})


@pytest.mark.parametrize(
    ("draw", "match"),
    [
        (itself, "'A' is placed inside itself"),
        (nested(4), "more than"),
        (nested(6), "nested more than 3 deep"),
        (upright, "out of the drawing plane"),
        (lambda _, s: s.add_line((0, 0), (math.nan, 1)), "not a finite number"),
        (lambda _, s: s.add_line((0, 0), (1e300, 1)), "probably another one"),
        (lambda _, s: s.add_text("nothing else"), "no line that could be an outline"),
        (lambda _, s: s.add_blockref("gone", (0, 0)), "'gone', which is not there"),
    ],
)
def test_hostile_drawing_is_refused(
    saved: Callable[..., Path], draw: Draw, match: str
) -> None:
    with pytest.raises(InputError, match=match):
        read_dxf(saved(draw))


def test_damaged_files_are_refused_and_never_mended(
    block: Block, tmp_path: Path
) -> None:
    good = dxf_bytes(block)
    cases = {
        b"": "is empty",
        good[: len(good) // 2]: "is cut short",
        good[: len(good) // 2] + b"\n  0\nEOF\n": "damaged or no DXF",
        good.replace(b".", b","): "damaged or no DXF",
        b"AutoCAD Binary DXF\r\n\x1a\x00": "binary DXF",
        b"\x00\x01\x02" * 100: "no section at its start",
        b"  0\nLINE\n  8\n0\n 10\n0\n" * 60_000
        + b"SECTION\n0\nEOF": "no section at its start",
        b"0\nSECTION\n"
        + b"  0\nLINE\n  8\n0\n" * 60_000
        + b"  0\nEOF": "at most 50000",
    }
    path = tmp_path / "bad.dxf"
    for data, match in cases.items():
        path.write_bytes(data)
        with pytest.raises(InputError, match=match):
            read_dxf(path, "mm")


def test_damaged_own_texts_are_refused(block: Block, tmp_path: Path) -> None:
    good = dxf_bytes(block)
    path = tmp_path / "bad.dxf"
    for old, broken in (
        (b'EDGE: ["side"', b'EDGE: ["side'),
        (b'PIECE: ["front", "fold"', b'PIECE: ["front" "fold"'),
        (b'LEVEL LINE: ["hip"]', b"LEVEL LINE: hip"),
    ):
        assert old in good
        path.write_bytes(good.replace(old, broken))
        with pytest.raises(InputError, match="its own text"):
            load_any_block(path)


def test_options_belong_to_their_kind(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="--units-in is for DXF"):
        read_block_file(tmp_path / "a.svg", units_in="mm")
    with pytest.raises(UsageError, match="not for TOML"):
        read_block_file(tmp_path / "a.toml", units_in="mm")
    with pytest.raises(InputError, match=r"read from \.toml, \.svg, \.dxf"):
        read_block_file(tmp_path / "a.doc")


def test_round_the_three_kinds_of_file(
    block: Block, same_block: Callable[..., None], tmp_path: Path
) -> None:
    from ease.files.any_block import block_bytes

    found = block
    for kind in ("toml", "svg", "dxf", "svg", "toml"):
        path = tmp_path / f"turn.{kind}"
        path.write_bytes(block_bytes(found, kind))
        found = load_any_block(path)
    same_block(block, found, 1e-6)
