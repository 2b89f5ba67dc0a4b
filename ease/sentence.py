"""Sentences that hold lengths: put together in the work, said in the user's unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Self

from ease.units import CM_PER, length_text

__all__ = ["Length", "Sentence", "in_units", "joined", "lengths"]

_SIXTEENTH: Final = 16
_CLOSE: Final = 0.01  # of a sixteenth: read off a ruler, then turned to cm and back


@dataclass(frozen=True, slots=True)
class Length:
    """A length in a sentence.

    Attributes:
        cm: The length, cm.
        digits: Decimals of cm; None says it as it was read.
        unit: Whether its unit is said; of two that belong together, with the second.

    Examples:
        >>> Length(17.94).text("cm"), Length(17.94).text("in")
        ('17.9 cm', '7 1/8 in')
        >>> Length(0.021, 2).text("in"), Length(10.31875, None, unit=False).text("in")
        ('0.01 in', '4 1/16')
    """

    cm: float
    digits: int | None = 1
    unit: bool = True

    def text(self, units: str) -> str:
        """Return the length with its unit; small parts of an inch as decimals."""
        number = self._number(units)
        return f"{number} {units}" if self.unit else number

    def _number(self, units: str) -> str:
        if self.digits == 1 or (units != "in" and self.digits is not None):
            return length_text(self.cm, units, self.digits)
        value = self.cm / CM_PER[units]
        if self.digits is not None:
            return f"{value:.{self.digits}f}"
        parts = value * _SIXTEENTH
        if units == "in" and abs(parts - round(parts)) < _CLOSE * min(1.0, abs(parts)):
            return length_text(self.cm, units, parts=_SIXTEENTH)
        return f"{value:.{6 if units == 'cm' else 4}g}"


def lengths(*values_cm: float, digits: int | None = 1) -> tuple[Length, ...]:
    """Return lengths that belong together; the last one names the unit for all.

    Examples:
        >>> Sentence("from {} to {}", *lengths(20.0, 30.0, digits=0))
        'from 20 to 30 cm'
    """
    last = len(values_cm) - 1
    return tuple(
        Length(float(cm), digits, place == last) for place, cm in enumerate(values_cm)
    )


class Sentence(str):
    """A sentence with lengths in it: as it is in cm, and in the unit that is asked for.

    Examples:
        >>> said = Sentence("the {} measures {}", "hip", Length(96.0))
        >>> said
        'the hip measures 96.0 cm'
        >>> said.in_units("in")
        'the hip measures 37 3/4 in'
    """

    __slots__ = ("parts", "pattern")

    parts: tuple[object, ...]
    pattern: str

    def __new__(cls, pattern: str, *parts: object) -> Self:
        """Fill the gaps of a pattern, each ``{}``; without parts it is a plain text."""
        made = super().__new__(cls, _filled(pattern, parts, "cm"))
        made.pattern, made.parts = pattern, parts
        return made

    def in_units(self, units: str) -> str:
        """Return the sentence with its lengths in ``cm`` or ``in``."""
        return _filled(self.pattern, self.parts, units)


def _filled(pattern: str, parts: tuple[object, ...], units: str) -> str:
    if not parts:
        return pattern
    said = (
        part.text(units)
        if isinstance(part, Length)
        else in_units(part, units)
        if isinstance(part, str)
        else part
        for part in parts
    )
    return pattern.format(*said)


def joined(between: str, texts: Sequence[str]) -> Sentence:
    """Return texts one after another, so that each still says its lengths in any unit.

    Examples:
        >>> joined("; ", ["a", Sentence("it is {}", Length(2.54))]).in_units("in")
        'a; it is 1 in'
    """
    return Sentence(between.join("{}" for _ in texts), *texts)


def in_units(text: str, units: str) -> str:
    """Return a text with its lengths in ``cm`` or ``in``; a plain one as it is."""
    return text.in_units(units) if isinstance(text, Sentence) else text
