"""Openings of a block, cut and worn, and the elastic that goes into them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from ease.block.lengths import arc_length
from ease.block.pieces import Block, Edge
from ease.errors import RefusedError

__all__ = [
    "ELASTIC_RATIOS",
    "OVERLAP_CM",
    "ElasticRatio",
    "Opening",
    "OpeningSection",
    "block_openings",
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
    }
)
OVERLAP_CM: Final = 1.27  # half an inch where a ring is closed. Source key: leg-elastic
_EDGES: Final = {"neck": "neckline", "armhole": "armhole", "leg": "leg"}


@dataclass(frozen=True, slots=True)
class OpeningSection:
    """One part of an opening, between two seams, with its elastic.

    Attributes:
        name: Such as ``leg back``.
        cut_cm: Length of the edge on the block.
        worn_cm: Length of the same edge at body size.
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
    """One opening: neck, armhole or leg; of the last two each body has a pair.

    Attributes:
        name: ``neck``, ``armhole`` or ``leg``.
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
        """Length all round at body size."""
        return sum(section.worn_cm for section in self.sections)

    @property
    def elastic_cm(self) -> float:
        """Elastic for the whole ring, with the overlap where it is closed."""
        return sum(section.elastic_cm for section in self.sections) + OVERLAP_CM

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
) -> tuple[Opening, ...]:
    """Measure the openings of a block and cut their elastic.

    The ratio applies to the cut edge, not to the body. Worn, elastic and edge stretch
    one after the other: ``(1 + sewn) (1 + edge) - 1``. Where that would pass what the
    elastic can do, the elastic is cut longer.

    Args:
        block: With edges named ``neckline``, ``armhole`` and ``leg``; an opening
            without such an edge is left out.
        factors: Girth and length factor of the block, cut over body; None takes those
            that the block was drafted for, or 1.
        elastic_stretch: Stretch that the elastic can bear worn, a fraction.
        ratios: Elastic over cut edge for each section.

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
        sections = tuple(
            _section(label, edge, times, (girth, length), ratios, elastic_stretch)
            for label, edge, times in _parts(block, name)
        )
        if sections:
            openings.append(Opening(name, sections))
    return tuple(openings)


def _parts(block: Block, opening: str) -> Iterator[tuple[str, Edge, int]]:
    """Yield each edge of an opening with its name and how often it counts."""
    for piece in block.pieces:
        for edge in piece.edges:
            if edge.name == _EDGES[opening]:
                # A neckline goes on over the fold; the others lie on one side only.
                yield f"{opening} {piece.name}", edge, 2 if opening == "neck" else 1


def _section(
    label: str,
    edge: Edge,
    times: int,
    factors: tuple[float, float],
    ratios: Mapping[str, ElasticRatio],
    elastic_stretch: float,
) -> OpeningSection:
    usual = ratios.get(label, ElasticRatio(1.0, "no ratio: edge to edge"))
    cut = times * float(arc_length(edge.control).sum())
    worn = times * float(arc_length(edge.control / np.array(factors)).sum())
    least = worn / (1 + elastic_stretch) / cut
    return OpeningSection(
        label, cut, worn, max(usual.ratio, least), usual.ratio, usual.source
    )
