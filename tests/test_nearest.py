"""What a misspelt word was meant to be: what is seen, how it is said, one way for all."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from ease.body.dictionary import KEYS
from ease.nearest import LIKE, MISSPELT, nearest, nearest_text

ROOT = Path(__file__).resolve().parents[1]


def likeness(shared: int, first: str, second: str) -> float:
    """Letters shared in order, twice, over the letters of both: what the limits mean."""
    return 2 * shared / (len(first) + len(second))


@pytest.mark.parametrize(
    ("word", "meant", "shared"),
    [
        ("hop", "hip", 2),  # one wrong letter in the shortest names there are
        ("rub", "rib", 2),
        ("strech", "stretch", 6),
        ("soft-trcot", "soft-tricot", 10),
        ("siffer", "softer", 4),  # two wrong in six
    ],
)
def test_a_slip_is_seen(word: str, meant: str, shared: int) -> None:
    assert likeness(shared, word, meant) >= LIKE
    assert nearest(word, [meant, "quilt"]) == [meant]
    assert nearest_text(word, [meant, "quilt"]) == f"; did you mean {meant}?"


@pytest.mark.parametrize(
    ("word", "other", "shared"),
    [("cn", "cm", 1), ("wrong", "wreak", 2), ("hops", "hip", 2)],
)
def test_a_word_too_far_off_gets_no_guess(word: str, other: str, shared: int) -> None:
    assert likeness(shared, word, other) < LIKE
    assert nearest(word, [other]) == []
    assert nearest_text(word, [other]) == ""


def test_case_is_no_slip() -> None:
    assert nearest("RIB", ["rib", "ribs"]) == ["rib"]
    assert nearest_text("mpa", ["kPa", "MPa"]) == "; did you mean MPa?"


def test_several_are_named_where_several_are_wanted() -> None:
    known = ["en-84", "en-88", "en-92", "demo"]
    assert nearest_text("en-8", known, most=2) == "; did you mean en-88 or en-84?"
    said = nearest_text("en-8", known, most=3)
    assert said == "; did you mean en-88, en-84 or en-92?"


@pytest.mark.parametrize("column", ["temperature", "overbust", "body_length"])
def test_a_column_of_its_own_is_no_slip(column: str) -> None:
    # Each is like some measure, but a table that has such a column must be read.
    assert nearest(column, KEYS)
    assert nearest(column, KEYS, likeness=MISSPELT) == []


def test_likeness_is_asked_for_in_one_place() -> None:
    files = [path for room in ("ease", "cli") for path in (ROOT / room).rglob("*.py")]
    askers = {
        path.name
        for path in files
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if (isinstance(node, ast.Import) and node.names[0].name == "difflib")
        or (isinstance(node, ast.ImportFrom) and node.module == "difflib")
    }
    assert askers == {"nearest.py"}
