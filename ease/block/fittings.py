"""What belongs to a block besides its pieces: levels, seams, holds, its origin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Literal

from ease.body.dictionary import KEYS
from ease.errors import RefusedError

__all__ = [
    "FACTOR_RANGE",
    "LOOP_SHARE",
    "STRAIN_RANGE",
    "DraftedFor",
    "FoundMeasure",
    "Hold",
    "Level",
    "Loop",
    "PointRef",
    "Seam",
    "Toiled",
]

MOST_CM: Final = 500.0
FOUND_RANGE: Final = (0.5, 2.0)  # a measure found, of the taped one
FACTOR_RANGE: Final = (0.2, 3.0)  # cut over body
STRAIN_RANGE: Final = (-0.7, 4.0)  # of the same: 1 / 3 - 1 to 1 / 0.2 - 1, rounded

Loop = Literal["closed", "partly", "open"]

# Share of the reduction that a girth can carry. A closed loop carries all of it; on a
# line cut open by a low back a published block with 12 % round keeps 4 to 6 % (middle
# 5/12); a line cut by both leg openings keeps none. Source key: low-back-block.
LOOP_SHARE: Final[Mapping[Loop, float]] = MappingProxyType(
    {"closed": 1.0, "partly": 5 / 12, "open": 0.0}
)


@dataclass(frozen=True, slots=True)
class Level:
    """A named height of the block at which a girth is read.

    Attributes:
        name: Such as ``bust``; where a body has a girth of that name, they are compared.
        y: Height in block coordinates, cm downwards.
        loop: Whether the cut girth is a closed loop of cloth, partly open or open.
    """

    name: str
    y: float
    loop: Loop = "closed"


@dataclass(frozen=True, slots=True)
class PointRef:
    """A named point of a named piece, written ``piece.point``."""

    piece: str
    point: str

    def __str__(self) -> str:
        """Return ``piece.point``."""
        return f"{self.piece}.{self.point}"


@dataclass(frozen=True, slots=True)
class Seam:
    """Two edges that are sewn together, each written ``piece.edge``."""

    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Hold:
    """A distance that keeps its size when the block is adjusted.

    Attributes:
        name: Such as ``strap width``.
        first: One end.
        second: The other end.
    """

    name: str
    first: PointRef
    second: PointRef


@dataclass(frozen=True, slots=True)
class FoundMeasure:
    """A measure of the wearer that a toile has found to be another than was taped.

    Or to lie as it was taped, while the cloth may be off: then body and cloth may make up
    for each other, which is known of both together only.

    Attributes:
        key: Key of the measure.
        taped: As taped, cm.
        found: As found, cm.
        sure: Whether the marks could tell it from the cloth.
        lay: By how many times the taped girth body and cloth together showed at a level
            that did not move, and the standard deviation of its log; None of one that did.
    """

    key: str
    taped: float
    found: float
    sure: bool = True
    lay: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Refuse what is no measure of a body, and what no toile can find of one."""
        if self.key not in KEYS:
            message = f"{self.key!r} is no measure; they are {', '.join(KEYS)}"
            raise RefusedError(message)
        for value in (self.taped, self.found):
            if not 0 < value < MOST_CM:
                message = f"{self.key}: {value:g} cm is no measure of a body"
                raise RefusedError(message)
        low, high = FOUND_RANGE
        if not low <= self.found / self.taped <= high:
            message = (
                f"{self.key}: found {self.found:g} cm where {self.taped:g} cm was taped; "
                f"accepted is {low:g} to {high:g} times as much"
            )
            raise RefusedError(message)
        if self.lay is not None and not (
            low <= self.lay[0] <= high and self.lay[1] > 0
        ):
            message = (
                f"{self.key}: no level lay {self.lay[0]:g} +- {self.lay[1]:g} times"
            )
            raise RefusedError(message)


@dataclass(frozen=True, slots=True)
class Toiled:
    """What worn toiles have shown of a block, so that the next one starts from there.

    Attributes:
        girth: By what the cloth clearly lay longer round the body than its swatch said;
            the girth factor is multiplied by it.
        length: The same down the body.
        wearer: Name of the body that the toiles were worn by.
        measures: Its measures that were found to be others than taped; the factors of
            the block are cut over body as found.
        meant: Strain that was meant at each level before the first toile.
        meant_length: Worn strain down that was meant; None where it was not known.
    """

    girth: float = 1.0
    length: float = 1.0
    wearer: str = ""
    measures: tuple[FoundMeasure, ...] = ()
    meant: tuple[tuple[str, float], ...] = ()
    meant_length: float | None = None

    def __post_init__(self) -> None:
        """Refuse factors and strains that no garment has, and a measure twice."""
        keys = [one.key for one in self.measures]
        if twice := [key for key in keys if keys.count(key) > 1]:
            message = f"measure {twice[0]!r} is named twice"
            raise RefusedError(message)
        for factor in (self.girth, self.length):
            _check_factor(factor)
        strains = [strain for _, strain in self.meant]
        strains += [] if self.meant_length is None else [self.meant_length]
        low, high = STRAIN_RANGE
        for strain in strains:
            if not low <= strain <= high:
                message = (
                    f"a strain of {strain:g} is none; it lies within {low} to {high}"
                )
                raise RefusedError(message)


@dataclass(frozen=True, slots=True)
class DraftedFor:
    """What the block was drafted for.

    Attributes:
        girth_factor: Cut over body round the body; 1 at body size. None if not known.
        length_factor: Cut over body down the body. None if not known.
        fabric: Name of the fabric, or empty.
        body: Name of the body or size, or empty.
        level_factors: Girth factor of each level, where levels have their own.
        round_body: Cloth direction that goes round the body, ``along`` or ``across``;
            empty if not known.
        toiled: What toiles have moved in it since.
    """

    girth_factor: float | None = None
    length_factor: float | None = None
    fabric: str = ""
    body: str = ""
    level_factors: tuple[tuple[str, float], ...] = ()
    round_body: str = ""
    toiled: Toiled = field(default_factory=Toiled)

    def __post_init__(self) -> None:
        """Refuse factors that no garment has, and levels named twice."""
        levels = [name for name, _ in self.level_factors]
        if len(set(levels)) < len(levels):
            message = "a level has two factors of its own"
            raise RefusedError(message)
        factors = [self.girth_factor, self.length_factor]
        for factor in (*factors, *(factor for _, factor in self.level_factors)):
            if factor is not None:
                _check_factor(factor)


def _check_factor(factor: float) -> None:
    low, high = FACTOR_RANGE
    if not low <= factor <= high:
        message = f"a factor of {factor:g} is none; it lies within {low} to {high}"
        raise RefusedError(message)
