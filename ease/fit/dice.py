"""Plausible numbers drawn for exercises, round in the units they are shown in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ease.fit.working import figure_text
from ease.units import CM_PER, length_text

__all__ = ["Dice"]

EIGHTH_CM: Final = CM_PER["in"] / 8


@dataclass(frozen=True, slots=True)
class Dice:
    """A seeded source of numbers.

    Attributes:
        random: The generator.
        units: Units of lengths: cm to the half, or inches to the eighth.
    """

    random: np.random.Generator
    units: str = "cm"

    def whole(self, low: int, high: int, step: int = 1) -> int:
        """Return a whole number from low to high in steps."""
        return low + step * int(self.random.integers((high - low) // step + 1))

    def percent(self, low: int, high: int, step: int = 1) -> float:
        """Return a fraction that is a whole per cent."""
        return self.whole(low, high, step) / 100

    def length(self, low_cm: float, high_cm: float, *, fine: bool = False) -> float:
        """Return a length in cm on the marks of a ruler, within low and high.

        Args:
            low_cm: Least length.
            high_cm: Most length.
            fine: Whether it is read to the millimetre; inches to the eighth always.
        """
        step = EIGHTH_CM if self.units == "in" else 0.1 if fine else 0.5
        low = int(np.ceil(low_cm / step - 1e-9))
        high = max(low, int(np.floor(high_cm / step + 1e-9)))
        return round(self.whole(low, high) * step, 6)

    def gauge(self) -> float:
        """Return a gauge: 10 or 20 cm, or 5 or 10 inches."""
        unit = 5 * CM_PER["in"] if self.units == "in" else 10.0
        return unit * self.whole(1, 2)

    def text(self, value_cm: float) -> str:
        """Return a length for the question, with its unit."""
        return f"{length_text(value_cm, self.units).removesuffix('.0')} {self.units}"

    @property
    def decimals(self) -> int:
        """Decimals of a length in an answer, where a sum needs no more."""
        return 2 if self.units == "in" else 1

    def scaled(self, value_cm: float) -> float:
        """Return a length in the units that are shown."""
        return value_cm / CM_PER[self.units]

    def answer(self, value_cm: float, digits: int | None = None) -> str:
        """Return a length for the answer: to the millimetre, or in inches two ways.

        Args:
            value_cm: The length.
            digits: Decimals, where those that are usual do not carry the next sum.
        """
        least = self.decimals
        decimal = figure_text(self.scaled(value_cm), digits or least, least)
        if self.units == "in":
            return f"{length_text(value_cm, 'in')} in ({decimal})"
        return f"{decimal} cm"

    def number(self, value_cm: float) -> str:
        """Return the bare number for the working."""
        return f"{value_cm / CM_PER[self.units]:.6g}"
