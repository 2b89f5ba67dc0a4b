"""Openings of a block, cut and worn, and the elastic that goes into them.

Which edges go round one is told by ``ease.block.rings``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.block.lengths import arc_length
from ease.block.on_body import cut_over_body
from ease.block.opening_names import side_of
from ease.block.pieces import Block, Edge, Piece
from ease.block.rings import ROUND_BOTH_SIDES, rings
from ease.body.measures import Body
from ease.errors import RefusedError

__all__ = [
    "ELASTIC_RATIOS",
    "OVERLAP_CM",
    "ElasticRatio",
    "Opening",
    "OpeningSection",
    "block_openings",
]

FloatArray = NDArray[np.float64]


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
_EDGE_TO_EDGE: Final = ElasticRatio(1.0, "no ratio: edge to edge")
# Leg: front 1 to 1, back three quarters. Source key: leg-elastic.
ELASTIC_RATIOS: Final[Mapping[str, ElasticRatio]] = MappingProxyType(
    {
        "neck": ElasticRatio(0.95, _NO_SOURCE),
        "armhole": ElasticRatio(0.95, _NO_SOURCE),
        "waist": ElasticRatio(0.95, _NO_SOURCE),
        "leg front": ElasticRatio(1.0, "sewing lesson"),
        "leg back": ElasticRatio(0.75, "sewing lesson"),
    }
)
OVERLAP_CM: Final = 1.27  # half an inch where a ring is closed. Source key: leg-elastic


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
        name: ``neck``, ``armhole``, ``leg`` or ``waist``; on whole pieces with its side.
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
    block: Block, body: Body | None = None, *, elastic_stretch: float = 0.8
) -> tuple[Opening, ...]:
    """Measure the openings of a block and cut their elastic.

    The ratio applies to the cut edge, not to the body. Worn, elastic and edge stretch
    one after the other: ``(1 + sewn) (1 + edge) - 1``. Where that would pass what the
    elastic can do, the elastic is cut longer.

    Args:
        block: An opening without a free edge of its name is left out.
        body: Whose girths the edges are worn at, height by height; the leg edge is worn
            no smaller than the thigh. Without a body, or away from its girths, edges are
            worn as far as the block's own factors say.
        elastic_stretch: Stretch that the elastic can bear worn, a fraction.

    Raises:
        RefusedError: If the stretch is not above 0.
    """
    if elastic_stretch <= 0:
        message = "the stretch of the elastic must be above 0"
        raise RefusedError(message)
    thigh = None if body is None else body.values.get("thigh")
    cut = cut_over_body(block, body)
    openings = []
    for name, found in rings(block).items():
        kind = name.split()[0]
        edges = [
            _edge(_section_name(name, piece), block, edge, times, cut)
            for piece, edge in found
            for times in (piece.times_round if kind in ROUND_BOTH_SIDES else 1,)
        ]
        worn = sum(edge.worn_cm for edge in edges)
        wider = 1.0
        if kind == "leg" and thigh is not None and worn:
            wider = max(1.0, thigh / worn)
        if edges:
            sections = (_section(kind, edge, wider, elastic_stretch) for edge in edges)
            openings.append(Opening(name, tuple(sections)))
    return tuple(openings)


def _section_name(ring: str, piece: Piece) -> str:
    kind, _, side = ring.partition(" ")
    return f"{kind if side and side == side_of(piece.name) else ring} {piece.name}"


class _Edge(NamedTuple):
    name: str
    cut_cm: float
    worn_cm: float


def _edge(
    name: str,
    block: Block,
    edge: Edge,
    times: int,
    cut: tuple[FloatArray, FloatArray],
) -> _Edge:
    """Return an edge with its length as cut and as worn, cm."""
    across = np.interp(edge.control[..., 1], *cut)
    down = np.full_like(across, block.drafted_for.length_factor or 1.0)
    worn = edge.control / np.stack([across, down], axis=-1)
    lengths = (times * float(arc_length(one).sum()) for one in (edge.control, worn))
    return _Edge(name, *lengths)


def _section(
    kind: str, edge: _Edge, wider: float, elastic_stretch: float
) -> OpeningSection:
    words = edge.name.lower().split()
    half = next((word for word in ("front", "back") if word in words), "")
    usual = ELASTIC_RATIOS.get(
        f"{kind} {half}", ELASTIC_RATIOS.get(kind, _EDGE_TO_EDGE)
    )
    worn = wider * edge.worn_cm
    least = worn / (1 + elastic_stretch) / edge.cut_cm
    return OpeningSection(
        edge.name, edge.cut_cm, worn, max(usual.ratio, least), usual.ratio, usual.source
    )
