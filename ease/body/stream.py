"""Read a table of bodies of any length, chunk by chunk, in bounded memory.

One row is one body, its header the keys of the measures. A row that cannot be used is
told with its line and columns; the others go on.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Final, TextIO

import numpy as np
from numpy.typing import NDArray

from ease.body.columns import Figures, read_figures
from ease.body.dictionary import KEYS, MEASURES, NEEDED
from ease.body.equations import FITTED_RANGE
from ease.body.fill_in import FilledColumns, fill_in
from ease.body.measures import body_problems
from ease.body.table_head import TableHead, check_line
from ease.errors import Problem
from ease.sentence import Length, Sentence, lengths

__all__ = ["Bodies", "stream_bodies"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
CHUNK: Final = 8192


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bodies:
    """A chunk of a table of bodies, those that cannot be used left out.

    Attributes:
        lines: Line of each body in the file, shape (n,).
        names: Name of each body; empty where none is given.
        values: Every measure, completed, cm, each of shape (n,).
        filled: For each measure that can be filled in, where it was.
        outside: Where something was filled in for a body outside the range in which the
            equations were fitted.
        faults: What is wrong with the rows left out, in the order of the file.
        bad: Number of rows left out.
        at_byte: How far into the file this chunk reaches.
    """

    lines: NDArray[np.int64]
    names: tuple[str, ...]
    values: Mapping[str, FloatArray]
    filled: Mapping[str, BoolArray]
    outside: BoolArray
    faults: tuple[Problem, ...]
    bad: int
    at_byte: int

    def __len__(self) -> int:
        """Number of bodies that can be used."""
        return len(self.lines)


def stream_bodies(head: TableHead, *, chunk: int = CHUNK) -> Iterator[Bodies]:
    """Yield the bodies of a table, a chunk at a time.

    Args:
        head: Head of the table.
        chunk: Rows of a chunk.

    Raises:
        BodyError: If a line is too long to belong to a table.
    """
    with head.path.open("rb") as raw:
        text = head.text_of(raw)
        start = head.last_line
        for number in range(1, start + 1):
            check_line(head.path, number, text)
        while True:
            numbered = list(islice(_lines(text, head.path, start), chunk))
            if not numbered:
                return
            start = numbered[-1][0]
            yield _chunk(head, numbered, raw.tell())


def _lines(text: TextIO, path: Path, start: int) -> Iterator[tuple[int, str]]:
    number = start
    while line := check_line(path, number + 1, text):
        number += 1
        yield number, line


def _chunk(head: TableHead, numbered: Sequence[tuple[int, str]], at: int) -> Bodies:
    """Return what stands in some lines, by line number."""
    faults: dict[int, list[Problem]] = {}
    kept: list[tuple[int, str]] = []
    for number, line in numbered:
        if not line.strip(" \t\r\n;,") or line.lstrip().startswith("#"):
            continue
        if '"' in line and _left_open(line, head.separator):
            what = "a quotation mark is opened and not closed"
            faults[number] = [Problem(f"line {number}", what)]
            continue
        kept.append((number, line))
    lines = np.array([number for number, _ in kept], dtype=np.int64)
    figures = read_figures(head, _split(head, [line for _, line in kept]))
    values = figures.values
    wrong = _impossible(figures)
    for row in np.flatnonzero(wrong):
        faults[int(lines[row])] = _row_faults(figures, int(row), int(lines[row]))
    good = np.flatnonzero(~wrong)
    lines = lines[good]
    filled = fill_in({key: column[good] for key, column in values.items()})
    bad = _beyond(filled.values)
    for row in np.flatnonzero(bad):
        faults[int(lines[row])] = _fill_faults(filled.values, int(row), lines[row])
    fine = np.flatnonzero(~bad)
    return Bodies(
        lines=lines[fine],
        names=tuple(figures.names[row] for row in good[fine]),
        values={key: column[fine] for key, column in filled.values.items()},
        filled={key: chosen[fine] >= 0 for key, chosen in filled.used.items()},
        outside=_outside(filled)[fine],
        faults=tuple(fault for number in sorted(faults) for fault in faults[number]),
        bad=len(faults),
        at_byte=at,
    )


def _left_open(line: str, separator: str) -> bool:
    """Return whether a cell opens with a quotation mark that nothing closes.

    A mark inside a cell opens nothing: it may stand for inches.
    """
    before = rf"(^|{re.escape(separator)})\s*"
    closed = rf'{before}"(?:[^"]|"")*"(?=\s*(?:{re.escape(separator)}|$))'
    return bool(re.search(rf'{before}"', re.sub(closed, r"\1", line)))


def _split(head: TableHead, lines: Sequence[str]) -> list[list[str]]:
    """Return the cells of each line."""

    def reader(some: Sequence[str]) -> Iterator[list[str]]:
        return csv.reader(some, delimiter=head.separator, skipinitialspace=True)

    rows = list(reader(lines))
    if len(rows) == len(lines):
        return rows
    # A stray quotation mark has swallowed a line end: read each line by itself.
    return [next(reader([line])) for line in lines]


def _impossible(figures: Figures) -> BoolArray:
    """Return which rows hold a cell or a value that makes them unusable."""
    wrong = np.zeros(len(figures.names), dtype=bool)
    wrong[list(figures.faults)] = True
    for key in NEEDED:
        wrong |= np.isnan(figures.values[key])
    return wrong | _beyond(figures.values)


def _beyond(values: Mapping[str, FloatArray]) -> BoolArray:
    """Return which rows hold a value that no grown body has."""
    count = len(values[NEEDED[0]])
    beyond = np.zeros(count, dtype=bool)
    for key, column in values.items():
        measure = MEASURES[key]
        beyond |= (column < measure.lowest) | (column > measure.highest)
    return beyond


def _outside(filled: FilledColumns) -> BoolArray:
    outside = np.zeros(len(filled.values[NEEDED[0]]), dtype=bool)
    for key, (low, high) in FITTED_RANGE.items():
        outside |= (filled.values[key] < low) | (filled.values[key] > high)
    for_it = np.any([chosen >= 0 for chosen in filled.used.values()], axis=0)
    return np.asarray(outside & for_it)


def _row_faults(figures: Figures, row: int, line: int) -> list[Problem]:
    """Return all that is wrong with a row, in the order of its columns."""
    cells = figures.faults.get(row, {})
    if "" in cells:  # the cells have slipped: what they seem to hold says nothing
        return [Problem(f"line {line}", cells[""])]
    given = {
        key: float(column[row])
        for key, column in figures.values.items()
        if not np.isnan(column[row])
    }
    found = {problem.where: problem.what for problem in body_problems(given)} | cells
    return [
        Problem(f"line {line}, column {key}", found[key])
        for key in sorted(found, key=KEYS.index)
    ]


def _fill_faults(
    values: Mapping[str, FloatArray], row: int, line: np.int64
) -> list[Problem]:
    """Return which measures would be filled in as no grown body has them."""
    return [
        Problem(
            f"line {line}, column {key}",
            Sentence(
                "would be filled in as {}, outside a grown body ({} to {}); give it",
                Length(float(column[row])),
                *lengths(MEASURES[key].lowest, MEASURES[key].highest, digits=None),
            ),
        )
        for key, column in values.items()
        if not MEASURES[key].lowest <= column[row] <= MEASURES[key].highest
    ]
