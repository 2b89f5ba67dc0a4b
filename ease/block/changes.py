"""What an adjustment changed: every girth, length, seam and held distance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ease.block.measure import (
    SeamLengths,
    edge_lengths,
    girth_at,
    held_distances,
    torso_loop,
    walk_seams,
)
from ease.block.pieces import Block

__all__ = ["Adjustment", "Change", "SeamChange"]


@dataclass(frozen=True, slots=True)
class Change:
    """One measure of the block before and after.

    Attributes:
        name: A level, an edge as ``piece.edge``, ``torso loop``, or a hold.
        before_cm: Before.
        after_cm: After.
    """

    name: str
    before_cm: float
    after_cm: float


@dataclass(frozen=True, slots=True)
class SeamChange:
    """One seam before, after the map alone, and after truing.

    Attributes:
        before: Its edges before.
        mapped: Its edges after the map and the holds, before truing.
        after: Its edges at the end.
    """

    before: SeamLengths
    mapped: SeamLengths
    after: SeamLengths

    @property
    def edges(self) -> tuple[str, str]:
        """Both edges, each ``piece.edge``."""
        return self.before.first, self.before.second

    @property
    def before_cm(self) -> float:
        """Difference of the mates before, first less second."""
        return self.before.difference_cm

    @property
    def mapped_cm(self) -> float:
        """Difference that truing found and took away."""
        return self.mapped.difference_cm

    @property
    def after_cm(self) -> float:
        """Difference at the end."""
        return self.after.difference_cm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Adjustment:
    """A block before and after, and every change.

    Attributes:
        before: The block as given.
        after: The adjusted block.
        mapped_seams: The seams after the map and the holds, before truing.
    """

    before: Block
    after: Block
    mapped_seams: tuple[SeamLengths, ...]

    @property
    def girths(self) -> tuple[Change, ...]:
        """The girth at each level that meets a piece."""
        old, new = (
            girth_at(block, np.array([level.y for level in block.levels]))
            for block in (self.before, self.after)
        )
        return tuple(
            Change(level.name, float(a), float(b))
            for level, a, b in zip(self.before.levels, old, new, strict=True)
            if np.isfinite(a) and np.isfinite(b)
        )

    @property
    def lengths(self) -> tuple[Change, ...]:
        """The torso loop, where there is one, and every edge."""
        was, now = torso_loop(self.before), torso_loop(self.after)
        first = [] if was is None or now is None else [Change("torso loop", was, now)]
        old, new = edge_lengths(self.before), edge_lengths(self.after)
        return (*first, *(Change(name, old[name], new[name]) for name in old))

    @property
    def seams(self) -> tuple[SeamChange, ...]:
        """Every seam."""
        rows = zip(
            walk_seams(self.before),
            self.mapped_seams,
            walk_seams(self.after),
            strict=True,
        )
        return tuple(SeamChange(*row) for row in rows)

    @property
    def holds(self) -> tuple[Change, ...]:
        """Every held distance."""
        pairs = zip(
            held_distances(self.before), held_distances(self.after), strict=True
        )
        return tuple(Change(a.name, a.distance_cm, b.distance_cm) for a, b in pairs)
