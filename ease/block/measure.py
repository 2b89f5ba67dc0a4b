"""Measure a block: edges, areas, girths at a height, torso loop, seams, holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, overload

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import inside_width
from ease.block.curves import bounds, signed_area
from ease.block.lengths import arc_length, chain_lengths
from ease.block.loop import loop_length_strain
from ease.block.pieces import Block, Edge, Piece
from ease.block.sewn import sewn_times
from ease.errors import RefusedError
from ease.sentence import Length, Sentence

__all__ = [
    "HeldDistance",
    "SeamLengths",
    "edge_length",
    "edge_lengths",
    "girth_at",
    "held_distances",
    "infer_factors",
    "level_girths",
    "outline",
    "piece_area",
    "piece_width",
    "torso_loop",
    "walk_seams",
]

FloatArray = NDArray[np.float64]
TIER_CM: Final = 1e-6
# A line so near a level edge lies on it: evening a seam tilts an edge by a tenth of a mm.
ON_EDGE_CM: Final = 0.03
MISSED: Final = 0.25  # least share of a girth that a missed piece has; own choice


@dataclass(frozen=True, slots=True)
class SeamLengths:
    """Two edges that are sewn together, measured.

    Attributes:
        first: One edge, ``piece.edge``.
        second: Its mate.
        first_cm: Length of the first along the curve, with its mirror image where both
            are sewn to the mate (``ease.block.sewn``).
        second_cm: Length of the second, likewise.
    """

    first: str
    second: str
    first_cm: float
    second_cm: float

    @property
    def difference_cm(self) -> float:
        """First less second; 0 where the mates match."""
        return self.first_cm - self.second_cm


@dataclass(frozen=True, slots=True)
class HeldDistance:
    """A distance that is to stay, measured straight from point to point.

    Attributes:
        name: Such as ``strap width``.
        distance_cm: As drawn; from a point on the fold it is half the width worn.
    """

    name: str
    distance_cm: float


def outline(piece: Piece) -> FloatArray:
    """Return a piece's closed outline as one chain, cm, shape (k, 4, 2).

    Starts are set exactly to the ends before them, so that no level slips through.
    """
    chain = np.concatenate([edge.control for edge in piece.edges])
    chain[:, 0] = np.roll(chain[:, 3], 1, axis=0)
    return chain


def edge_length(edge: Edge) -> float:
    """Return the length of an edge along its curve, cm, within 1e-9 cm."""
    return float(arc_length(edge.control).sum())


def edge_lengths(block: Block) -> dict[str, float]:
    """Return the length of every edge, cm, by ``piece.edge``, in the block's order."""
    edges = {
        f"{piece.name}.{edge.name}": edge.control
        for piece in block.pieces
        for edge in piece.edges
    }
    return dict(zip(edges, chain_lengths([*edges.values()]).tolist(), strict=True))


def piece_area(piece: Piece) -> float:
    """Return the area inside the outline as drawn, cm^2 (half of a piece on a fold)."""
    return abs(signed_area(outline(piece)))


@overload
def piece_width(piece: Piece, y: float) -> float: ...
@overload
def piece_width(piece: Piece, y: FloatArray) -> FloatArray: ...
def piece_width(piece: Piece, y: float | FloatArray) -> float | FloatArray:
    """Return the width inside a piece as drawn at one height or many, cm.

    Args:
        piece: The piece; several strips beside each other are added up.
        y: Heights, cm, any shape.

    Returns:
        Widths in the shape of ``y``; 0 where the height misses the piece.
    """
    heights = np.asarray(y, dtype=float)
    widths = inside_width(outline(piece), heights.ravel()).reshape(heights.shape)
    return widths if heights.ndim else float(widths)


@overload
def girth_at(block: Block, y: float) -> float: ...
@overload
def girth_at(block: Block, y: FloatArray) -> FloatArray: ...
def girth_at(block: Block, y: float | FloatArray) -> float | FloatArray:
    """Return the girth of the block at one height or many, cm.

    The widths of all pieces that count for a girth, twice where a piece is drawn half,
    on the fold, or cut as a pair. A line within 0.3 mm of where a piece begins or ends, and
    that misses it, reads what lies there.

    Args:
        block: The block.
        y: Heights, cm, any shape.

    Returns:
        Girths in the shape of ``y``; in an array nan where no such piece is met.

    Raises:
        RefusedError: If a single height misses every piece that counts.
    """
    heights = np.asarray(y, dtype=float)
    counted = block.girth_pieces
    total = _total_width(counted, heights)
    at_seam = _between_tiers(counted, heights)
    if at_seam.any():
        # Where one tier ends and the next begins, only one of them goes round.
        beside = [_total_width(counted, heights + d) for d in (-TIER_CM, TIER_CM)]
        total = np.where(at_seam, np.maximum(*beside), total)
    # A level on an edge may lie a hair beyond it, and then misses pieces.
    inside = [_total_width(counted, heights + d) for d in (-ON_EDGE_CM, ON_EDGE_CM)]
    whole = np.maximum(*inside)
    total = np.where(whole * (1.0 - MISSED) > total, whole, total)
    if heights.ndim:
        return np.where(total > 0, total, np.nan)
    if not total > 0:
        message = Sentence(
            "no piece that counts for a girth is met at y = {}",
            Length(float(heights), None),
        )
        raise RefusedError(message)
    return float(total)


def _total_width(pieces: Sequence[Piece], heights: FloatArray) -> FloatArray:
    total = np.zeros(heights.shape)
    for piece in pieces:
        total = total + piece.times_round * piece_width(piece, heights)
    return total


def _between_tiers(pieces: Sequence[Piece], heights: FloatArray) -> NDArray[np.bool_]:
    """Return at which heights one piece ends and another begins."""
    boxes = np.array([np.array(bounds(outline(piece)))[:, 1] for piece in pieces])
    near = np.abs(boxes.reshape(-1, 2) - heights[..., None, None]) <= TIER_CM
    return np.asarray(near.any(axis=-2).all(axis=-1))


def level_girths(block: Block) -> dict[str, float]:
    """Return the girth at every level, cm, by the level's name.

    Raises:
        RefusedError: If a level misses every piece that counts; it is named.
    """
    girths = girth_at(block, np.array([level.y for level in block.levels]))
    missed = [
        lv.name for lv, g in zip(block.levels, girths, strict=True) if np.isnan(g)
    ]
    if missed:
        message = f"level {missed[0]!r} misses every piece that counts for a girth"
        raise RefusedError(message)
    return {lv.name: float(g) for lv, g in zip(block.levels, girths, strict=True)}


def torso_loop(block: Block) -> float | None:
    """Return the torso loop, cm: the straight legs of the loop path added up.

    None where the block names no loop path.
    """
    if not block.loop_path:
        return None
    legs = [
        np.diff([block.point(ref) for ref in run], axis=0)
        for run in block.loop_path
        if len(run) > 1
    ]
    return float(sum(np.hypot(leg[:, 0], leg[:, 1]).sum() for leg in legs))


def walk_seams(block: Block) -> tuple[SeamLengths, ...]:
    """Measure both edges of every seam, as they are sewn."""
    mates = [(seam.first, seam.second) for seam in block.seams]
    lengths = chain_lengths(
        [block.edge(name).control for pair in mates for name in pair]
    )
    lengths = lengths * np.ravel([sewn_times(block, seam) for seam in block.seams])
    return tuple(
        SeamLengths(*pair, float(first), float(second))
        for pair, (first, second) in zip(mates, lengths.reshape(-1, 2), strict=True)
    )


def held_distances(block: Block) -> tuple[HeldDistance, ...]:
    """Measure every distance that is to stay."""
    return tuple(
        HeldDistance(
            hold.name,
            float(np.hypot(*(block.point(hold.second) - block.point(hold.first)))),
        )
        for hold in block.holds
    )


def infer_factors(
    block: Block, body_girths: Mapping[str, float], body_loop: float | None
) -> tuple[float, float | None]:
    """Infer what a block was drafted for from its own size against a body.

    The girth factor is the sum of the block's girths over the sum of the body's, at
    closed levels that the body knows too. The length factor makes the block's torso
    loop, whose slanted legs take up strain round as well, fit the body's.

    Args:
        block: The block.
        body_girths: The body's girths, cm, by level name.
        body_loop: The body's torso loop, cm, or None if it is not known.

    Returns:
        Girth factor and length factor; the latter None where either loop is missing.

    Raises:
        RefusedError: If no closed level is known of the body, a measure is not above 0,
            or the block's loop cannot lie on the body's.
    """
    given = [*body_girths.values(), *([] if body_loop is None else [body_loop])]
    if not all(np.isfinite(value) and value > 0 for value in given):
        message = "the body's girths and torso loop must be above 0 cm"
        raise RefusedError(message)
    shared = [
        lv for lv in block.levels if lv.loop == "closed" and lv.name in body_girths
    ]
    if not shared:
        have = (
            ", ".join(lv.name for lv in block.levels if lv.loop == "closed") or "none"
        )
        message = (
            "the factors cannot be inferred: the body has no girth at a closed level "
            f"of the block (closed levels: {have})"
        )
        raise RefusedError(message)
    cut = sum(girth_at(block, level.y) for level in shared)
    girth_factor = cut / sum(body_girths[level.name] for level in shared)
    down = None
    if body_loop is not None:
        down = loop_length_strain(block, body_loop, 1.0 / girth_factor - 1.0)
    return girth_factor, None if down is None else 1.0 / (1.0 + down)
