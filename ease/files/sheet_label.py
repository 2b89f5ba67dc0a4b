"""Where the label of a piece stands, so that no joint of sheets runs through it. In mm."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.files.sheet_cover import inside
from ease.files.sheet_pen import text_width
from ease.files.sheet_pieces import PrintPiece

__all__ = [
    "LINE_MM",
    "TEXT_MM",
    "TITLE_MM",
    "clear_of_joints",
    "label_box",
    "label_scale",
]

FloatArray = NDArray[np.float64]
_STEP_MM: Final = 5.0
_REACH_MM: Final = (100.0, 200.0)  # moved at most, across and down
_MOST_TRIED: Final = 200
_LINE_CLEAR_MM: Final = (
    5.0  # from arrows and level lines, whose names stand beside them
)
_FOLD_CLEAR_MM: Final = 18.0  # the bracket of the fold and its words
_ROOM: Final = 0.66  # share of the piece's width
_LEAST_SCALE: Final = 0.45
TITLE_MM: Final = 6.0
TEXT_MM: Final = 3.4
LINE_MM: Final = 1.5 * TEXT_MM


def label_scale(piece: PrintPiece) -> float:
    """Return by how much a label is made smaller to fit its piece."""
    room = _ROOM * piece.label_width
    return min(1.0, max(room / max(_width(piece), 1e-9), _LEAST_SCALE))


def label_box(piece: PrintPiece) -> FloatArray:
    """Return the corners of the room a label takes, ``[[x0, y0], [x1, y1]]``."""
    scale = label_scale(piece)
    half = 0.5 * scale * _width(piece)
    down = scale * (TITLE_MM + LINE_MM * (len(piece.label) - 1) + 2.0)
    return np.asarray(piece.label_at + np.array([[-half, -1.0], [half, down]]))


def _width(piece: PrintPiece) -> float:
    """Return the width of the longest line of a label at full size, mm."""
    title, *lines = piece.label
    widths = [text_width(title, TITLE_MM, bold=True)]
    return max(widths + [text_width(line, TEXT_MM) for line in lines])


def clear_of_joints(piece: PrintPiece, step: FloatArray, overlap: float) -> PrintPiece:
    """Return a piece whose label lies on one sheet, where there is such a place near.

    Args:
        piece: A piece in its place on the plane.
        step: Distance from one sheet to the next, across and down.
        overlap: Width of the strip that two sheets share.
    """
    across, down = (np.arange(-reach, reach + 1, _STEP_MM) for reach in _REACH_MM)
    shifts = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    shifts = shifts[np.argsort(np.hypot(*shifts.T), kind="stable")]
    boxes = label_box(piece) + shifts[:, None]
    ok = _on_one_sheet(boxes, step, overlap) & _clear_of_lines(boxes, piece)
    found = boxes[ok][:_MOST_TRIED]
    held = _within(found, piece.inner)
    if not held.any():
        return piece
    shift = shifts[ok][:_MOST_TRIED][held][0]
    return replace(piece, label_at=piece.label_at + shift)


def _on_one_sheet(
    boxes: FloatArray, step: FloatArray, overlap: float
) -> NDArray[np.bool_]:
    first = np.floor((boxes[:, 0] - overlap) / step)
    last = np.ceil(boxes[:, 1] / step) - 1
    return np.asarray((first == last).all(axis=1))


def _clear_of_lines(boxes: FloatArray, piece: PrintPiece) -> NDArray[np.bool_]:
    lines = [piece.grain, *(ends for _, ends in piece.levels)]
    lines += [] if piece.centre is None else [piece.centre]
    folds = [] if piece.fold is None else [piece.fold]
    clear = np.ones(len(boxes), dtype=bool)
    for ends, gap in [(e, _LINE_CLEAR_MM) for e in lines] + [
        (e, _FOLD_CLEAR_MM) for e in folds
    ]:
        low, high = ends.min(axis=0) - gap, ends.max(axis=0) + gap
        clear &= ~((boxes[:, 0] < high) & (boxes[:, 1] > low)).all(axis=1)
    return clear


def _within(boxes: FloatArray, outline: FloatArray) -> NDArray[np.bool_]:
    """Return which boxes lie inside an outline, by eight points each."""
    share = np.array(
        [[0, 0], [0.5, 0], [1, 0], [1, 0.5], [1, 1], [0.5, 1], [0, 1], [0, 0.5]]
    )
    points = boxes[:, :1] + share * (boxes[:, 1:] - boxes[:, :1])
    closed = np.concatenate([outline, outline[:1]])
    held = inside(points.reshape(-1, 2), closed).reshape(-1, len(share))
    return np.asarray(held.all(axis=1))
