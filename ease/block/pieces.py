"""The block: pieces of named edges, levels, seams and holds, checked at birth.

All pieces lie in one frame: x outwards from the centre line, y downwards, cm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ease.block.block_limits import check_names, check_size
from ease.block.fittings import (
    LOOP_SHARE,
    DraftedFor,
    FoundMeasure,
    Hold,
    Level,
    Loop,
    PointRef,
    Seam,
    Toiled,
)
from ease.block.piece import CUT_WORDS, FOLD_CM, Cut, Edge, Piece, line
from ease.errors import RefusedError

__all__ = [
    "CUT_WORDS",
    "FOLD_CM",
    "LOOP_SHARE",
    "Block",
    "Cut",
    "DraftedFor",
    "Edge",
    "FoundMeasure",
    "Hold",
    "Level",
    "Loop",
    "Piece",
    "PointRef",
    "Seam",
    "Toiled",
    "line",
]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """All pieces of one garment block with what is known about them.

    Attributes:
        name: Short name.
        pieces: The pieces, in one common coordinate frame.
        levels: Heights at which girths are read, top to bottom.
        seams: Edges that are sewn together.
        holds: Distances that stay.
        loop_path: Points whose straight legs, in order and within one piece, make up
            the torso loop: a tuple of runs, each a tuple of points.
        anchor: Name of the level that stays in place when lengths change.
        drafted_for: Body, fabric or factors the block was drafted for.
        note: Free remark.
    """

    name: str
    pieces: tuple[Piece, ...]
    levels: tuple[Level, ...]
    seams: tuple[Seam, ...] = ()
    holds: tuple[Hold, ...] = ()
    loop_path: tuple[tuple[PointRef, ...], ...] = ()
    anchor: str = "waist"
    drafted_for: DraftedFor = field(default_factory=DraftedFor)
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse references to what does not exist, and names that are no text."""
        check_names(self)
        check_size(self)
        for label, names in (
            ("piece", [piece.name for piece in self.pieces]),
            ("level", [level.name for level in self.levels]),
        ):
            twice = sorted({name for name in names if names.count(name) > 1})
            if twice:
                message = f"{label} {twice[0]!r} is named twice"
                raise RefusedError(message)
        if not self.pieces:
            message = "a block needs at least one piece"
            raise RefusedError(message)
        for seam in self.seams:
            self.edge(seam.first)
            self.edge(seam.second)
        for hold in self.holds:
            self.point(hold.first)
            self.point(hold.second)
        for run in self.loop_path:
            for ref in run:
                self.point(ref)
        self.level(self.anchor)

    @property
    def sewn(self) -> frozenset[str]:
        """The edges that lie in a seam, each ``piece.edge``."""
        return frozenset(
            name for seam in self.seams for name in (seam.first, seam.second)
        )

    @property
    def girth_pieces(self) -> tuple[Piece, ...]:
        """The pieces whose width counts when a girth is measured.

        Not those that say so of themselves, nor those that are sewn to nothing and lie
        beside one that is sewn, such as a gusset or a lining.
        """
        counted = tuple(piece for piece in self.pieces if piece.in_girth)
        joined = {name.partition(".")[0] for name in self.sewn}
        sewn = [piece for piece in counted if piece.name in joined]
        return tuple(
            piece
            for piece in counted
            if piece.name in joined or not _lies_beside(piece, sewn)
        )

    def piece(self, name: str) -> Piece:
        """Return a piece by name.

        Raises:
            RefusedError: If the block has none of that name.
        """
        for piece in self.pieces:
            if piece.name == name:
                return piece
        have = ", ".join(piece.name for piece in self.pieces)
        message = f"the block has no piece {name!r}; it has {have}"
        raise RefusedError(message)

    def edge(self, reference: str) -> Edge:
        """Return an edge written ``piece.edge``."""
        piece, _, name = reference.partition(".")
        return self.piece(piece).edge(name)

    def point(self, ref: PointRef) -> NDArray[np.float64]:
        """Return the coordinates of a point, shape (2,)."""
        return self.piece(ref.piece).point(ref.point)

    def level(self, name: str) -> Level:
        """Return a level by name.

        Raises:
            RefusedError: If the block has none of that name.
        """
        for level in self.levels:
            if level.name == name:
                return level
        have = ", ".join(level.name for level in self.levels) or "none"
        message = f"the block has no level {name!r}; it has {have}"
        raise RefusedError(message)


def _lies_beside(piece: Piece, others: Sequence[Piece]) -> bool:
    """Whether one of others lies as high as a piece, over more than half of its height."""
    low, high = _heights(piece)
    return any(
        min(high, top) - max(low, bottom) > (high - low) / 2
        for bottom, top in map(_heights, others)
    )


def _heights(piece: Piece) -> tuple[float, float]:
    y = np.concatenate([edge.control[..., 1].ravel() for edge in piece.edges])
    return float(y.min()), float(y.max())
