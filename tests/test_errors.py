"""Errors: every fault of a file at once, as many as can be read."""

from __future__ import annotations

import pytest

from ease.errors import MOST_ALIKE, MOST_SHOWN, InputError, Problem


@pytest.mark.parametrize(
    ("faults", "last"),
    [
        (MOST_SHOWN, f"a.csv: line {MOST_SHOWN}: is {'v' * MOST_SHOWN}ery odd"),
        (MOST_SHOWN + 1, "a.csv: and 1 fault more"),
        (MOST_SHOWN + 2, "a.csv: and 2 faults more"),
    ],
)
def test_the_last_line_counts_the_faults_that_are_not_shown(
    faults: int, last: str
) -> None:
    problems = [
        Problem(f"line {one}", f"is {'v' * one}ery odd") for one in range(1, faults + 1)
    ]
    lines = str(InputError("a.csv", problems)).splitlines()
    assert lines[-1] == last
    assert len(lines) == MOST_SHOWN + (faults > MOST_SHOWN)


def rows(column: str, what: str, count: int) -> list[Problem]:
    return [
        Problem(f"line {one}, column {column}", what.format(one))
        for one in range(1, count + 1)
    ]


def test_one_kind_of_fault_in_many_rows_is_told_once() -> None:
    alike = rows("load", "{} N would be heavy", 66)
    other = rows("length", "'{}' is no number", 66)
    error = InputError(
        "a.csv", [one for both in zip(alike, other, strict=True) for one in both]
    )
    assert len(error.problems) == 132
    assert str(error).splitlines() == [
        "a.csv: line 1, column load: 1 N would be heavy",
        "a.csv: line 1, column length: '1' is no number",
        "a.csv: line 2, column load: 2 N would be heavy",
        "a.csv: line 2, column length: '2' is no number",
        "a.csv: line 3, column load: 3 N would be heavy",
        "a.csv: ... and 63 more rows like it",
        "a.csv: line 3, column length: '3' is no number",
        "a.csv: ... and 63 more rows like it",
    ]


@pytest.mark.parametrize("count", range(1, 8))
def test_no_fault_is_lost(count: int) -> None:
    lines = str(InputError("a.csv", rows("load", "{} is odd", count))).splitlines()
    if count <= MOST_ALIKE + 1:
        assert len(lines) == count
    else:
        assert len(lines) == MOST_ALIKE + 1
        assert f" {count - MOST_ALIKE} more rows" in lines[-1]


def test_unknown_names_are_each_told() -> None:
    problems = [Problem(f"line {n}", f"unknown measure {n * 'x'!r}") for n in range(9)]
    assert len(str(InputError("a.csv", problems)).splitlines()) == 9
