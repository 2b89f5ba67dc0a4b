"""A drawing as read from a file: shapes in cm with the names that lay round them.

Readers of SVG and DXF end here; :mod:`ease.files.assemble` makes a block of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.block.curves import bounds
from ease.block.pieces import Block, Piece
from ease.errors import InputError, RefusedError
from ease.sentence import Length, Sentence

__all__ = [
    "JOIN_CM",
    "MAX_EXTENT_CM",
    "MAX_NUMBER",
    "MAX_SEGMENTS",
    "Drawing",
    "KnownLength",
    "Shape",
    "Spot",
    "box_round",
    "check_count",
    "check_extent",
    "check_numbers",
    "piece_size_mm",
    "placed",
    "read_limited",
    "side_by_side",
]

FloatArray = NDArray[np.float64]

# A block has some hundred segments; a traced scan a few thousand.
MAX_SEGMENTS: Final = 20_000
MAX_EXTENT_CM: Final = 1_000.0  # ten metres: a wrong unit, not a garment
MAX_NUMBER: Final = 1e9  # in whatever unit; beyond it products of them run over
JOIN_CM: Final = 0.005  # ends that a drawing program snapped together


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One unbroken line of a drawing.

    Attributes:
        name: Its own label, title or id; empty where it has none.
        groups: Names of the groups, layers or blocks round it, outermost first.
        control: Its cubics, cm, x to the right and y down, shape (k, 4, 2).
        straight: For each cubic, whether it is a line.
        fields: What the project's own files say of it, such as ``{"is": "edge"}``.
    """

    name: str
    groups: tuple[str, ...]
    control: FloatArray
    straight: tuple[bool, ...]
    fields: Mapping[str, str] = field(default_factory=dict)

    @property
    def closed(self) -> bool:
        """Whether it ends where it starts."""
        gap = np.abs(self.control[-1, 3] - self.control[0, 0]).max()
        return bool(gap <= JOIN_CM) and len(self.control) > 1

    @property
    def label(self) -> str:
        """Its name, or the name of the nearest group."""
        return self.name or next((name for name in reversed(self.groups) if name), "")


@dataclass(frozen=True, slots=True)
class Spot:
    """A named place of a drawing.

    Attributes:
        kind: ``origin``, ``mark`` or ``point``.
        name: Its name.
        group: Name of the piece it belongs to.
        at: Coordinates, cm.
    """

    kind: str
    name: str
    group: str
    at: tuple[float, float]


@dataclass(frozen=True, slots=True)
class KnownLength:
    """A line of a drawing whose true length is known.

    Attributes:
        name: Label, title or id of the line.
        length_cm: Its length, cm; above zero.
    """

    name: str
    length_cm: float

    def __post_init__(self) -> None:
        """Refuse a length that is none."""
        if not 0 < self.length_cm < MAX_EXTENT_CM:
            length = Length(self.length_cm, None)
            message = Sentence("a known length of {} is none", length)
            raise RefusedError(message)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """All that was found in a file.

    Attributes:
        source: The file's name as the user gave it.
        title: Title of the drawing, or empty.
        shapes: Its lines.
        spots: Its named places.
        records: Own data that is no geometry, as (key, value).
        notes: What was left out or taken for granted, one sentence each.
    """

    source: str
    title: str = ""
    shapes: tuple[Shape, ...]
    spots: tuple[Spot, ...] = ()
    records: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


def box_round(controls: Iterable[FloatArray]) -> FloatArray:
    """Return the exact box round several chains of cubics, ``[[x0, y0], [x1, y1]]``."""
    return np.stack(bounds(np.concatenate(list(controls))))


def placed(control: FloatArray, matrix: FloatArray) -> FloatArray:
    """Return control points carried by a matrix, shape (3, 3).

    What overflows becomes infinite here and is refused by :func:`check_extent`.
    """
    with np.errstate(all="ignore"):
        return np.asarray(control @ matrix[:2, :2].T + matrix[:2, 2])


def piece_size_mm(piece: Piece) -> tuple[float, float]:
    """Return the width and height of a piece as it lies in its block, mm."""
    box = box_round(edge.control for edge in piece.edges)
    width, height = (box[1] - box[0]) * 10
    return float(width), float(height)


def side_by_side(block: Block, gap: float) -> tuple[list[FloatArray], FloatArray]:
    """Return how far each piece is pushed to lie beside the last, and the whole size.

    Pieces move sideways only, so that a level runs through all at one height.

    Args:
        block: The block.
        gap: Space between pieces and round all of them, cm.

    Returns:
        Shifts, each of shape (2,), cm; width and height of the whole, cm.
    """
    boxes = [box_round(edge.control for edge in piece.edges) for piece in block.pieces]
    heights = [
        *(box[i, 1] for box in boxes for i in (0, 1)),
        block.level(block.anchor).y,
    ]
    top, bottom = min(heights), max(heights)
    shifts, x = [], gap
    for box in boxes:
        # Whole hundredths of a millimetre keep the coordinates short.
        shift = np.ceil(np.array([x - box[0, 0], gap - top]) * 1000) / 1000
        shifts.append(shift)
        x = float(box[1, 0] + shift[0]) + gap
    return shifts, np.ceil(np.array([x, bottom - top + 2 * gap]) * 100) / 100


def check_numbers(values: ArrayLike, what: str = "a coordinate") -> None:
    """Refuse figures of a drawing that are not finite or out of all size.

    Args:
        values: Coordinates, radii or the entries of a matrix, in any unit.
        what: What they are, for the message.

    Raises:
        RefusedError: If one is.
    """
    figures = np.abs(np.asarray(values, dtype=float))
    if not np.isfinite(figures).all():
        message = f"{what} is not a finite number"
        raise RefusedError(message)
    if figures.max(initial=0.0) > MAX_NUMBER:
        message = f"{what} is out of all size ({figures.max():.4g}), so its unit is "
        message += "probably another one"
        raise RefusedError(message)


def check_count(source: str, segments: int) -> None:
    """Refuse a drawing of far more segments than a block has.

    Raises:
        InputError: If so.
    """
    if segments > MAX_SEGMENTS:
        message = f"it holds more than the {MAX_SEGMENTS} segments that are accepted"
        raise InputError(source, message)


def check_extent(source: str, shapes: Sequence[Shape]) -> None:
    """Refuse a drawing that holds nothing, too much or something out of all size.

    Raises:
        InputError: If so.
    """
    if not shapes:
        raise InputError(source, "it holds no line that could be an outline")
    check_count(source, sum(len(shape.control) for shape in shapes))
    for shape in shapes:
        if not np.isfinite(shape.control).all():
            message = f"{shape.label or 'a line'}: a coordinate is not a finite number"
            raise InputError(source, message)
    with np.errstate(all="ignore"):
        box = box_round(shape.control for shape in shapes)
    extent = float((box[1] - box[0]).max())
    if not extent <= MAX_EXTENT_CM or float(np.abs(box).max()) > 100 * MAX_EXTENT_CM:
        message = (
            f"the drawing is {extent / 100:.5g} m across; up to {MAX_EXTENT_CM / 100:.0f} "
            "m is accepted, so its unit is probably another one"
        )
        raise InputError(source, message)


def read_limited(path: Path, limit: int, kind: str) -> bytes:
    """Return the content of a file, refused where it is absent, huge or no file.

    Args:
        path: The file.
        limit: Most bytes that are accepted.
        kind: Kind of file for the message, such as ``an SVG file``.

    Raises:
        InputError: If it cannot be read.
    """
    source = str(path)
    try:
        if path.is_dir():
            raise InputError(source, f"is a folder; name {kind}")
        if not path.exists():
            raise InputError(source, "there is no such file")
        if not path.is_file():
            raise InputError(source, f"is not a regular file; name {kind}")
        size = path.stat().st_size
        if size > limit:
            message = f"{size / 1e6:.1f} MB is too large; {limit / 1e6:.0f} MB at most"
            raise InputError(source, message)
        data = path.read_bytes()
    except OSError as error:
        message = f"cannot be read ({error.strerror or error})"
        raise InputError(source, message) from error
    if not data.strip():
        raise InputError(source, f"is empty; name {kind}")
    return data
