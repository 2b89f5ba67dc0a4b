"""What kind of garment a block is, as far as it bears on how much smaller to cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ease.block.on_body import passed_girths
from ease.block.pieces import Block
from ease.body.measures import Body
from ease.fit.aims import Allowed

__all__ = ["for_garment"]


def for_garment(allowed: Allowed, block: Block, bodies: Sequence[Body]) -> Allowed:
    """Return limits for what a block is, as the wear check judges it.

    Without a torso loop it does not hang. Going on and pressure are by the closed levels
    that it has: a crop top has no waist to pass over the shoulders, nor to be pressed.

    Args:
        allowed: Limits of a one-piece.
        block: The block.
        bodies: Those to decide for, in their order; may be none.

    Raises:
        RefusedError: If it is pulled on over head and a shoulder girth is not known.
    """
    ratios = [
        _passing_ratio(block, body, over_head=allowed.over_head) for body in bodies
    ]
    passing = None if not ratios else np.array(ratios)
    return replace(
        allowed,
        hangs=allowed.hangs and bool(block.loop_path),
        passing=passing if passing is None or len(passing) > 1 else passing[0],
        held_at=_held_at(block) or allowed.held_at,
    )


def _held_at(block: Block) -> tuple[str, ...]:
    """Return which of bust, waist and hip the block closes round."""
    closed = {level.name for level in block.levels if level.loop == "closed"}
    return tuple(name for name in Allowed().held_at if name in closed)


def _passing_ratio(block: Block, body: Body, *, over_head: bool) -> float:
    """Return the most that a closed level must pass, over the body's girth there."""
    levels = tuple(level for level in block.levels if level.name in body.girths)
    passed = passed_girths(levels, body, over_head=over_head)
    ratios = [
        girth / body[level.name]
        for level, (_, girth) in zip(levels, passed, strict=True)
        if level.loop == "closed"
    ]
    return max([1.0, *ratios])
