"""Which direction of a cloth goes round the body, for a block that is there."""

from __future__ import annotations

from ease.block.earlier_toiles import same_cloth
from ease.block.pieces import Block
from ease.fabric.profile import DIRECTIONS, DirectionName, Fabric

__all__ = ["turned_note", "way_round"]


def way_round(
    block: Block, fabric: Fabric, asked: DirectionName | None = None
) -> DirectionName:
    """Return the direction of a cloth that goes round the body.

    As asked; else as the block was cut in this very cloth; else the stretchier.

    Args:
        block: The block.
        fabric: The cloth.
        asked: What was asked for.
    """
    if asked is not None:
        return asked
    said = block.drafted_for.round_body
    if said not in DIRECTIONS or not same_cloth(block, fabric):
        return fabric.round_body
    return fabric.round_body if fabric.direction(said) is None else said


def turned_note(
    block: Block, fabric: Fabric, asked: DirectionName | None = None
) -> str:
    """Say that the way of a block counts where it is not the usual one; or nothing.

    Args:
        block: The block.
        fabric: The cloth.
        asked: What was asked for.
    """
    way = way_round(block, fabric, asked)
    if asked is not None or way == fabric.round_body:
        return ""
    return (
        f"{fabric.name}: {way} round the body, as the block was cut; the cloth stretches "
        f"more {fabric.round_body}: --round {fabric.round_body} tells otherwise"
    )
