"""What ``ease lesson --quiz`` shows and writes: exercises, then answers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from .tables import WIDTH, folded

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ease.fit.exercises import Exercise

    from .screen import Screen


def show_quiz(
    screen: Screen, count: int, seed: int, units: str, out: Path | None, *, force: bool
) -> None:
    """Draw exercises, show them with the answers, and write the worksheet."""
    from ease.endings import file_kind
    from ease.errors import UsageError
    from ease.fit.quiz import draw_exercises

    if out is not None and file_kind(out) != "pdf":
        message = f"{out}: a worksheet is written as .pdf"
        raise UsageError(message)
    exercises = draw_exercises(count, seed, units)
    numbered = list(enumerate(exercises, start=1))
    screen.show(
        f"Exercises on stretch and ease, seed {seed} (all numbers invented)",
        *(_item(number, [one.question]) for number, one in numbered),
        "Answers",
        "\n".join(
            _item(number, [f"{one.answer}.", f"({one.kind}: {one.working})"])
            for number, one in numbered
        ),
    )
    if any("kPa" in one.question for one in exercises):
        from ease.fit.pressure import CAUTIONS

        screen.notes([CAUTIONS["comfort"]])
    shown = [_json(one) for one in exercises]
    screen.document("quiz", {"seed": seed, "exercises": shown})
    if out is not None:
        from ease.files.worksheet import worksheet_pdf
        from ease.write import write_bytes

        write_bytes(out, worksheet_pdf(exercises, seed), force=force)
        screen.wrote([out])


def _json(one: Exercise) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "question": one.question,
        "answer": one.answer,
        "working": one.working,
        "given": dict(one.given),
        "results": dict(one.results),
    }


def _item(number: int, sentences: Iterable[str]) -> str:
    text = " ".join(sentences)
    return folded(f"{number:>2}  {text}", WIDTH, "    ")
