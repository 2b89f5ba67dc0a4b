"""Files of other general-purpose libraries, and their own measures of ours.

fontTools and svgelements measure path data, ezdxf its own entities, matplotlib writes an
SVG of known size, shapely areas: none of them knows this project.

No source: the libraries themselves are the judges.
"""

import io
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import svgelements
from ezdxf import path as ezpath
from ezdxf.filemanagement import new, read
from fontTools.pens.perimeterPen import PerimeterPen
from fontTools.svgLib.path import parse_path

from ease.block.curves import flatten
from ease.block.lengths import arc_length
from ease.block.measure import edge_length, level_girths, piece_area
from ease.block.pieces import Block, Edge
from ease.demo import shipped_block
from ease.files.any_block import load_any_block, read_block_file
from ease.files.drawing import box_round
from ease.files.dxf_in import read_dxf
from ease.files.dxf_out import dxf_bytes
from ease.files.svg_in import read_svg
from ease.files.svg_out import path_data, svg_text


@pytest.fixture
def block() -> Block:
    path = shipped_block("demo")
    assert path is not None
    return load_any_block(path)


def edges_of(block: Block) -> list[tuple[str, Edge]]:
    return [(f"{p.name}.{e.name}", e) for p in block.pieces for e in p.edges]


def test_svg_edge_lengths_as_font_tools_measures_them(block: Block) -> None:
    for name, edge in edges_of(block):
        pen = PerimeterPen(tolerance=1e-4)
        parse_path(path_data(edge), pen)
        assert pen.value / 10 == pytest.approx(edge_length(edge), abs=1e-4), name


def test_svg_edge_lengths_as_svgelements_measures_them(block: Block) -> None:
    for name, edge in edges_of(block):
        length = svgelements.Path(path_data(edge)).length(error=1e-6)
        assert length / 10 == pytest.approx(edge_length(edge), abs=1e-4), name


def test_svg_size_as_svgelements_sees_it(block: Block) -> None:
    """With 25.4 dots to the inch a pixel of theirs is a millimetre."""
    seen = svgelements.SVG.parse(io.StringIO(svg_text(block)), ppi=25.4)
    for piece in block.pieces:
        group = seen.get_element_by_id(f"{piece.name}.outline")
        x0, y0, x1, y1 = group.bbox()
        box = box_round(edge.control for edge in piece.edges) * 10
        # Their millimetre is rounded in the seventh digit.
        assert (x1 - x0, y1 - y0) == pytest.approx(tuple(box[1] - box[0]), rel=2e-6)


def test_dxf_lengths_as_ezdxf_measures_them(block: Block) -> None:
    document = read(io.StringIO(dxf_bytes(block).decode("cp1252")))
    for piece in block.pieces:
        found = [e for e in document.blocks.get(piece.name) if e.dxf.layer == "1"]
        total = sum(_length(ezpath.make_path(entity)) for entity in found)
        assert total / 10 == pytest.approx(sum(map(edge_length, piece.edges)), abs=1e-3)


def _length(path: Any) -> float:
    points = list(path.flattening(1e-4, segments=64))
    return float(sum(a.distance(b) for a, b in pairwise(points)))


def test_r12_area_as_shapely_measures_it(block: Block) -> None:
    document = read(io.StringIO(dxf_bytes(block, "r12").decode("cp1252")))
    assert document.acad_release == "R12"
    for piece in block.pieces:
        polyline = document.blocks.get(piece.name).query("POLYLINE")[0]
        assert polyline.is_closed
        area = shapely.Polygon([(p.x, p.y) for p in polyline.points()]).area / 100
        # A chord 0.02 mm off over a perimeter of about 2 m is 0.4 cm2 at most.
        assert area == pytest.approx(piece_area(piece), abs=0.4)


def test_svg_written_by_matplotlib_has_its_true_size(tmp_path: Path) -> None:
    """matplotlib writes points of 1/72 inch: a figure of 4 x 3 inch, a 2 x 1 inch box."""
    from matplotlib.figure import Figure
    from matplotlib.patches import PathPatch, Rectangle
    from matplotlib.path import Path

    figure = Figure(figsize=(4, 3))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, 4)
    axes.set_ylim(0, 3)
    axes.axis("off")
    axes.add_patch(Rectangle((1, 1), 2, 1, fill=False, gid="box"))
    bow = Path([(0.5, 0.5), (1, 2.5), (3, 2.5), (3.5, 0.5)], [1, 4, 4, 4])
    axes.add_patch(PathPatch(bow, fill=False, gid="bow"))
    path = tmp_path / "figure.svg"
    figure.savefig(path, metadata={"Date": None})
    drawing = read_svg(path)
    named = {group: shape for shape in drawing.shapes for group in shape.groups}
    box = box_round([named["box"].control])
    assert np.ptp(box, axis=0) / 2.54 == pytest.approx([2, 1], abs=1e-4)
    assert box[0] / 2.54 == pytest.approx([1, 1], abs=1e-4)
    control = np.array([[(0.5, 0.5), (1, 2.5), (3, 2.5), (3.5, 0.5)]]) * 2.54
    expected = float(arc_length(control).sum())
    assert float(arc_length(named["bow"].control).sum()) == pytest.approx(
        expected, abs=1e-3
    )
    # The bow bends up on the page, so its middle lies above its ends: y points down.
    assert named["bow"].control[0, 1, 1] < named["bow"].control[0, 0, 1]


PATH = "m 0,100 c 50,0 90,-40 100,-90 l 60,10 c 0,60 20,120 60,150 l 10,400 h -230 z"


def test_hand_written_svg_as_another_program_would_write_it(tmp_path: Path) -> None:
    """Layers, a viewBox in other units, relative commands, and a page in inches."""
    text = f"""<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"
 "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
<svg width="8in" height="10in" viewBox="0 0 800 1000" xmlns="http://www.w3.org/2000/svg"
 xmlns:d="urn:drawing"><title>two halves</title>
<g d:label="back" id="layer1" transform="matrix(1 0 0 1 100 50)">
 <path id="path1" d="{PATH}"/>
 <path d="M -5,400 h 260" id="waist"/></g>
<g d:label="levels"><text x="3" y="4">waist</text></g></svg>"""
    path = tmp_path / "hand.svg"
    path.write_text(text, encoding="utf-8")
    found = read_block_file(path)
    assert found.block.name == "two halves"
    piece = found.block.piece("back")
    assert piece.on_fold
    assert level_girths(found.block)["waist"] == pytest.approx(
        2 * (2.2 + 0.1 * 2.3 / 4) * 2.54
    )
    parsed = svgelements.Path(PATH)
    total = sum(map(edge_length, piece.edges))
    assert total / 2.54 * 100 == pytest.approx(parsed.length(error=1e-6), abs=1e-2)


def test_spline_of_ezdxf_is_read_as_ezdxf_draws_it(tmp_path: Path) -> None:
    document = new("R2018", units=5)
    space = document.modelspace()
    spline = space.add_open_spline([(0, 0), (2, 9), (8, 9), (9, 2), (14, 0), (20, 5)])
    arc = space.add_arc((3, 4), 7, 20, 250)
    path = tmp_path / "curves.dxf"
    document.saveas(path)
    first, second = read_dxf(path).shapes
    points = np.array(
        [(p.x, -p.y) for p in ezpath.make_path(spline).flattening(1e-4, 64)]
    )
    ours = shapely.LineString(flatten(first.control, 1e-4))
    assert ours.hausdorff_distance(shapely.LineString(points)) < 1e-3
    assert float(arc_length(second.control).sum()) == pytest.approx(
        math.radians(230) * 7, abs=1e-4
    )
    assert arc.dxf.radius == 7


def test_polyline_written_by_hand_in_r12(tmp_path: Path) -> None:
    """Old POLYLINE and VERTEX entities with a bulge: a half circle on a square's side."""
    rows = [
        "0",
        "SECTION",
        "2",
        "ENTITIES",
        "0",
        "POLYLINE",
        "8",
        "front",
        "66",
        "1",
        "70",
        "1",
    ]
    for x, y, bulge in ((0, 0, 0), (100, 0, 1), (100, 100, 0), (0, 100, 0)):
        rows += [
            "0",
            "VERTEX",
            "8",
            "front",
            "10",
            str(x),
            "20",
            str(y),
            "42",
            str(bulge),
        ]
    rows += ["0", "SEQEND", "0", "ENDSEC", "0", "EOF", ""]
    path = tmp_path / "old.dxf"
    path.write_text("\n".join(rows))
    shape = read_dxf(path, "mm").shapes[0]
    area = shapely.Polygon(flatten(shape.control, 1e-5)).area
    assert area == pytest.approx(100 + math.pi * 25 / 2, abs=1e-3)
    assert float(arc_length(shape.control).sum()) == pytest.approx(
        30 + math.pi * 5, abs=1e-4
    )
