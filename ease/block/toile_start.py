"""Where a toile starts from: what earlier ones showed of cloth, wearer and levels."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.block.earlier_toiles import (
    is_wearer,
    left_open,
    same_cloth,
    taken_again,
    toiled_ways,
)
from ease.block.pieces import Block, FoundMeasure
from ease.body.measures import Body
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.wear import Sizes
from ease.fit.weighing import Sums

__all__ = ["Start", "start_of"]

FloatArray = NDArray[np.float64]
#: As a log: what three marks of 10 cm show of a level. Own choice.
SHOWN_SD: Final = 0.01


class Start(NamedTuple):
    """What earlier toiles showed, in the unknowns of ``ease.fit.toile``.

    Attributes:
        origin: What is likely of measures and cloth, shape (p,).
        lay: Places of the levels of which they showed how they lay, k of them.
        shown: How, by body and cloth together, beyond the origin.
    """

    origin: FloatArray
    lay: list[int]
    shown: Sums


def start_of(
    block: Block,
    body: Body,
    cloth: tuple[Fabric, DirectionName],
    at: tuple[Sequence[str], Sizes],
    marked: Collection[str],
) -> Start:
    """Return where a toile starts from.

    The cloth as earlier ones have shown it. As taped a girth that they could not tell
    from the cloth: left open it would count as known, and marks at other levels tell. But
    how its level lay is known, and so it is where a girth was taken again since.

    Args:
        block: The block.
        body: The body, as ``ease.block.as_worn`` makes it.
        cloth: The fabric, and its direction round the body.
        at: Names of the levels, and both sizes there.
        marked: Levels with marks round them.
    """
    (fabric, way), names = cloth, at[0]
    levels = len(names)
    origin, known = np.zeros(levels + 3), dict[int, tuple[float, float]]()
    same = same_cloth(block, fabric)
    # Of a block that was adjusted since, for another cloth, nothing is known together.
    toiled = same and bool(block.drafted_for.toiled.meant)
    for key, one in left_open(block, body).items():
        if key in names and (key in marked or (toiled and marked)):
            i = names.index(key)
            off = float(np.log(one.found / one.taped))
            known[i] = _lay(one) or (off, SHOWN_SD)
            origin[i] = -off
    if same:
        girth, length = toiled_ways(block.drafted_for, way)
        origin[levels + 1] = np.log(girth)
        origin[levels + 2] = np.log(length)
    if toiled and marked:
        known |= _taken_again(block, body, at, girth)
    else:
        known.clear()
    rows = sorted(known)
    weights = np.zeros((len(rows), levels + 3))
    weights[np.arange(len(rows)), rows] = 1.0
    weights[:, levels + 1] = 1.0
    values, spreads = np.array([known[i] for i in rows]).reshape(-1, 2).T
    return Start(origin, rows, Sums(weights, values, spreads))


def _lay(
    one: FoundMeasure, girth_cm: float | None = None
) -> tuple[float, float] | None:
    """Return how a level lay that did not move, over a girth, as a log with its spread."""
    if one.lay is None:
        return None
    ratio, sd = one.lay
    return float(np.log(ratio * one.taped / (girth_cm or one.taped))), sd


def _taken_again(
    block: Block,
    body: Body,
    at: tuple[Sequence[str], Sizes],
    girth: float,
) -> dict[int, tuple[float, float]]:
    """Return how levels lay whose girth was taken again, beyond body and cloth."""
    if not is_wearer(block, body):
        return {}
    names, sizes = at
    said = block.drafted_for
    found = {one.key: one for one in said.toiled.measures}
    meant, own = dict(said.toiled.meant), dict(said.level_factors)
    shown = {}
    for key in taken_again(block, body) & set(names):
        i = names.index(key)
        if key in found:
            off = float(np.log(found[key].found / body[key]))
            shown[i] = _lay(found[key], body[key]) or (off, SHOWN_SD)
        elif key in meant and key in own:
            worn = (1.0 + sizes.strain[i]) * girth
            shown[i] = float(np.log((1.0 + meant[key]) / worn)), SHOWN_SD
    return shown
