"""Readings of the hand test from a file, CSV or TOML, every fault named at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, cast

from ease.cells import Cells, Row, Table
from ease.errors import ReadingError
from ease.fabric.hand_reading import FIGURES, HandReading, impossible
from ease.fabric.profile import DIRECTIONS, DirectionName, Origin
from ease.fabric.reading_file import (
    Repeats,
    check_rows,
    length_unit,
    origin_of,
    readings,
)

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
    "wet_rested",
    "strip_width",
    "width",
    "width_extended",
)
_SHARED: Final = ("gauge", "rest_minutes", "load", "strip_width", "width")
TOML_KEYS: Final = ("units", "origin", "source", *_SHARED)


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


def load_readings(path: str | Path) -> tuple[HandReading, ...]:
    """Return the readings of a hand test from a CSV or TOML file.

    Args:
        path: The file; ``.toml`` tells the kind, any other ending is read as CSV.

    Raises:
        ReadingError: With every fault found, each with its line and column.
    """
    return read_reading_file(Path(path)).readings


def read_reading_file(path: Path) -> ReadingFile:
    """Return the readings of a file with notes on how it was read.

    Raises:
        ReadingError: With every fault found, each with its line and column.
    """
    table = readings(path, columns=COLUMNS, schema=SCHEMA, keys=TOML_KEYS)
    cells = Cells(_share(table), ReadingError)
    cells.require(NEEDED, COLUMNS)
    _check_wet(cells)
    check_rows(cells, "that is no bench test")
    if not table.rows or not set(NEEDED) <= set(cells.table.columns):
        cells.finish()
    found = _readings(cells, length_unit(cells))
    origin = origin_of(cells)
    cells.finish()
    return ReadingFile(
        source=table.source,
        readings=found,
        notes=tuple(cells.notes),
        origin=origin,
        measured_by=table.meta.get("source", ""),
    )


def _check_wet(cells: Cells) -> None:
    """Refuse wet readings in a column of another name: unread, they would be lost."""
    for column in cells.table.columns:
        if column not in COLUMNS and "wet" in column.casefold():
            what = "is not a known column; rests of the soaked strip go into wet_rested"
            cells.fault(None, column, what)


def _share(table: Table) -> Table:
    """Return the table with figures that hold for all readings put into each row."""
    common = {
        key: table.meta[key]
        for key in _SHARED
        if key in table.meta and key not in table.columns
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
    repeats = Repeats()
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
        repeat = repeats.number(cells, row, (direction,), repeat)
        if repeat is None:
            continue
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
