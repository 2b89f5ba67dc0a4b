"""Exercises: the library's answers worked again apart from it, from the given numbers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from math import pi

import pytest

from ease.errors import UsageError
from ease.fit.exercises import Exercise
from ease.fit.quiz import KINDS, draw_exercises

Numbers = Mapping[str, float]


def recovery(g: Numbers) -> dict[str, float]:
    growth = g["rested_cm"] / g["gauge_cm"] - 1
    back = g["extended_cm"] - g["rested_cm"]
    return {
        "growth": growth,
        "recovery": back / (g["extended_cm"] - g["gauge_cm"]),
        "recovered_elongation": 1 - growth,
    }


def limit(g: Numbers) -> dict[str, float]:
    low = max(g["growth"], g["wet_growth"])
    room = (1 + g["stretch"] / 2) / 1.15 - 1
    high = min(room, (1 + g["stretch"]) * g["waist_cm"] / g["hip_cm"] - 1)
    return {"low": low, "high": high, "strain": min(max(g["aim"], low), high)}


# Each by a formula of its own, not by the library.
AGAIN: dict[str, Callable[[Numbers], dict[str, float]]] = {
    "stretch": lambda g: {"stretch": g["extended_cm"] / g["gauge_cm"] - 1},
    "growth and recovery": recovery,
    "strain to reduction": lambda g: {"reduction": 1 - 1 / (1 + g["strain"])},
    "reduction to strain": lambda g: {"strain": 1 / (1 - g["reduction"]) - 1},
    "the common mistake": lambda g: {
        "wrong_cm": g["body_cm"] - g["strain"] * g["body_cm"],
        "wrong_strain": 1 / (1 - g["strain"]) - 1,
        "right_cm": g["body_cm"] / (1 + g["strain"]),
    },
    "cut girth and negative ease": lambda g: {
        "cut_cm": g["body_cm"] / (1 + g["strain"]),
        "negative_ease_cm": g["body_cm"] * g["strain"] / (1 + g["strain"]),
        "quarter_cm": g["body_cm"] * g["strain"] / (1 + g["strain"]) / 4,
    },
    "worn strain of a block": lambda g: {
        "strain": g["body_cm"] / g["block_cm"] - 1,
        "stretch_used": (g["body_cm"] / g["block_cm"] - 1) / g["stretch"],
    },
    "the two layers of a loop": lambda g: {
        "tension_n_per_m": 100 * g["load_n"] / (2 * g["width_cm"]),
        "as_strip_n_per_m": 100 * g["load_n"] / g["width_cm"],
    },
    "pressure from tension": lambda g: {
        "pressure_kpa": 2 * pi * g["tension_n_per_m"] / g["girth_cm"] / 10,
        "pressure_mmhg": 2 * pi * g["tension_n_per_m"] / g["girth_cm"] / 1.33322387415,
    },
    "contraction": lambda g: {
        "free_loop_cm": g["loop_cm"] - g["loop_cm"] * g["contraction"] * g["strain"],
        "length_strain": 1 / (1 - g["contraction"] * g["strain"]) - 1,
    },
    "a fixed amount in two sizes": lambda g: {
        "small_strain": g["small_cm"] / (g["small_cm"] - 4 * g["quarter_cm"]) - 1,
        "large_strain": g["large_cm"] / (g["large_cm"] - 4 * g["quarter_cm"]) - 1,
    },
    "which limit binds": limit,
}

MANY = [
    pytest.param(units, seed, id=f"{units} {seed}")
    for units in ("cm", "in")
    for seed in range(6)
]


def test_every_kind_has_its_own_second_working() -> None:
    kinds = {one.kind for one in draw_exercises(len(KINDS), 1)}
    assert kinds == AGAIN.keys()
    assert len(KINDS) == len(AGAIN)


@pytest.mark.parametrize(("units", "seed"), MANY)
def test_answers_worked_again(units: str, seed: int) -> None:
    for one in draw_exercises(48, seed, units):
        again = AGAIN[one.kind](one.given)
        assert one.results == pytest.approx(again, rel=1e-12), one.kind
        shown = numbers_in(one.answer)
        for key, value in again.items():
            assert any(matches(key, value, number, units) for number in shown), (
                one.kind,
                key,
                one.answer,
            )


def numbers_in(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", text)]


def matches(key: str, value: float, number: float, units: str) -> bool:
    """Whether a printed number is a result, to half of its last digit."""
    if key.endswith("_cm"):
        scale, digit = (1 / 2.54, 0.005) if units == "in" else (1.0, 0.05)
    elif "n_per_m" in key:
        scale, digit = 1.0, 0.5
    elif key == "pressure_kpa":
        scale, digit = 1.0, 0.005
    elif key == "pressure_mmhg":
        scale, digit = 1.0, 0.05
    else:
        scale, digit = 100.0, 0.5 if key == "stretch_used" else 0.05
    return abs(value * scale - number) <= digit * (1 + 1e-6)


@pytest.mark.parametrize(("units", "seed"), MANY)
def test_questions_hold_every_number_that_is_needed(units: str, seed: int) -> None:
    for one in draw_exercises(24, seed, units):
        shown = question_numbers(one)
        for key, value in one.given.items():
            wanted = value
            if key.endswith("_cm") and units == "in":
                wanted = value / 2.54
            elif not key.endswith(("_cm", "_n", "_n_per_m")):
                wanted = value if key == "contraction" else 100 * value
            assert any(abs(wanted - number) < 1e-6 for number in shown), (key, one)


def question_numbers(one: Exercise) -> list[float]:
    """Numbers of a question; ``34 5/8`` is one of them."""
    found = []
    for whole, top, bottom in re.findall(
        r"(\d+(?:\.\d+)?)(?: (\d+)/(\d+))?", one.question
    ):
        found.append(float(whole) + (int(top) / int(bottom) if top else 0.0))
    found += [
        int(a) / int(b) for a, b in re.findall(r"(?<![\d ])(\d)/(\d)", one.question)
    ]
    return found


@pytest.mark.parametrize(("units", "seed"), MANY)
def test_numbers_are_plausible(units: str, seed: int) -> None:
    for one in draw_exercises(36, seed, units):
        assert all(value > 0 for value in (*one.given.values(), *one.results.values()))
        assert one.results.get("strain", 0.1) < 0.6
        assert one.results.get("stretch", 0.5) < 1.2
        assert one.results.get("pressure_kpa", 0.5) < 2.1
        if one.kind == "which limit binds":
            assert one.results["low"] < one.results["high"]
        if one.kind == "growth and recovery":
            # The two must not look the same on paper.
            gap = one.results["recovered_elongation"] - one.results["recovery"]
            assert gap > 0.0015


def test_every_outcome_of_the_window_comes_up() -> None:
    answers = [
        one.answer.rsplit("; ", 1)[1]
        for seed in range(12)
        for one in draw_exercises(24, seed)
        if one.kind == "which limit binds"
    ]
    assert set(answers) == {
        "no limit: the aim",
        "room to move",
        "goes on",
        "wet growth",
    }


def test_the_named_limit_is_the_one_that_binds() -> None:
    for seed in range(12):
        for one in draw_exercises(24, seed):
            if one.kind != "which limit binds":
                continue
            g, found = one.given, limit(one.given)
            room = (1 + g["stretch"] / 2) / 1.15 - 1
            name = one.answer.rsplit("; ", 1)[1]
            if g["aim"] > found["high"]:
                assert name == ("room to move" if room <= found["high"] else "goes on")
            elif g["aim"] < found["low"]:
                assert name == "wet growth"
            else:
                assert name == "no limit: the aim"


def test_a_seed_is_a_sheet() -> None:
    assert draw_exercises(10, 3) == draw_exercises(10, 3)
    assert draw_exercises(10, 3) != draw_exercises(10, 4)
    assert draw_exercises(20, 3)[:10] == draw_exercises(10, 3)


def test_each_round_has_every_kind_once() -> None:
    kinds = [one.kind for one in draw_exercises(2 * len(KINDS), 8)]
    first, second = kinds[: len(KINDS)], kinds[len(KINDS) :]
    assert len(set(first)) == len(set(second)) == len(KINDS)
    assert first != second


@pytest.mark.parametrize("count", [0, -3, 201])
def test_too_many_or_none(count: int) -> None:
    with pytest.raises(UsageError, match="1 to 200 exercises"):
        draw_exercises(count, 1)


def test_a_seed_below_zero() -> None:
    with pytest.raises(UsageError, match="0 or more, not -1"):
        draw_exercises(3, -1)
