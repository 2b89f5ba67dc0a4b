"""Which free edges go round one opening, by their names and the seams between them.

An opening is a free edge by its name (``ease.block.opening_names``). An edge that is
sewn to another or lies on the fold is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ease.block.opening_names import EDGE_NAMES, SIDES, opening_of, side_of
from ease.block.pieces import Block, Edge, Piece

__all__ = ["ROUND_BOTH_SIDES", "other_openings", "rings", "unsided_edges"]

Sided = tuple[Piece, Edge, str]
#: One ring; of the others each side has one.
ROUND_BOTH_SIDES: Final = ("neck", "waist")


def rings(block: Block) -> dict[str, list[tuple[Piece, Edge]]]:
    """Return the edges of each ring by its name.

    Neck and waist are one ring each. Of leg and armhole each side has one: where the
    edges of a whole piece, or the piece itself, are named left and right, what another
    piece draws once goes into both. Whose left is meant, a drawing of the back leaves
    open: an edge goes with those that the seams lay it to, by the side of the first.

    Args:
        block: The block.
    """
    found: dict[str, list[tuple[Piece, Edge, str]]] = {kind: [] for kind in EDGE_NAMES}
    for piece, edge in _free_edges(block):
        kind, _, side = opening_of(edge.name).partition(" ")
        if kind:
            of_piece = _side_left(piece, kind) if piece.cut == "once" else ""
            found[kind].append((piece, edge, side or of_piece))
    made = {}
    for kind, edges in found.items():
        edges = _by_seams(block, edges)
        sided = kind not in ROUND_BOTH_SIDES and any(side for *_, side in edges)
        for side in SIDES if sided else ("",):
            name = f"{kind} {side}".strip()
            wanted = ("", side) if sided else ("", *SIDES)
            made[name] = [(p, e) for p, e, own in edges if own in wanted]
    return made


def _by_seams(block: Block, edges: list[Sided]) -> list[Sided]:
    """Return edges of a kind with their sides as the seams between pieces have them.

    A seam lays one edge to another where each of its two ends only one of the kind.
    """
    sides = {f"{piece.name}.{edge.name}": side for piece, edge, side in edges}
    first: dict[str, str] = {name: name for name in sides}
    for seam in block.seams:
        met = [_beside(block, name, edges) for name in (seam.first, seam.second)]
        if all(len(names) == 1 for names in met) and all(sides[n[0]] for n in met):
            one, other = sorted((first[names[0]] for names in met), key=[*sides].index)
            first = {name: one if at == other else at for name, at in first.items()}
    return [
        (piece, edge, sides[first[f"{piece.name}.{edge.name}"]])
        for piece, edge, _ in edges
    ]


def _beside(block: Block, sewn: str, edges: list[Sided]) -> list[str]:
    """Return which edges begin or end where a sewn one does."""
    edge, of = block.edge(sewn), sewn.partition(".")[0]
    ends = {edge.start, edge.end}
    return [
        f"{piece.name}.{one.name}"
        for piece, one, _ in edges
        if piece.name == of and ends & {one.start, one.end}
    ]


def _side_left(piece: Piece, kind: str) -> str:
    """Return the side of an edge that names none: its piece's, or the one left over."""
    named = {opening_of(edge.name) for edge in piece.edges}
    sides = [side for side in SIDES if f"{kind} {side}" in named]
    if len(sides) == 1:
        return next(side for side in SIDES if side not in sides)
    return side_of(piece.name)


def unsided_edges(block: Block) -> tuple[str, ...]:
    """Return edges, ``piece.edge``, that count as one opening for want of a side.

    They are legs or armholes of pieces that are cut once, more than one of a kind, where
    neither edge nor piece is named left or right.
    """
    found = []
    for kind, edges in rings(block).items():
        own = [
            f"{piece.name}.{edge.name}" for piece, edge in edges if piece.cut == "once"
        ]
        if kind in EDGE_NAMES and kind not in ROUND_BOTH_SIDES and len(own) > 1:
            found += own
    return tuple(found)


def other_openings(block: Block) -> tuple[str, ...]:
    """Return the free edges, ``piece.edge``, for which no elastic is worked out."""
    return tuple(
        f"{piece.name}.{edge.name}"
        for piece, edge in _free_edges(block)
        if not opening_of(edge.name)
    )


def _free_edges(block: Block) -> Iterator[tuple[Piece, Edge]]:
    """Yield the edges that are not sewn to another and not on the fold.

    A piece that counts for no girth and is sewn to none is a lining: its edges are caught
    in with those of the piece that it lines.
    """
    counted = {piece.name for piece in block.girth_pieces}
    sewn = block.sewn
    joined = {name.partition(".")[0] for name in sewn}
    for piece in block.pieces:
        if piece.name not in counted | joined:
            continue
        for edge in piece.edges:
            if f"{piece.name}.{edge.name}" not in sewn and not piece.is_fold(edge):
                yield piece, edge
