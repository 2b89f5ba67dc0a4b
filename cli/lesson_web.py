"""The page of HTML of ``ease lesson``: its steps, its pictures, and words for them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from rich.console import RenderableType

    from ease.block.lesson import Lesson
    from ease.show.report import ReportHeading

    from .report import Target

_STEP: Final = re.compile(r"\d  .*")


def report_lesson(
    target: Target, lesson: Lesson, units: str, notes: Sequence[str]
) -> list[Path]:
    """Write the page of a lesson, if one is wanted; return it."""
    from ease.fit.pressure import CAUTIONS
    from ease.show.lesson_page import SIZE_IN, draw_page

    from .lesson_report import lesson_parts
    from .report import picture

    if target.path is None:
        return []
    reduction = lesson.reduction
    sheet = picture(
        "The sheet to pin up",
        lambda figure: draw_page(figure, lesson, units=units),
        SIZE_IN,
        _words(lesson, units),
    )
    return target.write(
        "Why swimwear is cut below body size",
        [*_headed(lesson_parts(lesson, units)), sheet],
        notes=notes,
        cautions=[CAUTIONS[key] for key in ("comfort", "flotation")],
        choices=(reduction.aim, reduction.allowed),
    )


def _headed(
    parts: Sequence[RenderableType],
) -> list[RenderableType | ReportHeading]:
    """Make the first line of every step a heading."""
    from ease.show.report import ReportHeading

    return [
        ReportHeading(part) if isinstance(part, str) and _STEP.fullmatch(part) else part
        for part in parts
    ]


def _words(lesson: Lesson, units: str) -> str:
    """Return what the six pictures of the sheet show, with the numbers."""
    from ease.block.lesson_words import body_size_lies, factor_text, shortens
    from ease.fit.decide import membrane_of
    from ease.units import length_text, percent_text

    reduction = lesson.reduction
    loaded = membrane_of(reduction.fabric, reduction.round_body) is not None
    shrink = percent_text(1 - reduction.free_length)
    shorter = f"{shrink} % shorter" if shortens(lesson) else "no shorter"
    girth, run = lesson.reduction.girth, lesson.sizes
    strip = lesson.pulled[0].reading
    low, high = run.fixed_strain.min(), run.fixed_strain.max()
    window = ""
    if girth.low is not None and girth.high is not None:
        window = (
            f", and a window from {percent_text(girth.low.strain)} to "
            f"{percent_text(girth.high.strain)} %; body size, 0 %, lies "
            f"{body_size_lies(girth)}"
        )
    return (
        f"Six pictures. 1: a strip pulled by {percent_text(strip.stretch)} %. "
        f"2: {percent_text(lesson.taught.strain, 0)} % strain is "
        f"{percent_text(lesson.taught.strain / (1 + lesson.taught.strain), 0)} % off the "
        f"body. 3: {'tension against ' if loaded else ''}strain, with "
        f"{percent_text(girth.strain)} % worn{window}. 4: "
        f"{length_text(run.fixed_cm, units)} {units} off each quarter worn "
        f"over bust {length_text(run.bust[0], units)} to "
        f"{length_text(run.bust[-1], units)} {units} is {percent_text(high)} to "
        f"{percent_text(low)} % strain, one factor of {factor_text(lesson)} is "
        f"{percent_text(run.factor_strain)} % in every size. 5: stretched round, the "
        f"cloth is {shorter}. 6: the "
        "same tension presses less the larger the girth."
    )
