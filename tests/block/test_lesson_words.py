"""Sentences of the lesson against the numbers beside them, and readings left out."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest

from cli.lesson_report import lesson_parts
from cli.lesson_web import _words
from cli.screen import text_of
from ease.block.lesson import Lesson, make_lesson
from ease.block.lesson_words import body_size_words, hold_words
from ease.block.pieces import Block
from ease.body.load import load_body
from ease.errors import RefusedError
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS
from ease.fit.decide import decide

Make = Callable[..., Fabric]
Tube = Callable[..., Block]
Without = Callable[[Fabric, tuple[str, ...]], Fabric]
LEFT_OUT = (
    (),
    ("wet_growth",),
    ("growth",),
    ("growth", "wet_growth"),
    ("contraction",),
    ("tension",),
    ("growth", "wet_growth", "contraction", "tension"),
)


def said(lesson: Lesson, units: str = "cm") -> str:
    return " ".join(text_of(lesson_parts(lesson, units)).split())


@pytest.mark.parametrize("keys", LEFT_OUT, ids="-".join)
@pytest.mark.parametrize("name", fabric_names())
def test_every_sentence_holds(
    make_tube: Tube, without: Without, name: str, keys: tuple[str, ...]
) -> None:
    cloth = without(load_fabric(name), keys)
    made = 0
    for body, hold in product(("demo", "en-76-short", "en-128"), AIMS):
        try:
            reduction = decide(cloth, load_body(body), aim=AIMS[hold])
        except RefusedError:
            continue
        made += 1
        check(make_lesson(make_tube(), reduction))
    assert made or name == "one-way-stretch"


def check(lesson: Lesson) -> None:
    reduction, text = lesson.reduction, said(lesson)
    cloth = reduction.fabric.direction(reduction.round_body)
    assert cloth is not None
    growth, wet = (
        None if figure is None else figure.mean
        for figure in (cloth.growth, cloth.wet_growth)
    )
    # 1 and 3: growth, only as far as it was read.
    assert ("three lengths" in text) is (growth is not None)
    assert ("Growth and recovery were not read." in text) is (growth is None)
    assert ("rested, was not read." in text) is (growth is None)
    assert ("Wet growth was not read." in text) is (wet is None)
    further = growth is not None and wet is not None and wet > growth
    assert ("Wet, it grows further." in text) is further
    sags = any(one is not None and one > 0 for one in (growth, wet))
    assert ("sags" in text) is sags
    assert ("will this suit sag" in text) is sags
    low = reduction.girth.low
    assert low is not None
    assert f"lies {'outside' if round(low.strain, 3) > 0 else 'on its edge'}" in text
    assert f"body size, 0 %, lies {'o' if low.strain > 0 else 'on'}" in text
    if growth is None:
        assert "(growth)" not in text
    # 4: as the table of sizes has it.
    holds = lesson.sizes.hold
    assert ("here it is loose at every bust" in text) is (set(holds) == {"loose"})
    assert ("tight " in hold_words(lesson, "cm")) is ("tight" in holds)
    assert ("loose " in hold_words(lesson, "cm")) is ("loose" in holds)
    agrees = 4 * lesson.sizes.fixed_cm / (1 - lesson.sizes.factor)
    assert ("at which bust do the two agree" in text) is (76 <= agrees <= 128)
    # 5: contraction.
    shrinks = round(1 - reduction.free_length, 3) > 0
    assert ("the cloth shortens by" in text) is shrinks
    # 6 and 7.
    larger = reduction.body["bust"] < 128
    assert ("large bust" in text) is larger
    assert "each quarter -" not in text
    page = _words(lesson, "cm")
    assert ("tension against strain" in page) is (reduction.basis == "pressure")


CASES: list[tuple[float | None, float | None, str]] = [
    (None, None, "rested, was not read. Wet growth was not read."),
    (0.02, None, "has grown past the body. Wet growth was not read. Grown cloth sags."),
    (None, 0.03, "was not read. Wet, it has grown past the body. Grown cloth sags."),
    (0.02, 0.03, "past the body. Wet, it grows further. Grown cloth sags."),
    (0.02, 0.02, "past the body. Wet, it grows no further. Grown cloth sags."),
    (0.03, 0.02, "past the body. Wet, it grows less. Grown cloth sags."),
    (0.0, 0.0, "as large as the body again. Wet, it is as large as the body again."),
    (0.0, 0.02, "again. Wet, it has grown past the body. Grown cloth sags."),
    (-0.01, 0.0, "drawn in below the body. Wet, it is as large as the body again."),
]


@pytest.mark.parametrize(("growth", "wet", "words"), CASES)
def test_growth_in_words(
    make_tube: Tube,
    make_fabric: Make,
    growth: float | None,
    wet: float | None,
    words: str,
) -> None:
    read = {"growth": growth, "wet_growth": wet}
    table = {"stretch": 0.8, **{k: v for k, v in read.items() if v is not None}}
    lesson = make_lesson(make_tube(), decide(make_fabric(table), load_body("demo")))
    assert body_size_words(lesson).endswith(words)
    assert ("(no growth was read)" in said(lesson)) is (growth is None and wet is None)


def test_cloth_that_gets_no_shorter(make_tube: Tube, make_fabric: Make) -> None:
    cloth = make_fabric({"stretch": 0.8, "contraction": 0.0}, {"stretch": 0.6})
    text = said(make_lesson(make_tube(), decide(cloth, load_body("demo"))))
    assert "this cloth does not get shorter" in text
    assert "dig in" not in text
    assert "a usual one stands in" not in text
    unread = make_fabric({"stretch": 0.8}, {"stretch": 0.6})
    text = said(make_lesson(make_tube(), decide(unread, load_body("demo"))))
    assert "The contraction of this cloth was not read: a usual one stands in." in text


def test_the_other_way_round(make_tube: Tube, make_fabric: Make) -> None:
    cloth = make_fabric({"stretch": 0.8}, {"stretch": 0.6})
    for way, words in (
        ("along", "That way goes round."),
        ("across", "here it goes down."),
    ):
        reduction = decide(
            cloth, load_body("demo"), round_body="along" if way == "along" else "across"
        )
        assert words in said(make_lesson(make_tube(), reduction))


def test_recovered_elongation_of_cloth_that_doubles(
    make_tube: Tube, make_fabric: Make
) -> None:
    """(200 - 104.5) / (200 - 100) is 100 - 4.5."""
    for stretch, words in (
        (1.0, "is the same only by chance"),
        (0.8, "another number"),
    ):
        cloth = make_fabric({"stretch": stretch, "growth": 0.045})
        assert words in said(make_lesson(make_tube(), decide(cloth, load_body("demo"))))


def test_quarters_are_taken_off_or_added(make_tube: Tube, make_fabric: Make) -> None:
    """A quarter of 80 % stretch is 20 % worn: cut 88 / 1.2 = 73.33."""
    cloth = make_fabric({"stretch": 0.8, "growth": 0.02}, {"stretch": 0.6})
    reduction = decide(cloth, load_body("demo"))
    for girth, words in (
        (88.0, "3.67 off"),
        (66.0, "1.83 added"),
        (88 / 1.2, "as it is"),
    ):
        text = said(make_lesson(make_tube(girth, 66.0, 96.0), reduction))
        assert f"73.3 {words}" in text
