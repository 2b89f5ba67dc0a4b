"""Which edges of a foreign drawing are sewn together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ease.block.pieces import Seam
from ease.files.drawing_map import DrawingMap
from ease.files.piece_parts import PieceParts
from ease.files.roles import clean

__all__ = ["seams_of"]

# Edges of these names meet in a seam where exactly two pieces have one each.
_SEAM_EDGES: Final = frozenset(
    {"side", "side seam", "shoulder", "shoulder seam", "crotch", "crotch seam",
     "inside leg", "princess", "princess seam", "strap", "strap seam"}
)  # fmt: skip
# Edges of these names are sewn to their own mirror image on a piece that is cut twice.
_MIDDLE_EDGES: Final = frozenset(
    {"rise", "front rise", "back rise", "centre", "center", "centre seam", "center seam",
     "centre front", "center front", "centre back", "center back"}
)  # fmt: skip


def seams_of(
    parts: Sequence[PieceParts], mapping: DrawingMap, notes: list[str]
) -> tuple[Seam, ...]:
    """Return the seams that a map names, else those that edges tell by their names.

    Args:
        parts: The pieces.
        mapping: What a map says.
        notes: What was taken for granted is added to them.
    """
    if mapping.seams:
        return tuple(Seam(first, second) for first, second in mapping.seams)
    owners: dict[str, list[str]] = {}
    for item in parts:
        for edge in item.edges:
            if clean(edge.name) in _SEAM_EDGES:
                owners.setdefault(clean(edge.name), []).append(
                    f"{item.name}.{edge.name}"
                )
    pairs = [Seam(found[0], found[1]) for found in owners.values() if len(found) == 2]
    middles = [
        f"{item.name}.{edge.name}"
        for item in parts
        for edge in item.edges
        if item.cut == "pair" and clean(edge.name) in _MIDDLE_EDGES
    ]
    pairs += [Seam(edge, edge) for edge in middles]
    if pairs:
        shown = ", ".join(
            f"{seam.first} to {'its own mirror image' if own else seam.second}"
            for seam in pairs
            for own in [seam.first == seam.second]
        )
        notes.append(f"sewn together by their names: {shown}")
    return tuple(pairs)
