"""The edge of a leg opening on the body."""

from __future__ import annotations

from dataclasses import dataclass

from ease.block.openings import block_openings
from ease.block.pieces import Block
from ease.block.wear_faults import SAME_CM
from ease.body.measures import Body

__all__ = ["LegOpening", "leg_opening"]


@dataclass(frozen=True, slots=True)
class LegOpening:
    """The edge of a leg opening on the body.

    Attributes:
        name: ``leg``, of whole pieces with its side.
        edge_cm: Length of the cut edge all round.
        worn_cm: Length of the same edge worn: by the girths of the body beside it, or
            round the thigh where that is larger.
        thigh_cm: Thigh girth of the body.
    """

    name: str
    edge_cm: float
    worn_cm: float
    thigh_cm: float

    @property
    def strain(self) -> float:
        """How far the edge is stretched; below 0 it stands off."""
        return self.worn_cm / self.edge_cm - 1.0

    @property
    def above_thigh(self) -> bool:
        """Whether it runs longer than round the thigh, over seat and hip."""
        return self.worn_cm > self.thigh_cm + SAME_CM


def leg_opening(block: Block, body: Body) -> LegOpening | None:
    """Return the leg opening that is stretched furthest; None where none is known."""
    if "thigh" not in body:
        return None
    legs = [
        LegOpening(one.name, one.cut_cm, one.worn_cm, body["thigh"])
        for one in block_openings(block, body)
        if one.name.startswith("leg")
    ]
    return max(legs, key=lambda leg: leg.strain, default=None)
