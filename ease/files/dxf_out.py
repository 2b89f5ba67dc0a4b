"""DXF out: one block of lines for each piece, in millimetres, with the usual layers.

Layer numbers are those that apparel files commonly use (1 boundary, 2 turn points,
3 curve points, 8 inner lines, 15 text). They are an open habit; the file claims to
conform to no standard. Source key: dxf-layers.

What has no place there goes along as text "KEY: value", so that the file comes back as
the same block. y points up in DXF and down in a block.
"""

from __future__ import annotations

import io
import json
import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np

from ease.block.curves import flatten, signed_area
from ease.block.pieces import Block, Edge, Piece
from ease.files.drawing import box_round, side_by_side
from ease.files.own_data import block_records

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.base import BaseLayout

__all__ = ["LAYERS", "POLYLINE_TOLERANCE_MM", "DxfVersion", "dxf_bytes", "quiet_dxf"]

DxfVersion = Literal["r2000", "r12"]
LAYERS: Final = {
    "1": "boundary",
    "2": "turn points",
    "3": "curve points",
    "8": "inner lines",
    "15": "text",
}
POLYLINE_TOLERANCE_MM: Final = 0.02
_MARGIN_CM: Final = 2.0
_TEXT_HEIGHT_MM: Final = 4.0
_LONGEST_TEXT: Final = 230  # an R12 reader takes 255 signs
_FLIP: Final = np.array([10.0, -10.0])  # cm down to mm up


@contextmanager
def quiet_dxf() -> Iterator[None]:
    """Keep the DXF library's log off stderr, and date and host out of its files."""
    from ezdxf._options import options

    log = logging.getLogger("ezdxf")
    level, fixed = log.level, options.write_fixed_meta_data_for_testing
    log.setLevel(logging.CRITICAL + 1)
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        log.setLevel(level)
        options.write_fixed_meta_data_for_testing = fixed


def dxf_bytes(block: Block, version: DxfVersion = "r2000") -> bytes:
    """Return a block as a DXF file at full size.

    Args:
        block: The block.
        version: ``r2000`` with exact lines and cubic splines, or ``r12`` with one
            polyline a piece, within ``POLYLINE_TOLERANCE_MM`` of the curve.
    """
    from ezdxf.filemanagement import new

    with quiet_dxf():
        document = new("R12" if version == "r12" else "R2000", units=4)
        for layer in LAYERS:
            document.layers.add(layer)
        shifts, _ = side_by_side(block, _MARGIN_CM)
        model = document.modelspace()
        records = [("UNITS", "METRIC"), ("STYLE NAME", block.name)]
        for row, record in enumerate([*records, *block_records(block)], start=1):
            _text(model, *record, (0.0, 1.5 * _TEXT_HEIGHT_MM * row))
        taken: set[str] = set()
        for piece, shift in zip(block.pieces, shifts, strict=True):
            name = _block_name(piece.name, taken)
            _fill(document.blocks.new(name), block, piece, version)
            model.add_blockref(name, tuple(shift * _FLIP), dxfattribs={"layer": "1"})
        return _written(document)


def _written(document: Document) -> bytes:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


def _block_name(name: str, taken: set[str]) -> str:
    """Return a block name of letters, digits and ``_`` that no other piece has."""
    bare = re.sub(r"[^A-Za-z0-9]+", "_", name).strip("_")[:24] or "piece"
    found, number = bare, 1
    while found.upper() in taken:
        number += 1
        found = f"{bare}_{number}"
    taken.add(found.upper())
    return found


def _text(layout: BaseLayout, key: str, value: str, at: tuple[float, ...]) -> None:
    """Add "KEY: value"; a long value goes on in texts with the key MORE.

    The signs % and ^ begin codes in DXF text, so that JSON escapes stand for them.
    """
    safe = value.replace("%", "\\u0025").replace("^", "\\u005e")
    if not value.startswith(("[", "{", '"')):
        safe = re.sub(r"[%^\x00-\x1f]+", " ", value)
    style = {"layer": "15", "height": _TEXT_HEIGHT_MM}
    for start in range(0, max(1, len(safe)), _LONGEST_TEXT):
        label = key if start == 0 else "MORE"
        # A sign at either end keeps blanks there from being trimmed.
        part = safe[start : start + _LONGEST_TEXT]
        text = f"{label}: {part}" if start == 0 else f"{label}: |{part}|"
        layout.add_text(text, dxfattribs=style).set_placement(at)


def _fill(layout: BaseLayout, block: Block, piece: Piece, version: DxfVersion) -> None:
    box = box_round(edge.control for edge in piece.edges)
    middle = tuple(box.mean(axis=0) * _FLIP)
    _text(layout, "PIECE NAME", piece.name, middle)
    _text(
        layout,
        "QUANTITY",
        "2" if piece.cut == "pair" else "1",
        (middle[0], middle[1] - 1.5 * _TEXT_HEIGHT_MM),
    )
    clockwise = signed_area(np.concatenate([e.control for e in piece.edges])) > 0
    flags = json.dumps([piece.name, piece.cut, piece.in_girth, clockwise])
    _text(layout, "PIECE", flags, (middle[0], middle[1] - 3 * _TEXT_HEIGHT_MM))
    for edge in piece.edges:
        straight = "".join("1" if flag else "0" for flag in edge.straight)
        said = json.dumps([edge.name, edge.start, edge.end, straight])
        _text(layout, "EDGE", said, tuple(edge.first * _FLIP))
        if version == "r2000":
            _exact(layout, edge)
    if version == "r12":
        _polyline(layout, piece)
    for level in block.levels:
        if level.name == block.anchor or box[0, 1] <= level.y <= box[1, 1]:
            ends = np.array([[box[0, 0], level.y], [box[1, 0], level.y]]) * _FLIP
            start, end = ends.tolist()
            layout.add_line(start, end, dxfattribs={"layer": "8"})
            _text(layout, "LEVEL LINE", json.dumps([level.name]), tuple(ends[0]))
    for name, at in piece.marks.items():
        place = tuple(np.array(at) * _FLIP)
        layout.add_point(place, dxfattribs={"layer": "8"})
        _text(layout, "MARK", json.dumps([name]), place)


def _exact(layout: BaseLayout, edge: Edge) -> None:
    """Add an edge as lines and cubic splines, each spline one Bezier segment."""
    style: dict[str, Any] = {"layer": "1"}
    for control, straight in zip(edge.control * _FLIP, edge.straight, strict=True):
        if straight:
            start, _, _, end = control.tolist()
            layout.add_line(start, end, dxfattribs=style)
            continue
        spline = layout.add_spline(degree=3, dxfattribs=style)
        spline.control_points = [(x, y, 0.0) for x, y in control.tolist()]
        spline.knots = [0.0] * 4 + [1.0] * 4


def _polyline(layout: BaseLayout, piece: Piece) -> None:
    """Add the outline as one closed polyline with its turn and curve points."""
    runs = [
        flatten(edge.control * _FLIP, POLYLINE_TOLERANCE_MM) for edge in piece.edges
    ]
    for run in runs:
        layout.add_point(run[0].tolist(), dxfattribs={"layer": "2"})
        for point in run[1:-1].tolist():
            layout.add_point(point, dxfattribs={"layer": "3"})
    corners = np.concatenate([run[:-1] for run in runs])
    layout.add_polyline2d(corners.tolist(), close=True, dxfattribs={"layer": "1"})
