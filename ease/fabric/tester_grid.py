"""Find the table of figures in a tester's export: separator, decimal mark, rows."""

from __future__ import annotations

import csv
import re
from itertools import zip_longest
from typing import Final, NamedTuple

import numpy as np

from ease.cells import plain_number
from ease.errors import Problem, ReadingError, UnitError
from ease.units import (
    CM_PER,
    MINUTES_PER,
    NEWTON_PER,
    Quantity,
    canonical_unit,
    parse_quantity,
)

__all__ = ["LEAST_ROWS", "Grid", "cell_unit", "figure", "find_grid"]

LEAST_ROWS: Final = 5
SAMPLE: Final = 4_000  # lines
LONGEST_LINE: Final = 100_000
MOST_LINES: Final = 500_000
_PLAIN = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?")
_UNITS: Final = {*CM_PER, *NEWTON_PER, *MINUTES_PER, "%"}
_MARK = re.compile(r"#?n/?a|#n/a|nan|ovr|over|-+|\*+", re.I)


class Grid(NamedTuple):
    """The cells of every line, and the blocks of lines that hold figures."""

    cells: list[list[str]]
    blocks: list[tuple[int, int]]  # first line and the one after the last
    decimal: str
    separator: str


def find_grid(source: str, text: str) -> Grid:
    """Return the cells under the separator and decimal mark that read most figures.

    Args:
        source: The file's name, for messages.
        text: Its text.

    Raises:
        ReadingError: If there is no table of figures.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_LINES:
        raise ReadingError(source, f"holds more than {MOST_LINES} lines")
    long = next((n for n, line in enumerate(lines, 1) if len(line) > LONGEST_LINE), 0)
    if long:
        what = f"is longer than {LONGEST_LINE} signs; that is no line of a table"
        raise ReadingError(source, [Problem(f"line {long}", what)])
    # The first lines tell how all are written; of a file with much on top, all do.
    found = _best(lines[:SAMPLE]) or _best(lines)
    if found is None:
        message = f"no table of {LEAST_ROWS} rows or more with two columns of figures"
        hint = "a hand-made table has the columns direction, load, length"
        raise ReadingError(source, message, hint=hint)
    if len(lines) <= SAMPLE:
        return found
    cells = _cells(lines, found.separator)
    return found._replace(cells=cells, blocks=_blocks(cells, found.decimal))


def _best(lines: list[str]) -> Grid | None:
    """Return the cells under the separator and decimal mark that read most figures.

    Of those that read as many the one that leaves fewest cells unread, and the decimal
    comma where a column has one in every cell: thousands have not.
    """
    best: Grid | None = None
    most = (0, 0, False)
    for separator in ("\t", ";", ",", " "):
        cells = _cells(lines, separator)
        for decimal in (".", ",") if separator != "," else (".",):
            blocks = _blocks(cells, decimal)
            rows = [row for start, end in blocks for row in cells[start:end]]
            filled = [cell for row in rows for cell in row if cell]
            read = sum(not np.isnan(figure(cell, decimal)) for cell in filled)
            score = read, read - len(filled), decimal == "," and _all_commas(rows)
            if score > most:
                most, best = score, Grid(cells, blocks, decimal, separator)
    return best


def _all_commas(rows: list[list[str]]) -> bool:
    """Whether a column has a comma in every cell."""
    return any(
        all("," in cell for cell in column)
        for column in zip_longest(*rows, fillvalue="")
    )


def _cells(lines: list[str], separator: str) -> list[list[str]]:
    if separator == " ":
        return [line.split() for line in lines]
    rows = []
    for line in lines:
        row = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
        rows.append([cell.strip() for cell in row])
    return rows


def figure(cell: str, decimal: str) -> float:
    """Return the number in a cell, bare or with a unit; NaN for anything else.

    Examples:
        >>> figure("-1.250,5", ","), figure("12 mm", "."), figure("12 rows", ".")
        (-1250.5, 12.0, nan)
    """
    if _PLAIN.fullmatch(cell) is not None:
        return float(cell) if decimal == "." or "." not in cell else np.nan
    quantity = _quantity(cell, decimal)
    if quantity is None or (quantity.unit and quantity.unit not in _UNITS):
        return np.nan
    return quantity.value


def cell_unit(cell: str, decimal: str) -> str:
    """Return the unit in a cell that holds a number with a unit, or only a unit."""
    if canonical_unit(cell) in _UNITS:
        return canonical_unit(cell)
    quantity = _quantity(cell, decimal)
    return quantity.unit if quantity is not None and quantity.unit in _UNITS else ""


def _quantity(cell: str, decimal: str) -> Quantity | None:
    try:
        return parse_quantity(plain_number(cell, decimal))
    except UnitError:
        return None


def _blocks(cells: list[list[str]], decimal: str) -> list[tuple[int, int]]:
    """Return the runs of lines that hold figures in two columns or more."""
    blocks: list[tuple[int, int]] = []
    start: int | None = None
    gap = 0
    for i, row in enumerate([*cells, [], [], []]):
        figures = sum(not np.isnan(figure(cell, decimal)) for cell in row if cell)
        filled = sum(bool(cell) for cell in row)
        if figures >= 2 and figures >= filled - 2:
            start, gap = (i if start is None else start), 0
            continue
        if start is None:
            continue
        gap += 1
        # A row or two of error marks does not end the table; words or a blank line do.
        if filled == 0 or gap > 2 or not _only_marks(row, decimal):
            # Fewer rows below a table, with nothing between but blank lines, are its end.
            above = blocks[-1][1] if blocks else 0
            goes_on = bool(blocks) and not any(map(any, cells[above:start]))
            if goes_on or i - gap + 1 - start >= LEAST_ROWS:
                blocks.append((start, i - gap + 1))
            start = None
    return blocks


def _only_marks(row: list[str], decimal: str) -> bool:
    return all(
        not cell or _MARK.fullmatch(cell) or not np.isnan(figure(cell, decimal))
        for cell in row
    )
