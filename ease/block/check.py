"""Wear check: a block on a body in a fabric, level by level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isnan

import numpy as np
from numpy.typing import NDArray

from ease.block.leg_levels import LegLevel, leg_levels, thigh_untold
from ease.block.leg_opening import LegOpening, leg_opening
from ease.block.on_body import sizes_on
from ease.block.passing import OpeningPass, way_on_of
from ease.block.pieces import Block, DraftedFor, Level
from ease.block.remarks import remarks
from ease.block.way_round import way_round
from ease.block.wear_faults import (
    NOT_WORN,
    VERDICTS,
    Verdict,
    length_faults,
    length_limits,
    length_remark,
    load_faults,
    strain_faults,
    tightest,
    understated_levels,
)
from ease.body.measures import Body
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.fit.decide import membrane_of
from ease.fit.membrane import Membrane
from ease.fit.wear import Loads, Sizes, WearState, wear_states
from ease.fit.wear_spread import WearSpread, wear_spread

__all__ = ["VERDICTS", "LegOpening", "Verdict", "WearCheck", "check_wear"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WearCheck:
    """A block on a body in one fabric.

    Attributes:
        fabric: The fabric.
        round_body: Cloth direction round the body.
        levels: Levels looked at, top to bottom.
        sizes: Girths at them.
        stretch: Tested stretch round.
        stretch_down: Tested stretch down; nan where it was not tested.
        short_down: Whether the torso loop is worn further than leaves room to move.
        states: Loads of each state of wear that was tested, the two ends of a range.
        pull_index: Index of the level whose relaxed girth carries the pull.
        passed: For each level the widest part of the body that goes through it on the
            way on, and its girth in cm.
        reached: Girth that each level reaches at full stretch, cm.
        faults: What is wrong by verdict, the gravest first.
        understated: Levels whose load test turned far above their strain, so
            that the figures after an hour are too low.
        spread: How sure strain, pressure and pull are just put on.
        leg: The tightest leg opening beside the thigh; None where either is not known.
        drafted_for: What the block was drafted for.
        not_judged: Closed levels of the block whose girth the body does not know: only
            whether they go on is judged, of those that pass over the hip.
        thigh_untold: Why the thigh is one of them, though the body has one; or empty.
        stops_there: The one of them that does not pass over the way on; or empty.
        opening: The opening that does not let pass what must pass it.
        opens: Whether it opens, so that nothing must pass over anything.
        leg_levels: Levels round both legs, with the thigh where the body has one.
        remarks: What is no fault and should be known: straps that hang slack later, a
            leg that is stretched far.
    """

    fabric: Fabric
    round_body: DirectionName
    levels: tuple[Level, ...]
    sizes: Sizes
    stretch: float
    stretch_down: float
    short_down: bool
    states: Mapping[WearState, tuple[Loads, ...]]
    pull_index: int
    passed: tuple[tuple[str, float], ...]
    reached: FloatArray
    faults: Mapping[Verdict, str]
    understated: tuple[str, ...] = ()
    spread: WearSpread | None = None
    leg: LegOpening | None = None
    drafted_for: DraftedFor = field(default_factory=DraftedFor)
    not_judged: tuple[str, ...] = ()
    thigh_untold: str = ""
    stops_there: str = ""
    opening: OpeningPass | None = None
    opens: bool = False
    leg_levels: tuple[LegLevel, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def stretch_used(self) -> FloatArray:
        """Worn strain over tested stretch at each level."""
        return self.sizes.strain / self.stretch

    @property
    def goes_on(self) -> bool:
        """Whether levels and openings pass what they must; of what opens, lie round it."""
        return "does not go on" not in self.faults

    @property
    def stops_at(self) -> str | None:
        """Name of the level that stops first; None where it goes on."""
        if self.goes_on:
            return None
        if self.opening is not None:
            return self.opening.name
        if self.stops_there:
            return self.stops_there
        return self.levels[tightest(self.sizes, self.reached, self.passed)].name

    @property
    def passes(self) -> tuple[str, float]:
        """The widest part of the body that a closed level passes, and its girth, cm.

        Of an opening that stops there, what should pass it.
        """
        if self.opening is not None:
            return self.opening.part, self.opening.girth_cm
        closed = [
            part
            for part, share in zip(self.passed, self.sizes.share, strict=True)
            if share == 1.0
        ]
        return max(closed or self.passed, key=lambda part: part[1])

    @property
    def verdict(self) -> Verdict:
        """The gravest of the faults, or ``fits``."""
        return min(self.faults, key=VERDICTS.index, default="fits")

    @property
    def judged_round(self) -> bool:
        """Whether a level is a closed loop, so that strain and room are judged round."""
        return bool((self.sizes.share == 1.0).any())

    @property
    def judged_down(self) -> bool:
        """Whether room to move is judged down: loop and cloth must be known that way."""
        return self.sizes.length_known and not isnan(self.stretch_down)

    @property
    def headline(self) -> str:
        """Every verdict that there is a fault for, the gravest first."""
        sound = "fits" if self.judged_round else "not judged round"
        return ", ".join(self.faults) or sound

    @property
    def can_be_worn(self) -> bool:
        """Whether it goes on and presses safely."""
        return self.verdict not in NOT_WORN

    def shoulder_pull(self, state: WearState = "now") -> tuple[float, float] | None:
        """Return least and most pull over both shoulders in a state, N.

        None where the state was not tested, or the strain down is not known.
        """
        if state not in self.states or not self.sizes.length_known:
            return None
        girth = float(self.sizes.block[self.pull_index])
        pulls = [ends.pull(self.pull_index, girth) for ends in self.states[state]]
        return min(pulls), max(pulls)


def check_wear(
    block: Block,
    body: Body,
    fabric: Fabric,
    *,
    allowed: Allowed | None = None,
    round_body: DirectionName | None = None,
) -> WearCheck:
    """Check a block on a body in a fabric.

    Args:
        block: The block as it is.
        body: The body.
        fabric: The fabric; without a load test only strain is told.
        allowed: Numbers of the limits.
        round_body: Cloth direction round the body; see ``ease.block.way_round``.

    Raises:
        RefusedError: If the body knows no level of the block.
    """
    allowed = allowed or Allowed()
    way = way_round(block, fabric, round_body)
    levels, sizes = sizes_on(block, body)
    membrane = membrane_of(fabric, way)
    cloth = ClothArrays.from_fabric(fabric, way)
    stretch = float(cloth.stretch_girth)
    states = {} if membrane is None else wear_states(membrane, sizes)
    names = [level.name for level in levels]
    anchor = names.index(block.anchor) if block.anchor in names else 0
    way_on = way_on_of(block, body, (levels, sizes), cloth, allowed)
    growth = float(np.fmax(cloth.growth_girth, cloth.wet_growth_girth))
    faults = strain_faults(names, sizes, allowed, stretch, growth) | way_on.faults
    free = _free_length(sizes.held_strain, membrane, float(cloth.contraction))
    limits = length_limits(sizes, cloth, allowed, free)
    down = length_faults(sizes.length_strain, limits)
    for more in (
        down,
        load_faults(names, sizes, states, anchor, allowed),
    ):
        for verdict, text in more.items():
            faults[verdict] = "; ".join(filter(None, (faults.get(verdict), text)))
    leg, legs = leg_opening(block, body), leg_levels(block, body)
    understated = () if membrane is None else understated_levels(names, sizes, membrane)
    tapes = np.array([body.sd(name) for name in names])
    return WearCheck(
        fabric=fabric,
        round_body=way,
        levels=levels,
        sizes=sizes,
        stretch=stretch,
        stretch_down=float(cloth.stretch_length),
        short_down=bool(down) and "loose" not in down,
        states=states,
        pull_index=anchor,
        passed=way_on.passed,
        reached=way_on.reached,
        faults={key: faults[key] for key in VERDICTS if key in faults},
        understated=understated,
        spread=wear_spread(fabric, way, sizes, tapes, _loop_sd(body), anchor),
        leg=leg,
        drafted_for=block.drafted_for,
        not_judged=way_on.not_judged,
        thigh_untold=thigh_untold(block) if "thigh" in body else "",
        stops_there=way_on.stops_there,
        opening=way_on.opening,
        opens=allowed.opens,
        leg_levels=legs,
        remarks=(
            *remarks(block, body, states, sizes, anchor, leg, legs, cloth, allowed),
            *filter(None, [length_remark(sizes.length_strain, limits)]),
        ),
    )


def _free_length(
    held: FloatArray, membrane: Membrane | None, contraction: float
) -> FloatArray:
    """Length of the cloth over its cut length, stretched round by strains.

    By the load test; past its end, and without one, by the contraction of the hand test.
    """
    by_hand = 1.0 - contraction * held
    if membrane is None:
        return by_hand
    free = 1.0 + membrane.length_strain(held, outside="nan")
    return np.where(np.isnan(free), by_hand, free)


def _loop_sd(body: Body) -> float:
    """How sure the torso loop is, over its length; 0 where there is none."""
    if "torso_loop" not in body:
        return 0.0
    return body.sd("torso_loop") / body["torso_loop"]
