"""What the user should hear about a block that is adjusted, in plain sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

import numpy as np

from ease.block.cut_levels import cut_levels
from ease.block.loop import loop_legs
from ease.block.measure import infer_factors, level_girths
from ease.block.pieces import Block
from ease.block.plan import Factors
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fit.outside import SAME_STRAIN
from ease.sentence import Length, Sentence
from ease.units import apart_texts

__all__ = [
    "Beyond",
    "beyond_windows",
    "refit_notes",
    "shape_notes",
    "taken_as_notes",
    "window_notes",
]

# A tape and a seam are off by less; a wrong guess of what a block was drafted for by
# more. Own choice, no source.
FAR_OFF: Final = 0.06
# Factors of two levels further apart were drafted so: 0.5 cm off in each of two girths
# of 70 cm spreads their difference by 0.01, of which this is three. Own choice.
UNEVEN: Final = 0.03


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
    notes: list[str] = [cut.text for cut in cut_levels(block)]
    cut_open = [level.name for level in block.levels if level.loop != "closed"]
    if cut_open and not by_level:
        notes.append(
            f"cut open at {', '.join(cut_open)}: cloth cannot pull round there; "
            "--by-level takes less off where the loop is open"
        )
    if body is not None:
        notes += shape_notes(block, old, body)
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
    if free := _not_held(block):
        notes.append(
            f"no distance is held on the block, so {', '.join(free)} change width with "
            "the rest; name held distances to keep them"
        )
    return tuple(notes)


def _not_held(block: Block) -> list[str]:
    """Edges whose width usually stays, of a block that holds no distance."""
    names = [f"{piece.name}.{e.name}" for piece in block.pieces for e in piece.edges]
    usual = ("strap", "crotch")
    return [
        name
        for name in names
        if not block.holds and name.rpartition(".")[2].startswith(usual)
    ]


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


def window_notes(
    strains: Mapping[str, float], down: float | None, new: Factors
) -> tuple[str, ...]:
    """Return notes where the adjusted block is worn beyond a window.

    Args:
        strains: Worn strain of each closed level of the block after.
        down: Worn strain down; None where it is not known.
        new: Factors it is cut with; those given by hand have no window.
    """
    mend = "`ease check` on the new block tells what follows"
    return tuple(
        f"worn {found}: outside the window of {new.fabric} {way}, "
        f"{100 * low:.1f} to {100 * high:.1f} %; {mend}"
        for way, found, (low, high) in beyond_windows(strains, down, new)
    )


class Beyond(NamedTuple):
    """A window that is left: ``round`` or ``down``, how far in words, and its ends."""

    way: str
    worn: str
    window: tuple[float, float]


def beyond_windows(
    strains: Mapping[str, float], down: float | None, new: Factors
) -> list[Beyond]:
    """Return where a block is worn beyond a window.

    Args:
        strains: Worn strain of each closed level.
        down: Worn strain down; None where it is not known.
        new: Factors it is cut with; those given by hand have no window.
    """
    length = {} if down is None else {"": down}
    sides = (
        ("round", strains, new.girth_window),
        ("down", length, new.length_window),
    )
    return [
        Beyond(way, found, window)
        for way, worn, window in sides
        if window is not None and (found := _beyond(worn, *window))
    ]


def _beyond(strains: Mapping[str, float], low: float, high: float) -> str:
    return ", ".join(
        f"{apart_texts(strain, low if strain < low else high)[0]} %"
        f"{f' at {name}' if name else ' down'}"
        for name, strain in strains.items()
        if not low - SAME_STRAIN <= strain <= high + SAME_STRAIN
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
    there = float(np.hypot(legs[:, 0], legs[:, 1] * old.length / own).sum())
    return [
        Sentence(
            "the torso loop of the block measures {}, but drafted as said ({}) it would "
            "be {}; `ease adjust --from inferred` goes by its own size",
            *(Length(float(np.hypot(*legs.T).sum())), old.origin, Length(there)),
        )
    ]
