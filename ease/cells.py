"""A table of readings as text cells, and the cells read as figures with their place.

Every fault is gathered with file, line and column, so that one run names them all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Final

from ease.errors import InputError, Problem, UnitError
from ease.nearest import MISSPELT, nearest, nearest_text
from ease.units import (
    CM_PER,
    MINUTES_PER,
    NEWTON_PER,
    parse_quantity,
)

__all__ = ["Cells", "Row", "Table", "table_from_records"]

LARGEST: Final = 1e9  # in any unit; no reading comes near it
_NO_BREAK: Final = "\u00a0\u202f\u2009"
_NO_BREAK_GROUP = re.compile(rf"(?<=[0-9])[{_NO_BREAK}](?=[0-9]{{3}}(?![0-9]))")
_LEADING = re.compile(r"[-+\u2212]?\s*(?P<body>[0-9][0-9.,]*)(?P<rest>.*)$", re.DOTALL)
_NOT_A_FIGURE = re.compile(r"#n/a|#?n/?a|nan|-?inf(inity)?|--+|ovr|null|none", re.I)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table.

    Attributes:
        place: Where it stands: ``line 3`` of a text file, ``reading 2`` of TOML.
        cells: Text by column name; an empty cell is an empty text.
    """

    place: str
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of readings, its cells still text.

    Attributes:
        source: The file's name, for messages.
        columns: Column names in the file's order, without their units.
        units: Canonical unit by column, where the header names one.
        rows: The rows with readings.
        meta: Text by key of the lines ``# key = value unit``.
        decimal: Decimal mark of the file; empty where each cell speaks for itself.
        notes: What the user should hear about how the file was read.
        places: Which cell of a row each column is, from 0.
        separator: What stands between the cells.
    """

    source: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    units: Mapping[str, str] = field(default_factory=dict)
    meta: Mapping[str, str] = field(default_factory=dict)
    decimal: str = ""
    notes: tuple[str, ...] = ()
    places: tuple[int, ...] = ()
    separator: str = ""


def table_from_records(
    records: Sequence[Mapping[str, object]], *, source: str, what: str = "reading"
) -> Table:
    """Return a table from records such as the ``[[reading]]`` tables of a TOML file.

    Args:
        records: Column name to number or text.
        source: The file's name, for messages.
        what: Name of one record, for messages.

    Examples:
        >>> table_from_records([{"gauge": 10.0}], source="a.toml").rows[0]
        Row(place='reading 1', cells={'gauge': '10.0'})
    """
    columns = tuple(dict.fromkeys(str(key) for record in records for key in record))
    rows = tuple(
        Row(f"{what} {place}", {str(key): str(cell) for key, cell in record.items()})
        for place, record in enumerate(records, start=1)
    )
    return Table(source=source, columns=columns, rows=rows)


class Cells:
    """Reads cells as figures and gathers the faults instead of stopping at the first."""

    def __init__(self, table: Table, error: type[InputError] = InputError) -> None:
        """Begin with no faults found.

        Args:
            table: The table to be read.
            error: Class of the error that :meth:`finish` raises.
        """
        self.table = table
        self.problems: list[Problem] = []
        self.notes: list[str] = list(table.notes)
        self._error = error
        self._units: dict[str, str] = {}
        self._inferred: set[str] = set()  # columns whose unit stands in cells only

    def fault(self, row: Row | None, column: str, what: str) -> None:
        """Record a fault at a cell, or at a column's head where ``row`` is None."""
        places = [row.place] if row is not None else []
        if column:
            places.append(f"column {column}")
        self.problems.append(Problem(", ".join(places), what))

    def finish(self) -> None:
        """Raise what was found.

        Raises:
            InputError: With every fault, if there is one.
        """
        if self.problems:
            raise self._error(self.table.source, self.problems)

    def require(self, needed: Iterable[str], known: Sequence[str]) -> None:
        """Check the column names: those needed, misspelt ones, ones of no use.

        Args:
            needed: Columns that must be there.
            known: All columns that are read.
        """
        meant: set[str] = set()
        for column in self.table.columns:
            if column in known:
                continue
            near = nearest(column, known, likeness=MISSPELT)
            if near and near[0] not in self.table.columns:
                meant.add(near[0])
                what = f"is not a known column; did you mean {near[0]}?"
                self.fault(None, column, what)
            else:
                self.notes.append(f"{self.table.source}: column {column} is not used")
        for column in needed:
            if column not in self.table.columns and column not in meant:
                have = ", ".join(self.table.columns) or "none"
                self.fault(None, column, f"is missing; the file has {have}")

    def text(self, row: Row, column: str) -> str:
        """Return a cell's text, trimmed; empty where there is none."""
        return row.cells.get(column, "").strip()

    def choice(self, row: Row, column: str, accepted: Sequence[str]) -> str | None:
        """Return one of the accepted words, whatever its case; None with a fault."""
        word = self.text(row, column)
        if word.lower() in accepted:
            return word.lower()
        what = f"{word!r} is none of" if word else "is empty; accepted are"
        self.fault(
            row, column, f"{what} {', '.join(accepted)}{nearest_text(word, accepted)}"
        )
        return None

    def whole(self, row: Row, column: str) -> int | None:
        """Return a whole number from 1; None where empty or with a fault."""
        value = self._figure(row, column, {}, "", needed=False)
        if value is None:
            return None
        if value < 1 or value != int(value):
            self.fault(row, column, f"must be a whole number from 1, not {value:g}")
            return None
        return int(value)

    def length(
        self, row: Row, column: str, default: str = "cm", *, needed: bool = True
    ) -> float | None:
        """Return a length in cm; None where empty or with a fault."""
        return self._figure(row, column, CM_PER, default, needed=needed)

    def load(
        self, row: Row, column: str, default: str = "N", *, needed: bool = True
    ) -> float | None:
        """Return a load in N, a mass as its weight; None where empty or with a fault."""
        return self._figure(row, column, NEWTON_PER, default, needed=needed)

    def minutes(
        self, row: Row, column: str, default: str = "min", *, needed: bool = True
    ) -> float | None:
        """Return a time in minutes; None where empty or with a fault."""
        return self._figure(row, column, MINUTES_PER, default, needed=needed)

    def number(self, row: Row, column: str, *, needed: bool = True) -> float | None:
        """Return a bare number; None where empty or with a fault."""
        return self._figure(row, column, {}, "", needed=needed)

    def _figure(
        self,
        row: Row,
        column: str,
        kind: Mapping[str, float],
        default: str,
        *,
        needed: bool,
    ) -> float | None:
        text = self.text(row, column)
        if not text:
            if needed and column in self.table.columns:
                self.fault(row, column, "is empty")
            return None
        if ";" in text:
            self.fault(row, column, f"{text!r} is more than one figure")
            return None
        if _NOT_A_FIGURE.fullmatch(text):
            self.fault(row, column, f"{text!r} is no reading; leave the cell empty")
            return None
        try:
            quantity = parse_quantity(plain_number(text, self.table.decimal))
        except UnitError as error:
            self.fault(row, column, str(error))
            return None
        unit = self._column_unit(column, kind, default)
        if quantity.unit and quantity.unit not in kind:
            accepted = f"accepted are {', '.join(kind)}" if kind else "it takes none"
            what = f"{text!r} has a unit that does not fit; {accepted}"
            self.fault(row, column, what)
            return None
        if not quantity.unit and column in self._inferred:
            self.fault(row, column, f"{text!r} has no unit; others in it have {unit}")
            return None
        if quantity.unit and quantity.unit != unit:
            what = f"{text!r} has another unit than its column ({unit})"
            self.fault(row, column, what)
            return None
        if abs(quantity.value) > LARGEST:
            self.fault(row, column, f"{quantity.value:.4g} is out of all size")
            return None
        return quantity.value * kind.get(unit, 1.0)

    def _column_unit(self, column: str, kind: Mapping[str, float], default: str) -> str:
        """Return the one unit of a column: its header's, its first cell's, the default."""
        if column in self._units:
            return self._units[column]
        unit = self.table.units.get(column, "")
        if unit and unit not in kind:
            accepted = f"accepted are {', '.join(kind)}" if kind else "it takes none"
            self.fault(None, column, f"the unit {unit!r} does not fit; {accepted}")
            unit = ""
        if not unit:
            unit = self._unit_in_cells(column, kind)
            if unit and unit != default:
                self._inferred.add(column)
        self._units[column] = unit or default
        return self._units[column]

    def _unit_in_cells(self, column: str, kind: Mapping[str, float]) -> str:
        for row in self.table.rows:
            text = self.text(row, column)
            if not text or text[-1] in "0123456789":
                continue  # no unit behind it
            with suppress(UnitError):
                unit = parse_quantity(plain_number(text, self.table.decimal)).unit
                if unit in kind:
                    return unit
        return ""


def without_group_spaces(text: str) -> str:
    """Return a number's text without no-break spaces between its thousands."""
    return _NO_BREAK_GROUP.sub("", text)


def plain_number(text: str, decimal: str) -> str:
    """Return a number's text with a decimal point and no marks between thousands.

    Args:
        text: The cell.
        decimal: Decimal mark of the file, or empty where the cell speaks for itself.

    Raises:
        UnitError: If the number is written with the other decimal mark.

    Examples:
        >>> plain_number("1.000,5 mm", ",")
        '1000.5 mm'
    """
    text = without_group_spaces(text)
    match = _LEADING.match(text)
    if match is None or not decimal:
        return text
    other = "." if decimal == "," else ","
    body = match["body"]
    if other in body:
        whole = body.partition(decimal)[0]
        grouped = re.fullmatch(rf"[1-9][0-9]{{0,2}}(\{other}[0-9]{{3}})+", whole)
        if grouped is None:
            name = "points" if decimal == "." else "commas"
            message = f"{text!r}: the rest of the file has decimal {name}"
            raise UnitError(message)
        body = body.replace(other, "")
    start, end = match.span("body")
    return text[:start] + body.replace(decimal, ".") + text[end:]
