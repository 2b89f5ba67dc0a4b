"""Whether the way of the torso loop closes: a tape goes on from seam to seam."""

from __future__ import annotations

from typing import Final

import numpy as np

from ease.block.curves import evaluate
from ease.block.measure import torso_loop
from ease.block.pieces import Block, PointRef
from ease.sentence import Length, Sentence

__all__ = ["open_loop_notes"]

_ON_EDGE_CM: Final = 0.2  # a mark that was read off a ruler lies on its edge so nearly
_STEPS: Final = np.linspace(0.0, 1.0, 201)


def open_loop_notes(block: Block) -> tuple[Sentence, ...]:
    """Say where one part of the torso loop does not go on in the next, if anywhere.

    Where a part ends and the next begins, the last and the first too, two edges are sewn
    together. Without seams nothing tells.

    Args:
        block: The block.
    """
    runs = [run for run in block.loop_path if run]
    length = torso_loop(block)
    if not runs or not block.seams or length is None:
        return ()
    ends = zip(runs, [*runs[1:], runs[0]], strict=True)
    gaps = [(run[-1], after[0]) for run, after in ends]
    apart = [f"{a} and {b}" for a, b in gaps if not _meet(block, a, b)]
    if not apart:
        return ()
    said = Sentence(
        "the torso loop does not close: {}, where one part of its way should go on in the "
        "next, lie on no edges that are sewn together; as marked it is {}, and what is "
        "worked out from it goes by that: mark its way from seam to seam, and name the "
        "seams there",
        *(", ".join(apart), Length(length)),
    )
    return (said,)


def _meet(block: Block, first: PointRef, second: PointRef) -> bool:
    """Whether two points lie on edges that are sewn together."""
    if first == second:
        return True
    here, there = _edges_at(block, first), _edges_at(block, second)
    return any(
        (seam.first in here and seam.second in there)
        or (seam.first in there and seam.second in here)
        for seam in block.seams
    )


def _edges_at(block: Block, ref: PointRef) -> set[str]:
    """Return the edges, as ``piece.edge``, that a corner or a mark lies on."""
    piece = block.piece(ref.piece)
    xy = piece.point(ref.point)
    found = set()
    for edge in piece.edges:
        apart = evaluate(edge.control[:, None], _STEPS) - xy
        if np.hypot(apart[..., 0], apart[..., 1]).min() <= _ON_EDGE_CM:
            found.add(f"{piece.name}.{edge.name}")
    return found
