"""SVG out: a block in millimetres, one group for each piece and kind of line.

Every name, level, seam, hold and leg of the torso loop goes with it, so that the file
comes back as the same block; see :mod:`ease.files.own_data`.
"""

from __future__ import annotations

import re
from typing import Final
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import CUT_WORDS, Block, Edge, Level, Piece, line
from ease.files.drawing import box_round, side_by_side
from ease.files.own_data import block_records

__all__ = ["svg_text"]

FloatArray = NDArray[np.float64]
_MARGIN_MM: Final = 10.0
_STYLE: Final = {
    "outline": 'fill="none" stroke="#000" stroke-width="0.5"',
    "levels": 'fill="none" stroke="#000" stroke-width="0.25" '
    'stroke-dasharray="6 1.5 1 1.5"',
    "marks": 'fill="none" stroke="#000" stroke-width="0.25"',
    "labels": 'font-family="sans-serif" font-size="5" fill="#000"',
}


def _id(*names: str) -> str:
    """Return an XML id made of names; other signs than letters and digits are coded."""
    text = re.sub(r"[^A-Za-z0-9]", lambda m: f"_x{ord(m[0]):02X}_", ".".join(names))
    text = text.replace("_x2E_", ".").replace("_x20_", "-")
    return text if text[:1].isalpha() else f"n{text}"


def _mm(*values: float) -> str:
    """Return cm values as mm to a billionth, without trailing zeros."""
    texts = (f"{value * 10:.9f}".rstrip("0").rstrip(".") for value in values)
    return " ".join("0" if text == "-0" else text for text in texts)


def path_data(edge: Edge) -> str:
    """Return an edge as path data in mm; lines as ``L``, curves as ``C``."""
    parts = [f"M{_mm(*edge.first)}"]
    for control, straight in zip(edge.control, edge.straight, strict=True):
        thirds = line(tuple(control[0]), tuple(control[3]))
        if straight and np.abs(control - thirds).max() < 1e-9:
            parts.append(f"L{_mm(*control[3])}")
        else:
            parts.append(f"C{_mm(*control[1:].ravel())}")
    return "".join(parts)


def _edge(piece: Piece, edge: Edge) -> str:
    flags = "".join("1" if flag else "0" for flag in edge.straight)
    return (
        f"<path id={quoteattr(_id(piece.name, edge.name))} "
        f'data-ease-is="edge" data-ease-name={quoteattr(edge.name)} '
        f"data-ease-start={quoteattr(edge.start)} data-ease-end={quoteattr(edge.end)} "
        f'data-ease-straight="{flags}" d="{path_data(edge)}">'
        f"<title>{escape(f'{piece.name}.{edge.name}')}</title></path>"
    )


def _level(piece: Piece, level: Level, box: FloatArray) -> str:
    (left, _), (right, _) = box
    return (
        f"<path id={quoteattr(_id(piece.name, 'level', level.name))} "
        f'data-ease-is="level" data-ease-name={quoteattr(level.name)} '
        f'd="M{_mm(left, level.y)}H{_mm(right)}">'
        f"<title>{escape(f'level {level.name}')}</title></path>"
    )


def _mark(piece: Piece, name: str, at: tuple[float, float]) -> str:
    x, y = _mm(at[0]), _mm(at[1])
    return (
        f"<circle id={quoteattr(_id(piece.name, 'mark', name))} "
        f'data-ease-is="mark" data-ease-name={quoteattr(name)} '
        f'cx="{x}" cy="{y}" r="1.5"><title>{escape(f"mark {name}")}</title></circle>'
    )


def _group(piece: Piece, kind: str, rows: list[str]) -> list[str]:
    if not rows:
        return []
    head = f"<g id={quoteattr(_id(piece.name, kind))} {_STYLE[kind]}>"
    return [head, f"<title>{kind}</title>", *rows, "</g>"]


def _piece(block: Block, piece: Piece, shift: FloatArray) -> list[str]:
    box = box_round(edge.control for edge in piece.edges)
    levels = [item for item in block.levels if _shown(block, item, box)]
    middle = box.mean(axis=0)
    label = (
        f'<text data-ease-is="label" text-anchor="middle" x="{_mm(middle[0])}" '
        f'y="{_mm(middle[1])}">{escape(f"{piece.name} ({CUT_WORDS[piece.cut]})")}</text>'
    )
    return [
        f'<g id={quoteattr(_id(piece.name))} data-ease-is="piece" '
        f"data-ease-piece={quoteattr(piece.name)} "
        f'data-ease-cut="{piece.cut}" data-ease-girth="{int(piece.in_girth)}" '
        f'transform="translate({_mm(*shift)})">',
        f"<title>{escape(piece.name)}</title>",
        *_group(piece, "outline", [_edge(piece, edge) for edge in piece.edges]),
        *_group(piece, "levels", [_level(piece, item, box) for item in levels]),
        *_group(piece, "marks", [_mark(piece, *item) for item in piece.marks.items()]),
        *_group(piece, "labels", [label]),
        "</g>",
    ]


def _shown(block: Block, level: Level, box: FloatArray) -> bool:
    """The anchor is drawn on every piece, for pieces are lined up by it."""
    return level.name == block.anchor or bool(box[0, 1] <= level.y <= box[1, 1])


def svg_text(block: Block) -> str:
    """Return a block as an SVG drawing at full size, pieces side by side.

    Coordinates are millimetres to a billionth, y down. Nothing in it depends on the
    day or the machine.
    """
    margin = _MARGIN_MM / 10
    shifts, (width, height) = side_by_side(block, margin)
    records = [
        f"<ease:record key={quoteattr(key)}>{escape(value)}</ease:record>"
        for key, value in block_records(block)
    ]
    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ease="urn:ease:drawing:1" '
        f'width="{_mm(width)}mm" height="{_mm(height)}mm" '
        f'viewBox="0 0 {_mm(width, height)}">',
        f"<title>{escape(block.name)}</title>",
        "<desc>Full size: 1 unit is 1 mm. Outlines are net, without allowances.</desc>",
        "<metadata>",
        *records,
        "</metadata>",
    ]
    for piece, shift in zip(block.pieces, shifts, strict=True):
        rows += _piece(block, piece, shift)
    return "\n".join([*rows, "</svg>", ""])
