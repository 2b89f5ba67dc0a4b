"""What earlier toiles have shown of a block: where the next one starts from.

A toile asks whether a block is worn as was meant. What is likely beforehand is what block
and body say, the body as found where it was not measured again, and the cloth as earlier
toiles of the block have shown it (``ease.block.earlier_toiles``). What was meant is what
that said before the first of them; of another wearer, or in another cloth, what it says
now.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.block.earlier_toiles import SAME_CM, is_wearer, left_open, retaken
from ease.block.pieces import FoundMeasure, Toiled
from ease.block.toile import Toile
from ease.block.toile_rule import Judge

__all__ = ["Beyond", "beyond_meant", "toiled_after"]

FloatArray = NDArray[np.float64]
_ROUNDING: Final = 1e-5  # of a log stretch: a block lies where it was put but for this


class Beyond(NamedTuple):
    """Log of the stretch that is likely over the stretch meant; 0 where they are one.

    Attributes:
        length: Down the body.
        levels: Round each level, shape (levels,).
    """

    length: float
    levels: FloatArray


def beyond_meant(toile: Toile) -> Beyond:
    """Return how far the block of a toile is likely to lie from what was meant of it."""
    n = len(toile.levels)
    toiled = toile.block.drafted_for.toiled
    open_girths = toile.fit.model.origin[:n]
    if not is_wearer(toile.block, toile.body) or not toile.same_cloth:
        return Beyond(0.0, open_girths)
    meant = dict(toiled.meant)
    around = np.log1p(toile.fit.model.sizes.strain) + np.log(toile.shown[0])
    aim = [meant.get(lv.name, np.expm1(around[i])) for i, lv in enumerate(toile.levels)]
    levels = around + open_girths - np.log1p(aim)
    length = 0.0
    # Without a mark down nothing is asked of the length.
    if toiled.meant_length is not None and toile.count("down"):
        length = float(toile.fit.predicted[0][n] - np.log1p(toiled.meant_length))
    off = abs(length) > _ROUNDING
    return Beyond(
        length if off else 0.0, np.where(np.abs(levels) > _ROUNDING, levels, 0.0)
    )


def toiled_after(
    toile: Toile,
    judge: Judge,
    girth: float,
    causes: Mapping[str, Sequence[int]],
    followed: Collection[str],
) -> Toiled:
    """Return what a block says of toiles once one more has moved its factors.

    Args:
        toile: The toile.
        judge: What its marks tell.
        girth: By what it multiplied the girth factor.
        causes: Unknowns that moved each level, and the length.
        followed: Levels that moved by the measures as they are now alone.
    """
    old, n = toile.block.drafted_for.toiled, judge.n
    same = is_wearer(toile.block, toile.body) and toile.same_cloth
    names = [level.name for level in toile.levels]
    shown_round, shown_down = toile.shown
    strains = (1.0 + toile.fit.model.sizes.strain) * shown_round - 1.0
    meant = dict(zip(names, strains.tolist(), strict=True))
    known = float(np.expm1(toile.fit.predicted[0][n])) if toile.has_loop else None
    length = old.meant_length if same else None
    clear = n + 2 in causes["length"] and judge.told(n + 2)
    down = float(np.exp(judge.x[n + 2])) if clear else 1.0
    return Toiled(
        shown_round * girth,
        shown_down * down,
        toile.body.name,
        _measures(toile, judge, girth, causes, followed),
        tuple({**meant, **(dict(old.meant) if same else {})}.items()),
        known if length is None else length,
    )


def _measures(
    toile: Toile,
    judge: Judge,
    girth: float,
    causes: Mapping[str, Sequence[int]],
    followed: Collection[str],
) -> tuple[FoundMeasure, ...]:
    """Return the wearer's measures that are others than taped, by this toile too."""
    n = judge.n
    again = retaken(toile.block, toile.body)
    found = {one.key: one for one in toile.measures_found if one not in again}
    keys = [*(level.name for level in toile.levels), "torso_loop"]
    found = _closed(toile, judge, keys, found)
    for key in set(toile.counted_as_taped) & set(followed):
        found.pop(key, None)  # as taped after all
    for at, key in enumerate(keys):
        moved = causes["length" if at == n else key]
        if at not in moved or key not in toile.body or key in toile.settled:
            continue
        now = toile.body[key] * float(np.exp(toile.fit.model.origin[at]))
        earlier = found.get(key)
        size = now * float(np.exp(sum(judge.x[i] for i in moved))) / girth
        kept = earlier is not None and abs(earlier.found - now) < SAME_CM
        found[key] = FoundMeasure(
            key,
            earlier.taped if kept and earlier else now,
            _loop(toile, judge, moved) if at == n else size,
            all(judge.told(i) for i in moved),
        )
    return tuple({**_lay(toile, judge, causes), **found}.values())


def _lay(
    toile: Toile, judge: Judge, causes: Mapping[str, Sequence[int]]
) -> dict[str, FoundMeasure]:
    """Return girths that stay as taped, with how their levels lay by their own marks.

    Where another level moves that cannot be told from the cloth, they are right only as
    long as the cloth is.
    """
    cloth = judge.n + 1
    if judge.told(cloth) or not any(cloth in by for by in causes.values()):
        return {}
    lay = {}
    for at, key in enumerate(level.name for level in toile.levels):
        if key in toile.marked and not causes[key] and at in judge.by_row:
            value, sd = judge.by_row[at]
            taped = toile.body[key]
            ratio = float(np.exp(value + toile.fit.model.origin[at]))
            spread = max(sd, _scatter(toile, at))
            lay[key] = FoundMeasure(key, taped, taped, sure=False, lay=(ratio, spread))
    return lay


def _scatter(toile: Toile, at: int) -> float:
    """Return the standard error of the marks at a level by how far apart they lie."""
    marks, wrong = toile.fit.marks, toile.fit.found.wrong
    use = marks.row == at
    use[[row for row in wrong if row < len(use)]] = False
    own = marks.stretch[use]
    return float(own.std(ddof=1) / np.sqrt(own.size)) if own.size > 1 else 0.0


def _closed(
    toile: Toile, judge: Judge, keys: list[str], found: dict[str, FoundMeasure]
) -> dict[str, FoundMeasure]:
    """Return measures found before without what this toile lays to the cloth.

    What an earlier one could not tell was of body and cloth together. Told of the cloth,
    that much is not the body's; told of the body, it is sure.
    """
    kept, cloth = dict(found), judge.n + 1
    for key, one in left_open(toile.block, toile.body).items():
        is_body = key in keys and judge.told(keys.index(key))
        if one.lay is not None:
            if is_body or judge.told(cloth):
                del kept[key]  # what it is now, its own move says
        elif judge.told(cloth):
            size = one.found / float(np.exp(judge.x[cloth]))
            kept[key] = replace(one, found=size, sure=is_body)
            if abs(size - one.taped) <= toile.body.sd(key):
                del kept[key]
        elif is_body:
            # The block is cut by it; where the cloth may be off too, by both together.
            kept[key] = replace(one, sure=not judge.beyond(judge.weights({cloth: 1.0})))
    return kept


def _loop(toile: Toile, judge: Judge, moved: Sequence[int]) -> float:
    """Return the torso loop, cm, that alone would stretch the cloth down as far."""
    n, model = judge.n, toile.fit.model
    parts = {n: judge.by_loop, n + 2: 1.0}
    own = [i for i in moved if i == n or not judge.told(n + 2)]
    stretches = model.stretches(np.zeros(judge.p))[0]
    value = stretches[n] - model.origin[n + 2] + sum(parts[i] * judge.x[i] for i in own)
    closed = (1.0 + model.sizes.strain) * np.exp(model.origin[n + 1])
    around = float((1.0 + model.sizes.share * (closed - 1.0)).mean())
    legs = np.hypot(model.legs[:, 0] * around, model.legs[:, 1] * np.exp(value))
    return float(legs.sum())
