"""Places inside a piece for its label and the arrow of the cloth. All in mm, y down."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import level_crossings

__all__ = ["level_arrow", "middle_of", "spans", "upright_arrow"]

FloatArray = NDArray[np.float64]
_LONGEST_MM: Final = 90.0  # half an arrow
_ABOVE_LABEL_MM: Final = (12.0, 18.0, 24.0)
_CLEAR_MM: Final = 5.0  # between an arrow and a level line


def spans(outline: FloatArray, y: float) -> FloatArray:
    """Return the parts of a horizontal line inside an outline, shape (n, 2), x in mm."""
    x = level_crossings(outline, [y])[0][0]
    x = np.sort(x[np.isfinite(x)])
    return x[: len(x) // 2 * 2].reshape(-1, 2)


def middle_of(
    outline: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[FloatArray, float]:
    """Return a place well inside for the label, and the width there."""
    heights = low[1] + (high[1] - low[1]) * np.array([0.62, 0.55, 0.7, 0.45, 0.35])
    best, place = 0.0, (low + high) / 2
    for y in heights:
        for left, right in spans(outline, float(y)):
            if right - left > 1.1 * best:
                best, place = right - left, np.array([(left + right) / 2, y])
    return np.asarray(place), float(best)


def level_arrow(
    outline: FloatArray, label: FloatArray, levels: Sequence[float]
) -> FloatArray:
    """Return a level arrow above the label and clear of level lines, shape (2, 2)."""
    heights = float(label[1]) - np.array(_ABOVE_LABEL_MM)
    gaps = np.abs(heights[:, None] - np.array([*levels, np.inf])).min(axis=1)
    y = float(heights[np.argmax(gaps >= _CLEAR_MM)])
    left, right = _holding(spans(outline, y), float(label[0]), 50.0)
    half = min(0.3 * (right - left), _LONGEST_MM)
    x = (left + right) / 2
    return np.array([[x - half, y], [x + half, y]])


def upright_arrow(outline: FloatArray, label: FloatArray) -> FloatArray:
    """Return an upright arrow inside the piece, beside the label, shape (2, 2)."""
    left, right = _holding(spans(outline, float(label[1])), float(label[0]), 50.0)
    x = left + 0.86 * (right - left)
    top, bottom = _holding(spans(outline[..., ::-1], x), float(label[1]), 40.0)
    half = min(0.38 * (bottom - top), _LONGEST_MM)
    y = float(np.clip(label[1], top + half + 4, max(bottom - half - 4, top + half + 4)))
    return np.array([[x, y - half], [x, y + half]])


def _holding(found: FloatArray, at: float, reach: float) -> tuple[float, float]:
    """Return the span that a place lies in, or one about it where none does."""
    inside = [span for span in found.tolist() if span[0] <= at <= span[1]]
    return tuple(inside[0]) if inside else (at - reach, at + reach)
