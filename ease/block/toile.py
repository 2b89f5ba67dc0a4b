"""A worn toile set against block, body and fabric: what was worn, why, what to change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ease.block.earlier_toiles import (
    is_wearer,
    same_cloth,
    taken_again,
    toiled_ways,
)
from ease.block.pieces import Block, FoundMeasure, Level
from ease.block.toile_rows import Cause, WornRow, find_causes, worn_rows
from ease.body.measures import Body
from ease.fabric.profile import DirectionName, Fabric
from ease.fabric.toile_marks import Mark, Remark
from ease.fit.toile import ToileFit

__all__ = ["Toile"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Toile:
    """A worn toile, weighed.

    Attributes:
        block: The block it was cut by.
        body: The wearer, with measures as found by earlier toiles where they were not
            taken again.
        fabric: The fabric.
        round_body: Cloth direction round the body.
        levels: Levels whose girth the body knows, top to bottom.
        marks: The marks that are judged.
        aside: Marks that are not judged, as nothing foretells them: round a level that is
            cut open, where the gap decides, and down a garment without a torso loop.
        remarks: Where it pulls or gapes.
        fit: The weighing.
        rows: Strains by place and direction, in the order of the file.
        causes: Every statement that the marks can check.
        has_loop: Whether block and body name a torso loop.
    """

    block: Block
    body: Body
    fabric: Fabric
    round_body: DirectionName
    levels: tuple[Level, ...]
    marks: tuple[Mark, ...]
    aside: tuple[Mark, ...]
    remarks: tuple[Remark, ...]
    fit: ToileFit
    rows: tuple[WornRow, ...]
    causes: tuple[Cause, ...]
    has_loop: bool

    @property
    def limit(self) -> float:
        """How far away a statement must lie before it counts as off."""
        return self.fit.found.critical

    @property
    def has_earlier(self) -> bool:
        """Whether an earlier toile has moved the block, so that this one starts there."""
        return bool(self.fit.model.origin.any()) or bool(self.measures_found)

    @property
    def same_cloth(self) -> bool:
        """Whether earlier toiles of the block, if any, were sewn in this fabric."""
        return same_cloth(self.block, self.fabric)

    @property
    def shown(self) -> tuple[float, float]:
        """What earlier toiles in this cloth multiplied girth and length factor by."""
        if not self.same_cloth:
            return 1.0, 1.0
        return toiled_ways(self.block.drafted_for, self.round_body)

    @property
    def measures_found(self) -> tuple[FoundMeasure, ...]:
        """The wearer's measures that earlier toiles found to be others than taped."""
        if not is_wearer(self.block, self.body):
            return ()
        return self.block.drafted_for.toiled.measures

    @property
    def settled(self) -> frozenset[str]:
        """Keys of measures that were taken again, so that they are not doubted."""
        return taken_again(self.block, self.body)

    @property
    def counted_as_taped(self) -> tuple[str, ...]:
        """Girths that an earlier toile could not tell from the cloth, marked here."""
        origin = self.fit.model.origin
        return tuple(lv.name for at, lv in enumerate(self.levels) if origin[at] != 0.0)

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the body measures that were weighed, in the order of the fit."""
        loop = ("torso_loop",) if self.has_loop else ()
        return (*(level.name for level in self.levels), *loop)

    def giving_up(self, unknowns: Sequence[int]) -> Toile:
        """Return the toile weighed without what was stated of some unknowns.

        Args:
            unknowns: Their places in the fit.
        """
        fit = self.fit.giving_up(unknowns)
        return replace(
            self,
            fit=fit,
            rows=worn_rows(self.marks, fit),
            causes=find_causes(self.marks, fit, self.body, self.keys, self.settled),
        )

    @property
    def marked(self) -> frozenset[str]:
        """Levels with marks round them."""
        return frozenset(m.place for m in self.marks if m.direction == "round")

    def count(self, direction: str, place: str | None = None) -> int:
        """Return the number of marks in a direction, at one place or everywhere."""
        return sum(
            mark.direction == direction and place in (None, mark.place)
            for mark in self.marks
        )
