"""Exercises worked from what is printed: each step by its printed figures."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import pi

import pytest

from ease.fit.exercises import Exercise
from ease.fit.quiz import KINDS, draw_exercises

Steps = list[tuple[float, str]]
Work = Callable[[list[float], list[str]], Steps]

# From the figures of the working and the printed answers: what each answer should be.
WORKED: dict[str, Work] = {
    "stretch": lambda w, a: [(100 * (w[0] - w[1]) / w[2], a[0])],
    "growth and recovery": lambda w, a: [
        (100 * (w[0] - w[1]) / w[2], a[0]),
        (100 * (w[3] - w[4]) / (w[5] - w[6]), a[1]),
        (100 - float(a[0]), a[2]),
    ],
    "strain to reduction": lambda w, a: [(100 * w[0] / (w[1] + w[2]), a[0])],
    "reduction to strain": lambda w, a: [(100 * w[0] / (w[1] - w[2]), a[0])],
    "the common mistake": lambda w, a: [
        (100 * w[0] / (w[1] - w[2]), a[0]),
        (w[3] / (w[4] + w[5]), a[1]),
        (w[3] * (1 - w[0]), a[2]),
    ],
    "cut girth and negative ease": lambda w, a: [
        (w[0] / w[1], a[0]),
        (w[0] - float(a[0]), a[1]),
        (float(a[1]) / 4, a[2]),
    ],
    "worn strain of a block": lambda w, a: [
        (100 * (w[0] / w[1] - 1), a[0]),
        (float(a[0]) / w[3], a[1]),
    ],
    "the two layers of a loop": lambda w, a: [
        (w[0] / (2 * w[2]), a[0]),
        (2 * float(a[0]), a[1]),
        (w[0] / w[2], a[1]),
    ],
    "pressure from tension": lambda w, a: [
        (2 * pi * w[1] / w[2] / 1000, a[0]),
        (float(a[0]) / 0.13332, a[1]),
    ],
    "contraction": lambda w, a: [
        (w[0] * (1 - w[2] * w[3]), a[0]),
        (100 * (w[0] / float(a[0]) - 1), a[1]),
    ],
    "which limit binds": lambda w, a: [
        (
            100 * min((1 + 0.5 * w[2]) / 1.15 - 1, (1 + w[6]) * w[7] / w[8] - 1),
            a[1],
        )
    ],
}


def figures(text: str) -> list[str]:
    """Figures of a text; of inches told two ways those in decimals."""
    text = re.sub(r"(?:\d+ )?(?:\d+/\d+|\d+) in \((\d+\.\d+)\)", r"\1", text)
    return re.findall(r"\d+(?:\.\d+)?", text)


def steps_of(one: Exercise, units: str) -> Steps:
    answers = figures(one.answer)
    if one.kind == "a fixed amount in two sizes":
        # Its working is in words; lengths of the question lie on the marks.
        scale = 2.54 if units == "in" else 1.0
        small, large, quarter = (
            one.given[key] / scale for key in ("small_cm", "large_cm", "quarter_cm")
        )
        return [
            (100 * (bust / (bust - 4 * quarter) - 1), shown)
            for bust, shown in zip((small, large), answers[:2], strict=True)
        ]
    working = [float(figure) for figure in figures(one.working)]
    return WORKED[one.kind](working, answers)


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("seed", range(12))
def test_every_step_comes_out_as_printed(units: str, seed: int) -> None:
    for one in draw_exercises(10 * len(KINDS), seed, units):
        for value, shown in steps_of(one, units):
            half = 0.5 * 10.0 ** -len(shown.partition(".")[2])
            assert abs(value - float(shown)) <= half + 1e-9, (one.answer, one.working)


@pytest.mark.parametrize("units", ["cm", "in"])
def test_no_kind_is_left_out(units: str) -> None:
    exercises = draw_exercises(len(KINDS), 1, units)
    assert all(steps_of(one, units) for one in exercises)
    assert {one.kind for one in exercises} == {*WORKED, "a fixed amount in two sizes"}
