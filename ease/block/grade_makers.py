"""How the block of one size is made: drafted, or graded in proportion from a block."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from ease.block.adjust import adjust_block
from ease.block.draft import draft_blocks
from ease.block.grade_factors import DecidedSize
from ease.block.grade_lengths import LengthsBy
from ease.block.leg_levels import leg_levels, thigh_untold
from ease.block.on_body import worn_strains
from ease.block.pieces import Block
from ease.block.plan import BODY_SIZE, Factors, factors_of_block, for_block
from ease.block.refit import refit
from ease.block.styles import Style
from ease.body.dictionary import KEYS
from ease.body.measures import Body
from ease.errors import RefusedError

__all__ = ["Drafted", "Scaled"]


class Drafted:
    """Drafts a size from its own measures."""

    def __init__(self, bodies: Sequence[Body], style: Style | None) -> None:
        """Draft every body at once."""
        columns = {
            key: [body.values.get(key, np.nan) for body in bodies]
            for key in KEYS
            if any(key in body for body in bodies)
        }
        self.drafts = draft_blocks(columns, style)

    def __call__(self, row: int, body: Body, factors: Factors) -> Block:
        """Return the draft of a row, cut by factors."""
        name = f"one-piece body, {body.name}"
        block = self.drafts.block(row, name=name, body=body.name)
        if factors is BODY_SIZE:
            return block
        return refit(block, BODY_SIZE, factors, body).block


class Scaled:
    """Grades a block that is there, in proportion to the bodies."""

    def __init__(self, block: Block, base: Body | None, bodies: Sequence[Body]) -> None:
        """Take what the block was drafted for, by its own word or on its body.

        Args:
            block: The block.
            base: The body that it is for.
            bodies: The sizes, completed.

        Raises:
            RefusedError: If there is no body, or nothing can be inferred from it.
        """
        if base is None:
            message = f"block {block.name} names no body that is known here"
            raise RefusedError(
                message, hint="give the body that it is for, with --body"
            )
        self.block, self.base = block, base
        self.old = factors_of_block(block, base)
        _, self.down = worn_strains(block, base)
        self.known = _levels_known(block, [base, *bodies])
        self.lengths = LengthsBy.of(block, [base, *bodies])

    def _scaled(self, levels: Mapping[str, float], length: float, leg: float) -> Block:
        trunk = [ratio for name, ratio in levels.items() if name in self.base.girths]
        return adjust_block(
            self.block,
            float(np.mean(trunk)),
            length,
            level_ratios=levels,
            between=True,
            legs=self.lengths.legs(leg),
        ).after

    def as_decided(self, one: DecidedSize) -> DecidedSize:
        """Return a decision as it holds for the block."""
        if one.factors is None:
            return one
        return one._replace(factors=for_block(one.factors, self.block, self.old))

    @property
    def joined_note(self) -> str:
        """Name the levels that some size is not measured at; empty where there are none."""
        levels = [level.name for level in self.block.levels]
        names = [name for name in levels if name not in self.known]
        if not names:
            return ""
        untold = thigh_untold(self.block)
        if untold:
            names.remove("thigh")
        measured = "sizes and the block's own body are not all measured at"
        said = [f"{measured} {', '.join(names)}"] if names else []
        said += [f"thigh: {untold}"] if untold else []
        return f"{'; '.join(said)}; there it is graded as the levels beside it are"

    def __call__(self, row: int, body: Body, factors: Factors) -> Block:
        """Return the block for a body, cut by factors.

        Raises:
            RefusedError: If an outline crosses itself.
        """
        girth = factors.girth / self.old.girth
        levels = {name: girth * body[name] / self.base[name] for name in self.known}
        by_cloth = factors.length / self.old.length
        trunk, leg = self.lengths.ratios(self.base, body)
        length, leg = by_cloth * trunk, by_cloth * leg
        after = self._scaled(levels, length, leg)
        _, down = worn_strains(after, body)
        if down is not None and self.down is not None:
            # The loop runs aslant: its width grows with the girths, so its height must
            # make up for what that is more or less than in proportion.
            wanted = (1.0 + self.down) * self.old.length / factors.length
            after = self._scaled(levels, length * (1.0 + down) / wanted, leg)
        own = {name: factor * girth for name, factor in self.old.levels.items()}
        return replace(
            after,
            name=f"{self.block.name}, {body.name}",
            drafted_for=replace(factors.drafted_for(own), body=body.name),
            note=f"graded from {self.base.name} in proportion to the bodies",
        )


def _levels_known(block: Block, bodies: Sequence[Body]) -> tuple[str, ...]:
    """Return the levels of a block at which all bodies are measured alike.

    A level below the crotch goes by the thigh where that was taken of all of them, or
    was filled in for all: one that was taken beside one that was not is no step.
    """
    legs = {level.name for level in leg_levels(block)}
    filled = ["thigh" in body.filled for body in bodies]
    by_thigh = all("thigh" in body for body in bodies) and len(set(filled)) == 1
    girths = [body.girths for body in bodies]
    return tuple(
        level.name
        for level in block.levels
        if all(level.name in each for each in girths)
        or (level.name == "thigh" and level.name in legs and by_thigh)
    )
