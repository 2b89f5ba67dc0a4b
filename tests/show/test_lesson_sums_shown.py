"""Sums on the sheet of the lesson come out as printed, from what is printed."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from matplotlib.figure import Figure

from ease.block.lesson import make_lesson
from ease.block.pieces import Block
from ease.body.load import load_body
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.decide import decide
from ease.fit.lesson import GAUGE_CM
from ease.show.lesson import draw_stretch, draw_two_cuts

USABLE = [name for name in fabric_names() if name != "one-way-stretch"]


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("body", ["demo", "en-128", "en-76-short", "us-1968-20"])
@pytest.mark.parametrize("name", USABLE)
def test_sums_under_the_bars(
    make_tube: Callable[..., Block], name: str, body: str, units: str
) -> None:
    gauge = 12.7 if units == "in" else GAUGE_CM
    reduction = decide(load_fabric(name), load_body(body))
    lesson = make_lesson(make_tube(), reduction, gauge_cm=gauge)
    stretch, cuts = (
        [text.get_text() for text in draw(panel, lesson, units=units).texts]
        for draw, panel in (
            (draw_stretch, Figure().add_subplot()),
            (draw_two_cuts, Figure().add_subplot()),
        )
    )
    # Every bar has its unit.
    for words in (*stretch[:-1], *cuts[:-1]):
        assert re.fullmatch(rf"[a-z]+ [\d.]+ {units}", words)
    pulled, relaxed, again, share = numbers(stretch[-1].splitlines()[0])
    assert relaxed == again
    assert abs(100 * (pulled - relaxed) / relaxed - share) <= 0.5 + 1e-9
    (rested,) = numbers(stretch[2])
    grown, back = numbers(stretch[-1].splitlines()[1])
    assert abs(100 * (rested - relaxed) / relaxed - grown) <= 0.05 + 1e-9
    assert abs(100 * (pulled - rested) / (pulled - relaxed) - back) <= 0.05 + 1e-9
    girth, _, right = numbers(cuts[-1].splitlines()[0])[:3]
    half = 0.5 * 10.0 ** -len(cuts[1].split()[1].partition(".")[2])
    wrong = numbers(cuts[2])[0]
    assert abs(girth / 1.25 - right) <= half + 1e-9
    assert abs(0.75 * girth - wrong) <= half + 1e-9


def numbers(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"\d+(?:\.\d+)?", text)]
