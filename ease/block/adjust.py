"""Adjust a block: scale it round and down, keep what is held, true the seams."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.changes import Adjustment, Change, SeamChange
from ease.block.edge_levels import keep_levels
from ease.block.follow import follow_ends
from ease.block.holds import pull_back
from ease.block.image import BlockMap
from ease.block.measure import walk_seams
from ease.block.pieces import Block, DraftedFor, Edge, Level, Piece
from ease.block.seams import refuse_crossed, true_seams
from ease.errors import RefusedError
from ease.sentence import Length, Sentence

__all__ = ["RATIO_RANGE", "Adjustment", "Change", "SeamChange", "adjust_block"]

FloatArray = NDArray[np.float64]
RATIO_RANGE: Final = (0.3, 3.0)


def adjust_block(
    block: Block,
    girth_ratio: float,
    length_ratio: float,
    *,
    level_ratios: Mapping[str, float] | None = None,
    between: bool = False,
    legs: tuple[float, float] | None = None,
    true: bool = True,
) -> Adjustment:
    """Adjust a block from one pair of factors to another.

    ``x' = x girth_ratio`` about the centre line, ``y' = y_a + length_ratio (y - y_a)``
    about the anchor level. Held distances pull their ends back and edges follow their
    ends; with no holds the result is the exact affine image of every curve, and
    adjusting with 1/ratio and without truing leads back to the start.

    Args:
        block: The block.
        girth_ratio: New girth factor over the one it was drafted for.
        length_ratio: New length factor over the one it was drafted for.
        level_ratios: Girth ratio of single levels, by name; they are joined smoothly,
            constant above the highest and below the lowest level. A level that is not
            named keeps ``girth_ratio``.
        between: Whether a level that is not named lies on the join of those that are,
            as if it were not marked, instead.
        legs: Height of the crotch, cm, and the length ratio below it, if that is another.
        true: Whether seams are trued afterwards.

    Raises:
        RefusedError: If a ratio lies outside 0.3 to 3, a level does not exist, or an
            outline would cross itself or the fold.
    """
    own = dict(level_ratios or {})
    for label, ratio in (
        ("girth ratio", girth_ratio),
        ("length ratio", length_ratio),
        *([] if legs is None else [("length ratio of the legs", legs[1])]),
        *((f"girth ratio of level {name!r}", r) for name, r in own.items()),
    ):
        if not RATIO_RANGE[0] <= ratio <= RATIO_RANGE[1]:  # nan is refused too
            low, high = RATIO_RANGE
            message = f"{label} must lie within {low:g} to {high:g}, not {ratio:g}"
            raise RefusedError(message)
    for name in own:
        block.level(name)
    at_level = {
        level: own.get(level.name, girth_ratio)
        for level in block.levels
        if level.name in own or (own and not between)
    }
    change = _block_map(block, girth_ratio, length_ratio, at_level)
    if legs is not None:
        change = replace(change, crotch_y=legs[0], leg_ratio=legs[1])
    mapped = _mapped(block, change)
    refuse_crossed(mapped, "after the adjustment")
    seams = walk_seams(mapped)
    trued = keep_levels(mapped, true_seams(mapped)) if true else mapped
    return Adjustment(
        before=block,
        after=replace(
            trued,
            drafted_for=_drafted_for(block.drafted_for, girth_ratio, length_ratio, own),
        ),
        mapped_seams=seams,
    )


def _block_map(
    block: Block,
    girth_ratio: float,
    length_ratio: float,
    at_level: Mapping[Level, float],
) -> BlockMap:
    by_height: dict[float, float] = {}
    for level, ratio in at_level.items():
        if by_height.setdefault(level.y, ratio) != ratio:
            message = Sentence(
                "two levels at y = {} ask for different ratios", Length(level.y, None)
            )
            raise RefusedError(message)
    rising = sorted(by_height.items()) or [(0.0, girth_ratio)]
    heights, ratios = np.array(rising).T
    return BlockMap(block.level(block.anchor).y, length_ratio, heights, ratios)


def _mapped(block: Block, change: BlockMap) -> Block:
    """Return the block after the map, with held distances pulled back."""
    ends = {ref for hold in block.holds for ref in (hold.first, hold.second)}
    held = pull_back(block, {ref: change.points(block.point(ref)) for ref in ends})
    levels = tuple(
        replace(level, y=float(change.heights_after(level.y))) for level in block.levels
    )
    pieces = []
    for piece in block.pieces:
        fixed = {ref.point: xy for ref, xy in held.items() if ref.piece == piece.name}
        edges = tuple(_edge(piece, edge, change, fixed) for edge in piece.edges)
        marks = {
            name: fixed[name] if name in fixed else change.points(xy)
            for name, xy in piece.marks.items()
        }
        plain = {name: (float(xy[0]), float(xy[1])) for name, xy in marks.items()}
        pieces.append(replace(piece, edges=edges, marks=plain))
    return replace(block, pieces=tuple(pieces), levels=levels)


def _edge(
    piece: Piece, edge: Edge, change: BlockMap, fixed: Mapping[str, FloatArray]
) -> Edge:
    image, straight, before = change.chain(edge.control, edge.straight)
    ends = [
        fixed[name] if name in fixed else change.points(piece.point(name))
        for name in (edge.start, edge.end)
    ]
    control = follow_ends(before, image, straight, *ends)
    return replace(edge, control=control, straight=straight)


def _drafted_for(
    old: DraftedFor, girth_ratio: float, length_ratio: float, own: Mapping[str, float]
) -> DraftedFor:
    """Return the factors after the adjustment; the old fabric no longer holds."""
    if girth_ratio == length_ratio == 1 and not own:
        return old
    by_level = dict(old.level_factors)
    base = old.girth_factor
    factors = {name: by_level.get(name, base) for name in (*by_level, *own)}
    return DraftedFor(
        girth_factor=None if base is None else base * girth_ratio,
        length_factor=(
            None if old.length_factor is None else old.length_factor * length_ratio
        ),
        body=old.body,
        level_factors=tuple(
            (name, factor * own.get(name, girth_ratio))
            for name, factor in factors.items()
            if factor is not None
        ),
    )
