"""Levels below the crotch: their girth on the block is of both legs together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ease.block.measure import girth_at
from ease.block.pieces import Block, Edge, Piece
from ease.body.measures import Body
from ease.sentence import Length, Sentence

__all__ = ["LegLevel", "crotch_height", "leg_levels", "thigh_untold"]


@dataclass(frozen=True, slots=True)
class LegLevel:
    """A level that lies round the legs.

    Attributes:
        name: Its name.
        both_cm: Girth of both legs together, as every girth of the block is measured.
        thigh_cm: Thigh of the body, at a level of that name; None at another.
    """

    name: str
    both_cm: float
    thigh_cm: float | None = None

    @property
    def leg_cm(self) -> float:
        """Girth of one leg."""
        return self.both_cm / 2.0

    @property
    def strain(self) -> float | None:
        """Worn strain round one leg; None where the body does not tell."""
        return None if self.thigh_cm is None else self.thigh_cm / self.leg_cm - 1.0

    @property
    def text(self) -> str:
        """Return both girths, and how far it is worn, in words."""
        said = Sentence(
            "{} lies below the crotch: {} are of both legs together, {} a leg",
            *(self.name, Length(self.both_cm), Length(self.leg_cm)),
        )
        if self.thigh_cm is None or self.strain is None:
            return said
        worn = f"worn {100 * self.strain:.1f} % stretched"
        if self.strain < 0:
            worn = f"{100 * (self.leg_cm / self.thigh_cm - 1.0):.1f} % larger"
        return Sentence("{}, on a thigh of {} {}", said, Length(self.thigh_cm), worn)


def leg_levels(block: Block, body: Body | None = None) -> tuple[LegLevel, ...]:
    """Return the levels of a block that lie round its legs, top to bottom.

    A piece of the trunk reaches a fold, or a seam to its own mirror image, at every
    height; where none does any more, the pieces part into two legs. A block that marks
    neither fold nor such a seam, or has a piece cut once, does not tell.

    Args:
        block: The block.
        body: The body, for its thigh.
    """
    lowest = crotch_height(block)
    if lowest is None:
        return ()
    thigh = None if body is None else body.values.get("thigh")
    return tuple(
        LegLevel(
            level.name,
            float(girth_at(block, level.y)),
            thigh if level.name == "thigh" else None,
        )
        for level in sorted(block.levels, key=lambda level: level.y)
        if level.y > lowest
    )


def crotch_height(block: Block) -> float | None:
    """Return how far down the pieces part into two legs, cm; None where it is not told.

    The end of the lowest fold or middle seam: of a skirt, which has no legs, its hem.

    Args:
        block: The block.
    """
    if _untold(block):
        return None
    middles = _middles(block, block.girth_pieces)
    return max(float(edge.control[..., 1].max()) for edge in middles)


def thigh_untold(block: Block) -> str:
    """Return why a level named thigh is none of a leg; empty where it is, or is not there.

    Args:
        block: The block.
    """
    names = [level.name for level in block.levels]
    if "thigh" not in names or "thigh" in [level.name for level in leg_levels(block)]:
        return ""
    above = "it lies above the crotch, where a line runs round the trunk"
    return _untold(block) or above


def _untold(block: Block) -> str:
    """Return why a block does not tell where its legs part; empty where it does."""
    pieces = block.girth_pieces
    if whole := [piece.name for piece in pieces if piece.times_round == 1]:
        return (
            f"{whole[0]} is a whole piece, cut once, that does not tell where the legs "
            "part: draw half of it, on the fold or as a pair"
        )
    if not _middles(block, pieces):
        rise = f"{pieces[0].name}.rise" if pieces else "front.rise"
        return (
            "neither fold nor middle seam tells where the legs part: name the seam of "
            f"each rise with its own mirror image, such as {rise} with {rise}"
        )
    return ""


def _middles(block: Block, pieces: Sequence[Piece]) -> list[Edge]:
    """Return folds, and edges that are sewn to their own mirror image."""
    own = {seam.first for seam in block.seams if seam.first == seam.second}
    return [
        edge
        for piece in pieces
        for edge in piece.edges
        if piece.is_fold(edge) or f"{piece.name}.{edge.name}" in own
    ]
