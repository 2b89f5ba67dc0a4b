"""Read a table of readings as real spreadsheets write it, cells kept as text.

Encodings, separators, decimal commas, quotes, comments, trailing columns and units in
the header are settled here, once for a file; :class:`Cells` then reads the figures.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from ease.cells import (
    Cells,
    Row,
    Table,
    table_from_records,
    without_group_spaces,
)
from ease.errors import InputError, Problem, RefusedError
from ease.lines import plain_lines, separator_of, slug, split_lines
from ease.nearest import nearest_text
from ease.read import read_text
from ease.units import CM_PER, MINUTES_PER, NEWTON_PER, canonical_unit

__all__ = ["Cells", "Row", "Table", "parse_table", "read_table", "table_from_records"]

_HEAD = re.compile(r"(?P<name>.*?)\s*[(\[](?P<unit>[^)\]]*)[)\]]\s*$")
_FIGURE = re.compile(r"[-+\u2212]?\s*(?P<body>[0-9][0-9.,]*)\s*[^0-9/½¼¾⅛⅜⅝⅞]*$")
_UNITS: Final = {*CM_PER, *NEWTON_PER, *MINUTES_PER}


def read_table(
    path: Path, *, known: Sequence[str], error: type[InputError] = InputError
) -> Table:
    """Return the table in a CSV file.

    Args:
        path: The file.
        known: Column names that the caller reads; they let ``load_n`` be read as the
            column ``load`` in N.
        error: Class of the error that is raised.

    Raises:
        InputError: If the file cannot be read, has no header, or its decimal mark
            cannot be told.
    """
    text, encoding = read_text(path, error)
    table = parse_table(text, source=str(path), known=known, error=error)
    if encoding != "cp1252":
        return table
    note = f"{path}: is not UTF-8; read as Western European text (cp1252)"
    return replace(table, notes=(note, *table.notes))


def parse_table(
    text: str,
    *,
    source: str,
    known: Sequence[str],
    error: type[InputError] = InputError,
) -> Table:
    r"""Return the table in a text; see :func:`read_table`.

    Examples:
        >>> table = parse_table("gauge (cm);load\n12,5;3", source="a.csv", known=["gauge"])
        >>> table.columns, table.decimal, table.rows[0].cells["gauge"]
        (('gauge', 'load'), ',', '12,5')
    """
    meta: dict[str, str] = {}
    lines, forced = plain_lines(text, meta)
    head = next((line for line in lines if line.strip(" \t;,").strip()), "")
    try:
        separator = forced or separator_of(head)
        numbered = split_lines(lines, separator)
    except RefusedError as fault:
        raise error(source, str(fault)) from None
    if not numbered:
        raise error(source, "is empty: no line names the columns")
    line, names = numbered[0]
    columns, units, problems = _header(names, f"line {line}", known)
    body = numbered[1:]
    if body and _is_unit_row(body[0][1]):
        below = (canonical_unit(cell) for cell in body[0][1])
        units |= {c: u for c, u in zip(columns, below, strict=False) if u in _UNITS}
        body = body[1:]
    rows, notes, more = _rows(body, columns, names, separator)
    problems += more
    decimal, ambiguous = _decimal_mark(rows, separator)
    problems += ambiguous
    if problems:
        raise error(source, problems)
    return Table(
        source=source,
        columns=tuple(name for name in columns if name),
        rows=tuple(rows),
        units=units,
        meta=meta,
        decimal=decimal,
        notes=tuple(f"{source}: {note}" for note in notes),
        places=tuple(place for place, name in enumerate(columns) if name),
        separator=separator,
    )


def _header(
    names: list[str], place: str, known: Sequence[str]
) -> tuple[list[str], dict[str, str], list[Problem]]:
    """Return column names, units by column, and what is wrong with the header."""
    columns: list[str] = []
    units: dict[str, str] = {}
    problems: list[Problem] = []
    if all(_FIGURE.match(name) or not name for name in names):
        what = f"the first row must name the columns, such as {', '.join(known)}"
        return columns, units, [Problem(place, what)]
    for name in names:
        match = _HEAD.fullmatch(name)
        column, unit = (
            slug(match["name"] if match else name),
            match["unit"] if match else "",
        )
        stem, _, last = column.rpartition("_")
        if not unit and column not in known and stem in known:
            column, unit = stem, last
        if unit and canonical_unit(unit) not in _UNITS:
            known_units = sorted(_UNITS)
            listed = f"; known are {', '.join(known_units)}"
            meant = nearest_text(unit, known_units) or listed
            what = f"{unit!r} is no known unit{meant}"
            problems.append(Problem(f"{place}, column {column}", what))
        elif unit:
            units[column] = canonical_unit(unit)
        if column and column in columns:
            problems.append(Problem(f"{place}, column {column}", "is there twice"))
        columns.append(column)
    return columns, units, problems


def _is_unit_row(cells: list[str]) -> bool:
    """Return whether a row holds nothing but units, at least one of them."""
    filled = [cell for cell in cells if cell.strip("-")]
    return bool(filled) and all(canonical_unit(cell) in _UNITS for cell in filled)


def _rows(
    body: list[tuple[int, list[str]]],
    columns: list[str],
    names: list[str],
    separator: str,
) -> tuple[list[Row], list[str], list[Problem]]:
    """Return the rows, notes, and faults of rows that do not fit the header."""
    rows: list[Row] = []
    notes: list[str] = []
    problems: list[Problem] = []
    for line, cells in body:
        if cells == names:
            notes.append(f"line {line} repeats the header and is left out")
            continue
        extra = [
            cell
            for place, cell in enumerate(cells)
            if cell and not _named(columns, place)
        ]
        if extra:
            what = f"{extra[0]!r} stands under no column name"
            if separator == ",":
                what += (
                    "; a decimal comma needs semicolons between the cells, or quotes"
                )
            problems.append(Problem(f"line {line}", what))
            continue
        pairs = zip(columns, cells, strict=False)
        rows.append(Row(f"line {line}", {name: cell for name, cell in pairs if name}))
    return rows, notes, problems


def _named(columns: list[str], place: int) -> bool:
    return place < len(columns) and bool(columns[place])


def _decimal_mark(rows: list[Row], separator: str) -> tuple[str, list[Problem]]:
    """Return the decimal mark of the file; a fault where it cannot be told.

    Each figure votes; ``1.234`` alone could be either, ``1.000,5`` cannot.
    """
    votes = {".": 0, ",": 0}
    unsure: Problem | None = None
    for row in rows:
        for column, cell in row.cells.items():
            match = _FIGURE.match(without_group_spaces(cell))
            vote = _vote(match["body"]) if match else ""
            if vote in votes:
                votes[vote] += 1
            elif vote and unsure is None and not (separator == "," and "." in cell):
                what = f"{cell!r} could be read in two ways; write it without the mark, or "
                what += "with another number of decimals"
                unsure = Problem(f"{row.place}, column {column}", what)
    if votes["."] or votes[","] or unsure is None:
        return ("," if votes[","] > votes["."] else "."), []
    return ".", [unsure]


def _vote(body: str) -> str:
    """Return the decimal mark that a figure shows; ``?`` for either, empty for none.

    Examples:
        >>> [_vote(body) for body in ("12,5", "1.000,5", "1.234", "0.234", "1.000.000")]
        [',', ',', '?', '.', ',']
    """
    marks = [mark for mark in ".," if mark in body]
    if not marks:
        return ""
    if len(marks) == 2:
        return max(marks, key=body.rindex)
    (mark,) = marks
    groups = body.split(mark)
    if len(groups) > 2:
        grouped = all(len(group) == 3 for group in groups[1:])
        return {".": ",", ",": "."}[mark] if grouped else ""
    either = len(groups[1]) == 3 and re.fullmatch(r"[1-9][0-9]{0,2}", groups[0])
    return "?" if either else mark
