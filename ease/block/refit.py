"""Adjust a block from old factors to new ones and set it beside the body."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ease.block.adjust import Adjustment, adjust_block
from ease.block.as_worn import as_worn
from ease.block.earlier_toiles import retaken
from ease.block.leg_levels import leg_levels
from ease.block.lengths import chain_lengths
from ease.block.loop import loop_legs
from ease.block.on_body import worn_strains
from ease.block.pieces import LOOP_SHARE, Block, DraftedFor, PointRef
from ease.block.plan import Factors, Ratios, plan_ratios
from ease.block.refit_notes import refit_notes, window_notes
from ease.body.measures import Body

__all__ = ["Refit", "SizeRow", "refit"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SizeRow:
    """A girth or a length before and after, beside the body's.

    Attributes:
        name: Name of the level, the torso loop, or ``piece.edge``.
        before_cm: Size of the block before.
        after_cm: Size of the block after.
        body_cm: Size of the body, or None where no one measure corresponds.
        half_cm: Half of the 95 % interval of the size after, as far as the new factor
            is unsure; None where the factor was given by hand.
    """

    name: str
    before_cm: float
    after_cm: float
    body_cm: float | None = None
    half_cm: float | None = None

    @property
    def change_cm(self) -> float:
        """After less before, cm."""
        return self.after_cm - self.before_cm

    @property
    def change(self) -> float:
        """Change over the size before, a fraction."""
        return self.change_cm / self.before_cm if self.before_cm else 0.0

    @property
    def strain(self) -> float | None:
        """Worn strain of the block after: body over block, less 1."""
        return None if self.body_cm is None else self.body_cm / self.after_cm - 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """A block adjusted from one pair of factors to another.

    Attributes:
        adjustment: The block before and after, with seams and holds.
        block: The block after, which says what it was cut for.
        old: Factors before.
        new: Factors after.
        ratios: What the points were multiplied by.
        girths: Every level before and after.
        lengths: The torso loop and every edge before and after.
        notes: What the user should know.
        body: The body it was set beside; None where none was given.
    """

    adjustment: Adjustment
    block: Block
    old: Factors
    new: Factors
    ratios: Ratios
    girths: tuple[SizeRow, ...]
    lengths: tuple[SizeRow, ...]
    notes: tuple[str, ...]
    body: Body | None = None


class _Sized(Protocol):
    @property
    def name(self) -> str: ...
    @property
    def before_cm(self) -> float: ...
    @property
    def after_cm(self) -> float: ...


def refit(
    block: Block,
    old: Factors,
    new: Factors,
    body: Body | None = None,
    *,
    by_level: bool = False,
    ratios: Ratios | None = None,
) -> Refit:
    """Adjust a block from old factors to new ones.

    Args:
        block: The block, cut for ``old``.
        old: Factors it was drafted with.
        new: Factors it is to be cut with.
        body: Body whose girths and torso loop stand beside the block's.
        by_level: Whether each level gets what its loop can carry.
        ratios: What the points are multiplied by, where it does not follow from the
            factors alone.

    Raises:
        RefusedError: If the adjusted outline would cross itself.
    """
    ratios = ratios or plan_ratios(block, old, new, by_level=by_level)
    adjustment = adjust_block(
        block, ratios.girth, ratios.length, level_ratios=ratios.levels
    )
    girths = _rows(
        adjustment.girths,
        _closed_girths(block, body),
        _unsure_girths(adjustment, new, ratios),
    )
    worn = worn_strains(adjustment.after, body)
    return Refit(
        adjustment=adjustment,
        block=replace(
            adjustment.after,
            drafted_for=_kept_measures(
                block, new.drafted_for(ratios.level_factors), body
            ),
            note=f"adjusted from {old.origin} to {new.origin}",
        ),
        old=old,
        new=new,
        ratios=ratios,
        girths=girths,
        lengths=_rows(
            adjustment.lengths,
            {}
            if body is None or "torso_loop" not in body
            else {"torso_loop": body["torso_loop"]},
            _unsure_lengths(adjustment, new),
        ),
        notes=(
            *refit_notes(block, old, body, by_level=by_level),
            *window_notes(*worn, new),
            *(level.text for level in leg_levels(adjustment.after, body)),
        ),
        body=body,
    )


def _kept_measures(block: Block, made: DraftedFor, body: Body | None) -> DraftedFor:
    """Keep what toiles found of the wearer: it holds in any cloth, until taken again."""
    old = block.drafted_for.toiled
    again = () if body is None else retaken(block, as_worn(block, body))
    measures = tuple(one for one in old.measures if one not in again)
    toiled = replace(made.toiled, wearer=old.wearer, measures=measures)
    return replace(made, toiled=toiled if measures else made.toiled)


def _rows(
    sizes: Sequence[_Sized],
    body: Mapping[str, float],
    unsure: Mapping[str, float],
) -> tuple[SizeRow, ...]:
    """Set sizes beside the body's, and beside how unsure they are, cm."""
    return tuple(
        SizeRow(
            row.name,
            row.before_cm,
            row.after_cm,
            body.get(row.name.replace(" ", "_")),
            unsure.get(row.name),
        )
        for row in sizes
    )


def _closed_girths(block: Block, body: Body | None) -> dict[str, float]:
    """Return the body's girths at closed levels: a cut one is narrower by its gap."""
    if body is None:
        return {}
    closed = [level.name for level in block.levels if level.loop == "closed"]
    return {name: body.girths[name] for name in closed if name in body.girths}


def _unsure_girths(
    adjustment: Adjustment, new: Factors, ratios: Ratios
) -> dict[str, float]:
    """Return how far each girth may be off, cm, by the factor of its level."""
    if new.girth_half is None:
        return {}
    # An open line keeps body size whatever the factor of a closed loop.
    own = ratios.level_factors if ratios.levels is not None else None
    loops = {level.name: level.loop for level in adjustment.before.levels}
    unsure = {}
    for row in adjustment.girths:
        share = 1.0 if own is None else LOOP_SHARE[loops[row.name]]
        factor = (own or {}).get(row.name, new.girth)
        unsure[row.name] = row.after_cm * share * new.girth_half / factor
    return unsure


def _unsure_lengths(adjustment: Adjustment, new: Factors) -> dict[str, float]:
    """Return how far each length may be off, cm; held ones are not at all.

    Each factor lengthens an edge by what its direction takes of it; the two count as
    independent. Levels with a factor of their own count as closed.
    """
    if new.length_half is None:
        return {}
    shares = ((new.girth_half or 0.0) / new.girth, new.length_half / new.length)
    held = {frozenset((hold.first, hold.second)) for hold in adjustment.before.holds}
    legs = loop_legs(adjustment.after)
    edges = [
        (piece.name, edge) for piece in adjustment.after.pieces for edge in piece.edges
    ]
    chains = [edge.control for _, edge in edges]
    plain, wider, longer = (
        np.array(
            [
                np.hypot(*(legs * scale).T).sum(),
                *chain_lengths([chain * scale for chain in chains]),
            ]
        )
        for scale in ((1.0, 1.0), (1.0 + shares[0], 1.0), (1.0, 1.0 + shares[1]))
    )
    loop, *changes = np.hypot(wider - plain, longer - plain).tolist()
    unsure = {"torso loop": loop}
    for (piece, edge), change in zip(edges, changes, strict=True):
        ends = frozenset((PointRef(piece, edge.start), PointRef(piece, edge.end)))
        unsure[f"{piece}.{edge.name}"] = 0.0 if ends in held else change
    return unsure
