"""What a block is said to be drafted for, against what it measures."""

from __future__ import annotations

from typing import Final

import numpy as np

from ease.block.loop import loop_legs
from ease.block.loop_ends import open_loop_notes
from ease.block.measure import infer_factors, level_girths
from ease.block.pieces import Block
from ease.block.plan import Factors
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.sentence import Length, Sentence

__all__ = ["far_notes", "shape_notes", "taken_as_notes"]

# A tape and a seam are off by less; a wrong guess of what a block was drafted for by
# more. Own choice, no source.
FAR_OFF: Final = 0.06
# Factors of two levels further apart were drafted so: 0.5 cm off in each of two girths
# of 70 cm spreads their difference by 0.01, of which this is three. Own choice.
UNEVEN: Final = 0.03
# Beyond these no block is cut. Own choice, no source: the firmest aims in the softest
# cloths come to 0.7 round and 0.9 down, and what stands off the body has ease to 1.2.
FACTORS_ROUND: Final = (0.6, 1.25)
FACTORS_DOWN: Final = (0.8, 1.15)


def shape_notes(block: Block, old: Factors, body: Body) -> tuple[str, ...]:
    """Return notes on how far a block is from its old factors, level by level.

    Args:
        block: The block.
        old: Factors it is said to be drafted with.
        body: The body that it is for.
    """
    return (
        *_far_off(block, old, body),
        *_loop_far_off(block, old, body),
        *_uneven(block, old, body),
    )


def taken_as_notes(block: Block, old: Factors) -> tuple[str, ...]:
    """Say what a block is taken for that does not say it.

    Args:
        block: The block.
        old: Factors that were inferred.
    """
    if block.drafted_for.girth_factor is not None:
        return ()
    return (
        "the block does not say what it was drafted for: taken as "
        f"{old.girth:.3f} round and {old.length:.3f} down, {old.origin}",
    )


def far_notes(old: Factors) -> tuple[str, ...]:
    """Doubt factors that no block is drafted with.

    Args:
        old: What a block was drafted with, by what it says or as inferred.
    """
    sizes = "levels, pieces, unit and body are as said"
    loops = "the torso loop is right, its way on the block and that of the body"
    return tuple(
        f"no block is cut to {factor:.3f} of its body {way}: see whether {right}"
        for way, factor, (low, high), right in (
            ("round", old.girth, FACTORS_ROUND, sizes),
            ("down", old.length, FACTORS_DOWN, loops),
        )
        if not low <= factor <= high
    )


def _shared_levels(block: Block, body: Body) -> list[str]:
    return [
        level.name
        for level in block.levels
        if level.loop == "closed" and level.name in body.girths
    ]


def _uneven(block: Block, old: Factors, body: Body) -> list[str]:
    """Name the factor of each closed level where what is said does not describe them.

    Nothing is said on another body than the block is for: bodies differ in shape.
    """
    if block.drafted_for.body not in ("", body.name):
        return []
    own, shared = level_girths(block), _shared_levels(block, body)
    factors = {name: own[name] / body.girths[name] for name in shared}
    # What is left when each level's own factor, as far as it is known, is taken off.
    apart = [
        factor - old.levels.get(name, old.girth) for name, factor in factors.items()
    ]
    if not shared or max(apart) - min(apart) <= UNEVEN:
        return []
    each = ", ".join(f"{factor:.2f} at {name}" for name, factor in factors.items())
    said = f"one factor of {old.girth:.2f}"
    if old.levels:
        said = ", ".join(f"{old.levels.get(name, old.girth):.2f}" for name in shared)
    return [
        f"the old block is not cut evenly: of the body it is {each}, against {said} "
        f"({old.origin}); the new one keeps these differences"
    ]


def _far_off(block: Block, old: Factors, body: Body) -> list[str]:
    """Say where closed girths are not what the old factors make of the body."""
    own, shared = level_girths(block), _shared_levels(block, body)
    wanted = {
        name: old.levels.get(name, old.girth) * body.girths[name] for name in shared
    }
    total = sum(wanted.values())
    if not shared or abs(sum(own[name] for name in shared) / total - 1) <= FAR_OFF:
        return []
    gaps = ", ".join("{} {}" for _ in shared)
    found = [part for name in shared for part in (name, Length(own[name]))]
    there = [part for name in shared for part in (name, Length(wanted[name]))]
    return [
        Sentence(
            f"the block measures {gaps}, but drafted as said ({{}}) it would be {gaps}; "
            "`ease adjust --from inferred` goes by its own size",
            *(*found, old.origin, *there),
        )
    ]


def _loop_far_off(block: Block, old: Factors, body: Body) -> list[str]:
    """Say where the torso loop is not what the old length factor makes of the body's."""
    legs, loop = loop_legs(block), body.values.get("torso_loop")
    if not len(legs) or loop is None or not _shared_levels(block, body):
        return []
    try:
        _, own = infer_factors(block, body.girths, loop)
    except RefusedError:
        return []
    if own is None or abs(own / old.length - 1) <= FAR_OFF:
        return []
    goes_by = "; `ease adjust --from inferred` goes by its own size"
    if open_loop_notes(block):
        goes_by = ""  # its own size is not the loop's
    there = float(np.hypot(legs[:, 0], legs[:, 1] * old.length / own).sum())
    return [
        Sentence(
            "the torso loop of the block measures {}, but drafted as said ({}) it would "
            f"be {{}}{goes_by}",
            *(Length(float(np.hypot(*legs.T).sum())), old.origin, Length(there)),
        )
    ]
