"""Openings of a block, cut and worn, and the elastic that goes into them.

An opening is a free edge by its name: ``neckline``, ``armhole``, ``leg`` or ``waist``. An
edge that is sewn to another or lies on the fold is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from ease.block.holds import is_fold
from ease.block.lengths import arc_length
from ease.block.pieces import Block, Edge, Piece
from ease.errors import RefusedError

__all__ = [
    "ELASTIC_RATIOS",
    "OVERLAP_CM",
    "ElasticRatio",
    "Opening",
    "OpeningSection",
    "block_openings",
    "other_openings",
]


@dataclass(frozen=True, slots=True)
class ElasticRatio:
    """How long elastic is cut for a section, as a share of the cut edge.

    Attributes:
        ratio: Elastic over cut edge.
        source: Where it comes from, in words.
    """

    ratio: float
    source: str


_NO_SOURCE: Final = "practice, no source"
# Leg: front 1 to 1, back three quarters. Source key: leg-elastic.
ELASTIC_RATIOS: Final[Mapping[str, ElasticRatio]] = MappingProxyType(
    {
        "neck front": ElasticRatio(0.95, _NO_SOURCE),
        "neck back": ElasticRatio(0.95, _NO_SOURCE),
        "armhole front": ElasticRatio(0.95, _NO_SOURCE),
        "armhole back": ElasticRatio(0.95, _NO_SOURCE),
        "leg front": ElasticRatio(1.0, "sewing lesson"),
        "leg back": ElasticRatio(0.75, "sewing lesson"),
        "waist front": ElasticRatio(0.95, _NO_SOURCE),
        "waist back": ElasticRatio(0.95, _NO_SOURCE),
    }
)
OVERLAP_CM: Final = 1.27  # half an inch where a ring is closed. Source key: leg-elastic
_EDGES: Final = {
    "neck": "neckline",
    "armhole": "armhole",
    "leg": "leg",
    "waist": "waist",
}
_ROUND_BOTH_SIDES: Final = (
    "neck",
    "waist",
)  # one ring; of the others each side has its own


@dataclass(frozen=True, slots=True)
class OpeningSection:
    """One part of an opening, between two seams, with its elastic.

    Attributes:
        name: Such as ``leg back``.
        cut_cm: Length of the edge on the block.
        worn_cm: Length of the same edge worn: at body size, or as far as the thigh
            stretches it.
        ratio: Elastic over cut edge, after the elastic's own limit.
        usual_ratio: The ratio before it.
        source: Where that ratio comes from.
    """

    name: str
    cut_cm: float
    worn_cm: float
    ratio: float
    usual_ratio: float
    source: str

    @property
    def elastic_cm(self) -> float:
        """Length of elastic to cut, without overlap."""
        return self.ratio * self.cut_cm

    @property
    def worn_stretch(self) -> float:
        """How far the elastic is stretched on the body, a fraction."""
        return self.worn_cm / self.elastic_cm - 1

    @property
    def limited(self) -> bool:
        """Whether the elastic's own stretch asked for a longer piece than usual."""
        return self.ratio > self.usual_ratio + 1e-12


@dataclass(frozen=True, slots=True)
class Opening:
    """One opening: neck, armhole, leg or waist; of armhole and leg there is a pair.

    Attributes:
        name: ``neck``, ``armhole``, ``leg`` or ``waist``.
        sections: Its parts in the order of the pieces.
    """

    name: str
    sections: tuple[OpeningSection, ...]

    @property
    def cut_cm(self) -> float:
        """Length all round on the block."""
        return sum(section.cut_cm for section in self.sections)

    @property
    def worn_cm(self) -> float:
        """Length all round, worn."""
        return sum(section.worn_cm for section in self.sections)

    @property
    def elastic_cm(self) -> float:
        """Elastic for the whole ring, with the overlap where it is closed."""
        return sum(section.elastic_cm for section in self.sections) + OVERLAP_CM

    def elastic_stretch_to_pass(self, girth_cm: float) -> float:
        """Return how far the sewn elastic must stretch to pass a girth, a fraction."""
        return max(0.0, girth_cm / (self.elastic_cm - OVERLAP_CM) - 1)

    def stretch_to_pass(self, girth_cm: float) -> float:
        """Return how far the cut edge must stretch to lie round a girth, a fraction.

        0 where it passes without stretching.
        """
        return max(0.0, girth_cm / self.cut_cm - 1)


def block_openings(
    block: Block,
    factors: tuple[float, float] | None = None,
    elastic_stretch: float = 0.8,
    ratios: Mapping[str, ElasticRatio] = ELASTIC_RATIOS,
    thigh_cm: float | None = None,
) -> tuple[Opening, ...]:
    """Measure the openings of a block and cut their elastic.

    The ratio applies to the cut edge, not to the body. Worn, elastic and edge stretch
    one after the other: ``(1 + sewn) (1 + edge) - 1``. Where that would pass what the
    elastic can do, the elastic is cut longer.

    Args:
        block: An opening without a free edge of its name is left out.
        factors: Girth and length factor of the block, cut over body; None takes those
            that the block was drafted for, or 1.
        elastic_stretch: Stretch that the elastic can bear worn, a fraction.
        ratios: Elastic over cut edge for each section.
        thigh_cm: Girth of the thigh, which the leg edge cannot be worn smaller than; None
            if not known.

    Raises:
        RefusedError: If a factor or the stretch is not above 0.
    """
    drafted = block.drafted_for
    girth, length = factors or (
        drafted.girth_factor or 1.0,
        drafted.length_factor or 1.0,
    )
    if min(girth, length, elastic_stretch) <= 0:
        message = "factors and the stretch of the elastic must be above 0"
        raise RefusedError(message)
    openings = []
    for name in _EDGES:
        edges = [
            _Edge(f"{name} {piece.name}", *_lengths(edge, times, (girth, length)))
            for piece, edge in _free_edges(block)
            if edge.name == _EDGES[name]
            for times in (piece.times_round if name in _ROUND_BOTH_SIDES else 1,)
        ]
        worn = sum(edge.worn_cm for edge in edges)
        wider = 1.0
        if name == "leg" and thigh_cm is not None and worn:
            wider = max(1.0, thigh_cm / worn)
        if edges:
            sections = (
                _section(edge, wider, ratios, elastic_stretch) for edge in edges
            )
            openings.append(Opening(name, tuple(sections)))
    return tuple(openings)


def other_openings(block: Block) -> tuple[str, ...]:
    """Return the free edges, ``piece.edge``, for which no elastic is worked out."""
    return tuple(
        f"{piece.name}.{edge.name}"
        for piece, edge in _free_edges(block)
        if edge.name not in _EDGES.values()
    )


class _Edge(NamedTuple):
    name: str
    cut_cm: float
    worn_cm: float


def _free_edges(block: Block) -> Iterator[tuple[Piece, Edge]]:
    """Yield the edges that are not sewn to another and not on the fold."""
    sewn = {name for seam in block.seams for name in (seam.first, seam.second)}
    for piece in block.pieces:
        for edge in piece.edges:
            if f"{piece.name}.{edge.name}" not in sewn and not is_fold(piece, edge):
                yield piece, edge


def _lengths(
    edge: Edge, times: int, factors: tuple[float, float]
) -> tuple[float, float]:
    """Return the length of an edge as cut and at body size, cm."""
    cut = times * float(arc_length(edge.control).sum())
    return cut, times * float(arc_length(edge.control / np.array(factors)).sum())


def _section(
    edge: _Edge,
    wider: float,
    ratios: Mapping[str, ElasticRatio],
    elastic_stretch: float,
) -> OpeningSection:
    usual = ratios.get(edge.name, ElasticRatio(1.0, "no ratio: edge to edge"))
    worn = wider * edge.worn_cm
    least = worn / (1 + elastic_stretch) / edge.cut_cm
    return OpeningSection(
        edge.name, edge.cut_cm, worn, max(usual.ratio, least), usual.ratio, usual.source
    )
