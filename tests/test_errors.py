"""Errors: every fault of a file at once, as many as can be read."""

from __future__ import annotations

import pytest

from ease.errors import MOST_SHOWN, InputError, Problem


@pytest.mark.parametrize(
    ("faults", "last"),
    [
        (MOST_SHOWN, f"a.csv: line {MOST_SHOWN}: is odd"),
        (MOST_SHOWN + 1, "a.csv: and 1 fault more"),
        (MOST_SHOWN + 2, "a.csv: and 2 faults more"),
    ],
)
def test_the_last_line_counts_the_faults_that_are_not_shown(
    faults: int, last: str
) -> None:
    problems = [Problem(f"line {one}", "is odd") for one in range(1, faults + 1)]
    lines = str(InputError("a.csv", problems)).splitlines()
    assert lines[-1] == last
    assert len(lines) == MOST_SHOWN + (faults > MOST_SHOWN)
