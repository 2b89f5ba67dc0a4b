"""By which measure the lengths of a block grow from size to size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Self

from ease.block.leg_levels import crotch_height
from ease.block.pieces import Block
from ease.body.dictionary import MEASURES
from ease.body.measures import Body

__all__ = ["LengthsBy"]

_TAKEN: Final = {"taken"}
_LEAST_LEG_CM: Final = 1.0  # below the crotch, before a block counts as having legs


@dataclass(frozen=True, slots=True)
class LengthsBy:
    """By what the lengths of a block grow.

    What lies between neck and crotch grows by the torso loop. A block from the waist down
    without one goes by the body rise where that of all sizes and of the block's own body
    was measured, or else by a loop so measured; or by rises that were all filled in: one
    beside the other is no step. Legs below the crotch go by the stature where all were
    measured, and else stay as they are.

    Attributes:
        trunk: Key of the measure of the trunk.
        leg: Key of that of the legs; None where they stay, or there are none.
        crotch_y: Height of the crotch, cm; None of a block without legs.
        own_loop: Whether the block names a torso loop.
    """

    trunk: str
    leg: str | None
    crotch_y: float | None
    own_loop: bool

    @classmethod
    def of(cls, block: Block, bodies: Sequence[Body]) -> Self:
        """Return by what a block is graded.

        Args:
            block: The block.
            bodies: The sizes and the block's own body.
        """

        def how(key: str) -> set[str]:
            return {
                "none" if key not in one else "filled" if key in one.filled else "taken"
                for one in bodies
            }

        crotch = crotch_height(block)
        own_loop = bool(block.loop_path)
        hangs = own_loop or "bust" in [level.name for level in block.levels]
        by_rise = how("body_rise") == _TAKEN or (
            how("body_rise") == {"filled"} and how("torso_loop") != _TAKEN
        )
        rise = not hangs and crotch is not None and by_rise
        lowest = max(
            float(e.control[..., 1].max()) for p in block.pieces for e in p.edges
        )
        legs = crotch is not None and lowest > crotch + _LEAST_LEG_CM
        return cls(
            "body_rise" if rise else "torso_loop",
            "stature" if legs and how("stature") == _TAKEN else None,
            crotch if legs else None,
            own_loop,
        )

    def ratios(self, base: Body, body: Body) -> tuple[float, float]:
        """Return length of a body over another's, of the trunk and of the legs.

        Args:
            base: The body that the block is for.
            body: The body of a size.
        """
        leg = 1.0 if self.leg is None else body[self.leg] / base[self.leg]
        return body[self.trunk] / base[self.trunk], leg

    def legs(self, ratio: float) -> tuple[float, float] | None:
        """Return where legs begin and their ratio; None of a block without."""
        return None if self.crotch_y is None else (self.crotch_y, ratio)

    @property
    def text(self) -> str:
        """Say where lengths do not simply go by a loop of the block; else nothing."""
        if self.own_loop and self.crotch_y is None:
            return ""
        by = MEASURES[self.trunk].title.lower()
        said = f"its lengths grow by the {by} of the sizes"
        if not self.own_loop:
            said = f"the block has no torso loop of its own: {said}"
        if self.crotch_y is None:
            return said
        if self.leg is not None:
            return f"{said}, its legs below the crotch by their height"
        return (
            f"{said}; its legs below the crotch stay as long, as not all sizes and the "
            "block's own body give a height"
        )
