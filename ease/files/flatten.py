"""Curves as short straight legs, never further from the curve than a tolerance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import evaluate

__all__ = ["flattened", "flattened_parameters"]

FloatArray = NDArray[np.float64]


def flattened_parameters(
    control: FloatArray, tolerance: float
) -> tuple[NDArray[np.intp], FloatArray]:
    """Return at which parameters cubics are cut into legs: row of each, and t.

    A leg over a step h of the parameter strays at most h^2/8 of the largest second
    derivative, which lies at one of the two ends of the cubic.

    Args:
        control: Cubics, shape (k, 4, 2).
        tolerance: Largest distance between leg and curve, in the unit of the control.

    Returns:
        Rows and parameters, shape (n,) each, without the very last point.
    """
    second = 6 * np.linalg.norm(np.diff(control, n=2, axis=1), axis=2).max(axis=1)
    legs = np.maximum(1, np.ceil(np.sqrt(second / (8 * tolerance)) - 1e-9)).astype(int)
    rows = np.repeat(np.arange(len(control)), legs)
    first = np.repeat(np.cumsum(legs) - legs, legs)
    t = (np.arange(len(rows)) - first) / legs[rows]
    return rows, t


def flattened(control: FloatArray, tolerance: float) -> FloatArray:
    """Return points along a chain of cubics, both ends with it, shape (n, 2).

    Examples:
        >>> flattened(np.array([[[0, 0], [1, 0], [2, 0], [3, 0]]], dtype=float), 0.01)
        array([[0., 0.],
               [3., 0.]])
    """
    rows, t = flattened_parameters(control, tolerance)
    return np.concatenate([evaluate(control[rows], t), control[-1:, 3]])
