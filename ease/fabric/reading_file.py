"""What all files of readings share: their table, unit, origin, and numbers of repeats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Final, cast

from ease.cells import Cells, Row, Table, table_from_records
from ease.endings import file_kind
from ease.errors import Problem, ReadingError
from ease.fabric.profile import ORIGINS, Origin
from ease.read import read_toml
from ease.table import read_table
from ease.units import CM_PER, canonical_unit

__all__ = ["MOST_ROWS", "Repeats", "check_rows", "length_unit", "origin_of", "readings"]

MOST_ROWS: Final = 2_000


def readings(
    path: Path, *, columns: Sequence[str], schema: str, keys: Sequence[str]
) -> Table:
    """Return the table of a CSV file, or of the ``[[reading]]`` tables of a TOML file.

    Args:
        path: The file; ``.toml`` tells the kind.
        columns: Column names of a CSV.
        schema: What a TOML file may name as its ``schema``.
        keys: What may stand beside the readings in TOML; all of it becomes ``meta``.

    Raises:
        ReadingError: If it cannot be read as such.
    """
    if file_kind(path) != "toml":
        return read_table(path, known=columns, error=ReadingError)
    data = read_toml(path, ReadingError)
    source = str(path)
    said = data.pop("schema", schema)
    if said != schema:
        raise ReadingError(source, [Problem("schema", f'accepted is "{schema}"')])
    records = data.pop("reading", [])
    accepted = f"accepted are {', '.join((*keys, 'reading'))}"
    problems = [
        Problem(key, f"is not a known key; {accepted}")
        for key in data
        if key not in keys
    ]
    if not (
        isinstance(records, list) and all(isinstance(one, dict) for one in records)
    ):
        problems.append(Problem("reading", "must be a list of tables [[reading]]"))
    if problems:
        raise ReadingError(source, problems)
    meta = {key: str(value) for key, value in data.items()}
    return replace(table_from_records(records, source=source), meta=meta)


def check_rows(cells: Cells, what: str) -> None:
    """Record that there are no rows; stop at once where there are too many.

    Args:
        cells: The cells.
        what: What so many readings are not.

    Raises:
        ReadingError: If there are too many.
    """
    if not cells.table.rows:
        cells.fault(None, "", "holds no readings")
    if len(cells.table.rows) > MOST_ROWS:
        cells.fault(None, "", f"holds more than {MOST_ROWS} readings; {what}")
        cells.finish()


def length_unit(cells: Cells) -> str:
    """Return the unit of lengths that a file names for all of them, else cm."""
    unit = canonical_unit(cells.table.meta.get("units", "cm"))
    if unit in CM_PER:
        return unit
    what = f"{unit!r} is no unit of length; accepted are {', '.join(CM_PER)}"
    cells.problems.append(Problem("units", what))
    return "cm"


def origin_of(cells: Cells) -> Origin:
    """Return what a file says of its origin, else ``measured``."""
    origin = cells.table.meta.get("origin", "measured")
    if origin not in ORIGINS:
        cells.problems.append(Problem("origin", f"must be one of {', '.join(ORIGINS)}"))
    return cast("Origin", origin)


class Repeats:
    """Numbers the repeats at each place, and finds those that are numbered twice."""

    def __init__(self) -> None:
        """Begin with none."""
        self._taken: dict[tuple[object, ...], str] = {}

    def number(
        self, cells: Cells, row: Row, place: tuple[str, ...], given: int | None
    ) -> int | None:
        """Return the number of a repeat, the next free one where none was given.

        None where it was taken before; the cells hold the fault.
        """
        if given is None:
            given = next(n for n in count(1) if (*place, n) not in self._taken)
        elif (*place, given) in self._taken:
            before = self._taken[(*place, given)]
            what = f"{' '.join(place)} {given} is on {before} already"
            cells.fault(row, "repeat", what)
            return None
        self._taken[(*place, given)] = row.place
        return given
