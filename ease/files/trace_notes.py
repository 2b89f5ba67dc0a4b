"""What should be said of a traced block: slips, odd sizes, edges that do not match."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ease.block.cut_levels import cut_levels
from ease.block.loop_ends import open_loop_notes
from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.block.seam_notes import uneven_seams
from ease.block.sewing_notes import sewing_notes
from ease.files.trace_board import slips
from ease.files.trace_records import TracedPiece
from ease.sentence import Length, Sentence

__all__ = ["trace_notes"]

_GIRTHS_CM: Final = (40.0, 220.0)  # beyond what any grown body wears round its trunk


def trace_notes(block: Block, pieces: Sequence[TracedPiece]) -> tuple[str, ...]:
    """Return what should be said of a traced block.

    Args:
        block: The block.
        pieces: What it was made of.
    """
    untold = [
        f"{piece.name}: no fold is given, so it is taken as a whole piece, cut once; say "
        "where its fold lies, or `none`, or `pair` where it is cut twice, mirrored"
        for piece in pieces
        if piece.cut is None
    ]
    cut = [level.text for level in cut_levels(block)]
    return (
        *untold,
        *slips(pieces),
        *_sizes(block),
        *uneven_seams(block),
        *sewing_notes(block),
        *open_loop_notes(block),
        *cut,
    )


def _sizes(block: Block) -> Sequence[str]:
    """Ask for the unit where a girth is no garment's."""
    girths = level_girths(block)
    low, high = _GIRTHS_CM
    return [
        Sentence(
            f"level {name} goes round {{}}: is `units` right, and is each piece cut as "
            "said?",
            Length(girth),
        )
        for name, girth in girths.items()
        if not low <= girth <= high
    ][:1]
