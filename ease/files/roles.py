"""Which line of a foreign drawing is an outline, which a level, and which neither."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import BlockError, Problem
from ease.files.drawing import JOIN_CM, Drawing, Shape, box_round
from ease.files.drawing_map import DrawingMap
from ease.sentence import Sentence, lengths

__all__ = ["LEVEL_NAMES", "Outline", "Sorted", "answers", "clean", "sort_shapes"]

FloatArray = NDArray[np.float64]
LEVEL_NAMES: Final = frozenset(
    {"bust", "high bust", "underbust", "waist", "hip", "high hip", "thigh", "shoulder",
     "neck", "crotch"}
)  # fmt: skip
_LEVEL = re.compile(r"^(?:level[\s:.]+)?(.+?)(?:\s+(?:level|line))?$")
# Names that drawing programs give by themselves.
_GIVEN = re.compile(
    r"^(?:path|polygon|polyline|rect|line|circle|ellipse|shape|layer|ebene|calque|"
    r"group|g|use|curve|object|lwpolyline|spline)?[\s\-_#]*\d*(?:-\d+)*$",
    re.IGNORECASE,
)
_OTHER = re.compile(
    r"\b(?:grain(?:line)?|notch(?:es)?|stitch|sew|guide|grid|label|dart|mark|note|"
    r"construction)\b",
    re.IGNORECASE,
)
_OPEN_PIECE: Final = 0.25  # of the smallest piece; so large an open line is a piece
_OUTLINE_GROUP = re.compile(
    r"^(?:outline|cut(?: line)?|boundary|pieces?)$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """The lines of one piece.

    Attributes:
        name: Name of the piece.
        groups: The groups round it.
        shapes: One closed line, or several that close together.
    """

    name: str
    groups: tuple[str, ...]
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Sorted:
    """A drawing, sorted.

    Attributes:
        outlines: The pieces.
        levels: Level lines with the name of their level.
        notes: What was left out.
    """

    outlines: tuple[Outline, ...]
    levels: tuple[tuple[str, Shape], ...]
    notes: tuple[str, ...]

    def level_heights(self, outline: Outline, box: FloatArray) -> dict[str, float]:
        """Return the height of each level on one piece, in coordinates of the drawing.

        A line in the piece's own group counts first, then one that runs across it.

        Args:
            outline: The piece.
            box: Its bounding box, ``[[x0, y0], [x1, y1]]``.
        """
        heights: dict[str, float] = {}
        for own in (True, False):
            for name, shape in self.levels:
                line = box_round([shape.control])
                inside = bool(outline.groups) and (
                    shape.groups[: len(outline.groups)] == outline.groups
                )
                across = line[1, 0] > box[0, 0] and line[0, 0] < box[1, 0]
                if name not in heights and (inside if own else across):
                    heights[name] = float(line[:, 1].mean())
        return heights


def clean(name: str) -> str:
    """Return a name in small letters with plain spaces; ``_x20_`` is a space."""
    text = re.sub(r"_x([0-9A-Fa-f]{2,4})_", lambda m: chr(int(m[1], 16)), name)
    return re.sub(r"[\s_\-]+", " ", text).strip().lower()


def is_given(name: str) -> bool:
    """Return whether a drawing program made the name up, as in ``path12``.

    Examples:
        >>> is_given("path12-3"), is_given("front")
        (True, False)
    """
    return bool(_GIVEN.match(name.strip()))


def _is_level_line(shape: Shape) -> bool:
    size = np.ptp(box_round([shape.control]), axis=0)
    return all(shape.straight) and float(size[1]) <= max(JOIN_CM, 1e-3 * float(size[0]))


def _level_name(shape: Shape) -> str:
    for name in (shape.name, *reversed(shape.groups)):
        text = clean(name)
        match = _LEVEL.match(text)
        if match and (match[1] in LEVEL_NAMES or text.startswith("level ")):
            return match[1]
    return ""


def answers(shape: Shape, name: str) -> bool:
    """Return whether a shape goes by a name the map gives."""
    own = (shape.name, shape.fields.get("id", ""), *shape.groups)
    return any(name == item or clean(name) == clean(item) for item in own if item)


def sort_shapes(drawing: Drawing, mapping: DrawingMap) -> Sorted:
    """Sort the lines of a foreign drawing into outlines, levels and the rest.

    Raises:
        BlockError: If the map names a line that is not there, or nothing is closed.
    """
    levels: list[tuple[str, Shape]] = []
    rest: list[Shape] = []
    by_name = {
        item.source: name for name, item in mapping.levels.items() if item.source
    }
    for shape in drawing.shapes:
        told = next(
            (level for src, level in by_name.items() if answers(shape, src)), ""
        )
        if (told or not by_name) and _is_level_line(shape) and not shape.closed:
            name = told or _level_name(shape)
            if name:
                levels.append((name, shape))
                continue
        rest.append(shape)
    missing = set(by_name.values()) - {name for name, _ in levels}
    if missing:
        name = min(missing)
        message = (
            f"no horizontal line named {mapping.levels[name].source!r} (level {name})"
        )
        raise BlockError(drawing.source, message, hint=_names_hint(drawing))
    if mapping.pieces:
        outlines, left = _told_outlines(drawing, rest, mapping)
    else:
        outlines, left = _found_outlines(rest)
    if not outlines:
        message = "no closed outline was found"
        raise BlockError(drawing.source, message, hint=_names_hint(drawing))
    if not mapping.pieces:
        _refuse_open(drawing.source, outlines, left)
    notes = _left_out(left)
    return Sorted(tuple(outlines), tuple(levels), notes)


def _refuse_open(source: str, outlines: list[Outline], left: list[Shape]) -> None:
    """Refuse a line as large as a piece, beside all pieces, that does not close."""
    boxes = [box_round([s.control for s in item.shapes]) for item in outlines]
    least = _OPEN_PIECE * min(float(np.prod(np.ptp(box, axis=0))) for box in boxes)
    problems = []
    for shape in left:
        box = box_round([shape.control])
        inside = any(
            (other[0] - JOIN_CM <= box[0]).all()
            and (box[1] <= other[1] + JOIN_CM).all()
            for other in boxes
        )
        if inside or shape.closed or _OTHER.search(clean(shape.label)):
            continue
        if float(np.prod(np.ptp(box, axis=0))) > least:
            end = lengths(*shape.control[-1, 3], digits=2)
            what = Sentence("it does not close: it stops at {}, {}", *end)
            problems.append(Problem(f"line {shape.label or 'without a name'}", what))
    if problems:
        hint = "close it, or name the pieces in --map"
        raise BlockError(source, problems, hint=hint)


def _names_hint(drawing: Drawing) -> str:
    names = [*dict.fromkeys(shape.label for shape in drawing.shapes if shape.label)]
    shown = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return f"lines in the drawing are named {shown}" if names else "no line has a name"


def _left_out(left: list[Shape]) -> tuple[str, ...]:
    if not left:
        return ()
    names = Counter(shape.label or "no name" for shape in left)
    shown = ", ".join(name if n == 1 else f"{name} ({n})" for name, n in names.items())
    return (f"left out, no part of an outline: {shown[:200]}",)


def _told_outlines(
    drawing: Drawing, shapes: list[Shape], mapping: DrawingMap
) -> tuple[list[Outline], list[Shape]]:
    outlines: list[Outline] = []
    used: set[int] = set()
    for name, item in mapping.pieces.items():
        own = [shape for shape in shapes if answers(shape, item.source)]
        if not own:
            message = f"no line or group is named {item.source!r} (piece {name})"
            raise BlockError(drawing.source, message, hint=_names_hint(drawing))
        closed = [shape for shape in own if shape.closed]
        chosen = [_largest(closed)] if closed else own
        used.update(id(shape) for shape in chosen)
        outlines.append(Outline(name, _common(chosen), tuple(chosen)))
    return outlines, [shape for shape in shapes if id(shape) not in used]


def _found_outlines(shapes: list[Shape]) -> tuple[list[Outline], list[Shape]]:
    left = [shape for shape in shapes if _OTHER.search(clean(shape.label))]
    shapes = [shape for shape in shapes if not _OTHER.search(clean(shape.label))]
    groups: dict[tuple[str, ...], list[Shape]] = {}
    outlines = []
    for shape in shapes:
        if shape.closed:
            outlines.append(Outline(_piece_name(shape), shape.groups, (shape,)))
        else:
            groups.setdefault(shape.groups, []).append(shape)
    inner = [item for item in outlines if _lies_inside(item, outlines)]
    left += [shape for item in inner for shape in item.shapes]
    outlines = [item for item in outlines if item not in inner]
    taken = {item.groups for item in outlines if item.groups}
    for group, members in groups.items():
        if group in taken or len(members) < 2:
            left += members
            continue
        parts = tuple(replace(m, name=_edge_name(m.name)) for m in members)
        outlines.append(Outline(_piece_name(members[0], own=False), group, parts))
    return _told_apart(outlines), left


def _edge_name(name: str) -> str:
    """Return the part after the piece in ``front.side``; nothing for ``path12``."""
    bare = name.rpartition(".")[2]
    return "" if is_given(bare) else bare


def _piece_name(shape: Shape, *, own: bool = True) -> str:
    names = [shape.name] if own else []
    names += [n for n in reversed(shape.groups) if not _OUTLINE_GROUP.match(n.strip())]
    good = [name for name in names if name and not is_given(name)]
    return (good or [*filter(None, names), "piece"])[0].replace(".", " ").strip()


def _told_apart(outlines: list[Outline]) -> list[Outline]:
    count = Counter(item.name for item in outlines)
    seen: Counter[str] = Counter()
    told = []
    for item in outlines:
        seen[item.name] += 1
        many = count[item.name] > 1
        told.append(
            replace(item, name=f"{item.name} {seen[item.name]}") if many else item
        )
    return told


def _lies_inside(item: Outline, others: list[Outline]) -> bool:
    """Return whether an outline lies within a larger one of the same group."""
    box = box_round([item.shapes[0].control])
    for other in others:
        if other is item or other.groups != item.groups:
            continue
        round_it = box_round([other.shapes[0].control])
        inside = (round_it[0] < box[0]).all() and (box[1] < round_it[1]).all()
        if inside:
            return True
    return False


def _largest(shapes: list[Shape]) -> Shape:
    return max(
        shapes, key=lambda s: float(np.prod(np.ptp(box_round([s.control]), axis=0)))
    )


def _common(shapes: list[Shape]) -> tuple[str, ...]:
    first = shapes[0].groups
    return first if all(shape.groups == first for shape in shapes) else ()
