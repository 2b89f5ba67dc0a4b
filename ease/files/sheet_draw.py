"""Draw one piece of the print: lines, fold mark, grain arrow, levels, label."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.files.sheet_label import LINE_MM, TEXT_MM, TITLE_MM, label_scale
from ease.files.sheet_notches import INNER_NOTCH_MM
from ease.files.sheet_pen import Pen
from ease.files.sheet_pieces import PrintPiece

__all__ = ["draw_piece"]

FloatArray = NDArray[np.float64]
# A level's name ends short of where a notch points inwards beside its line.
_NAME_MM: Final = INNER_NOTCH_MM + 2.0


def draw_piece(pen: Pen, piece: PrintPiece) -> None:
    """Draw a piece in its place, mm."""
    pen.use("cut")
    if piece.has_allowance:
        pen.line(piece.cut, close=piece.fold is None)
        pen.use("stitch")
    for control in piece.net:
        pen.curves(control)
    for tick in piece.notches:
        pen.use("notch")
        pen.line(tick)
    if piece.fold is not None:
        _fold(pen, piece.fold, piece.label_at)
    if piece.centre is not None:
        pen.use("centre")
        pen.line(piece.centre)
        pen.text(
            _beside(piece.centre, 0.2, 3.0), "centre", 2.6, turn=_angle(piece.centre)
        )
    for name, ends in piece.levels:
        pen.use("level")
        pen.line(ends)
        upright = abs(ends[1, 0] - ends[0, 0]) < 1e-6
        at = ends[1] + ([-1.0, _NAME_MM] if upright else [-_NAME_MM, -1.0])
        pen.text(at, name, 3.0, align="right", turn=90 if upright else 0)
    for name, at in piece.marks:
        pen.use("thin")
        for arm in np.array([[2.0, 0.0], [0.0, 2.0]]):
            pen.line([at - arm, at + arm])
        pen.text(at + np.array([2.5, -1.0]), name.replace("_", " "), 2.6)
    _grain(pen, piece.grain, piece.grain_text)
    _label(pen, piece)


def _beside(ends: FloatArray, share: float, gap: float) -> FloatArray:
    """Return a place beside a line, to the right of its walk down."""
    along = ends[1] - ends[0]
    length = max(float(np.hypot(*along)), 1e-12)
    side = np.array([along[1], -along[0]]) / length
    return np.asarray(ends[0] + share * along + gap * side)


def _angle(ends: FloatArray) -> float:
    """Return by how many degrees text along a line is turned to the left."""
    x, y = ends[1] - ends[0]
    angle = float(np.degrees(np.arctan2(-y, x))) % 180
    return 0.0 if angle < 1e-6 else angle


def _fold(pen: Pen, fold: FloatArray, inside: FloatArray) -> None:
    """Draw the fold with a bracket whose arrows point at it from inside the piece."""
    pen.use("fold")
    pen.line(fold)
    along = fold[1] - fold[0]
    length = float(np.hypot(*along))
    unit = along / max(length, 1e-12)
    side = np.array([unit[1], -unit[0]])
    if float(side @ (inside - fold[0])) < 0:
        side = -side
    reach = min(12.0, 0.2 * length)
    ends = [fold[0] + share * along for share in (0.2, 0.8)]
    pen.use("grain")
    first, last = ends
    pen.line(
        [
            first + 1.5 * side,
            first + reach * side,
            last + reach * side,
            last + 1.5 * side,
        ]
    )
    for end in ends:
        pen.arrowhead(end + 0.4 * side, -side)
    middle = fold[0] + 0.5 * along + (reach + 4.0) * side
    pen.text(middle, "place on fold", 3.4, align="centre", turn=_angle(fold))


def _grain(pen: Pen, ends: FloatArray, text: str) -> None:
    pen.use("grain")
    pen.line(ends)
    along = ends[1] - ends[0]
    pen.arrowhead(ends[0], -along, 4.0)
    pen.arrowhead(ends[1], along, 4.0)
    upright = abs(along[0]) < 1e-6
    at = ends.mean(axis=0) + ([-1.5, 0.0] if upright else [0.0, -1.5])
    pen.text(at, text, 2.8, align="centre", turn=90 if upright else 0)


def _label(pen: Pen, piece: PrintPiece) -> None:
    scale = label_scale(piece)
    x, y = piece.label_at.tolist()
    y += scale * TITLE_MM
    for row, text in enumerate(piece.label):
        size = scale * (TEXT_MM if row else TITLE_MM)
        pen.text((x, y), text, size, align="centre", bold=row == 0)
        y += scale * LINE_MM
