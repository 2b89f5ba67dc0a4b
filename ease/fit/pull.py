"""The pull over both shoulders and the tension down the body that carries it.

The relaxed girth at the waist carries the pull: ``T_v = F (1 + eh) / waist``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fit.membrane import Membrane

__all__ = ["carried_pull", "pull_tension"]

FloatArray = NDArray[np.float64]


def pull_tension(
    pull_n: ArrayLike, girth_strain: FloatArray, waist: FloatArray
) -> FloatArray:
    """Return the tension down the body that carries a pull, N/m of relaxed width.

    Args:
        pull_n: Pull over both shoulders together, N.
        girth_strain: Worn strain round the body.
        waist: Waist girth of the body, cm.
    """
    return np.asarray(pull_n) * (1.0 + girth_strain) / (np.asarray(waist) / 100.0)


def carried_pull(
    membrane: Membrane, girth: FloatArray, length: FloatArray, waist: FloatArray
) -> FloatArray:
    """Return the pull over both shoulders at worn strains, N; the mate of pull_tension.

    Slack cloth pulls nothing. NaN past the load test.

    Args:
        membrane: The cloth, or a batch.
        girth: Worn strain round the body.
        length: Worn strain down the body.
        waist: Waist girth of the body, cm.
    """
    _, down = membrane.tensions(girth, length, outside="nan")
    return np.asarray(np.maximum(down, 0.0) * (waist / 100.0) / (1.0 + girth))
