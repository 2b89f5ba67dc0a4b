"""Where a print has ink, and places that are free of it. All in mm, y down."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import flatten
from ease.files.sheet_pen import Align, LineType, Pen, arrow_corners, text_corners

__all__ = ["InkPen", "clear_place", "ink_within"]

FloatArray = NDArray[np.float64]
_DENSE_MM: Final = 0.5  # nearer than any word that is looked for is high
_FLAT_MM: Final = 0.05
_CELL_MM: Final = 0.5


class InkPen(Pen):
    """A pen that draws nothing and keeps where its ink would be."""

    def __init__(self) -> None:
        """Begin with no ink."""
        self._ink: list[FloatArray] = []

    @property
    def ink(self) -> FloatArray:
        """All places with ink, close together, shape (n, 2)."""
        return np.concatenate([np.empty((0, 2)), *self._ink])

    def take(self, line: LineType) -> None:
        """Take up a line type; ink is ink."""

    def line(
        self,
        points: FloatArray | Sequence[Sequence[float] | FloatArray],
        *,
        close: bool = False,
    ) -> None:
        """Keep straight legs through points."""
        walked = np.array([np.asarray(point, dtype=float) for point in points])
        if close:
            walked = np.concatenate([walked, walked[:1]])
        self._ink.append(_dense(walked))

    def curves(self, control: FloatArray) -> None:
        """Keep a chain of cubics."""
        self._ink.append(_dense(flatten(control, _FLAT_MM)))

    def rectangle(self, x: float, y: float, width: float, height: float) -> None:
        """Keep the sides of a rectangle."""
        right, foot = x + width, y + height
        self.line([(x, y), (right, y), (right, foot), (x, foot)], close=True)

    def arrowhead(
        self, tip: FloatArray, towards: FloatArray, size: float = 3.0
    ) -> None:
        """Keep the middle of an arrowhead and both of its sides."""
        tip, left, right = arrow_corners(tip, towards, size)
        for back in (left, 0.5 * (left + right), right):
            self.line([tip, back])

    def text(
        self,
        at: Sequence[float] | FloatArray,
        text: str,
        size: float = 3.0,
        *,
        align: Align = "left",
        bold: bool = False,
        turn: float = 0.0,
        grey: float = 0.0,
    ) -> None:
        """Keep the room that words take, all of it."""
        corners = text_corners(at, text, size, align=align, bold=bold, turn=turn)
        self._fill(corners)

    def plate(
        self,
        at: Sequence[float] | FloatArray,
        text: str,
        size: float,
        *,
        align: Align = "left",
        bold: bool = False,
        turn: float = 0.0,
        grey: float = 0.0,
    ) -> None:
        """Keep the room of words on white: it is that of the words."""
        self.text(at, text, size, align=align, bold=bold, turn=turn)

    def inset(self, at: FloatArray, along: FloatArray, text: str, size: float) -> None:
        """Keep the room of a name that stands in its line."""
        turn = float(np.degrees(np.arctan2(-along[1], along[0])))
        corners = text_corners((0.0, 0.0), text, size, align="centre", turn=turn)
        self._fill(corners - corners.mean(axis=0) + at)

    def block(self, corner: FloatArray, size: Sequence[float]) -> None:
        """Keep all of an upright rectangle."""
        sides = np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
        self._fill(corner + sides * np.asarray(size))

    def _fill(self, corners: FloatArray) -> None:
        """Keep all of a slanted rectangle; its first corner joins the two beside it."""
        along, down = corners[1] - corners[0], corners[3] - corners[0]
        across, rows = (
            np.linspace(0.0, 1.0, 2 + int(np.hypot(*side) / _DENSE_MM))
            for side in (along, down)
        )
        grid = np.stack(np.meshgrid(across, rows), axis=-1).reshape(-1, 2)
        self._ink.append(corners[0] + grid[:, :1] * along + grid[:, 1:] * down)


def _dense(points: FloatArray) -> FloatArray:
    """Return places along a line, no further apart than ``_DENSE_MM``."""
    legs = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], legs.cumsum()])
    at = np.linspace(0.0, along[-1], 2 + int(along[-1] / _DENSE_MM))
    return np.column_stack([np.interp(at, along, points[:, i]) for i in (0, 1)])


def ink_within(
    ink: FloatArray, corner: Sequence[float], size: Sequence[float]
) -> FloatArray:
    """Return the ink inside a rectangle, as seen from its upper left corner."""
    local = ink - np.asarray(corner)
    kept: Any = ((local >= -1.0) & (local <= np.asarray(size) + 1.0)).all(axis=1)
    return np.asarray(local[kept])


def clear_place(ink: FloatArray, boxes: FloatArray, gap: float = 0.6) -> int:
    """Return the first of some boxes with no ink in it, else the one with the least.

    Args:
        ink: Places with ink, shape (n, 2).
        boxes: Upper left and lower right corners, best first, shape (m, 2, 2).
        gap: How far ink must be from a box.
    """
    low, high = boxes[:, 0] - gap, boxes[:, 1] + gap
    first = np.minimum(low.min(axis=0), ink.min(axis=0, initial=np.inf))
    last = np.maximum(high.max(axis=0), ink.max(axis=0, initial=-np.inf))
    # Ink counted from the upper left corner on: four places give the ink of a box.
    shape = ((last - first) / _CELL_MM).astype(int) + 3
    summed = np.zeros(shape, dtype=np.int64)
    cells = ((ink - first) / _CELL_MM).astype(int) + 1
    np.add.at(summed, (cells[:, 0], cells[:, 1]), 1)
    summed = summed.cumsum(axis=0).cumsum(axis=1)
    x0, y0 = ((low - first) / _CELL_MM).astype(int).T
    x1, y1 = (((high - first) / _CELL_MM).astype(int) + 1).T
    counts = summed[x1, y1] - summed[x0, y1] - summed[x1, y0] + summed[x0, y0]
    return int(counts.argmin())  # the first of the least
