"""Readings of the hand test from a file, CSV or TOML, every fault named at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path
from typing import Any, Final, cast

from ease.cells import Cells, Row, Table, table_from_records
from ease.errors import Problem, ReadingError
from ease.fabric.hand_reading import FIGURES, HandReading, impossible
from ease.fabric.profile import DIRECTIONS, ORIGINS, DirectionName, Origin
from ease.read import read_toml
from ease.table import read_table
from ease.units import canonical_unit

__all__ = [
    "COLUMNS",
    "SCHEMA",
    "ReadingFile",
    "load_readings",
    "read_reading_file",
]

SCHEMA: Final = "ease/readings/1"
NEEDED: Final = ("direction", "gauge", "extended")
COLUMNS: Final = ("direction", "repeat", *FIGURES)
_LENGTHS: Final = (
    "gauge",
    "extended",
    "rested",
    "strip_width",
    "width",
    "width_extended",
)
MOST_ROWS: Final = 2_000
_SHARED: Final = ("gauge", "rest_minutes", "load", "strip_width", "width")
TOML_KEYS: Final = ("units", "origin", "source", "reading", *_SHARED)


@dataclass(frozen=True, slots=True)
class ReadingFile:
    """The readings of a file, where they come from, and how they were read.

    Attributes:
        source: The file's name.
        readings: The readings in the file's order.
        notes: What should be said about how the file was read.
        origin: ``measured``, unless a line ``# origin = ...`` says otherwise.
        measured_by: Text of a line ``# source = ...``.
    """

    source: str
    readings: tuple[HandReading, ...]
    notes: tuple[str, ...] = ()
    origin: Origin = "measured"
    measured_by: str = ""


def load_readings(path: Path) -> tuple[HandReading, ...]:
    """Return the readings of a hand test from a CSV or TOML file.

    Raises:
        ReadingError: With every fault found, each with its line and column.
    """
    return read_reading_file(path).readings


def read_reading_file(path: Path) -> ReadingFile:
    """Return the readings of a file with notes on how it was read.

    Raises:
        ReadingError: With every fault found, each with its line and column.
    """
    if path.suffix.lower() == ".toml":
        table = _toml_table(path)
    else:
        table = read_table(path, known=COLUMNS, error=ReadingError)
        table = _share(table, table.meta)
    cells = Cells(table, ReadingError)
    cells.require(NEEDED, COLUMNS)
    if not table.rows:
        cells.fault(None, "", "holds no readings")
    if len(table.rows) > MOST_ROWS:
        cells.fault(
            None, "", f"holds more than {MOST_ROWS} readings; that is no bench test"
        )
        cells.finish()
    if not table.rows or not set(NEEDED) <= set(table.columns):
        cells.finish()
    length = canonical_unit(table.meta.get("units", "cm"))
    readings = _readings(cells, length)
    origin = table.meta.get("origin", "measured")
    if origin not in ORIGINS:
        cells.problems.append(Problem("origin", f"must be one of {', '.join(ORIGINS)}"))
    cells.finish()
    return ReadingFile(
        table.source,
        readings,
        tuple(cells.notes),
        cast("Origin", origin),
        table.meta.get("source", ""),
    )


def _toml_table(path: Path) -> Table:
    data = read_toml(path, ReadingError)
    source = str(path)
    schema = data.pop("schema", SCHEMA)
    if schema != SCHEMA:
        raise ReadingError(source, [Problem("schema", f'accepted is "{SCHEMA}"')])
    units = data.pop("units", "cm")
    records = data.pop("reading", [])
    said = {str(key): str(data.pop(key)) for key in ("origin", "source") if key in data}
    problems = [
        Problem(
            key,
            f"is not a known key; accepted are {', '.join(TOML_KEYS)}",
        )
        for key in data
        if key not in TOML_KEYS
    ]
    if not isinstance(units, str):
        problems.append(Problem("units", 'must name a unit of length, such as "cm"'))
    if not (
        isinstance(records, list) and all(isinstance(one, dict) for one in records)
    ):
        problems.append(Problem("reading", "must be a list of tables [[reading]]"))
    if problems:
        raise ReadingError(source, problems)
    table = table_from_records(records, source=source)
    return _share(replace(table, meta={"units": units, **said}), data)


def _share(table: Table, shared: Mapping[str, Any]) -> Table:
    """Return the table with figures that hold for all readings put into each row."""
    common = {
        key: str(shared[key])
        for key in _SHARED
        if key in shared and key not in table.columns
    }
    if not common:
        return table
    rows = tuple(Row(row.place, {**common, **row.cells}) for row in table.rows)
    common_text = ", ".join(f"{key} = {value}" for key, value in common.items())
    note = f"{table.source}: for every reading, {common_text}"
    columns = (*table.columns, *common)
    return replace(table, rows=rows, columns=columns, notes=(*table.notes, note))


def _readings(cells: Cells, length: str) -> tuple[HandReading, ...]:
    """Return the readings of all rows that are sound; the rest leaves faults."""
    found: list[HandReading] = []
    taken: dict[tuple[str, int], str] = {}
    for row in cells.table.rows:
        before = len(cells.problems)
        direction = cells.choice(row, "direction", DIRECTIONS)
        repeat = cells.whole(row, "repeat")
        figures = _figures(cells, row, length)
        for column, what in impossible(figures):
            cells.fault(row, column, what)
        if figures["width_extended"] is not None and figures["width"] is None:
            cells.fault(row, "width", "is empty; contraction needs both widths")
        if direction is None or len(cells.problems) > before:
            continue
        if repeat is None:
            repeat = next(n for n in count(1) if (direction, n) not in taken)
        elif (direction, repeat) in taken:
            where = taken[direction, repeat]
            cells.fault(row, "repeat", f"{direction} {repeat} is on {where} already")
            continue
        taken[direction, repeat] = row.place
        name = cast("DirectionName", direction)
        gauge, extended = figures.pop("gauge"), figures.pop("extended")
        if gauge is not None and extended is not None:
            found.append(
                HandReading(
                    direction=name,
                    repeat=repeat,
                    gauge=gauge,
                    extended=extended,
                    **figures,
                )
            )
    return tuple(found)


def _figures(cells: Cells, row: Row, length: str) -> dict[str, float | None]:
    figures = {
        name: cells.length(row, name, length, needed=name in NEEDED)
        for name in _LENGTHS
    }
    figures["rest_minutes"] = cells.minutes(row, "rest_minutes", needed=False)
    figures["load"] = cells.load(row, "load", needed=False)
    return figures
