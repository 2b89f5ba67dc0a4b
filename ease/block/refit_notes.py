"""What the user should hear about a block that is adjusted, in plain sentences."""

from __future__ import annotations

from typing import Final

from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.block.plan import Factors
from ease.body.measures import Body
from ease.sentence import Length, Sentence

__all__ = ["refit_notes"]

# A tape and a seam are off by less; a wrong guess of what a block was drafted for by
# more. Own choice, no source.
FAR_OFF: Final = 0.06


def refit_notes(
    block: Block, old: Factors, body: Body | None, *, by_level: bool
) -> tuple[str, ...]:
    """Return notes on a block and on what it is said to be drafted for.

    Args:
        block: The block before.
        old: Factors it is said to be drafted with.
        body: The body it is compared with.
        by_level: Whether each level gets what its loop can carry.
    """
    notes = []
    cut_open = [level.name for level in block.levels if level.loop != "closed"]
    if cut_open and not by_level:
        notes.append(
            f"cut open at {', '.join(cut_open)}: cloth cannot pull round there; "
            "--by-level takes less off where the loop is open"
        )
    if body is not None:
        notes += _far_off(block, old, body)
        if not block.loop_path:
            notes.append(
                "no torso loop is marked on the block, so its length was not compared "
                "with the body's"
            )
    if not block.seams:
        notes.append(
            "no seams are named on the block, so edges that are sewn together were not "
            "compared"
        )
    return tuple(notes)


def _far_off(block: Block, old: Factors, body: Body) -> list[str]:
    """Say where closed girths are not what the old factors make of the body."""
    own = level_girths(block)
    shared = [
        level.name
        for level in block.levels
        if level.loop == "closed" and level.name in body.girths
    ]
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
            "--from inferred goes by its own size",
            *(*found, old.origin, *there),
        )
    ]
