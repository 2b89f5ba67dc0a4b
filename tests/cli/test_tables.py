"""Sentences in lines: numbers stay with their units, whatever the width."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from cli.screen import text_of
from cli.tables import folded, make_table

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


@pytest.mark.parametrize(
    "arguments",
    [
        ["factors", "firm-tricot", "--body", "demo"],
        ["adjust", "demo", "--from", "body", "--to", "firm-tricot"],
        ["grade", "en", "--only", "84,88", "--fabric", "soft-tricot"],
        ["compare", "rib", "firm-tricot", "--body", "demo", "--block", "demo"],
        ["lesson"],
    ],
    ids=lambda arguments: arguments[0],
)
def test_tables_of_inches_say_why_a_difference_may_not_add_up(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """36 3/8 less 29 7/8 is 6 1/2; rounded alone it may be 6 5/8."""
    monkeypatch.chdir(tmp_path)
    said = "Each inch is rounded by itself"
    for units, told in (("in", True), ("cm", False)):
        done = CliRunner().invoke(app, [*arguments, "--units", units, "--quiet"])
        assert done.exit_code == 0
        assert (said in " ".join(done.stdout.split())) is told


def test_sheets_are_folded_the_same_way() -> None:
    assert text_of([SAID]).strip() == folded(SAID, 78)


def test_a_caption_is_as_wide_as_the_terminal_not_as_its_table(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    done = CliRunner().invoke(app, ["factors", "firm-tricot", "--body", "en-92", "-q"])
    lines = done.stdout.splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith("+- holds"))
    said = []
    for line in lines[first:]:
        if not line.strip():
            break
        said.append(line)
    # Folded nowhere before the next word would have run past the last column.
    for line, after in pairwise(said):
        assert len(f"{line} {after.split()[0]}") > 78
    assert len(said) == 2
    assert max(map(len, said)) <= 78


def test_a_caption_is_shown_once_and_kept_for_the_page() -> None:
    table = make_table("", ("a",), [("1",)], caption="words below it")
    for _ in range(2):
        assert text_of([table]).count("words below it") == 1
