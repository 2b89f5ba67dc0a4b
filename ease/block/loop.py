"""The torso loop on the body: its slanted legs are stretched both round and down.

A tape from shoulder to crotch runs aslant on the flat block. Worn, each leg is
``sqrt((dx (1 + eh))^2 + (dy (1 + ev))^2)`` long, and their sum is the body's loop.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block
from ease.errors import RefusedError
from ease.sentence import Length, Sentence

__all__ = ["loop_legs", "loop_length_strain"]

FloatArray = NDArray[np.float64]
STEPS: Final = 40
CLOSE: Final = 1e-14


def loop_legs(block: Block) -> FloatArray:
    """Return the straight legs of the block's loop path, cm, shape (n, 2).

    Empty where the block names no loop path.
    """
    runs = [
        np.diff(np.array([block.point(ref) for ref in run]), axis=0)
        for run in block.loop_path
        if len(run) > 1
    ]
    return np.concatenate(runs) if runs else np.empty((0, 2))


def loop_length_strain(
    block: Block, body_loop: float, girth_strain: float
) -> float | None:
    """Return the worn strain down at which the loop fits a body.

    Args:
        block: The block.
        body_loop: Torso loop of the body, cm.
        girth_strain: Worn strain round.

    Returns:
        The strain, or None where the block names no loop path.

    Raises:
        RefusedError: If the loop is longer than the body's even with no height at all.
    """
    legs = loop_legs(block)
    if not len(legs):
        return None
    across, down = np.abs(legs[:, 0] * (1.0 + girth_strain)), np.abs(legs[:, 1])
    if across.sum() >= body_loop or not down.sum():
        message = Sentence(
            "the torso loop of {} cannot be met: its path runs {} round the body alone",
            *(Length(body_loop), Length(float(across.sum()))),
        )
        raise RefusedError(message)
    # The length is convex and rising in the stretch, so Newton from above closes in.
    stretch = body_loop / down.sum()
    for _ in range(STEPS):
        lengths = np.hypot(across, down * stretch)
        step = (lengths.sum() - body_loop) / (down**2 * stretch / lengths).sum()
        stretch -= step
        if abs(step) < CLOSE:
            break
    return float(stretch - 1.0)
