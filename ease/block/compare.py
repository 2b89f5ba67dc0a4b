"""Fabrics side by side: what each is decided for, and the block cut for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ease.block.check import WearCheck, check_wear
from ease.block.cut_stops import stops_note
from ease.block.garment import for_garment
from ease.block.pieces import Block
from ease.block.plan import Factors, factors_of_block, for_block
from ease.block.refit import Refit, SizeRow, refit
from ease.block.way_round import way_round
from ease.body.measures import Body
from ease.errors import RefusedError, UsageError
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import Aim, Allowed
from ease.fit.decide import Reduction, decide, membrane_of
from ease.fit.explain import sizes_at
from ease.fit.wear import loads
from ease.sentence import Sentence, joined

__all__ = ["MOST", "Comparison", "Held", "Suited", "compare_fabrics"]

MOST = 4  # outlines that can still be told apart in one picture


@dataclass(frozen=True, slots=True)
class Held:
    """How a garment cut by a reduction holds, just put on.

    Attributes:
        pressure_kpa: Mean pressure where it is aimed at.
        side_kpa: Most pressure at the side of a girth that it lies round.
        pull_n: Pull over both shoulders together; None where nothing hangs from them.
    """

    pressure_kpa: float
    side_kpa: float
    pull_n: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Suited:
    """One fabric, as far as a body and a block were given.

    Attributes:
        fabric: The fabric.
        round_body: Cloth direction round the body.
        reduction: What was decided on the body; None without one, or where refused.
        refused: Why nothing could be decided, or empty.
        held: How it then holds; None without a load test.
        as_it_is: Wear check of the block before any change; None without a block.
        refit: The block cut for the fabric; None without a block, or where refused.
    """

    fabric: Fabric
    round_body: DirectionName
    reduction: Reduction | None = None
    refused: str = ""
    held: Held | None = None
    as_it_is: WearCheck | None = None
    refit: Refit | None = None

    @property
    def sizes(self) -> tuple[SizeRow, ...]:
        """Girths and torso loop of the block cut for the fabric."""
        if self.refit is None:
            return ()
        loop = [row for row in self.refit.lengths if row.name == "torso loop"]
        return (*self.refit.girths, *loop)

    @property
    def kept_length(self) -> float | None:
        """Length factor of a block that keeps its length; None where one was decided."""
        if self.refit is None or self.refit.block.loop_path:
            return None
        return self.refit.new.length


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two to four fabrics side by side.

    Attributes:
        body: The body, if one was given.
        block: The block, if one was given.
        suited: Each fabric, in the order given.
    """

    body: Body | None
    block: Block | None
    suited: tuple[Suited, ...]

    @property
    def size_names(self) -> tuple[str, ...]:
        """Names of the sizes that every block has, top to bottom."""
        rows = next((one.sizes for one in self.suited if one.sizes), ())
        return tuple(row.name for row in rows)

    def after_cm(self, name: str) -> tuple[float | None, ...]:
        """Return one size of the block cut for each fabric, cm; None where refused."""
        found = ({row.name: row.after_cm for row in one.sizes} for one in self.suited)
        return tuple(sizes.get(name) for sizes in found)

    def swapped_cm(self, name: str) -> tuple[float | None, ...]:
        """Return what changes in cm when the first fabric is swapped for each other."""
        first, *others = self.after_cm(name)
        return tuple(
            None if first is None or other is None else other - first
            for other in (first, *others)
        )


def compare_fabrics(
    fabrics: Sequence[Fabric],
    body: Body | None = None,
    block: Block | None = None,
    *,
    aim: Aim | None = None,
    allowed: Allowed | None = None,
    round_body: DirectionName | None = None,
) -> Comparison:
    """Set fabrics side by side.

    Args:
        fabrics: Two to four, each once.
        body: Decided for, if given.
        block: Cut for each fabric, if given; needs a body.
        aim: How firmly to hold.
        allowed: Numbers of the limits.
        round_body: Cloth direction round the body; as the block was cut in that fabric,
            else each fabric's stretchier if not given.

    Raises:
        UsageError: If there are fewer than two or more than four, one is named twice,
            or a block comes without a body.
        RefusedError: If nothing can be decided for any of them, or the body knows no
            level of the block.
    """
    names = [fabric.name for fabric in fabrics]
    if not 2 <= len(names) <= MOST:
        message = f"2 to {MOST} fabrics can be compared, not {len(names)}"
        raise UsageError(message, hint="`ease check BLOCK --body BODY` ranks all")
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        message = f"{twice[0]} is named twice"
        raise UsageError(message)
    if block is not None and body is None:
        message = f"block {block.name} needs a body to be compared on"
        raise UsageError(message)
    suited = tuple(
        _suited(fabric, body, block, aim, allowed, round_body) for fabric in fabrics
    )
    if body is not None and all(one.reduction is None for one in suited):
        said = [Sentence("{}: {}", one.fabric.name, one.refused) for one in suited]
        message = joined("; ", said)
        raise RefusedError(message)
    return Comparison(body, block, suited)


def _suited(
    fabric: Fabric,
    body: Body | None,
    block: Block | None,
    aim: Aim | None,
    allowed: Allowed | None,
    round_body: DirectionName | None,
) -> Suited:
    way = round_body or fabric.round_body
    if block is not None:
        way = way_round(block, fabric, round_body)
    if body is None:
        return Suited(fabric=fabric, round_body=way)
    worn = None
    if block is not None and fabric.direction(way) is not None:
        worn = check_wear(block, body, fabric, allowed=allowed, round_body=way)
    allowed = allowed or Allowed()
    garment = allowed if block is None else for_garment(allowed, block, [body])
    try:
        found = decide(fabric, body, aim=aim, allowed=garment, round_body=way)
        cut = None if block is None else _cut(block, body, found)
    except RefusedError as refusal:
        return Suited(
            fabric=fabric, round_body=way, refused=refusal.message, as_it_is=worn
        )
    return Suited(
        fabric=fabric,
        round_body=way,
        reduction=found,
        held=_held(found),
        as_it_is=worn,
        refit=cut,
    )


def _cut(block: Block, body: Body, found: Reduction) -> Refit:
    old = factors_of_block(block, body)
    new = for_block(Factors.from_reduction(found), block, old)
    result = refit(block, old, new, body)
    stops = stops_note(
        result.block, body, found.fabric, found.allowed, found.round_body
    )
    return replace(result, notes=(*filter(None, [stops]), *result.notes))


def _held(found: Reduction) -> Held | None:
    membrane = membrane_of(found.fabric, found.round_body)
    if membrane is None:
        return None
    sizes = sizes_at(found)
    worn = loads(membrane, sizes)
    return Held(
        float(worn.pressure[0]),
        float(worn.side.max()),
        worn.pull(0, found.cut("waist")) if found.allowed.hangs else None,
    )
