"""Where the pieces lie on the paper, and which sheets that takes. All in mm, y down."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import UsageError
from ease.files.sheet_cover import fill, rows_columns
from ease.files.sheet_label import clear_of_joints
from ease.files.sheet_nest import NestPiece
from ease.files.sheet_paper import SheetOptions
from ease.files.sheet_pieces import PrintPiece

__all__ = ["KEY_SIZE_MM", "Layout", "Sheet", "lay_out"]

FloatArray = NDArray[np.float64]
KEY_SIZE_MM: Final = (188.0, 252.0)  # test squares, rulers, map and key
_GAP_MM: Final = 8.0
_BORDER_MM: Final = 3.0  # keeps whole line widths on the paper
_MOST_SHEETS: Final = 400


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of the grid.

    Attributes:
        row: Row from the top, from 0.
        column: Column from the left, from 0.
        empty: Whether nothing of a piece is on it, so that it is not printed.
    """

    row: int
    column: int
    empty: bool

    @property
    def code(self) -> str:
        """Letter of the row and number of the column.

        Examples:
            >>> Sheet(1, 2, False).code
            'B3'
        """
        letters, row = "", self.row
        while row >= 0:
            letters = chr(ord("A") + row % 26) + letters
            row = row // 26 - 1
        return f"{letters}{self.column + 1}"


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Pieces laid out on one large plane, and the grid of sheets over it.

    Attributes:
        pieces: The pieces in their places.
        width: Width of the plane, mm.
        height: Height of the plane, mm.
        step: Distance from one sheet to the next, across and down, mm.
        tile: Width and height that one sheet shows, mm.
        sheets: All sheets, row by row.
        key_at: Where the test squares and the key lie, or None: on a sheet of their own.
    """

    pieces: tuple[PrintPiece, ...]
    width: float
    height: float
    step: tuple[float, float]
    tile: tuple[float, float]
    sheets: tuple[Sheet, ...]
    key_at: FloatArray | None

    @property
    def columns(self) -> int:
        """Number of columns."""
        return max(sheet.column for sheet in self.sheets) + 1

    @property
    def rows(self) -> int:
        """Number of rows."""
        return max(sheet.row for sheet in self.sheets) + 1

    @property
    def printed(self) -> tuple[Sheet, ...]:
        """The sheets that are not empty."""
        return tuple(sheet for sheet in self.sheets if not sheet.empty)

    def sheet(self, row: int, column: int) -> Sheet | None:
        """Return the printed sheet at a place, or None."""
        for sheet in self.printed:
            if (sheet.row, sheet.column) == (row, column):
                return sheet
        return None


def lay_out(pieces: Sequence[PrintPiece], options: SheetOptions) -> Layout:
    """Lay pieces out so that they do not overlap and take few sheets.

    Pieces are set in rows, tallest first. Every width from one column of sheets up to
    all pieces in one row is tried, with test squares and key among them where the paper
    is large and on a sheet of their own; the one with the fewest printed sheets is taken,
    and of these one whose squares no sheet edge cuts.

    Raises:
        UsageError: If a sheet holds too little, or far too many would be needed.
    """
    boxes = [piece.box for piece in pieces]
    sizes = [tuple((box[1] - box[0]).tolist()) for box in boxes]
    with_key = [*sizes, KEY_SIZE_MM]
    across, down = options.usable
    step = (across - options.overlap, down - options.overlap)
    if min(step) < 50:
        message = (
            f"margin {options.margin:g} mm and overlap {options.overlap:g} mm leave less "
            f"than 5 cm of {options.paper.title}"
        )
        raise UsageError(message)
    widest = max(size[0] for size in sizes) + 2 * _BORDER_MM
    whole = sum(size[0] + _GAP_MM for size in with_key) + 2 * _BORDER_MM
    first = max(1, math.ceil((widest - options.overlap) / step[0]))
    last = max(first, math.ceil((whole - options.overlap) / step[0]))
    if options.paper.roll:
        last = first
    best: Layout | None = None
    ways = [with_key] * options.paper.large + [sizes] * (not options.paper.roll)
    for columns in range(first, min(last, first + 40) + 1):
        room = columns * step[0] + options.overlap - 2 * _BORDER_MM
        for way in ways:
            places = [place + _BORDER_MM for place in _rows_of(way, room)]
            tried = _grid(pieces, boxes, places, options, key=len(way) > len(sizes))
            if best is None or _cost(tried) < _cost(best):
                best = tried
    if best is None or len(best.printed) > _MOST_SHEETS:
        message = (
            f"it would take more than {_MOST_SHEETS} sheets of {options.paper.title}"
        )
        raise UsageError(message)
    joints = np.array(best.step), options.overlap
    moved = tuple(clear_of_joints(piece, *joints) for piece in best.pieces)
    return replace(best, pieces=moved)


def _cost(layout: Layout) -> tuple[int, bool, float]:
    pages = len(layout.printed) + (layout.key_at is None)
    return pages, _cuts_key(layout), layout.width * layout.height


def _cuts_key(layout: Layout) -> bool:
    """Whether no sheet shows the whole of test squares and key."""
    if layout.key_at is None:
        return False
    step, tile = np.array(layout.step), np.array(layout.tile)
    shown = np.floor(layout.key_at / step) * step + tile
    return bool((layout.key_at + KEY_SIZE_MM > shown).any())


def _rows_of(sizes: Sequence[tuple[float, ...]], width: float) -> list[FloatArray]:
    """Return the upper left corner of each size, set in rows, tallest first."""
    order = sorted(range(len(sizes)), key=lambda i: (-sizes[i][1], i))
    places = [np.zeros(2) for _ in sizes]
    rows: list[list[float]] = []  # y, free x, height
    for i in order:
        wide, tall = sizes[i]
        row = next((r for r in rows if r[1] + wide <= width and tall <= r[2]), None)
        if row is None:
            top = rows[-1][0] + rows[-1][2] + _GAP_MM if rows else 0.0
            row = [top, 0.0, tall]
            rows.append(row)
        places[i] = np.array([row[1], row[0]])
        row[1] += wide + _GAP_MM
    return places


def _grid(
    pieces: Sequence[PrintPiece],
    boxes: Sequence[FloatArray],
    places: Sequence[FloatArray],
    options: SheetOptions,
    *,
    key: bool,
) -> Layout:
    placed = tuple(
        piece.moved(place - box[0])
        for piece, box, place in zip(pieces, boxes, places, strict=False)
    )
    corners = [
        place + box[1] - box[0] for box, place in zip(boxes, places, strict=False)
    ]
    key_at = places[-1] if key else None
    if key_at is not None:
        corners.append(key_at + KEY_SIZE_MM)
    width, height = (float(v) + _BORDER_MM for v in np.max(corners, axis=0))
    across, down = options.usable
    if options.paper.roll:
        down = min(down, height)
    overlap = options.overlap
    step = (across - overlap, down - overlap)
    columns = max(1, math.ceil((width - overlap) / step[0] - 1e-9))
    rows = max(1, math.ceil((height - overlap) / step[1] - 1e-9))
    if rows * columns > 20 * _MOST_SHEETS:
        message = (
            f"it would take more than {_MOST_SHEETS} sheets of {options.paper.title}"
        )
        raise UsageError(message)
    filled = _filled(placed, key_at, (rows, columns), step, overlap)
    sheets = tuple(
        Sheet(row, column, not filled[row, column])
        for row in range(rows)
        for column in range(columns)
    )
    return Layout(placed, width, height, step, (across, down), sheets, key_at)


def _filled(
    pieces: Sequence[PrintPiece],
    key_at: FloatArray | None,
    shape: tuple[int, int],
    step: tuple[float, float],
    overlap: float,
) -> NDArray[np.bool_]:
    """Return which sheets hold part of a piece or of the key, by row and column."""
    filled = np.zeros(shape, dtype=bool)
    for piece in pieces:
        fill(filled, piece.cut, step, overlap)
        for other in piece.others if isinstance(piece, NestPiece) else ():
            fill(filled, other.cut, step, overlap)
    if key_at is not None:
        corners = key_at + np.array([[0, 0], KEY_SIZE_MM])
        filled[rows_columns(corners, step, overlap, filled)] = True
    return filled
