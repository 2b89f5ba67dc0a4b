"""DXF in: lines of the model space and of the blocks in it, in cm, y turned down once."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import InputError, RefusedError
from ease.files.arcs import ARC_TOLERANCE_CM
from ease.files.drawing import (
    Drawing,
    KnownLength,
    Shape,
    Spot,
    check_count,
    check_extent,
    check_numbers,
    placed,
    read_limited,
)
from ease.files.dxf_entities import DRAWN, Entity, entity_lines
from ease.files.dxf_out import quiet_dxf
from ease.files.dxf_texts import Text, joined_texts, own_shapes, piece_name
from ease.files.known_length import scaled_to
from ease.units import CM_PER

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

__all__ = ["MAX_BYTES", "MAX_DEPTH", "MAX_ENTITIES", "read_dxf"]

FloatArray = NDArray[np.float64]
MAX_BYTES: Final = 20_000_000
MAX_ENTITIES: Final = 50_000
MAX_DEPTH: Final = 3
# Group code 0 with a name begins an entity; vertices of old polylines count too.
_ENTITY = re.compile(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*[A-Z]")
# Read from the file itself: the library fills in a unit where the header has none.
_INSUNITS = re.compile(rb"\$INSUNITS\s+70\s+(\d{1,9})\s")
# Values of the header variable $INSUNITS. Source key: dxf-insunits.
_HEADER_UNITS: Final = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
_SPELLED: Final = {"in": "inches", "ft": "feet"}
# What the DXF library raises, besides its own errors, on values it did not expect.
_DAMAGE: Final = (
    ValueError, TypeError, AttributeError, LookupError, ArithmeticError, StopIteration,
    AssertionError,
)  # fmt: skip
_LAYER_MEANS: Final = {
    "1": "outline",
    "4": "notch",
    "6": "fold line",
    "7": "grain",
    "8": "",
    "14": "stitch",
}


class _Walk:
    """One walk over a document; collects lines and texts, block by block."""

    def __init__(self, document: Document, source: str) -> None:
        self.document = document
        self.source = source
        self.scale = 1.0
        self.shapes: list[Shape] = []
        self.spots: list[Spot] = []
        self.texts: list[Text] = []
        self.ignored: Counter[str] = Counter()
        self.remarks: dict[str, None] = {}
        self.count = 0
        self.segments = 0

    def visit(
        self,
        layout: Iterable[Entity],
        matrix: FloatArray,
        groups: tuple[str, ...],
        depth: int,
    ) -> None:
        """Read one block or the model space, then the blocks placed in it."""
        if depth > MAX_DEPTH:
            message = f"its blocks are nested more than {MAX_DEPTH} deep"
            raise InputError(self.source, message)
        shapes: list[Shape] = []
        texts: list[Text] = []
        for entity in layout:
            self.count += 1
            if self.count > MAX_ENTITIES:
                message = f"its blocks unfold to more than {MAX_ENTITIES} entities"
                raise InputError(self.source, message)
            kind = entity.dxftype()
            if kind == "INSERT":
                self._insert(entity, matrix, groups, depth)
            elif kind == "TEXT":
                at = entity.dxf.insert
                spot = placed(np.array([at.x, at.y]), matrix)
                texts.append(Text(str(entity.dxf.text), spot))
            elif kind in DRAWN and not self._hidden(entity):
                shapes += self._lines(entity, matrix, groups)
            elif kind not in DRAWN | {"POINT", "ATTDEF", "VERTEX", "SEQEND"}:
                self.ignored[kind] += 1
        texts = joined_texts(texts)
        found = own_shapes(shapes, texts, matrix[:2, 2], self.source)
        if found is not None:
            self.shapes += found[0]
            self.spots += found[1]
            return
        self.texts += texts
        name = piece_name(texts) if groups else ""
        for shape in shapes:
            named = (
                (*shape.groups[:-2], name, shape.groups[-1]) if name else shape.groups
            )
            self.shapes.append(
                Shape(shape.name, named, shape.control, shape.straight, shape.fields)
            )

    def _hidden(self, entity: Entity) -> bool:
        layer = self.document.layers
        name = entity.dxf.layer
        off = name in layer and (
            layer.get(name).is_off() or layer.get(name).is_frozen()
        )
        if off or entity.dxf.get("invisible", 0):
            self.remarks[f"left out, hidden in the drawing: layer {name}"] = None
            return True
        return False

    def _lines(
        self,
        entity: Entity,
        matrix: FloatArray,
        groups: tuple[str, ...],
    ) -> list[Shape]:
        size = float(np.linalg.norm(matrix[:2, :2], 2)) or 1.0
        layer = str(entity.dxf.layer)
        try:
            chain, remark = entity_lines(entity, ARC_TOLERANCE_CM / size)
        except RefusedError as error:
            message = f"{entity.dxftype()} on layer {layer}: {error}"
            raise InputError(self.source, message) from error
        if remark:
            self.remarks[f"layer {layer}: {remark}"] = None
        if chain is None:
            return []
        control = placed(chain[0], matrix)
        self.segments += len(control)
        check_count(self.source, self.segments)
        named = (*groups, _LAYER_MEANS.get(layer, layer))
        return [Shape("", named, control, chain[1], {"id": layer})]

    def _insert(
        self,
        insert: Entity,
        matrix: FloatArray,
        groups: tuple[str, ...],
        depth: int,
    ) -> None:
        name = str(insert.dxf.name)
        block = self.document.blocks.get(name)
        if block is None:
            message = f"it places the block {name!r}, which is not there"
            raise InputError(self.source, message)
        if name in groups:
            message = f"the block {name!r} is placed inside itself"
            raise InputError(self.source, message)
        if insert.mcount > 1:
            self.remarks[f"block {name} is placed in rows; the first is taken"] = None
        turn = np.array(insert.matrix44().get_2d_transformation()).reshape(3, 3).T
        try:
            check_numbers(turn, f"the place of the block {name!r}")
            check_numbers(matrix @ turn, f"the place of the block {name!r}")
        except RefusedError as error:
            raise InputError(self.source, str(error)) from error
        self.visit(block, matrix @ turn, (*groups, name), depth + 1)


def read_dxf(
    path: Path, units_in: str = "", known: KnownLength | None = None
) -> Drawing:
    """Return the lines of a DXF file in cm.

    The unit comes from ``units_in``, a text UNITS, or the header, in this order. A
    damaged file is refused and never mended, for a mended one lacks lines.

    Args:
        path: The file.
        units_in: Unit of the file's numbers: mm, cm, m, in or ft.
        known: A line of the drawing and its true length.

    Raises:
        InputError: If it is no DXF, damaged, breaks a limit or does not say its unit.
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    source = str(path)
    data = read_limited(path, MAX_BYTES, "a DXF file")
    _guard(data, source)
    header = _INSUNITS.search(data)
    header_unit = _HEADER_UNITS.get(int(header[1]), "") if header else ""
    with quiet_dxf():
        try:
            document = readfile(path)
            walk = _Walk(document, source)
            flip = np.diag([1.0, -1.0, 1.0])
            unit = _unit(document, units_in, header_unit)
            return _drawing(walk, flip, unit, known)
        except InputError:
            raise
        except RecursionError as error:
            message = "its blocks are placed inside each other without end"
            raise InputError(source, message) from error
        except (DXFError, OSError, *_DAMAGE) as error:
            message = f"is damaged or no DXF ({_short(error)})"
            hint = "save it once more as DXF R12 or R2000, numbers with decimal points"
            raise InputError(source, message, hint=hint) from error


def _short(error: Exception) -> str:
    return " ".join(str(error).split())[:120] or type(error).__name__


def _guard(data: bytes, source: str) -> None:
    if data.startswith(b"AutoCAD Binary DXF"):
        raise InputError(source, "is a binary DXF; save it as a text DXF")
    if b"\0" in data[:4096] or b"SECTION" not in data[:65536]:
        raise InputError(source, "is no DXF: it has no section at its start")
    if not data.rstrip().endswith(b"EOF"):
        raise InputError(source, "is cut short: a DXF ends with EOF")
    count = sum(1 for _ in _ENTITY.finditer(data))
    if count > MAX_ENTITIES:
        message = f"it holds {count} entities; at most {MAX_ENTITIES} are read"
        raise InputError(source, message)


def _drawing(
    walk: _Walk, flip: FloatArray, told: tuple[str, str], known: KnownLength | None
) -> Drawing:
    unit, how = told
    factor = CM_PER[unit] if unit else 1.0
    matrix = flip * [[factor], [factor], [1.0]]
    walk.visit(walk.document.modelspace(), matrix, (), 0)
    notes = [*walk.remarks]
    if walk.ignored:
        shown = ", ".join(f"{kind} ({n})" for kind, n in walk.ignored.items())
        notes.append(f"ignored, no lines to cut: {shown[:200]}")
    if unit and known is None:
        notes.append(f"read in {_SPELLED.get(unit, unit)}, {how}")
    drawing = Drawing(
        source=walk.source,
        title=next((t.value for t in walk.texts if t.key == "STYLE NAME"), ""),
        shapes=tuple(walk.shapes),
        spots=tuple(walk.spots),
        records=tuple((t.key, t.value) for t in walk.texts if t.key),
        notes=tuple(notes),
    )
    if known is not None:
        drawing = scaled_to(drawing, known, sized=bool(unit))
    elif not unit:
        message = "it does not say in which unit it is drawn"
        hint = "give --units-in mm (or cm, m, in, ft), or --known-length NAME=310mm"
        raise InputError(walk.source, message, hint=hint)
    check_extent(walk.source, drawing.shapes)
    return drawing


def _unit(document: Document, units_in: str, header: str) -> tuple[str, str]:
    """Return the unit and how it is known; empty where nothing says it."""
    own, how = _own_unit(document, header)
    if not units_in:
        return own, how
    said = "as --units-in says"
    if own and own != units_in:
        said += f", not in {_SPELLED.get(own, own)}, {how}"
    return units_in, said


def _own_unit(document: Document, header: str) -> tuple[str, str]:
    for entity in document.modelspace().query("TEXT"):
        text = Text(str(entity.dxf.text), np.zeros(2))
        if text.key == "UNITS":
            said = {"METRIC": "mm", "ENGLISH": "in"}.get(text.value.strip().upper(), "")
            if said:
                return said, f"as its text UNITS: {text.value} says"
    return header, "as its header says"
