"""Pull points back so that held distances keep their size when a block is mapped."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import FOLD_CM, Block, Hold, PointRef

__all__ = ["lies_on_fold", "pull_back"]

FloatArray = NDArray[np.float64]


def lies_on_fold(block: Block, ref: PointRef) -> bool:
    """Return whether a point lies on the fold of its piece."""
    return block.piece(ref.piece).on_fold and abs(block.point(ref)[0]) <= FOLD_CM


def pull_back(
    block: Block, images: Mapping[PointRef, FloatArray]
) -> dict[PointRef, FloatArray]:
    """Return where the ends of held distances go.

    Both ends move alike along the direction between their images until the distance is
    as before; an end on the fold stays where the map puts it. Holds that share points
    are set together round their common middle. Where they close a ring, or hang on
    the fold at more than one point, no distances can be set one by one and the whole
    figure is shifted as it was. Each way is undone by the inverse map.

    Args:
        block: The block before.
        images: Where the map alone puts the ends of the holds.

    Returns:
        New coordinates of every end of a hold.
    """
    moved: dict[PointRef, FloatArray] = {}
    for holds in _groups(block.holds):
        ends = list(dict.fromkeys(ref for h in holds for ref in (h.first, h.second)))
        fold = [ref for ref in ends if lies_on_fold(block, ref)]
        if len(holds) == len(ends) - 1 and (len(fold) < 2 or len(holds) == 1):
            fresh = _stepped(block, holds, images)
        else:
            fresh = {ref: block.point(ref) for ref in ends}
        anchor = fold if len(fold) == 1 else ends
        shift = np.mean([images[ref] - fresh[ref] for ref in anchor], axis=0)
        if len(fold) > 1:
            shift[0] = 0.0
        moved |= {ref: xy + shift for ref, xy in fresh.items()}
        moved |= {ref: np.array([block.point(ref)[0], moved[ref][1]]) for ref in fold}
    return moved


def _groups(holds: tuple[Hold, ...]) -> list[list[Hold]]:
    """Return the holds in groups that share points; one given twice comes once."""
    groups: list[list[Hold]] = []
    seen = set()
    for hold in holds:
        pair = frozenset((hold.first, hold.second))
        if pair in seen or len(pair) == 1:
            continue
        seen.add(pair)
        joined = [g for g in groups if any(pair & {h.first, h.second} for h in g)]
        groups = [g for g in groups if g not in joined]
        groups.append([*(h for g in joined for h in g), hold])
    return groups


def _stepped(
    block: Block, holds: list[Hold], images: Mapping[PointRef, FloatArray]
) -> dict[PointRef, FloatArray]:
    """Return the ends set out from one of them, step by step."""
    placed = {holds[0].first: images[holds[0].first]}
    waiting = list(holds)
    while waiting:
        hold = next(h for h in waiting if h.first in placed or h.second in placed)
        waiting.remove(hold)
        old, new = hold.first, hold.second
        if old not in placed:
            old, new = new, old
        step = images[new] - images[old]
        kept = np.hypot(*(block.point(new) - block.point(old)))
        size = np.hypot(*step)
        placed[new] = placed[old] + (step * (kept / size) if size > 0 else 0.0)
    return placed
