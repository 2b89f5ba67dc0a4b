"""Marks read on a worn toile from a file, CSV or TOML, every fault named at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Final, cast

from ease.cells import Cells, Row
from ease.errors import Problem, ReadingError, UnitError
from ease.fabric.profile import Origin
from ease.fabric.reading_file import (
    Repeats,
    check_rows,
    length_unit,
    origin_of,
    readings,
)
from ease.fabric.toile_marks import WAYS, Mark, Remark, Way
from ease.sentence import Length, Sentence, lengths
from ease.units import parse_length

__all__ = [
    "COLUMNS",
    "SCHEMA",
    "TAPE_SD_CM",
    "ToileFile",
    "read_toile",
]

SCHEMA: Final = "ease/toile/1"
COLUMNS: Final = ("place", "direction", "repeat", "relaxed", "worn", "remark")
# Spread of one length read with a soft tape over a mark on the body: own choice, the
# width of the pen's line.
TAPE_SD_CM: Final = 0.1
TAPE_SD_RANGE: Final = (0.005, 2.0)
WORN_RANGE: Final = (0.5, 4.0)  # of the relaxed length; past it a unit was mistaken
# Median of all marks: past it the two columns have different units, though each mark
# could be cloth. An inch on a cm is 2.54, a cm on an inch 0.39. Own choice.
UNITS_RANGE: Final = (0.6, 2.2)
# A mark round that is clearly shorter on the wearer than it was relaxed: past what a tape
# is off by on 10 cm. Own choice.
CLEARLY_SHORTER: Final = 0.98
_KEYS: Final = ("units", "tape_sd", "origin", "source")


@dataclass(frozen=True, slots=True, kw_only=True)
class ToileFile:
    """What was read on a worn toile.

    Attributes:
        source: The file's name.
        marks: The marks in the file's order.
        remarks: Where it pulls or gapes.
        tape_sd: Spread of one length read over a mark, cm.
        notes: What should be said about how the file was read.
        origin: ``measured``, unless a line ``# origin = ...`` says otherwise.
        read_by: Text of a line ``# source = ...``.
    """

    source: str
    marks: tuple[Mark, ...]
    remarks: tuple[Remark, ...] = ()
    tape_sd: float = TAPE_SD_CM
    notes: tuple[str, ...] = ()
    origin: Origin = "measured"
    read_by: str = ""


def read_toile(path: Path, places: Sequence[str]) -> ToileFile:
    """Return the marks and remarks of a file.

    Args:
        path: A CSV or TOML file (``[[reading]]`` tables).
        places: Names of the levels that are accepted as places.

    Raises:
        ReadingError: With every fault found, each with its line and column.
    """
    table = readings(path, columns=COLUMNS, schema=SCHEMA, keys=_KEYS)
    cells = Cells(table, ReadingError)
    needed = ("place", "direction", "relaxed", "worn")
    cells.require(needed, COLUMNS)
    check_rows(cells, "that is no toile")
    unit = length_unit(cells)
    tape_sd = _tape_sd(cells, unit)
    origin = origin_of(cells)
    if not table.rows or not set(needed) <= set(table.columns):
        cells.finish()
    marks, remarks = _rows(cells, unit, places)
    if not marks and not cells.problems:
        cells.fault(None, "", "holds remarks only; no mark was measured")
    cells.finish()
    _check_columns(cells, marks)
    cells.finish()
    return ToileFile(
        source=table.source,
        marks=marks,
        remarks=remarks,
        tape_sd=tape_sd,
        notes=tuple(cells.notes),
        origin=origin,
        read_by=table.meta.get("source", ""),
    )


def _tape_sd(cells: Cells, unit: str) -> float:
    text = cells.table.meta.get("tape_sd")
    if text is None:
        return TAPE_SD_CM
    try:
        value = parse_length(text, unit)
    except UnitError as error:
        cells.problems.append(Problem("tape_sd", str(error)))
        return TAPE_SD_CM
    low, high = TAPE_SD_RANGE
    if not low <= value <= high:
        what = Sentence(
            "must lie within {} to {}, not {}",
            *(*lengths(low, high, digits=None), Length(value, None)),
        )
        cells.problems.append(Problem("tape_sd", what))
        return TAPE_SD_CM
    return value


def _rows(
    cells: Cells, unit: str, places: Sequence[str]
) -> tuple[tuple[Mark, ...], tuple[Remark, ...]]:
    """Return what all sound rows hold; the rest leaves faults."""
    by_lower = {place.lower(): place for place in places}
    marks: list[Mark] = []
    remarks: list[Remark] = []
    repeats = Repeats()
    for row in cells.table.rows:
        place = cells.choice(row, "place", tuple(by_lower))
        remark = cells.text(row, "remark")
        if place is not None and remark:
            remarks.append(Remark(by_lower[place], remark))
        if remark and not (cells.text(row, "relaxed") or cells.text(row, "worn")):
            continue
        where = None if place is None else by_lower[place]
        mark = _mark(cells, row, unit, where, repeats)
        if mark is not None:
            marks.append(mark)
    return tuple(marks), tuple(remarks)


def _mark(
    cells: Cells,
    row: Row,
    unit: str,
    place: str | None,
    repeats: Repeats,
) -> Mark | None:
    before = len(cells.problems)
    way = cells.choice(row, "direction", WAYS)
    repeat = cells.whole(row, "repeat")
    relaxed = cells.length(row, "relaxed", unit)
    worn = cells.length(row, "worn", unit)
    _check_lengths(cells, row, relaxed, worn)
    if place is None or way is None or relaxed is None or worn is None:
        return None
    if len(cells.problems) > before:
        return None
    repeat = repeats.number(cells, row, (place, way), repeat)
    if repeat is None:
        return None
    return Mark(
        place=place,
        direction=cast("Way", way),
        repeat=repeat,
        relaxed=relaxed,
        worn=worn,
        where=row.place,
    )


def _check_lengths(
    cells: Cells, row: Row, relaxed: float | None, worn: float | None
) -> None:
    sound = True
    for column, value in (("relaxed", relaxed), ("worn", worn)):
        if value is not None and value <= 0:
            cells.fault(row, column, f"must be above 0, not {value:g}")
            sound = False
    if not sound or relaxed is None or worn is None:
        return
    low, high = WORN_RANGE
    if not low <= worn / relaxed <= high:
        what = Sentence(
            "{} on a mark of {} is no cloth on a body; was one of them read in another "
            "unit?",
            *(Length(worn, None), Length(relaxed, None)),
        )
        cells.fault(row, "worn", what)


def _check_columns(cells: Cells, marks: Sequence[Mark]) -> None:
    """Refuse columns in different units, and columns that were exchanged."""
    middle = median(mark.worn / mark.relaxed for mark in marks)
    low, high = UNITS_RANGE
    if not low <= middle <= high:
        what = (
            f"is {middle:.2f} times relaxed (median of the marks); no toile is worn so: "
            "do the columns worn and relaxed have the same unit?"
        )
        cells.fault(None, "worn", what)
        return
    around = [mark for mark in marks if mark.direction == "round"]
    shorter = sum(mark.worn < CLEARLY_SHORTER * mark.relaxed for mark in around)
    if shorter == len(around) >= 2:
        what = (
            "is shorter than relaxed on every mark round: are the two columns exchanged? "
            "A toile that hangs loose is not corrected by such marks; take it in first"
        )
        cells.fault(None, "worn", what)
    elif 2 * shorter > len(around):
        note = (
            f"{cells.table.source}: worn is shorter than relaxed on {shorter} of "
            f"{len(around)} marks round: are the two columns exchanged?"
        )
        cells.notes.insert(0, note)
