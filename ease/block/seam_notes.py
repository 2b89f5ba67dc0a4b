"""What should be said of the seams of a block that somebody drew or read off paper."""

from __future__ import annotations

from ease.block.measure import SeamLengths, walk_seams
from ease.block.pieces import Block
from ease.block.seams import SEAM_TOLERANCE_CM
from ease.sentence import Length, Sentence

__all__ = ["uneven_seams"]


def uneven_seams(block: Block) -> tuple[str, ...]:
    """Name the seams whose two edges are not of one length, with both lengths.

    Args:
        block: The block as drawn, before its seams are trued.
    """
    return tuple(
        Sentence(
            f"{{}} is {{}} and {{}} {{}} long, {abs(10 * seam.difference_cm):.1f} mm "
            f"apart; they are sewn together: measure both again{_mirror(block, seam)}",
            *(seam.first, Length(seam.first_cm), seam.second, Length(seam.second_cm)),
        )
        for seam in walk_seams(block)
        if abs(seam.difference_cm) > SEAM_TOLERANCE_CM
    )


def _mirror(block: Block, seam: SeamLengths) -> str:
    """Say how an edge of a pair is sewn to its own mirror, where that may be meant."""
    pieces = {name.partition(".")[0] for name in (seam.first, seam.second)}
    if len(pieces) > 1 or block.piece(pieces.pop()).cut != "pair":
        return ""
    return "; an edge sewn to its own mirror is named twice in one seam line"
