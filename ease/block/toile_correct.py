"""From a weighed toile to corrected factors and a corrected block.

The rule by which a correction is kept stands in ``ease.block.toile_rule``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from ease.block.pieces import Block, Toiled
from ease.block.plan import Factors, Ratios, factors_of_block
from ease.block.refit import Refit, refit
from ease.block.toile import Toile
from ease.block.toile_doubt import refuse_other_block
from ease.block.toile_meant import beyond_meant, toiled_after
from ease.block.toile_rule import Judge
from ease.units import NORMAL_95

__all__ = ["BodyChange", "Correction", "Move", "correct"]


@dataclass(frozen=True, slots=True)
class Move:
    """One factor, and whether the marks justify moving it.

    Attributes:
        name: ``girth`` (of any garment in this cloth), ``length``, or a level.
        old: Factor before.
        found: What the marks say it should be multiplied by, beyond earlier toiles.
        sd: Standard deviation of that.
        kept: What it is multiplied by: 1 where the marks do not justify a move.
    """

    name: str
    old: float
    found: float
    sd: float
    kept: float

    @property
    def new(self) -> float:
        """Factor after."""
        return self.old * self.kept

    @property
    def half(self) -> float:
        """Half of the 95 % interval of what was found."""
        return NORMAL_95 * self.sd


@dataclass(frozen=True, slots=True)
class BodyChange:
    """A body measure that the marks say was taken wrong.

    Attributes:
        key: Key of the measure.
        taped: As taken, cm.
        found: As the marks have it, cm.
        half: Half of the 95 % interval, cm.
    """

    key: str
    taped: float
    found: float
    half: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What a toile changes.

    Attributes:
        toile: The toile.
        limit: Standard deviations that a correction must exceed to be kept.
        moves: Girth, length, and every level.
        cloth_told: Whether the cloth lies unlike the swatch round and down.
        body: Measures to take again.
        levels_told: Levels at which the toile alone lies otherwise, the girth there having
            been measured again.
        followed: Moves that no mark asks for, but the measures as they are now.
        unclear: Moves by body and cloth together, which the marks cannot tell apart.
        result: The block before and after; None where nothing moves.
        block: The block as it is to be kept: also where nothing moves it holds what the
            marks tell of a measure that an earlier toile left open.
    """

    toile: Toile
    limit: float
    moves: tuple[Move, ...]
    cloth_told: tuple[bool, bool]
    body: tuple[BodyChange, ...]
    levels_told: frozenset[str]
    followed: frozenset[str]
    unclear: frozenset[str]
    result: Refit | None
    block: Block

    @property
    def moved(self) -> tuple[Move, ...]:
        """The moves that the marks justify."""
        return tuple(move for move in self.moves if move.kept != 1.0)


def correct(toile: Toile) -> Correction:
    """Return the factors and the block that the marks justify.

    What is told although it stands out too little among all that is looked at is likely
    off: how far, the marks say without what was stated of it.

    A level's girth is multiplied by ``exp(b + c)``, so that cloth and body as found are
    worn at the strain that was meant; the cloth's own part moves the girth factor. Both
    are what this toile shows beyond earlier ones (``ease.block.toile_meant``).

    Args:
        toile: A weighed toile.

    Raises:
        RefusedError: If the marks cannot be of this block on this body, or the corrected
            outline would cross itself.
        UsageError: If the block does not say what it was drafted for and cannot tell.
    """
    judge = Judge(toile)
    if likely := judge.likely(toile):
        toile = toile.giving_up(likely)
        judge = Judge(toile, judge.limit)
    refuse_other_block(toile, cloth_told=judge.told(judge.n + 1))
    old = factors_of_block(toile.block, toile.body)
    moves, causes = _moves(toile, judge, old)
    followed = frozenset(
        move.name for move in moves[1:] if move.kept != 1.0 and not causes[move.name]
    )
    toiled = toiled_after(toile, judge, moves[0].kept, causes, followed)
    result = _refit(toile, old, moves, toiled)
    return Correction(
        toile=toile,
        limit=judge.limit,
        moves=tuple(moves),
        cloth_told=(judge.told(judge.n + 1), judge.told(judge.n + 2)),
        body=_body_changes(toile, judge),
        levels_told=frozenset(
            level.name
            for at, level in enumerate(toile.levels)
            if level.name in toile.settled and judge.told(at)
        ),
        followed=followed,
        unclear=frozenset(
            name for name, by in causes.items() if not all(map(judge.told, by))
        ),
        result=result,
        block=_as_told(toile.block, toiled) if result is None else result.block,
    )


def _moves(
    toile: Toile, judge: Judge, old: Factors
) -> tuple[list[Move], dict[str, tuple[int, ...]]]:
    """Return the moves of girth, length and levels, and what unknowns make the latter."""
    n, beyond = judge.n, beyond_meant(toile)
    girth, _ = _move(judge, "girth", old.girth, {n + 1: 1.0})
    down = {n: judge.by_loop, n + 2: 1.0}
    length, moved = _move(judge, "length", old.length, down, n, beyond.length)
    moves, causes = [girth, length], {"length": moved}
    sizes = toile.fit.model.sizes
    for at, level in enumerate(toile.levels):
        stated = sizes.body[at] * np.exp(toile.fit.model.origin[at])
        own, off = float(sizes.block[at] / stated), float(beyond.levels[at])
        move, moved = _move(judge, level.name, own, {at: 1.0, n + 1: 1.0}, at, off)
        moves.append(move)
        causes[level.name] = moved
    return moves, causes


def _as_told(block: Block, toiled: Toiled) -> Block:
    """Return a block that stays as it is, but for measures that are sure now.

    Its factors are cut over the measures as found, so that none may go.
    """
    drafted, now = block.drafted_for, {(m.key, m.found): m for m in toiled.measures}
    old = drafted.toiled
    measures = tuple(now.get((one.key, one.found), one) for one in old.measures)
    if measures == old.measures:
        return block
    said = replace(old, measures=measures)
    return replace(block, drafted_for=replace(drafted, toiled=said))


def _move(
    judge: Judge,
    name: str,
    factor: float,
    parts: dict[int, float],
    at: int | None = None,
    beyond: float = 0.0,
) -> tuple[Move, tuple[int, ...]]:
    """Return a factor's move, and the unknowns that make it."""
    value, sd = judge.found(judge.weights(parts))
    kept, told = judge.kept(parts, at, beyond)
    ratio = float(np.exp(value + beyond))
    return Move(name, factor, ratio, sd * ratio, float(np.exp(kept))), told


def _refit(
    toile: Toile, old: Factors, moves: list[Move], toiled: Toiled
) -> Refit | None:
    """Return the block moved; its factors are cut over body as found."""
    girth, length, *levels = moves
    if all(move.kept == 1.0 for move in moves):
        return None
    own = {move.name: move.kept for move in levels}
    by_level = {
        level.name: own.get(level.name, girth.kept) for level in toile.block.levels
    }
    even = all(ratio == girth.kept for ratio in by_level.values())
    levels_after = {name: factor * girth.kept for name, factor in old.levels.items()}
    held = toile.settled & {name for name, kept in own.items() if kept != girth.kept}
    if held:
        # No measure holds what moves where it was taken again: the level's factor does.
        now = {move.name: move.new for move in levels if move.name in held}
        levels_after = {
            name: now.get(name, old.levels.get(name, old.girth) * girth.kept)
            for name in by_level
        }
    settled_down = "torso_loop" in toile.settled
    by_cloth = length.kept if settled_down else toiled.length / toile.shown[1]
    ratios = Ratios(
        girth.kept,
        length.kept,
        None if even else MappingProxyType(by_level),
        levels_after or None,
    )
    new = Factors(
        girth.new,
        old.length * by_cloth,
        f"{old.origin}, corrected by a toile",
        toile.fabric.name,
        old.body,
        girth_half=girth.half * old.girth,
        length_half=length.half * old.length,
        round_body=toile.round_body,
    )
    result = refit(toile.block, old, new, toile.body, ratios=ratios)
    drafted = replace(result.block.drafted_for, toiled=toiled)
    note = f"corrected by a toile in {toile.fabric.name} on {toile.body.name}"
    return replace(result, block=replace(result.block, drafted_for=drafted, note=note))


def _body_changes(toile: Toile, judge: Judge) -> tuple[BodyChange, ...]:
    keys = [level.name for level in toile.levels]
    if toile.has_loop:
        keys.append("torso_loop")
    sd = toile.fit.found.fit.sd
    before = np.exp(toile.fit.model.origin)
    return tuple(
        BodyChange(
            key,
            toile.body[key] * float(before[at]),
            toile.body[key] * float(before[at] * np.exp(judge.x[at])),
            toile.body[key] * NORMAL_95 * float(sd[at]),
        )
        for at, key in enumerate(keys)
        if judge.told(at) and key not in toile.settled
    )
