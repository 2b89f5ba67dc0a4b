"""The hand test as questions: what to do, what to read, each answer checked at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from ease.errors import RefusedError, UnitError
from ease.fabric.hand_reading import impossible
from ease.fabric.profile import DIRECTIONS
from ease.units import CM_PER, parse_length, parse_load, parse_quantity

__all__ = ["QUESTIONS", "SKIP", "Question", "checked_answer", "next_question", "undo"]

SKIP: Final = "-"
Kind = Literal["direction", "length", "load", "minutes"]


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the bench test.

    Attributes:
        column: Column that the answer fills.
        kind: What sort of answer it takes.
        do: What to do before answering.
        ask: What to read off.
        optional: Whether it can be left out.
        after: Column that must hold a figure for this question to be asked.
        carried: Whether the last repeat's answer is offered again.
    """

    column: str
    kind: Kind
    do: str
    ask: str
    optional: bool = False
    after: str = ""
    carried: bool = False


QUESTIONS: Final[tuple[Question, ...]] = (
    Question(
        "direction",
        "direction",
        "Cut a strip 5 cm (2 in) wide and 25 cm (10 in) long, away from the selvedge, its "
        "length in the direction to be tested: across runs from selvedge to selvedge, "
        "along runs with the selvedge. Let it lie flat, unpulled, for half an hour. Take "
        "a fresh strip for each repeat.",
        "Direction, across or along",
        carried=True,
    ),
    Question(
        "gauge",
        "length",
        "Mark two lines across the strip, 10 cm (4 in) apart, in its middle.",
        "Gauge, the distance of the marks on the relaxed strip",
        carried=True,
    ),
    Question(
        "width",
        "length",
        "Measure the strip's width halfway between the marks.",
        "Width before the pull",
        optional=True,
        carried=True,
    ),
    Question(
        "load",
        "load",
        "If you hang a weight on the strip, name it with its unit, such as 500 g.",
        "Load",
        optional=True,
        carried=True,
    ),
    Question(
        "strip_width",
        "length",
        "The width that carries the load, edge to edge.",
        "Cut width of the strip",
        after="load",
        carried=True,
    ),
    Question(
        "extended",
        "length",
        "Pull the strip along a ruler until it stops giving easily, or hang the weight; "
        "hold it still.",
        "Extended, the distance of the marks under the pull",
    ),
    Question(
        "width_extended",
        "length",
        "Still under the pull, measure the width halfway between the marks.",
        "Width under the pull",
        after="width",
    ),
    Question(
        "rest_minutes",
        "minutes",
        "Let go, lay the strip flat and let it rest; 30 minutes is usual.",
        "Rest, in minutes",
        carried=True,
    ),
    Question(
        "rested",
        "length",
        "After the rest, measure again without pulling.",
        "Rested, the distance of the marks after the rest",
        optional=True,
    ),
    Question(
        "wet_rested",
        "length",
        "For a garment that gets wet: soak the strip, pull it as far as before, let go, "
        "lay it flat and wet, let it rest as long, and measure the same marks.",
        "Wet rested, the distance of the marks after the wet rest",
        optional=True,
        after="rested",
    ),
)


def next_question(answers: Mapping[str, str]) -> Question | None:
    """Return the first question that is open; None where the repeat is complete.

    Args:
        answers: Answer by column; an empty text is one that was left out.
    """
    for question in QUESTIONS:
        if question.column in answers:
            continue
        if question.after and not answers.get(question.after):
            continue
        return question
    return None


def undo(answers: Mapping[str, str]) -> dict[str, str]:
    """Return the answers without the last one given."""
    given = [one.column for one in QUESTIONS if one.column in answers]
    return {column: answers[column] for column in given[:-1]}


def checked_answer(
    question: Question, text: str, answers: Mapping[str, str], unit: str
) -> str:
    """Return an answer as it is kept: a word, or a number in the file's unit.

    Args:
        question: What was asked.
        text: What was typed.
        answers: The answers of this repeat so far.
        unit: Unit of length of the file, ``cm`` or ``in``.

    Raises:
        UnitError: If it is no figure of that kind.
        RefusedError: If no strip can give it, or it is needed and was left out.
    """
    word = text.strip()
    if word in ("", SKIP):
        if question.optional:
            return ""
        message = "this one is needed"
        raise RefusedError(message)
    if question.kind == "direction":
        return _direction(word)
    value = _value(question.kind, word, unit)
    figures = {
        one.column: _kept_value(one, answers[one.column], unit)
        for one in QUESTIONS
        if one.kind != "direction" and answers.get(one.column)
    }
    for _, what in impossible({**figures, question.column: value}):
        raise RefusedError(what)
    scale = CM_PER[unit] if question.kind == "length" else 1.0
    return f"{value / scale:.10g}"


def _direction(word: str) -> str:
    fitting = [name for name in DIRECTIONS if name.startswith(word.lower())]
    if len(fitting) != 1:
        message = f"{word!r} is neither across nor along"
        raise RefusedError(message)
    return fitting[0]


def _value(kind: Kind, word: str, unit: str) -> float:
    if kind == "length":
        return parse_length(word, unit)
    if kind == "load":
        quantity = parse_quantity(word)
        if not quantity.unit:
            message = f"{word!r} needs its unit: 500 g, 1.5 kg or 5 N"
            raise UnitError(message)
        return parse_load(word)
    quantity = parse_quantity(word)
    if quantity.unit not in ("", "min"):
        message = f"{word!r} is not a number of minutes"
        raise UnitError(message)
    return quantity.value


def _kept_value(question: Question, text: str, unit: str) -> float:
    value = float(text)
    return value * CM_PER[unit] if question.kind == "length" else value
