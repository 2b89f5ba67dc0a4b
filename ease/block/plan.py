"""From old and new factors to the ratios that a block is adjusted by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import isfinite
from types import MappingProxyType
from typing import Final

from ease.block.as_worn import as_worn
from ease.block.cut_levels import refuse_cut_levels
from ease.block.earlier_toiles import retaken
from ease.block.measure import infer_factors
from ease.block.pieces import LOOP_SHARE, Block, DraftedFor, Loop, Toiled
from ease.body.measures import Body
from ease.errors import UsageError
from ease.fit.decide import Decision, Reduction
from ease.fit.spread import spread_of

__all__ = [
    "BODY_SIZE",
    "SAME_FACTOR",
    "Factors",
    "Ratios",
    "factors_of_block",
    "for_block",
    "inferred_factors",
    "level_factor",
    "plan_ratios",
]


@dataclass(frozen=True, slots=True)
class Factors:
    """Cut over body, round and down, and where the two come from.

    Attributes:
        girth: Girth factor of a closed loop.
        length: Length factor.
        origin: In words, such as ``soft-tricot on demo`` or ``body size``.
        fabric: Name of the fabric, or empty.
        body: Name of the body, or empty.
        levels: Girth factors of levels that have their own.
        girth_half: Half of the girth factor's 95 % interval; None where given by hand.
        length_half: The same of the length factor.
        round_body: Cloth direction that goes round the body, or empty.
        contraction_strain: Worn strain down that contraction alone brings at body
            length; None where the factors were given by hand.
        girth_window: Least and most worn strain round that was allowed; None where the
            factors were given by hand or the cloth was not tested round.
        length_window: The same down.
        toiled: What they hold beyond the decision because toiles ask for it.
    """

    girth: float
    length: float
    origin: str
    fabric: str = ""
    body: str = ""
    levels: Mapping[str, float] = field(default_factory=dict)
    girth_half: float | None = None
    length_half: float | None = None
    round_body: str = ""
    contraction_strain: float | None = None
    girth_window: tuple[float, float] | None = None
    length_window: tuple[float, float] | None = None
    toiled: Toiled = field(default_factory=Toiled)

    def __post_init__(self) -> None:
        """Refuse factors that no garment has."""
        for name, value in (("girth", self.girth), ("length", self.length)):
            if not (isfinite(value) and 0.3 <= value <= 2.0):
                message = f"the {name} factor must lie from 0.3 to 2, not {value:g}"
                raise UsageError(message)

    @classmethod
    def from_reduction(cls, reduction: Reduction) -> Factors:
        """Return the factors that were decided for a fabric on a body."""
        fabric, body = reduction.fabric.name, reduction.body.name
        spread = spread_of(reduction)
        return cls(
            reduction.girth.factor,
            reduction.length.factor,
            f"{fabric} on {body}, hold {reduction.aim.name}",
            fabric,
            body,
            girth_half=spread.girth.half,
            length_half=None if spread.length is None else spread.length.half,
            round_body=reduction.round_body,
            contraction_strain=reduction.contraction_strain,
            girth_window=_window(reduction.girth),
            length_window=_window(reduction.length),
        )

    def drafted_for(self, levels: Mapping[str, float] | None = None) -> DraftedFor:
        """Return what a block cut by these factors says of itself."""
        return DraftedFor(
            self.girth,
            self.length,
            self.fabric,
            self.body,
            tuple((levels or {}).items()),
            self.round_body,
            self.toiled,
        )


def _window(decision: Decision) -> tuple[float, float] | None:
    if decision.low is None or decision.high is None:
        return None
    return decision.low.strain, decision.high.strain


def for_block(new: Factors, block: Block, old: Factors) -> Factors:
    """Return decided factors as they hold for a block.

    The length factor is decided for a garment that hangs from the shoulders: a block
    without a torso loop, such as a brief, keeps the length that it was drafted with.

    Args:
        new: As decided for a fabric.
        block: The block.
        old: What it was drafted with.
    """
    if block.loop_path:
        return new
    return replace(
        new,
        length=old.length,
        length_half=None,
        contraction_strain=None,
        length_window=None,
        origin=f"{new.origin}; length as drafted",
    )


SAME_FACTOR: Final = 5e-4  # half of the last digit that is shown
BODY_SIZE: Final = Factors(1.0, 1.0, "body size")


@dataclass(frozen=True, slots=True)
class Ratios:
    """What a block's points are multiplied by.

    Attributes:
        girth: New girth factor over old.
        length: New length factor over old.
        levels: Girth ratio of each level; None for one ratio throughout.
        level_factors: New girth factor of each level that has its own, as written into
            the block; None where none has.
    """

    girth: float
    length: float
    levels: Mapping[str, float] | None
    level_factors: Mapping[str, float] | None


def level_factor(loop: Loop, factor: float) -> float:
    """Return the girth factor of a level that is a closed loop only in part.

    ``1 - share * (1 - factor)``: an open line keeps body size, a line cut by a low back
    keeps part of the reduction. Source key: low-back-block.

    Args:
        loop: Whether the cut girth is a closed loop of cloth.
        factor: Girth factor of a closed loop.

    Examples:
        >>> level_factor("open", 0.88)
        1.0
        >>> round(level_factor("partly", 0.88), 3)
        0.95
    """
    return 1.0 - LOOP_SHARE[loop] * (1.0 - factor)


def factors_of_block(block: Block, body: Body | None) -> Factors:
    """Return what a block was drafted for: as it says, or else inferred.

    What it says goes over the body as a toile found it. Where a measure was taken again
    since and is another, the block is by as much off there.

    Args:
        block: The block.
        body: The body it is compared with where it does not say.

    Raises:
        UsageError: If it does not say and there is no body to infer from.
        RefusedError: If the body has no girth at any closed level of the block.
    """
    said = block.drafted_for
    if said.girth_factor is None or said.length_factor is None:
        return inferred_factors(block, body)
    levels, length = dict(said.level_factors), said.length_factor
    if body is not None:
        body = as_worn(block, body)
        for one in retaken(block, body):
            off = one.found / body[one.key]
            if one.key == "torso_loop":
                length *= off
            else:
                levels[one.key] = levels.get(one.key, said.girth_factor) * off
    return Factors(
        said.girth_factor,
        length,
        f"as the block says{f' ({said.fabric})' if said.fabric else ''}",
        said.fabric,
        said.body,
        levels,
        round_body=said.round_body,
        toiled=said.toiled,
    )


def inferred_factors(block: Block, body: Body | None) -> Factors:
    """Return what a block was drafted for by its own size against a body.

    Args:
        block: The block.
        body: The body.

    Raises:
        UsageError: If there is no body to infer from.
        RefusedError: If the body has no girth at any closed level of the block, or a
            closed level runs out at a free edge.
    """
    if body is None:
        message = f"block {block.name} does not say what it was drafted for"
        hint = "give --from, --from-factors, or a --body to infer it from"
        raise UsageError(message, hint=hint)
    refuse_cut_levels(block)
    girth, length = infer_factors(block, body.girths, body.values.get("torso_loop"))
    return Factors(
        girth,
        1.0 if length is None else length,
        f"inferred from the block's size on {body.name}"
        + ("; length taken as 1" if length is None else ""),
        body=body.name,
    )


def plan_ratios(block: Block, old: Factors, new: Factors, *, by_level: bool) -> Ratios:
    """Return what the block's points are multiplied by.

    Args:
        block: The block, whose levels know whether they are closed loops.
        old: What the block was drafted for.
        new: What it is to be cut for.
        by_level: Whether each level gets the factor its loop can carry; else levels that
            had a factor of their own keep it, times the one ratio.
    """
    if not by_level:
        ratio = new.girth / old.girth
        kept = {name: factor * ratio for name, factor in old.levels.items()}
        return Ratios(ratio, new.length / old.length, None, kept or None)
    # A toile moves what a level is cut to, not what it is cut below body size.
    by = new.toiled.girth
    factors = {
        lv.name: by * level_factor(lv.loop, new.girth / by) for lv in block.levels
    }
    ratios = {
        name: factor / old.levels.get(name, old.girth)
        for name, factor in factors.items()
    }
    return Ratios(
        new.girth / old.girth,
        new.length / old.length,
        MappingProxyType(ratios),
        MappingProxyType(factors),
    )
