"""Levels that lie on or near an edge, once evening the seams has tilted that edge."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import bounds
from ease.block.measure import ON_EDGE_CM, girth_at
from ease.block.pieces import Block

__all__ = ["LEAST", "beside_ends", "keep_levels"]

FloatArray = NDArray[np.float64]
#: So much of a girth may be missing: less than a tape is off by.
LEAST: Final = 0.01
_FARTHEST_CM: Final = 2.0  # evening moves the end of a seam by less


def keep_levels(before: Block, after: Block) -> Block:
    """Return a block with the levels that its evened seams have cut moved back inside.

    Evening two seams moves their ends by as much as they differ, and tilts a waist edge or
    a hem. A level on it would run out there and read a part of the girth. It goes to the
    nearest height that reads no less than before.

    Args:
        before: The block before its seams were evened.
        after: The same with even seams.
    """
    heights = np.array([level.y for level in after.levels])
    if not len(heights):
        return after
    was, now = (np.nan_to_num(girth_at(block, heights)) for block in (before, after))
    cut = now < (1.0 - LEAST) * was
    if not cut.any():
        return after
    beside = beside_ends(after, ON_EDGE_CM)
    reads = np.nan_to_num(girth_at(after, beside))
    away = np.abs(beside - heights[:, None])
    good = (reads >= (1.0 - LEAST) * was[:, None]) & (away <= _FARTHEST_CM)
    nearest = np.where(good, away, np.inf).argmin(axis=1)
    moved = np.where(cut & good.any(axis=1), beside[nearest], heights)
    levels = (
        replace(level, y=float(y)) for level, y in zip(after.levels, moved, strict=True)
    )
    return replace(after, levels=tuple(levels))


def beside_ends(block: Block, past_cm: float) -> FloatArray:
    """Return the heights so far above and below where edges begin and end, cm, (m,).

    Args:
        block: The block.
        past_cm: How far past them.
    """
    chains = [edge.control for piece in block.pieces for edge in piece.edges]
    ends = np.unique([np.array(bounds(chain))[:, 1] for chain in chains])
    return np.concatenate([ends - past_cm, ends + past_cm])
