"""How often an edge lies in a seam: twice where its mirror image runs on from it."""

from __future__ import annotations

import numpy as np

from ease.block.piece import FOLD_CM
from ease.block.pieces import Block, Seam

__all__ = ["sewn_times"]


def sewn_times(block: Block, seam: Seam) -> tuple[int, int]:
    """Return how often each edge of a seam lies in it.

    An edge that ends on a fold, or on the middle seam of a pair, runs on in its mirror
    image: sewn to an edge of a whole piece, it lies there twice. Two such halves are sewn
    to each other half by half.

    Args:
        block: The block.
        seam: One of its seams.
    """
    first, second = (_is_half(block, name) for name in (seam.first, seam.second))
    if first == second:
        return 1, 1
    whole = seam.second if first else seam.first
    if block.piece(whole.partition(".")[0]).times_round > 1:
        return 1, 1
    return (2, 1) if first else (1, 2)


def _is_half(block: Block, name: str) -> bool:
    """Whether the mirror image of an edge runs on from one of its ends."""
    piece, edge = block.piece(name.partition(".")[0]), block.edge(name)
    if piece.on_fold:
        ends = np.abs([edge.first[0], edge.last[0]]) <= FOLD_CM
        return bool(ends.sum() == 1)
    own = [seam.first for seam in block.seams if seam.first == seam.second]
    middles = [
        block.edge(one)
        for one in own
        if one != name and one.startswith(f"{piece.name}.")
    ]
    points = {point for one in middles for point in (one.start, one.end)}
    return len(points & {edge.start, edge.end}) == 1
