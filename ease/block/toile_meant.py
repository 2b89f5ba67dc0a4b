"""What earlier toiles have shown of a block: where the next one starts from.

A toile asks whether a block is worn as was meant. What was meant is what block and body
said before any toile moved a factor, and a corrected block keeps that. Its next toile
takes for likely that it is worn so, whatever the swatch says: one that fits moves
nothing, and a measure that has been put right is not put right again.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ease.block.loop import loop_length_strain
from ease.block.pieces import Block, Level, Toiled
from ease.fit.wear import Sizes

__all__ = ["shown_before", "toiled_after"]

FloatArray = NDArray[np.float64]


def shown_before(
    block: Block, levels: Sequence[Level], sizes: Sizes, loop: float | None
) -> FloatArray:
    """Return the unknowns of ``ease.fit.toile`` at which a block is worn as was meant.

    Args:
        block: The block.
        levels: Levels whose girth the body knows.
        sizes: Girths of block and body at them.
        loop: Torso loop of the body, cm; None where block or body has none.

    Returns:
        Shape (levels + 3,); all 0 where no toile has moved a factor. Round, what the
        cloth did not do stands with the measures; down, all stands with the cloth, as
        only their sum is looked at.
    """
    toiled, n = block.drafted_for.toiled, len(levels)
    meant, now = dict(toiled.meant), sizes.strain
    origin = np.zeros(n + 3)
    origin[n + 1] = around = np.log(toiled.girth)
    # A level that it did not know then was moved by the cloth alone.
    usual = (1.0 + now) * toiled.girth - 1.0
    aim = np.array([meant.get(level.name, usual[i]) for i, level in enumerate(levels)])
    origin[:n] = np.log1p(aim) - np.log1p(now) - around
    if loop is None:
        return origin
    origin[n + 2] = np.log(toiled.length * toiled.unsure_length)
    if toiled.meant_length is not None:
        # The loop runs aslant, so it depends on the strain round: as meant, too.
        down = loop_length_strain(block, loop, float((sizes.share * aim).mean()))
        if down is not None:
            origin[n + 2] = np.log1p(toiled.meant_length) - np.log1p(down)
    return origin


def toiled_after(
    old: Toiled,
    levels: Sequence[Level],
    sizes: Sizes,
    moved: tuple[float, float],
    *,
    cloth: float | None,
    body: bool,
) -> Toiled:
    """Return what a block says of toiles once one more has moved its factors.

    Args:
        old: What it said before.
        levels: Levels whose girth the body knows.
        sizes: Girths of the block before, and of the body, at them.
        moved: By what the toile multiplied the girth and the length factor.
        cloth: By what the cloth clearly lies longer down the body than was likely
            before; None where that was not told.
        body: Whether the torso loop was clearly taken wrong: it is taken again, and
            that is not carried on.
    """
    girth, length = moved
    known = sizes.length_strain if sizes.length_known else None
    first = zip((level.name for level in levels), sizes.strain.tolist(), strict=True)
    unsure = length if cloth is None and not body else 1.0
    return Toiled(
        old.girth * girth,
        old.length * (1.0 if cloth is None else cloth),
        old.unsure_length * unsure,
        tuple({**dict(first), **dict(old.meant)}.items()),
        known if old.meant_length is None else old.meant_length,
    )
