"""What is no fault of a worn garment and should be known all the same."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ease.block.hems import hems_not_judged
from ease.block.leg_levels import LegLevel
from ease.block.leg_opening import LegOpening
from ease.block.pieces import Block
from ease.block.wear_faults import hanging_states
from ease.body.measures import Body
from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.fit.limits import room_to_move
from ease.fit.outside import SAME_STRAIN
from ease.fit.slack import is_slack, slack_text
from ease.fit.wear import Loads, Sizes, WearState

__all__ = ["remarks"]


def remarks(
    block: Block,
    body: Body,
    states: Mapping[WearState, tuple[Loads, ...]],
    sizes: Sizes,
    anchor: int,
    leg: LegOpening | None,
    legs: tuple[LegLevel, ...],
    cloth: ClothArrays,
    allowed: Allowed,
) -> tuple[str, ...]:
    """Return remarks on straps slack later, a leg stretched far, and edges not judged.

    Args:
        block: The block.
        body: The body.
        states: Loads of each state of wear that was tested.
        sizes: The garment on the body.
        anchor: Index of the level whose relaxed girth carries the pull.
        leg: Its tightest leg opening, if it is known.
        legs: Its levels round the legs.
        cloth: Stretch of the fabric.
        allowed: Numbers of the limits.
    """
    found = (
        _slack_later(states, sizes, anchor, allowed),
        _leg_far(leg, cloth, allowed),
        *_thigh_far(legs, cloth, allowed),
        *hems_not_judged(block, body, cloth, allowed),
    )
    return tuple(filter(None, found))


def _slack_later(
    states: Mapping[WearState, tuple[Loads, ...]],
    sizes: Sizes,
    anchor: int,
    allowed: Allowed,
) -> str:
    """Say of states where the straps do not hang what they pull less than."""
    if not (states and sizes.length_known):
        return ""
    girth = float(sizes.block[anchor])
    pulls = {
        state: float(np.max([end.pull(anchor, girth) for end in ends]))
        for state, ends in states.items()
    }
    if is_slack(pulls.pop("now"), allowed.least_pull_n):
        return ""
    hang = hanging_states(states, anchor)
    return slack_text(
        {state: pull for state, pull in pulls.items() if state not in hang},
        allowed.least_pull_n,
        "a shorter cut, where `ease factors` leaves one, or a cloth that grows less holds",
    )


def _thigh_far(
    legs: tuple[LegLevel, ...], cloth: ClothArrays, allowed: Allowed
) -> tuple[str, ...]:
    """Say where a level round the thigh leaves no room to move."""
    room = float(
        room_to_move(cloth.stretch_girth, allowed.usable_share, allowed.girth_move)
    )
    return tuple(
        f"{level.name}: worn {100 * level.strain:.1f} % stretched on one leg; more than "
        f"{100 * room:.1f} % leaves no room to move"
        for level in legs
        if level.strain is not None and level.strain > room + SAME_STRAIN
    )


def _leg_far(leg: LegOpening | None, cloth: ClothArrays, allowed: Allowed) -> str:
    """Say where the edge of the leg takes more than the usable stretch."""
    stretch = float(np.fmax(cloth.stretch_girth, cloth.stretch_length))
    usable = allowed.usable_share * stretch
    if leg is None or not usable + SAME_STRAIN < leg.strain <= stretch:
        return ""
    return (
        f"the {leg.name} opening is worn {100 * leg.strain:.0f} % stretched, where "
        f"{100 * usable:.0f} % counts as usable: it may dig in; a wider or higher leg has "
        "a longer edge"
    )
