"""Which fabric a block needs as it is, and how the known ones rank for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, inf, log

import numpy as np

from ease.block.check import VERDICTS, WearCheck, check_wear
from ease.block.on_body import aimed_level, passed_girths, sizes_on
from ease.block.passing import opening_passes
from ease.block.pieces import Block
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import Fabric
from ease.fit.aims import ASSUMED_CONTRACTION, Aim, Allowed
from ease.fit.outside import SAME_STRAIN
from ease.fit.pressure import tension_for_pressure
from ease.fit.reduction import combine_strains
from ease.fit.wear import Sizes
from ease.units import percent_text

__all__ = ["Need", "fabric_need", "rank_fabrics"]


@dataclass(frozen=True, slots=True)
class Need:
    """What a fabric must have for a block to fit a body as it is.

    Attributes:
        stretch: Least stretch: room to move at every closed level, and going on, its
            neck, waist and legs among it.
        strain: Worn strain at the level where the pressure is aimed at.
        level: Name of that level.
        tension: Tension that gives the aimed pressure there, N/m of relaxed width.
        length_strain: Worn strain down the body; None where it is not known, and the
            tension is for cloth at body length.
        stretch_for: The opening that asks for it and what it passes, in words; empty
            where the levels ask for it, round.
        stretch_down: Least stretch down the body: room to move along the torso loop, in a
            cloth of the contraction that is assumed where none was read; None where the
            strain down is not known.
    """

    stretch: float
    strain: float
    level: str
    tension: float
    length_strain: float | None
    stretch_for: str = ""
    stretch_down: float | None = None

    @property
    def possible(self) -> bool:
        """Whether any cloth could hold: the block must be smaller than the body."""
        return self.strain > 0

    def impossible_text(self, body: str) -> str:
        """Say that no cloth holds on a body, whose title is given."""
        return (
            f"At the {self.level} this block is no smaller than {body}: worn "
            f"{percent_text(self.strain)} % stretched, no cloth can hold. Cut it smaller "
            "(ease adjust) before choosing a fabric."
        )

    @property
    def stretch_text(self) -> str:
        """The stretch in words, in whole per cent that are enough."""
        said = f"{_enough(self.stretch)} % stretch "
        said += (
            f"or more for {self.stretch_for}" if self.stretch_for else "round or more"
        )
        if self.stretch_down is None:
            return said
        return (
            f"{said}, and {_enough(self.stretch_down)} % down or more (at a contraction "
            f"of {ASSUMED_CONTRACTION:g})"
        )


def _enough(stretch: float) -> int:
    """Return whole per cent that are enough."""
    return max(ceil(100 * (stretch - SAME_STRAIN)), 0)


def fabric_need(
    block: Block, body: Body, aim: Aim, allowed: Allowed | None = None
) -> Need:
    """Return the stretch and tension that a fabric for a block on a body needs.

    Args:
        block: The block as it is.
        body: The body.
        aim: Pressure aimed at.
        allowed: Numbers of the limits.

    Raises:
        RefusedError: If no level is a closed loop.
    """
    allowed = allowed or Allowed()
    levels, sizes = sizes_on(block, body)
    closed = sizes.share == 1.0
    if not closed.any():
        message = "no level of the block is a closed loop, so cloth holds nowhere"
        raise RefusedError(message)
    moved = combine_strains(sizes.strain[closed], np.asarray(allowed.girth_move))
    needed = {"": float(moved.max()) / allowed.usable_share}
    if not allowed.opens:
        passed = passed_girths(levels, body, over_head=allowed.over_head)
        through = np.array([girth for _, girth in passed]) / sizes.block
        needed[""] = max(needed[""], float(through[closed].max()) - 1.0)
    for way in opening_passes(block, body, allowed):
        needed[f"the {way.name} to pass the {way.part}"] = way.stretch
    asks = max(needed, key=needed.__getitem__)
    at = aimed_level(levels)
    tension = tension_for_pressure(
        aim.pressure_kpa, sizes.body[at], sizes.length_strain
    )
    return Need(
        needed[asks],
        float(sizes.strain[at]),
        levels[at].name,
        float(tension),
        sizes.length_strain if sizes.length_known else None,
        asks,
        _stretch_down(sizes, allowed),
    )


def _stretch_down(sizes: Sizes, allowed: Allowed) -> float | None:
    """Return the stretch down that leaves room to move along the torso loop.

    Pull counts from the length that the cloth takes by itself once stretched round,
    ``1 - contraction * strain``, in the mean of all levels as in the wear check.
    """
    if not sizes.length_known:
        return None
    free = float((1.0 - ASSUMED_CONTRACTION * sizes.held_strain).mean())
    pulled = (1.0 + sizes.length_strain) / free
    moved = pulled * (1.0 + allowed.length_move) - 1.0
    return max(moved / allowed.usable_share, pulled - 1.0, 0.0)


def rank_fabrics(
    block: Block,
    body: Body,
    fabrics: Iterable[Fabric],
    aim: Aim,
    allowed: Allowed | None = None,
) -> tuple[WearCheck, ...]:
    """Check a block in many fabrics, the best first.

    Those without a fault come first, then by the gravest fault in the order of
    ``VERDICTS``; among equals those without a remark, and of them the one whose pressure
    at the bust lies nearest the aim.
    """
    checks = [check_wear(block, body, fabric, allowed=allowed) for fabric in fabrics]

    def badness(check: WearCheck) -> tuple[int, bool, float]:
        rank = -VERDICTS.index(check.verdict), bool(check.remarks)
        if "now" not in check.states:
            return *rank, inf
        pressure = float(check.states["now"][0].pressure[aimed_level(check.levels)])
        return *rank, abs(log(pressure / aim.pressure_kpa)) if pressure > 0 else inf

    return tuple(sorted(checks, key=badness))
