"""Which sheets of a grid a piece lies on. All in mm, y down."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["fill", "inside", "rows_columns"]

FloatArray = NDArray[np.float64]
_DENSE_MM: Final = 4.0


def rows_columns(
    points: FloatArray,
    step: tuple[float, float],
    overlap: float,
    filled: NDArray[np.bool_],
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return which sheet each point belongs to.

    The strip that two sheets share belongs to the one on the left, or above.
    """
    cells = np.floor((points - overlap) / step).astype(int)
    cells = np.clip(cells, 0, np.array(filled.shape)[::-1] - 1)
    return cells[:, 1], cells[:, 0]


def fill(
    filled: NDArray[np.bool_],
    cut: FloatArray,
    step: tuple[float, float],
    overlap: float,
) -> None:
    """Mark the sheets that a piece lies on: by points on and inside its outline."""
    closed = np.concatenate([cut, cut[:1]])
    legs = np.linalg.norm(np.diff(closed, axis=0), axis=1)
    counts = np.maximum(1, np.ceil(legs / _DENSE_MM)).astype(int)
    rows = np.repeat(np.arange(len(legs)), counts)
    share = (
        np.arange(len(rows)) - np.repeat(np.cumsum(counts) - counts, counts)
    ) / counts[rows]
    edge = closed[rows] + share[:, None] * (closed[rows + 1] - closed[rows])
    filled[rows_columns(edge, step, overlap, filled)] = True
    # A sheet that lies wholly inside a piece holds no point of its outline.
    middles = np.stack(
        np.meshgrid(
            (np.arange(filled.shape[1]) + 0.5) * step[0] + overlap,
            (np.arange(filled.shape[0]) + 0.5) * step[1] + overlap,
        ),
        axis=-1,
    )
    filled |= inside(middles.reshape(-1, 2), closed).reshape(filled.shape)


def inside(points: FloatArray, closed: FloatArray) -> NDArray[np.bool_]:
    """Return which points lie inside a closed polyline (even-odd rule)."""
    a, b = closed[:-1], closed[1:]
    x, y = points[:, 0, None], points[:, 1, None]
    spans = (a[None, :, 1] > y) != (b[None, :, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (y - a[None, :, 1]) / (b - a)[None, :, 1]
        meets = a[None, :, 0] + share * (b - a)[None, :, 0]
    return np.asarray((spans & (meets > x)).sum(axis=1) % 2 == 1)
