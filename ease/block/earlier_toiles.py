"""What earlier toiles of a block have shown: measures of the wearer, and of which cloth.

Marks on a toile can say that a measure of the wearer was taken wrong. The block that was
corrected for it keeps the measure as taped and as found, and its factors are cut over body
as found. Whoever measures again replaces both, or says in the body's file that the measure
reads the same: then the block is that much off its factors. A body is the wearer by its
name, or where its file says so of a measure that reads as taped then.
"""

from __future__ import annotations

from typing import Final

from ease.block.pieces import Block, DraftedFor, FoundMeasure
from ease.body.measures import Body
from ease.fabric.profile import Fabric

__all__ = [
    "SAME_CM",
    "is_wearer",
    "left_open",
    "retaken",
    "same_cloth",
    "taken_again",
    "toiled_ways",
]

#: A measure is the one that was taped, or found, but for rounding.
SAME_CM: Final = 1e-6


def is_wearer(block: Block, body: Body) -> bool:
    """Return whether a body wore the toiles of a block.

    A shipped body cannot be changed, so that a measure of it that was taken again stands
    in a file of another name.

    Args:
        block: The block.
        body: The body, as given or as ``ease.block.as_worn`` makes it.
    """
    toiled = block.drafted_for.toiled
    return bool(toiled.wearer) and (
        body.name == toiled.wearer
        or any(
            one.key in body.again & set(body.values)
            and abs(body[one.key] - one.taped) < SAME_CM
            for one in toiled.measures
        )
    )


def retaken(block: Block, body: Body) -> tuple[FoundMeasure, ...]:
    """Return what toiles found of the wearer that was measured again since.

    Args:
        block: The block.
        body: The body, as ``ease.block.as_worn`` makes it.
    """
    if not is_wearer(block, body):
        return ()
    return tuple(
        one
        for one in block.drafted_for.toiled.measures
        if one.key in body and abs(body[one.key] - one.found) >= SAME_CM
    )


def taken_again(block: Block, body: Body) -> frozenset[str]:
    """Return keys of measures that were taken again, whatever they read.

    Args:
        block: The block.
        body: The body, as ``ease.block.as_worn`` makes it.
    """
    return body.again | {one.key for one in retaken(block, body)}


def left_open(block: Block, body: Body) -> dict[str, FoundMeasure]:
    """Return girths found that may be as taped after all, the cloth being off instead.

    Marks at other levels can tell. Down the body there is but one, so that a torso loop
    stays as found until it is taken again.

    Args:
        block: The block.
        body: The body, as ``ease.block.as_worn`` makes it.
    """
    if not is_wearer(block, body):
        return {}
    anew = retaken(block, body)
    return {
        one.key: one
        for one in block.drafted_for.toiled.measures
        if not (one.sure or one.key == "torso_loop" or one in anew) and one.key in body
    }


def toiled_ways(said: DraftedFor, round_body: str) -> tuple[float, float]:
    """Return what toiles multiplied the factors round and down by, for their cloth.

    It is of the directions of the cloth: turned, the other one goes round the body.

    Args:
        said: What the block was drafted for.
        round_body: Cloth direction that goes round the body now.
    """
    ways = said.toiled.girth, said.toiled.length
    turned = bool(said.round_body) and said.round_body != round_body
    return ways[::-1] if turned else ways


def same_cloth(block: Block, fabric: Fabric) -> bool:
    """Return whether a block was cut for a fabric.

    By its name, or by the one that it had when a toile of it was kept with it: ``ease
    toile --save`` may give it a new one.

    Args:
        block: The block.
        fabric: The fabric.
    """
    name = block.drafted_for.fabric
    earlier = {one.fabric for one in fabric.evidence}
    return bool(name) and name in {fabric.name, *earlier}
