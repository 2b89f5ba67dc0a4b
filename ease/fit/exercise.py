"""One exercise of a worksheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["Exercise"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """One exercise with its answer.

    Attributes:
        kind: Name of the kind.
        question: What is asked, with the numbers.
        answer: The answer in words and numbers.
        working: How it is found.
        given: The numbers of the question; lengths cm, ratios fractions.
        results: The numbers of the answer, unrounded.
    """

    kind: str
    question: str
    answer: str
    working: str
    given: Mapping[str, float]
    results: Mapping[str, float]
