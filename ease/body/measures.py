"""A body as the rest of the project sees it: named measures and their origin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite
from types import MappingProxyType
from typing import Final, Literal

from ease.body.dictionary import KEYS, MEASURES, NEEDED
from ease.errors import BodyError, Problem, RefusedError
from ease.sentence import Length, Sentence, lengths
from ease.units import CM_PER, NORMAL_95

__all__ = ["TAPE_SD_CM", "Body", "BodyOrigin", "Filled"]

BodyOrigin = Literal["measured", "published", "invented"]

# Spread of one careful tape reading, cm. The tool's own choice, no source: survey
# observers are allowed to differ by 1 to 2 cm in girths and trunk lengths.
TAPE_SD_CM: Final[Mapping[str, float]] = MappingProxyType(
    {key: {"torso_loop": 1.0, "crotch_length": 1.0}.get(key, 0.5) for key in KEYS}
)

_LIMBS: Final = ("thigh",)
#: Girths round the trunk that a body can have, by their keys.
TRUNK_GIRTHS: Final = tuple(
    key
    for key, measure in MEASURES.items()
    if measure.kind == "girth" and key not in _LIMBS
)


@dataclass(frozen=True, slots=True)
class Filled:
    """How a missing measure was filled in.

    Attributes:
        sd: Standard deviation of real bodies about the filled-in value, cm.
        basis: From what, such as ``stature, hip``.
        source: Key of the source of the equation.
    """

    sd: float
    basis: str
    source: str

    @property
    def half(self) -> float:
        """How far 95 of 100 bodies lie from the filled-in value at most, cm."""
        return NORMAL_95 * self.sd


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """Measures of one body, in cm (weight in kg), all to one natural waist line.

    Attributes:
        name: Short name.
        values: Value of each known measure by its key; see ``ease.body.dictionary``.
        title: Name for people; the short name where there is none.
        origin: Measured, published or invented.
        source: Where the values come from, in words.
        filled: Measures that were filled in, and how.
        notes: Remarks that belong with the numbers.
        again: Keys of measures that were taken again and read the same.

    Raises:
        BodyError: If bust, waist or hip is missing, a key is unknown, or a value is not
            possible for a grown body; every fault is listed.
    """

    name: str
    values: Mapping[str, float]
    title: str = ""
    origin: BodyOrigin = "measured"
    source: str = ""
    filled: Mapping[str, Filled] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    again: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Check every value and freeze the tables, in the order of the keys."""
        problems = body_problems(self.values)
        if problems:
            raise BodyError(self.name, problems)
        stray = [key for key in self.filled if key not in self.values]
        if stray:
            message = f"{stray[0]} is marked as filled in but has no value"
            raise RefusedError(message)
        ordered = {key: float(self.values[key]) for key in KEYS if key in self.values}
        object.__setattr__(self, "values", MappingProxyType(ordered))
        object.__setattr__(self, "filled", MappingProxyType(dict(self.filled)))
        object.__setattr__(self, "title", self.title or self.name)

    def __getitem__(self, key: str) -> float:
        """Return a measure in cm.

        Raises:
            RefusedError: If the body has no such measure.
        """
        if key not in self.values:
            message = f"body {self.name} has no {key}; complete it first, or measure it"
            raise RefusedError(message)
        return self.values[key]

    def __contains__(self, key: object) -> bool:
        """Whether the measure is known."""
        return key in self.values

    @property
    def girths(self) -> Mapping[str, float]:
        """The girths round the trunk that are known, cm, by level name.

        A line across a block at the thigh goes round both legs, and is no such girth.
        """
        return MappingProxyType(
            {key: value for key, value in self.values.items() if key in TRUNK_GIRTHS}
        )

    def sd(self, key: str) -> float:
        """Return the standard deviation of a measure: of its fill-in or the tape, cm."""
        self[key]
        return self.filled[key].sd if key in self.filled else TAPE_SD_CM[key]


def body_problems(values: Mapping[str, float]) -> list[Problem]:
    """Return every fault that makes a set of measures unusable."""
    problems = [
        Problem(key, "is no measure of a body; see `ease body --how`")
        for key in values
        if key not in MEASURES
    ]
    for key in NEEDED:
        if key not in values:
            why = "is missing; bust, waist and hip are never filled in"
            problems.append(Problem(key, why))
    for key in KEYS:
        if key not in values:
            continue
        measure, value = MEASURES[key], values[key]
        low, high = measure.lowest, measure.highest
        if not (isfinite(value) and low <= value <= high):
            shown = (Length(value, None), *lengths(low, high, digits=None))
            said = "{} is outside a grown body; accepted are {} to {}{}"
            what = Sentence(said, *shown, _slip(value, low, high))
            if measure.kind == "weight":
                accepted = f"accepted are {low:g} to {high:g} kg"
                what = Sentence(f"{value:g} kg is outside a grown body; {accepted}")
            problems.append(Problem(key, what))
    return problems


def _slip(value: float, lowest: float, highest: float) -> str:
    if lowest <= value * CM_PER["in"] <= highest:
        return f" (given in inches? write the unit: {value:g} in)"
    if lowest <= value * CM_PER["mm"] <= highest:
        return " (given in mm? write the unit)"
    return ""
