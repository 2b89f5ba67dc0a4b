"""Let an edge follow its end points without bending its ends or breaking its lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.block.pieces import line

__all__ = ["follow_ends"]

FloatArray = NDArray[np.float64]


def follow_ends(
    control: FloatArray,
    image: FloatArray,
    straight: Sequence[bool],
    start: ArrayLike,
    end: ArrayLike,
) -> FloatArray:
    """Return the image of a chain moved so that it runs between two given points.

    What is left over at the ends (the residuals) is shared along the chain. A handle
    takes the shift of the point it belongs to, so that the direction at every point
    stays: a curve that leaves a fold at a right angle still does. Lines within a curved
    chain are only shifted; the curves take up the difference, each by its size. Size
    is the geometric mean of the control polygons before and after, which makes the way
    back exact: with the inverse map the chain returns to where it was.

    Args:
        control: The chain before, cm, shape (k, 4, 2).
        image: The chain after the map alone, shape (k, 4, 2).
        straight: For each cubic, whether it is a line.
        start: Where the chain is to start, shape (2,).
        end: Where it is to end, shape (2,).

    Returns:
        The moved chain, shape (k, 4, 2), with ends exactly as given.
    """
    flat = np.array(straight, dtype=bool)
    takes = np.ones(len(flat)) if flat.all() else (~flat).astype(float)
    first = np.asarray(start, dtype=float) - image[0, 0]
    rest = np.asarray(end, dtype=float) - image[-1, 3] - first
    before, moved = _sizes(control), image
    if not rest.any():
        moved = image + first
    else:
        for _ in range(60):
            share = takes * np.sqrt(before * _sizes(moved))
            if not share.sum() > 0:
                share = takes
            knots = np.concatenate([[0.0], np.cumsum(share / share.sum())])
            shift = first + knots[:, None] * rest
            pair = np.stack([shift[:-1], shift[:-1], shift[1:], shift[1:]], axis=1)
            last, moved = moved, image + pair
            if np.abs(moved - last).max() < 1e-15:
                break
    moved = moved.copy()
    moved[0, 0], moved[-1, 3] = start, end
    moved[1:, 0] = moved[:-1, 3]
    for i in np.flatnonzero(flat):
        moved[i] = line(tuple(moved[i, 0]), tuple(moved[i, 3]))
    return moved


def _sizes(control: FloatArray) -> FloatArray:
    """Return the length of each control polygon, shape (k,)."""
    legs = np.diff(control, axis=1)
    return np.asarray(np.hypot(legs[..., 0], legs[..., 1]).sum(axis=1))
