"""Sentences in lines: numbers stay with their units, whatever the width."""

from __future__ import annotations

import re

import pytest

from cli.screen import text_of
from cli.tables import folded

SAID = (
    "Round: cut 17.1 % smaller than the body, 3 7/8 in off 29 in, at 0.40 kPa (3.0 mmHg) "
    "and 10.0 N +- 1.5 over both shoulders, known to +- 2.3 points."
)
PARTED = re.compile(r"(\d|\+-)\n(%|\d|in|kPa|mmHg|N|points)")


@pytest.mark.parametrize("width", range(16, 90))
def test_no_number_is_parted_from_its_unit(width: int) -> None:
    lines = folded(SAID, width)
    assert not PARTED.search(lines)
    assert max(len(line) for line in lines.splitlines()) <= width
    assert lines.replace("\n", " ") == SAID


def test_breaks_and_indents_of_a_text_are_kept() -> None:
    text = "first\n\n    how: second\n"
    assert folded(text, 78) == text
    assert folded(" 1  one two three", 12, "    ") == " 1  one two\n    three"


def test_sheets_are_folded_the_same_way() -> None:
    assert text_of([SAID]).strip() == folded(SAID, 78)
