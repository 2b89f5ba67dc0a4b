"""Tension against strain: monotone cubics through tested points, going up and down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["TensionCurve"]


@dataclass(frozen=True, slots=True, eq=False)
class TensionCurve:
    """Placeholder contract, see the docstring of the finished module."""

    strain: NDArray[np.float64]
    tension: NDArray[np.float64]
    slope: NDArray[np.float64]
