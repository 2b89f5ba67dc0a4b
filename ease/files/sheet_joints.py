"""What each sheet says of its neighbours: edges, half diamonds, its code. In mm."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.files.sheet_ink import InkPen, clear_place
from ease.files.sheet_layout import Layout, Sheet
from ease.files.sheet_pen import Pen, text_corners

__all__ = ["draw_joints", "draw_sheet_words"]

FloatArray = NDArray[np.float64]
_DIAMOND_MM: Final = 4.0
_WORDS_MM: Final = 2.8
_WORDS_AWAY_MM: Final = 3.0  # of the base line of words from their edge
_CODE_MM: Final = 8.0
_CODE_AT: Final = (4.0, 9.5)
_CODE_STEP_MM: Final = 6.0
_WORDS_STEP_MM: Final = 4.0
_EDGE_CLEAR_MM: Final = 8.0  # of a code from edges, where words may stand

Joint = tuple[int, float, float, str, str]  # axis, offset, length, kind, words


def _joints(layout: Layout, sheet: Sheet) -> list[Joint]:
    """Return the edges of a sheet: upright ones have axis 0."""
    width, height = layout.tile
    found: list[Joint] = []
    for axis in (0, 1):
        back = layout.sheet(sheet.row - axis, sheet.column - (1 - axis))
        ahead = layout.sheet(sheet.row + axis, sheet.column + (1 - axis))
        length = (height, width)[axis]
        if back is not None:
            found.append((axis, 0.0, length, "thin", f"cut, lay on {back.code}"))
        if ahead is not None:
            words = f"edge of {ahead.code} here"
            found.append((axis, layout.step[axis], length, "lay", words))
    return found


def _at(axis: int, along: float, away: float) -> FloatArray:
    return np.array([away, along] if axis == 0 else [along, away])


def draw_joints(pen: Pen, layout: Layout, sheet: Sheet) -> None:
    """Draw edges to cut, lines to lay on, and half diamonds.

    The pen's origin is the upper left corner of the sheet's drawing area.
    """
    half = _DIAMOND_MM
    for axis, offset, length, kind, _ in _joints(layout, sheet):
        pen.use(kind)
        pen.line([_at(axis, 0.0, offset), _at(axis, length, offset)])
        pen.use("thin")
        for share in (0.25, 0.75):
            middle = share * length
            corners = ((-half, 0.0), (0.0, half), (half, 0.0), (0.0, -half))
            pen.line(
                [_at(axis, middle + x, offset + y) for x, y in corners], close=True
            )


def draw_sheet_words(pen: Pen, layout: Layout, sheet: Sheet, ink: FloatArray) -> None:
    """Write what lies at each edge, and the sheet's code, clear of lines or on white.

    Args:
        pen: As for :func:`draw_joints`; the pieces must be drawn already.
        layout: The layout.
        sheet: The sheet.
        ink: Where the pieces have ink on this sheet, shape (n, 2).
    """
    own = InkPen()
    draw_joints(own, layout, sheet)
    for axis, offset, length, _, words in _joints(layout, sheet):
        turn = 270.0 if axis == 0 else 0.0
        steps = np.arange(0.0, 0.5 * length - 25.0, _WORDS_STEP_MM)
        moved = np.stack([steps, -steps], axis=-1).ravel()
        first = _at(axis, 0.5 * length, offset + _WORDS_AWAY_MM)
        corners = text_corners(first, words, _WORDS_MM, align="centre", turn=turn)
        shifts = np.stack([_at(axis, float(step), 0.0) for step in moved])
        shift = shifts[_first_clear(np.concatenate([ink, own.ink]), corners, shifts)]
        at = first + shift
        for each in (own, pen):
            each.plate(at, words, _WORDS_MM, align="centre", turn=turn, grey=0.3)
    if len(layout.sheets) > 1:
        corners = text_corners(_CODE_AT, sheet.code, _CODE_MM, bold=True)
        shifts = _code_shifts(layout, corners)
        shift = shifts[_first_clear(np.concatenate([ink, own.ink]), corners, shifts)]
        pen.plate(_CODE_AT + shift, sheet.code, _CODE_MM, bold=True, grey=0.35)


def _first_clear(ink: FloatArray, corners: FloatArray, shifts: FloatArray) -> int:
    box = np.stack([corners.min(axis=0), corners.max(axis=0)])
    return clear_place(ink, box + shifts[:, None])


def _code_shifts(layout: Layout, corners: FloatArray) -> FloatArray:
    """Return how a code may be moved, from the corner on inwards, shape (n, 2)."""
    room = np.array(layout.step) - _EDGE_CLEAR_MM - corners.max(axis=0)
    across, down = (np.arange(0.0, max(one, 1.0), _CODE_STEP_MM) for one in room)
    shifts = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    inside = (corners.min(axis=0) + shifts > _EDGE_CLEAR_MM).all(axis=1)
    shifts = shifts[inside | (shifts == 0).all(axis=1)]
    return np.asarray(shifts[np.argsort(np.hypot(*shifts.T), kind="stable")])
