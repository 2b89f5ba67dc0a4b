"""What to know of a block's seams: pieces in none, open middles, pieces face down."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import level_crossings
from ease.block.curves import signed_area
from ease.block.cut_levels import ends_of_line, meets_mirror
from ease.block.lengths import arc_length
from ease.block.measure import outline
from ease.block.pieces import Block, Edge, Piece

__all__ = ["goes_down", "sewing_notes"]

FloatArray = NDArray[np.float64]
Bools = NDArray[np.bool_]
FRONT_AND_BACK: Final = 2
_STEEP: Final = (
    0.5  # drop over length from which an edge goes down the body; own choice
)
_EVEN_CM: Final = 0.3  # a piece whose middle strays less is symmetrical; own choice
_HEIGHTS: Final = 41


def sewing_notes(block: Block) -> tuple[str, ...]:
    """Say what the seams of a block leave open or do not fit.

    A piece that is sewn to nothing is taken not to go round, and a pair to be sewn to its
    mirror where a closed level ends there. Pieces that are cut once may be drawn as
    mirror images of what can be sewn. Without any seam nothing tells.

    Args:
        block: The block.
    """
    return (*_loose(block), *_unsewn_mirrors(block), *_face_down(block))


def _loose(block: Block) -> Iterator[str]:
    counted = [piece.name for piece in block.girth_pieces]
    heights = np.array([level.y for level in block.levels])
    if not block.seams:
        yield from _side_by_side(block, heights)
    for piece in block.pieces:
        if piece.in_girth and piece.name not in counted and _met(piece, heights).any():
            yield (
                f"{piece.name} is in no seam, so that its width counts in no girth: where "
                "it goes round the body, name the seam that it is sewn by"
            )


def _side_by_side(block: Block, heights: FloatArray) -> Iterator[str]:
    """Name the pieces of the first level that counts more than front and back."""
    met = {piece.name: _met(piece, heights) for piece in block.girth_pieces}
    for at, level in enumerate(block.levels):
        names = [name for name, meets in met.items() if meets[at]]
        if len(names) > FRONT_AND_BACK:
            yield (
                f"no seam is named, so that level {level.name} counts "
                f"{', '.join(names[:-1])} and {names[-1]} side by side: name the seams, "
                "and what is in none is left out, or keep it out of girths"
            )
            return


def _met(piece: Piece, heights: FloatArray) -> Bools:
    return np.asarray(np.any(list(ends_of_line(piece, heights).values()), axis=0))


def _unsewn_mirrors(block: Block) -> tuple[str, ...]:
    sewn = block.sewn
    closed = np.array([lv.y for lv in block.levels if lv.loop == "closed"])
    if not sewn or not len(closed):
        return ()
    found = [
        f"{piece.name}.{edge.name}"
        for piece in block.girth_pieces
        for edge in piece.edges
        if meets_mirror(piece, edge)
        and f"{piece.name}.{edge.name}" not in sewn
        and ends_of_line(piece, closed)[edge.name].any()
    ]
    return tuple(
        f"{name} is in no seam: the two halves are taken as sewn to each other there, but "
        f"it is printed as an open edge; a seam `{name}, {name}` says that they are"
        for name in found
    )


def _face_down(block: Block) -> Iterator[str]:
    """Name pieces that cannot be sewn right sides together as they are drawn.

    Right side up, walked round one way, edges that are sewn together run opposite ways.
    A symmetrical piece can be turned over.
    """
    told: dict[tuple[str, str], list[tuple[bool, str]]] = {}
    for seam in block.seams:
        names = [name.partition(".")[0] for name in (seam.first, seam.second)]
        one, other = (block.piece(name) for name in names)
        if one is other or _turns(one) or _turns(other):
            continue
        first = _runs_down(one, block.edge(seam.first))
        second = _runs_down(other, block.edge(seam.second))
        if first is not None and second is not None:
            said = first == second, f"{seam.first} with {seam.second}"
            told.setdefault((one.name, other.name), []).append(said)
    for (name, mate), seams in told.items():
        if all(same for same, _ in seams):
            yield (
                f"{name} and {mate}, each cut once, are drawn as if seen through each "
                f"other (seam {seams[0][1]}): cut one of the two face down, or turn its "
                "drawing over"
            )


def _runs_down(piece: Piece, edge: Edge) -> bool | None:
    """Whether an edge runs down as its outline is walked clockwise; None if it is flat."""
    if not goes_down(edge):
        return None
    return bool(edge.last[1] > edge.first[1]) == (signed_area(outline(piece)) > 0)


def goes_down(edge: Edge) -> bool:
    """Return whether an edge goes down the body, so that its upper end is plain.

    Args:
        edge: The edge.
    """
    drop = abs(float(edge.last[1] - edge.first[1]))
    return drop > _STEEP * float(arc_length(edge.control).sum())


def _turns(piece: Piece) -> bool:
    """Whether a piece looks the same from its other side, or is cut in both ways."""
    if piece.cut != "once":
        return True
    chain = outline(piece)
    low, high = chain[..., 1].min(), chain[..., 1].max()
    x, _ = level_crossings(chain, np.linspace(low, high, _HEIGHTS + 2)[1:-1])
    x = x[np.isfinite(x).any(axis=1)]
    middles = (np.nanmin(x, axis=1) + np.nanmax(x, axis=1)) / 2
    return bool(np.ptp(middles) < _EVEN_CM) if len(middles) else True
