"""A block beside a body, level by level: girths, and what must pass on the way on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.cut_levels import refuse_cut_levels
from ease.block.loop import loop_legs, loop_length_strain
from ease.block.measure import girth_at
from ease.block.pieces import LOOP_SHARE, Block, Level
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fit.holding import DEPTH_OVER_BREADTH
from ease.fit.wear import Sizes

__all__ = [
    "aimed_level",
    "cut_over_body",
    "missing_loop",
    "passed_at",
    "passed_girths",
    "sizes_on",
    "worn_strains",
]

FloatArray = NDArray[np.float64]
# Mean of grown women, from memory; no body here has it measured. Source key: ansur-2012.
HEAD_GIRTH_CM: Final = 56.0
_ABOVE_SHOULDERS: Final = ("neck_base", "neck")
ROUND_SECTION: Final = 0.8  # depth over breadth of levels that no survey covers


def sizes_on(block: Block, body: Body) -> tuple[tuple[Level, ...], Sizes]:
    """Return the levels whose girth the body knows, and both girths at them.

    Args:
        block: The block.
        body: The body.

    Returns:
        The levels top to bottom, and the sizes. At a level that is cut open the block's
        girth is not measured but what the factor of the closed levels makes of the body's.

    Raises:
        RefusedError: If the body knows the girth of no level, or a closed level of the
            block runs out at a free edge.
    """
    levels = tuple(level for level in block.levels if level.name in body.girths)
    if not levels:
        have = ", ".join(level.name for level in block.levels) or "none"
        message = f"body {body.name} has no girth at any level of the block ({have})"
        raise RefusedError(message)
    refuse_cut_levels(block)
    girths = np.array([body[level.name] for level in levels])
    own = _whole_girths(block, levels, girths)
    share = np.array([LOOP_SHARE[level.loop] for level in levels])
    down = _length_strain(block, body, share * (girths / own - 1.0))
    return levels, Sizes(
        body=girths,
        block=own,
        share=share,
        depth_ratio=np.array(
            [DEPTH_OVER_BREADTH.get(level.name, ROUND_SECTION) for level in levels]
        ),
        length_strain=0.0 if down is None else down,
        length_known=down is not None,
    )


def _whole_girths(
    block: Block, levels: tuple[Level, ...], body: FloatArray
) -> FloatArray:
    """Return the block's girths, cm, with what a neckline or a leg line cuts away.

    Cloth that is not there is no stretch. A level that is cut through counts as cut by
    the factor of the closed levels, changed as the block says of that level; without
    both it is taken as it is.
    """
    own = np.asarray(girth_at(block, np.array([level.y for level in levels])))
    closed = np.array([level.loop == "closed" for level in levels])
    said = block.drafted_for
    usual = said.girth_factor
    factor = own[closed].sum() / body[closed].sum() if closed.any() else usual
    if factor is None:
        return own
    of_level = {} if usual is None else dict(said.level_factors)
    more = np.array([of_level.get(lv.name, usual or 1.0) for lv in levels])
    return np.where(closed, own, body * factor * more / (usual or 1.0))


def _length_strain(block: Block, body: Body, held: FloatArray) -> float | None:
    """Strain down from the torso loop; None where block or body lacks one."""
    loop = body.values.get("torso_loop")
    return None if loop is None else loop_length_strain(block, loop, held.mean())


def cut_over_body(block: Block, body: Body | None) -> tuple[FloatArray, FloatArray]:
    """Return heights of a block, top to bottom, and its girth over the body's there.

    Args:
        block: The block.
        body: The body; None where it is not known.

    Returns:
        Heights in cm and girth factors, shape (n,): at a closed level whose girth the
        body knows by both girths, at any other as the block says of itself, or 1.
    """
    said = block.drafted_for
    usual = said.girth_factor or 1.0
    factors = {lv.name: usual for lv in block.levels} | dict(said.level_factors)
    known = {} if body is None else body.girths
    for name, own in _closed_girths(block, known).items():
        factors[name] = own / known[name]
    found = sorted((level.y, factors[level.name]) for level in block.levels)
    heights, ratios = zip(*found, strict=True) if found else ((0.0,), (usual,))
    return np.array(heights), np.array(ratios)


def _closed_girths(block: Block, known: Mapping[str, float]) -> dict[str, float]:
    """Return the block's girth at each closed level of a known name, cm."""
    found = [lv for lv in block.levels if lv.loop == "closed" and lv.name in known]
    girths = girth_at(block, np.array([level.y for level in found]))
    return {lv.name: float(own) for lv, own in zip(found, girths, strict=True)}


def worn_strains(
    block: Block, body: Body | None
) -> tuple[dict[str, float], float | None]:
    """Return the worn strain at each closed level that the body knows, and down.

    Args:
        block: The block.
        body: The body; None where it is not known.

    Returns:
        Strains by the name of the level, and the strain down; None where body or block
        tells none.
    """
    if body is None:
        return {}, None
    around = {
        name: body.girths[name] / own - 1.0
        for name, own in _closed_girths(block, body.girths).items()
    }
    try:
        _, sizes = sizes_on(block, body)
    except RefusedError:
        return around, None
    return around, sizes.length_strain if sizes.length_known else None


def missing_loop(block: Block, body: Body) -> str:
    """Say which of the two lacks a torso loop; empty where both have one."""
    if "torso_loop" not in body.values:
        return f"body {body.name} has no torso loop"
    if not len(loop_legs(block)):
        return f"block {block.name} names no loop path"
    return ""


def passed_girths(
    levels: tuple[Level, ...], body: Body, *, over_head: bool
) -> tuple[tuple[str, float], ...]:
    """Return for each level the widest part that goes through it on the way on, in cm.

    Args:
        levels: Levels whose girth the body knows, top to bottom.
        body: The body.
        over_head: Whether it is pulled on over head and shoulders.

    Raises:
        RefusedError: If the body has no hip or no shoulder girth.
    """
    return tuple(
        passed_at(level.name, level.y, levels, body, over_head=over_head)
        for level in levels
    )


def passed_at(
    name: str, y: float, levels: tuple[Level, ...], body: Body, *, over_head: bool
) -> tuple[str, float]:
    """Return the widest part that goes through a line of a garment on the way on, cm.

    Stepped into, it comes up over the hips and over every level below it; pulled on over
    head, it comes down over the shoulders and over every level above it, but at the neck
    over the head alone.

    Args:
        name: Name of the line.
        y: Its height on the block, cm.
        levels: Levels whose girth the body knows.
        body: The body.
        over_head: Whether it is pulled on over head and shoulders.

    Raises:
        RefusedError: If the body has no hip or no shoulder girth.
    """
    if over_head and name in _ABOVE_SHOULDERS:
        return "head", HEAD_GIRTH_CM
    first = "shoulder_girth" if over_head else "hip"
    parts = [(first.replace("_", " "), body[first])]
    parts += [
        (level.name.replace("_", " "), body[level.name])
        for level in levels
        if (level.y < y if over_head else level.y > y)
    ]
    return max(parts, key=lambda part: part[1])


def aimed_level(levels: tuple[Level, ...]) -> int:
    """Return the place of the level where pressure is aimed at.

    The bust where it is a closed loop, else the highest closed level, else the first.
    """
    closed = [level.loop == "closed" for level in levels]
    names = [level.name for level in levels]
    if "bust" in names and closed[names.index("bust")]:
        return names.index("bust")
    return closed.index(True) if any(closed) else 0
