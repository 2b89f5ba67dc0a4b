"""Levels that are called closed and are not: where a neck, a leg or a top edge cuts them.

A girth is read along a straight line across the pieces. Only where each piece is met
from its fold or a seam to the next seam does that line run round the body; where it runs
out at a free edge, such as a hollow waist edge, what is read there is too short.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import level_crossings
from ease.block.edge_levels import LEAST, beside_ends
from ease.block.measure import girth_at, outline
from ease.block.opening_names import opening_of
from ease.block.pieces import Block, Edge, Level, Piece
from ease.errors import RefusedError
from ease.sentence import Length, Sentence

__all__ = [
    "CutLevel",
    "cut_levels",
    "ends_of_line",
    "meets_mirror",
    "refuse_cut_levels",
]

FloatArray = NDArray[np.float64]
Bools = NDArray[np.bool_]
_SIDES: Final[tuple[Literal["above", "below"], ...]] = ("above", "below")
_NEAR_CM: Final = 10.0  # so far up or down a whole line is looked for
# Past the end of an edge, so that it may be read off a ruler in eighths of an inch.
_PAST_CM: Final = 0.2
_MOST_TRIED: Final = 40


@dataclass(frozen=True, slots=True)
class CutLevel:
    """A closed level whose line does not run round.

    Attributes:
        level: The level.
        read_cm: Girth as read there.
        whole_y: Nearest height at which the line runs round, cm down; None where none
            is near.
        whole_cm: Girth there.
    """

    level: Level
    read_cm: float
    whole_y: float | None = None
    whole_cm: float = 0.0

    @property
    def text(self) -> Sentence:
        """What is wrong, and what to do."""
        if self.whole_y is None:
            return Sentence(
                f"level {self.level.name} is called closed, but its line, {{}} down, runs "
                "out at a free edge: mark it partly open or open, name the seam there, or "
                "keep a piece that does not go round out of girths",
                Length(self.level.y),
            )
        return Sentence(
            f"level {self.level.name} is called closed, but its line, {{}} down, runs out "
            "at a free edge and reads {}; the nearest that runs round lies {} down and "
            "reads {}: move the level there, mark it partly open, name the seam there, or "
            "keep a piece that does not go round out of girths",
            *(Length(self.level.y), Length(self.read_cm)),
            *(Length(self.whole_y), Length(self.whole_cm)),
        )


def cut_levels(block: Block) -> tuple[CutLevel, ...]:
    """Return the closed levels of a block whose line runs out at a free edge.

    Not where a line that runs round lies within 10 cm, and is longer by less than a
    hundredth. Without seams nothing but the fold tells where a line should end.

    Args:
        block: The block.
    """
    closed = [level for level in block.levels if level.loop == "closed"]
    if not closed or _runs_round(block, np.array([lv.y for lv in closed])).all():
        return ()
    found = []
    for level in closed:
        if _runs_round(block, np.array([level.y])).all():
            continue
        heights = _nearby(block, level.y)
        read, *girths = np.nan_to_num(girth_at(block, np.append(level.y, heights)))
        round_it = _runs_round(block, heights) & (np.array(girths) > 0)
        near = np.flatnonzero(round_it & ((1.0 - LEAST) * np.array(girths) > read))
        if len(near):
            y, girth = float(heights[near[0]]), float(girths[near[0]])
            found.append(CutLevel(level, float(read), y, girth))
        elif not round_it.any():
            found.append(CutLevel(level, float(read)))
    return tuple(found)


def refuse_cut_levels(block: Block) -> None:
    """Refuse to go by a girth that is read too short.

    Args:
        block: The block.

    Raises:
        RefusedError: If a closed level runs out at a free edge; each is named.
    """
    cut = [one for one in cut_levels(block) if one.whole_y is not None]
    if cut:
        raise RefusedError(cut[0].text)


def _nearby(block: Block, y: float) -> FloatArray:
    """Return heights just past the ends of edges, where a line changes; nearest first."""
    heights = beside_ends(block, _PAST_CM)
    away = np.abs(heights - y)
    order = np.argsort(away, kind="stable")[:_MOST_TRIED]
    return np.asarray(heights[order][away[order] <= _NEAR_CM])


def _runs_round(block: Block, heights: FloatArray) -> Bools:
    """Return whether the line at each height runs from fold or seam to seam, (m,)."""
    sewn = block.sewn
    good = np.ones(len(heights), dtype=bool)
    met: dict[str, Bools] = {}
    ends: dict[str, Bools] = {}
    for piece in block.girth_pieces:
        found = ends_of_line(piece, heights)
        met[piece.name] = np.any(list(found.values()), axis=0)
        seamless = not any(f"{piece.name}.{edge}" in sewn for edge in found)
        for edge in piece.edges:
            name = f"{piece.name}.{edge.name}"
            ends[name] = found[edge.name]
            mirror = meets_mirror(piece, edge)
            if not (seamless or name in sewn or piece.is_fold(edge) or mirror):
                good &= ~found[edge.name]
        if seamless and piece.on_fold:
            folds = [found[edge.name] for edge in piece.edges if piece.is_fold(edge)]
            good &= np.any(folds, axis=0) | ~met[piece.name] if folds else True
    for seam in block.seams:
        for one, other in ((seam.first, seam.second), (seam.second, seam.first)):
            mate = met.get(other.partition(".")[0])
            if mate is not None and one in ends:
                good &= mate | ~ends[one]
    return good


def meets_mirror(piece: Piece, edge: Edge) -> bool:
    """Whether one piece of a pair may be sewn to the other along an edge.

    Hardly along one that lies across, or is called an opening.

    Args:
        piece: The piece.
        edge: One of its edges.
    """
    across, down = np.abs(edge.control[-1, 3] - edge.control[0, 0])
    upright = bool(down > across)
    return piece.cut == "pair" and upright and not opening_of(edge.name)


def ends_of_line(piece: Piece, heights: FloatArray) -> dict[str, Bools]:
    """Return which edges the line across a piece ends on, at each height, (m,).

    Just above or just below it, whichever shows more of the piece.

    Args:
        piece: The piece.
        heights: Heights, cm, shape (m,).
    """
    chain = outline(piece)
    pairs = [level_crossings(chain, heights, side)[0] for side in _SIDES]
    widths = [_width(x) for x in pairs]
    x = np.where((widths[0] > widths[1])[:, None], *pairs)
    counts = 3 * np.cumsum([0, *(len(edge.control) for edge in piece.edges)])
    return {
        edge.name: np.asarray(np.isfinite(x[:, first:last]).any(axis=1))
        for edge, first, last in zip(piece.edges, counts, counts[1:], strict=False)
    }


def _width(x: FloatArray) -> FloatArray:
    """Return the length inside an outline of lines with these crossings, (m,)."""
    ordered = np.nan_to_num(np.sort(x, axis=1), nan=0.0)
    signs = np.where(np.arange(ordered.shape[1]) % 2 == 0, -1.0, 1.0)
    return np.asarray((ordered * signs).sum(axis=1))
