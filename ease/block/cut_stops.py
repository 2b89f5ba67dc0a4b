"""Say of a block that was just cut for a fabric that it does not go on."""

from __future__ import annotations

from ease.block.on_body import sizes_on
from ease.block.passing import way_on_of
from ease.block.pieces import Block
from ease.block.way_round import way_round
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.sentence import Sentence

__all__ = ["CUT_SO", "stops_note", "why_it_stops"]

CUT_SO = "cut so, it does not go on"


def stops_note(
    block: Block,
    body: Body | None,
    fabric: Fabric,
    allowed: Allowed,
    round_body: DirectionName | None = None,
) -> str:
    """Return a note where a block that was cut for a fabric does not go on.

    Args:
        block: The block as it was cut.
        body: The body; None where it is not known.
        fabric: The fabric.
        allowed: How it is put on.
        round_body: Cloth direction round the body; see ``ease.block.way_round``.
    """
    if body is None:
        return ""
    why = why_it_stops(block, body, fabric, allowed, round_body)
    return Sentence("{}: {}", CUT_SO, why) if why else ""


def why_it_stops(
    block: Block,
    body: Body,
    fabric: Fabric,
    allowed: Allowed,
    round_body: DirectionName | None = None,
) -> str:
    """Return why a block does not go on; empty where it does.

    Factors are decided for the levels: a neck or leg that the block has may still stop.

    Args:
        block: The block as it was cut.
        body: The body.
        fabric: The fabric.
        allowed: How it is put on.
        round_body: Cloth direction round the body; see ``ease.block.way_round``.
    """
    cloth = ClothArrays.from_fabric(fabric, way_round(block, fabric, round_body))
    try:
        way_on = way_on_of(block, body, sizes_on(block, body), cloth, allowed)
    except RefusedError:
        return ""
    return way_on.faults.get("does not go on", "")
