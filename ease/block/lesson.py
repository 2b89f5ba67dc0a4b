"""A lesson on one fabric, one body and one block: every number of the worked sheet."""

from __future__ import annotations

from dataclasses import dataclass

from ease.block.on_body import sizes_on
from ease.block.pieces import Block
from ease.errors import RefusedError
from ease.fit.decide import Reduction
from ease.fit.lesson import (
    GAUGE_CM,
    TAUGHT_STRAIN,
    Falling,
    Grown,
    Pulled,
    TwoCuts,
    falling_pressure,
    grown_states,
    pulled_strips,
)
from ease.fit.size_run import QUARTERS, SizeRun, size_run

__all__ = ["FIXED_CM", "Lesson", "LevelRow", "check_taught", "make_lesson"]

FIXED_CM = 4.0  # off each quarter; common practice, no source


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A closed level of the block beside the body and what the fabric asks for.

    Attributes:
        name: Name of the level.
        body_cm: Girth of the body.
        block_cm: Girth of the block as it is.
        cut_cm: Girth to cut.
    """

    name: str
    body_cm: float
    block_cm: float
    cut_cm: float

    @property
    def strain(self) -> float:
        """Worn strain of the block as it is."""
        return self.body_cm / self.block_cm - 1.0

    @property
    def off_quarter_cm(self) -> float:
        """What comes off each quarter of the block, cm; below 0 it is let out."""
        return (self.block_cm - self.cut_cm) / QUARTERS


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """The steps of a lesson, in the order they are taught.

    Attributes:
        reduction: What was decided for the fabric on the body.
        block: The block.
        pulled: 1: stretch, growth and recovery from lengths, round first.
        taught: 2: 25 % strain on the bust, cut rightly and wrongly.
        own: 2: the same for the strain that was decided.
        grown: 3: what a suit at body size does: new, grown, wet.
        sizes: 4: a fixed amount and a factor over many sizes.
        falling: 6: pressure against girth.
        levels: 7: the block at its closed levels; cloth pulls round no other.
    """

    reduction: Reduction
    block: Block
    pulled: tuple[Pulled, ...]
    taught: TwoCuts
    own: TwoCuts
    grown: tuple[Grown, ...]
    sizes: SizeRun
    falling: Falling
    levels: tuple[LevelRow, ...]

    @property
    def free_loop_cm(self) -> float | None:
        """5: torso loop cut at body size, once the cloth is stretched round, cm."""
        body = self.reduction.body
        if "torso_loop" not in body:
            return None
        return body["torso_loop"] * self.reduction.free_length


def check_taught(block: Block) -> None:
    """Refuse a block that the lesson is not about.

    Its steps are of a garment that lies round the bust and hangs from the shoulders.

    Raises:
        RefusedError: If the block has no torso loop, or is not closed at the bust.
    """
    closed = [level.name for level in block.levels if level.loop == "closed"]
    lacks = [] if block.loop_path else ["torso loop"]
    lacks += [] if "bust" in closed else ["closed level at the bust"]
    if not lacks:
        return
    message = (
        f"block {block.name} has no {' and no '.join(lacks)}: the lesson is about one "
        "that lies round the bust and hangs from the shoulders"
    )
    hint = "give a one-piece; `ease adjust` and `ease check` are about any block"
    raise RefusedError(message, hint=hint)


def make_lesson(
    block: Block,
    reduction: Reduction,
    fixed_cm: float = FIXED_CM,
    gauge_cm: float = GAUGE_CM,
) -> Lesson:
    """Put the numbers of a fabric, a body and a block into the lesson.

    Args:
        block: The block as it is.
        reduction: What was decided for the fabric on the body.
        fixed_cm: Amount off each quarter to set against the factor, cm.
        gauge_cm: Gauge of the strips in the first step, cm.

    Raises:
        UsageError: If the fixed amount is not possible.
        RefusedError: If the block has no torso loop, or is not closed at the bust.
    """
    check_taught(block)
    bust = reduction.body["bust"]
    levels, sizes = sizes_on(block, reduction.body)
    factor = reduction.girth.factor
    rows = tuple(
        LevelRow(level.name, float(body), float(own), float(body) * factor)
        for level, body, own in zip(levels, sizes.body, sizes.block, strict=True)
        if level.loop == "closed"
    )
    return Lesson(
        reduction=reduction,
        block=block,
        pulled=pulled_strips(reduction, gauge_cm),
        taught=TwoCuts(bust, TAUGHT_STRAIN),
        own=TwoCuts(bust, reduction.girth.strain),
        grown=grown_states(reduction),
        sizes=size_run(reduction, fixed_cm),
        falling=falling_pressure(reduction),
        levels=rows,
    )
