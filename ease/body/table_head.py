"""The head of a table of bodies: which measure stands where, and in which unit."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO, Final, TextIO

from ease.body.dictionary import KEYS, NEEDED, OTHER_NAMES, key_of
from ease.errors import BodyError, InputError, Problem, UsageError
from ease.read import decode
from ease.table import Cells, Table, parse_table
from ease.units import CM_PER, NEWTON_PER, canonical_unit

__all__ = ["TableHead", "check_line", "read_head"]

LONGEST_LINE: Final = 100_000
_SAMPLE: Final = 65_536  # bytes from which the encoding is told
_KNOWN: Final = ("name", *KEYS, *OTHER_NAMES)
_SEPARATORS: Final = ("\t", ";", ",")
_EDGES: Final = ' \t\r\n;,"'  # what a spreadsheet puts round a comment


@dataclass(frozen=True, slots=True, kw_only=True)
class TableHead:
    """What the first lines of a table of bodies say.

    Attributes:
        path: The file.
        encoding: How its text is encoded.
        separator: What stands between cells.
        columns: What each column holds: a measure, ``name``, a column that is not used,
            or an empty text where it has no name.
        units: Unit of each measure that has a column.
        last_line: Line after which the bodies begin.
        notes: What the user should hear about how the file is read.
    """

    path: Path
    encoding: str
    separator: str
    columns: tuple[str, ...]
    units: Mapping[str, str]
    last_line: int
    notes: tuple[str, ...]

    def text_of(self, raw: BinaryIO) -> TextIO:
        """Return the open file as text."""
        return io.TextIOWrapper(raw, encoding=self.encoding, errors="replace")


def check_line(path: Path, number: int, text: TextIO) -> str:
    """Return the next line, or an empty text at the end.

    Raises:
        BodyError: If it is too long to belong to a table.
    """
    line = text.readline(LONGEST_LINE)
    if len(line) == LONGEST_LINE and not line.endswith("\n"):
        what = f"line {number} is longer than {LONGEST_LINE} characters: no table"
        raise BodyError(str(path), what)
    return line


def read_head(path: Path, units_in: str = "") -> TableHead:
    """Read the head of a table of bodies.

    Args:
        path: The file: a header line with the keys of the measures, or their names on
            screen, and one line a body. A column ``name``, or ``size``, names them.
            Units stand in its brackets, ``bust (in)``, in a line below it, or above it
            as ``# units = in``.
        units_in: Unit of the lengths whose column names none; cm if empty.

    Raises:
        BodyError: If the file cannot be read, or bust, waist or hip has no column.
        UsageError: If ``units_in`` is no unit of length.
    """
    encoding = _encoding(path)
    with path.open("rb") as raw:
        text = io.TextIOWrapper(raw, encoding=encoding, errors="replace")
        above, header, below = _first_lines(path, text)
    table, last = _table(path, above, header, below)
    table = _named(table)
    cells = Cells(table, BodyError)
    cells.require(NEEDED, _KNOWN)
    cells.finish()
    if table.separator not in _SEPARATORS:
        what = "cells must be held apart by commas, semicolons or tabs"
        raise BodyError(str(path), what)
    columns = [""] * (table.places[-1] + 1)
    for place, name in zip(table.places, table.columns, strict=True):
        columns[place] = name
    return TableHead(
        path=path,
        encoding=encoding,
        separator=table.separator,
        columns=tuple(columns),
        units=_units(table, units_in),
        last_line=last,
        notes=tuple(cells.notes),
    )


def _encoding(path: Path) -> str:
    source = str(path)
    try:
        if path.is_dir():
            raise BodyError(source, "is a folder; name a file")
        with path.open("rb") as file:
            sample = file.read(_SAMPLE)
    except FileNotFoundError:
        raise BodyError(source, "no such file") from None
    except OSError as fault:
        what = f"cannot be read ({fault.strerror or fault})"
        raise BodyError(source, what) from fault
    if len(sample) == _SAMPLE:
        sample = sample[: sample.rfind(b"\n") + 1] or sample
    if sample.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    _, found = decode(sample, source, BodyError)
    return "utf-8-sig" if found == "utf-8" else found


def _first_lines(path: Path, text: TextIO) -> tuple[list[str], str, str]:
    """Return the lines above the header, the header, and the line below it."""
    above: list[str] = []
    while line := check_line(path, len(above) + 1, text):
        bare = line.strip(_EDGES)
        if bare and not bare.startswith("#") and not bare.lower().startswith("sep="):
            below = check_line(path, len(above) + 2, text)
            return above, line.rstrip("\r\n"), below.rstrip("\r\n")
        above.append(line.rstrip("\r\n"))
    raise BodyError(str(path), "is empty: no line names the columns")


def _table(path: Path, above: list[str], header: str, below: str) -> tuple[Table, int]:
    """Return the head as a table without rows, and its last line."""
    lines = [*(line for line in above if line.strip(_EDGES).startswith("#")), header]
    try:
        # A line of nothing but units belongs to the head: then no row is left.
        with_units = parse_table(
            "\n".join([*lines, below]), source=str(path), known=_KNOWN
        )
        if not with_units.rows and with_units.units and "#" not in below:
            return with_units, len(above) + 2
    except InputError:
        pass  # the line below is a body, and judged as one
    table = parse_table(
        "\n".join(lines), source=str(path), known=_KNOWN, error=BodyError
    )
    return table, len(above) + 1


def _named(table: Table) -> Table:
    """Return a table whose columns go by key, as the measures of a single body do.

    A table of sizes is one of names: a column ``size`` is read as ``name``.
    """
    names = {key: key_of(key) for key in table.columns}
    if "size" in names and "name" not in names:
        names["size"] = "name"
    keys = tuple(names.values())
    twice = [
        Problem(f"column {written}", f"{key} is there twice")
        for place, (written, key) in enumerate(names.items())
        if key in keys[:place]
    ]
    if twice:
        raise BodyError(table.source, twice)
    units = {key_of(written): unit for written, unit in table.units.items()}
    return replace(table, columns=keys, units=units)


def _units(table: Table, units_in: str) -> dict[str, str]:
    default = canonical_unit(units_in or table.meta.get("units", "cm"))
    if default not in CM_PER:
        message = f"{default!r} is no unit of length; known are {', '.join(CM_PER)}"
        if units_in:
            raise UsageError(message)
        raise BodyError(table.source, message)
    units = {
        key: table.units.get(key, "kg" if key == "weight_kg" else default)
        for key in table.columns
        if key in KEYS
    }
    for key, unit in units.items():
        accepted = NEWTON_PER if key == "weight_kg" else CM_PER
        if unit not in accepted:
            what = f"column {key}: the unit {unit!r} does not fit; accepted are "
            raise BodyError(table.source, what + ", ".join(accepted))
    return units
