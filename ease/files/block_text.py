"""A block as the text of a block file."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block, DraftedFor, Edge, Piece, Toiled

__all__ = ["SCHEMA", "block_to_toml"]

SCHEMA: Final = "ease/block/1"
FloatArray = NDArray[np.float64]
_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")


def block_to_toml(block: Block) -> str:
    """Return a block as the text of a block file, in cm.

    Coordinates are written to 1e-13 cm, so that reading brings the block back.
    """
    rows = [f"schema = {_text(SCHEMA)}", f"name = {_text(block.name)}", 'units = "cm"']
    rows += [f"note = {_text(block.note)}"] if block.note else []
    rows.append(f"anchor = {_text(block.anchor)}")
    if block.loop_path:
        runs = (
            "[" + ", ".join(_text(str(r)) for r in run) + "]" for run in block.loop_path
        )
        rows += ["loop_path = [", *(f"  {run}," for run in runs), "]"]
    rows += _drafted_rows(block.drafted_for)
    for level in block.levels:
        rows += ["", "[[level]]", f"name = {_text(level.name)}", f"y = {_cm(level.y)}"]
        rows.append(f"loop = {_text(level.loop)}")
    for piece in block.pieces:
        rows += _piece_rows(piece)
    for seam in block.seams:
        edges = f"[{_text(seam.first)}, {_text(seam.second)}]"
        rows += ["", "[[seam]]", f"edges = {edges}"]
    for hold in block.holds:
        between = f"[{_text(str(hold.first))}, {_text(str(hold.second))}]"
        rows += ["", "[[hold]]", f"name = {_text(hold.name)}", f"between = {between}"]
    return "\n".join(rows) + "\n"


def _drafted_rows(drafted_for: DraftedFor) -> list[str]:
    if drafted_for == DraftedFor():
        return []
    rows = ["", "[drafted_for]"]
    for key in ("girth_factor", "length_factor"):
        value = getattr(drafted_for, key)
        rows += [] if value is None else [f"{key} = {float(value)!r}"]
    for key in ("fabric", "body"):
        value = getattr(drafted_for, key)
        rows += [f"{key} = {_text(value)}"] if value else []
    if drafted_for.round_body:
        rows.append(f"round = {_text(drafted_for.round_body)}")
    if drafted_for.level_factors:
        factors = {n: repr(float(f)) for n, f in drafted_for.level_factors}
        rows.append(f"level_factors = {_inline(factors)}")
    return [*rows, *_toiled_rows(drafted_for.toiled)]


def _toiled_rows(toiled: Toiled) -> list[str]:
    if toiled == Toiled():
        return []
    rows = ["", "[drafted_for.toiled]"]
    for key in ("girth", "length", "meant_length"):
        value = getattr(toiled, key)
        rows += [] if value is None else [f"{key} = {float(value)!r}"]
    if toiled.wearer:
        rows.append(f"wearer = {_text(toiled.wearer)}")
    if toiled.meant:
        rows.append(f"meant = {_inline({n: repr(float(e)) for n, e in toiled.meant})}")
    if toiled.measures:
        read = {m.key: f"[{m.taped!r}, {m.found!r}]" for m in toiled.measures}
        rows.append(f"measures = {_inline(read)}  # cm: as taped, as found")
    if lay := {
        m.key: f"[{m.lay[0]!r}, {m.lay[1]!r}]" for m in toiled.measures if m.lay
    }:
        rows.append(f"lay = {_inline(lay)}  # times as taped, and its spread")
    if unsure := [_text(m.key) for m in toiled.measures if not m.sure]:
        rows.append(f"unsure = [{', '.join(unsure)}]")
    return rows


def _inline(values: Mapping[str, str]) -> str:
    pairs = (f"{_key(name)} = {value}" for name, value in values.items())
    return f"{{ {', '.join(pairs)} }}"


def _piece_rows(piece: Piece) -> list[str]:
    rows = ["", "[[piece]]", f"name = {_text(piece.name)}"]
    rows.append(f"cut = {_text(piece.cut)}")
    rows.append(f"in_girth = {str(piece.in_girth).lower()}")
    points = {edge.start: edge.first for edge in piece.edges}
    rows += ["", "[piece.points]"]
    rows += [f"{_key(name)} = {_point(xy)}" for name, xy in points.items()]
    if piece.marks:
        rows += ["", "[piece.marks]"]
        rows += [f"{_key(name)} = {_point(xy)}" for name, xy in piece.marks.items()]
    for edge in piece.edges:
        rows += _edge_rows(edge)
    return rows


def _edge_rows(edge: Edge) -> list[str]:
    rows = ["", "[[piece.edge]]", f"name = {_text(edge.name)}"]
    rows += [f"from = {_text(edge.start)}", f"to = {_text(edge.end)}"]
    if len(edge.straight) == 1:
        if edge.straight[0]:
            return rows
        first, second = (_point(xy) for xy in edge.control[0, 1:3])
        return [*rows, f"curve = [{first}, {second}]"]
    rows.append("path = [")
    last = len(edge.straight) - 1
    for i, (cubic, flat) in enumerate(zip(edge.control, edge.straight, strict=True)):
        if flat:
            rows.append(
                f"  {{ line = {_text('end') if i == last else _point(cubic[3])} }},"
            )
        else:
            points = ", ".join(_point(xy) for xy in cubic[1 : 3 if i == last else 4])
            rows.append(f"  {{ curve = [{points}] }},")
    return [*rows, "]"]


def _cm(value: float) -> str:
    return repr(round(float(value), 13) + 0.0)  # without a minus before zero


def _point(xy: tuple[float, float] | FloatArray) -> str:
    return f"[{_cm(xy[0])}, {_cm(xy[1])}]"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _key(name: str) -> str:
    return name if _BARE.match(name) else _text(name)
