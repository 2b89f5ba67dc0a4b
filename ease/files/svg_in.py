"""SVG in: lines with their names and layers, in cm, hidden ones left out and said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from ease.errors import InputError, RefusedError
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
from ease.files.known_length import scaled_to
from ease.files.svg_shapes import DRAWN, element_lines, matrix_of, svg_number
from ease.files.svg_size import root_scale
from ease.files.svg_tree import (
    MAX_BYTES,
    MAX_DEPTH,
    MAX_ELEMENTS,
    MAX_USES,
    StyleRules,
    children,
    element_names,
    local_name,
    parse_svg,
)

__all__ = ["read_svg"]

FloatArray = NDArray[np.float64]
_OWN: Final = "data-ease-"
_GROUPS: Final = frozenset({"svg", "g", "a", "switch", "symbol"})
_SILENT: Final = frozenset(
    {"defs", "title", "desc", "metadata", "style", "namedview", "script", "linearGradient",
     "radialGradient", "pattern", "marker", "filter", "clipPath", "mask", "symbol"}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the walk stands: what the elements further out have said."""

    matrix: FloatArray
    groups: tuple[str, ...] = ()
    visible: bool = True
    fields: Mapping[str, str] = field(default_factory=dict)
    uses: tuple[str, ...] = ()
    depth: int = 0


class _Walk:
    """One walk over a drawing; collects lines, named places and what is left out."""

    def __init__(self, root: ElementTree.Element, source: str) -> None:
        self.source = source
        self.rules = StyleRules(root)
        self.by_id = {e.get("id", ""): e for e in root.iter() if e.get("id")}
        self.shapes: list[Shape] = []
        self.spots: list[Spot] = []
        self.hidden: list[str] = []
        self.ignored: Counter[str] = Counter()
        self.steps = 0
        self.uses = 0
        self.segments = 0

    def visit(self, element: ElementTree.Element, place: _Place) -> None:
        """Read one element and what is in it."""
        self.steps += 1
        self.uses += bool(place.uses)
        beyond = self.steps > MAX_ELEMENTS or self.uses > MAX_USES
        if beyond or place.depth > MAX_DEPTH:
            message = "its elements repeat each other too often; save it as plain SVG"
            raise InputError(self.source, message)
        kind = local_name(element.tag)
        given, identity = element_names(element)
        name = given or identity
        if kind in _SILENT and not (kind == "symbol" and place.uses):
            return
        if self.rules.value(element, "display") == "none":
            self.hidden.append(name or kind)
            return
        if kind not in _GROUPS | DRAWN | {"use"}:
            if "is" not in place.fields:
                self.ignored[kind] += 1
            return
        inner = self._inside(element, place, name)
        try:
            self._read(element, kind, inner, name, identity)
        except RefusedError as error:
            message = f"{kind} {name or 'without a name'}: {error}"
            raise InputError(self.source, message) from error

    def _inside(self, element: ElementTree.Element, place: _Place, name: str) -> _Place:
        own = {
            key.removeprefix(_OWN): value
            for key, value in element.attrib.items()
            if key.startswith(_OWN)
        }
        shown = self.rules.value(element, "visibility")
        for key in ("clip-path", "mask"):
            if self.rules.value(element, key) not in ("", "none"):
                self.ignored[f"{key} on {name or local_name(element.tag)}"] += 1
        try:
            turn = matrix_of(self.rules.value(element, "transform"))
            check_numbers(place.matrix @ turn, "a figure of its transforms")
        except RefusedError as error:
            message = f"{name or local_name(element.tag)}: {error}"
            raise InputError(self.source, message) from error
        return replace(
            place,
            matrix=place.matrix @ turn,
            visible=shown == "visible" if shown else place.visible,
            fields={**place.fields, **own} if own else place.fields,
            depth=place.depth + 1,
        )

    def _read(
        self,
        element: ElementTree.Element,
        kind: str,
        place: _Place,
        name: str,
        identity: str,
    ) -> None:
        if kind == "use":
            self._use(element, place, name)
        elif kind in _GROUPS:
            self._group(element, kind, place, name)
        elif not place.visible:
            self.hidden.append(name or kind)
        else:
            self._line(element, place, name, identity)

    def _group(
        self, element: ElementTree.Element, kind: str, place: _Place, name: str
    ) -> None:
        if kind in ("svg", "symbol") and place.depth > 1:
            if "viewBox" in element.attrib:
                self.ignored[f"{kind} with a viewBox of its own"] += 1
                return
            shift = [
                [1, 0, _plain(element, "x")],
                [0, 1, _plain(element, "y")],
                [0, 0, 1],
            ]
            place = replace(place, matrix=place.matrix @ np.array(shift))
        if place.fields.get("is") == "piece":
            x, y = place.matrix[:2, 2]
            piece = place.fields.get("piece", "")
            self.spots.append(Spot("origin", "", piece, (float(x), float(y))))
            place = replace(place, fields={**place.fields, "is": ""})
        outermost = kind == "svg" and place.depth <= 1
        groups = place.groups if outermost or not name else (*place.groups, name)
        for child in children(element):
            self.visit(child, replace(place, groups=groups))

    def _use(self, element: ElementTree.Element, place: _Place, name: str) -> None:
        target = next(
            (v for k, v in element.attrib.items() if local_name(k) == "href"), ""
        )
        if not target.startswith("#"):
            self.ignored["use of another file"] += 1
            return
        if target in place.uses:
            message = f"it uses {target[1:]!r} inside itself"
            raise InputError(self.source, message)
        found = self.by_id.get(target[1:])
        if found is None:
            message = f"it uses {target[1:]!r}, which is not there"
            raise InputError(self.source, message)
        shift = [[1, 0, _plain(element, "x")], [0, 1, _plain(element, "y")], [0, 0, 1]]
        groups = (*place.groups, name) if name else place.groups
        self.visit(
            found,
            replace(
                place,
                matrix=place.matrix @ np.array(shift),
                groups=groups,
                uses=(*place.uses, target),
            ),
        )

    def _line(
        self, element: ElementTree.Element, place: _Place, name: str, identity: str
    ) -> None:
        fields = {**place.fields, "id": identity}
        if fields.get("is") == "mark":
            centre = _plain(element, "cx"), _plain(element, "cy")
            x, y = placed(np.array(centre), place.matrix)
            of = fields.get("name", name), fields.get("piece", "")
            self.spots.append(Spot("mark", *of, (float(x), float(y))))
            return
        for control, straight in element_lines(element, place.matrix):
            self.shapes.append(Shape(name, place.groups, control, straight, fields))
            self.segments += len(control)
        check_count(self.source, self.segments)

    def notes(self) -> list[str]:
        """Return what was left out, one sentence each."""
        notes = []
        if self.hidden:
            shown = ", ".join(dict.fromkeys(self.hidden))
            notes.append(f"left out, hidden in the drawing: {shown[:200]}")
        if self.ignored:
            shown = ", ".join(
                kind if n == 1 else f"{kind} ({n})" for kind, n in self.ignored.items()
            )
            notes.append(f"ignored, no lines to cut: {shown[:200]}")
        return notes


def _plain(element: ElementTree.Element, key: str) -> float:
    value, unit = svg_number(element.get(key, "0") or "0", key)
    if unit:
        message = f"{key}={element.get(key)!r} is not a plain number"
        raise RefusedError(message)
    return value


def read_svg(path: Path, known: KnownLength | None = None) -> Drawing:
    """Return the lines of an SVG file in cm.

    Width, height and viewBox say how large it is; where they do not, or where a known
    length is given, that length does. SVG and blocks both have y pointing down.

    Args:
        path: The file.
        known: A line of the drawing and its true length.

    Raises:
        InputError: If it is no SVG, breaks a limit or does not say its size.
    """
    source = str(path)
    root = parse_svg(read_limited(path, MAX_BYTES, "an SVG file"), source)
    matrix, notes = root_scale(root, source)
    sized = matrix is not None
    walk = _Walk(root, source)
    walk.visit(root, _Place(np.eye(3) if matrix is None else matrix))
    drawing = Drawing(
        source=source,
        title=element_names(root)[0],
        shapes=tuple(walk.shapes),
        spots=tuple(walk.spots),
        records=tuple(
            (element.get("key", ""), element.text or "")
            for element in root.iter()
            if local_name(element.tag) == "record"
        ),
        notes=(*notes, *walk.notes()),
    )
    if known is not None:
        drawing = scaled_to(drawing, known, sized=sized)
    elif not sized:
        message = "it does not say how large it is on paper"
        hint = (
            "give one length you know, such as --known-length waist=310mm "
            "(the name of a line or outline in the drawing), or save it with "
            "width and height in mm and a viewBox"
        )
        raise InputError(source, message, hint=hint)
    check_extent(source, drawing.shapes)
    return drawing
