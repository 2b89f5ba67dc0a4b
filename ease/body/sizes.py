"""A run of sizes as bodies, from a shipped size table or a table file."""

from __future__ import annotations

from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from ease.body.fill_in import complete
from ease.body.measures import Body
from ease.body.shipped import shipped_tables
from ease.body.stream import Bodies, stream_bodies
from ease.body.table_head import read_head
from ease.endings import TABLES, names_file
from ease.errors import BodyError, Problem
from ease.nearest import nearest_text
from ease.read import is_file

__all__ = ["MOST_SIZES", "SizeRun", "load_size_run"]

MOST_SIZES: Final = 60  # more cannot be told apart in one picture


class SizeRun(NamedTuple):
    """A run of sizes.

    Attributes:
        bodies: The sizes, completed, the smallest bust first.
        notes: What the user should hear about how its file is read.
    """

    bodies: tuple[Body, ...]
    notes: tuple[str, ...] = ()


def load_size_run(name_or_path: str | Path, units_in: str = "") -> SizeRun:
    """Return a size run with what was noted when its file was read.

    Args:
        name_or_path: A shipped size table, such as ``en`` or ``astm-95``, or a CSV file
            with one size a row; its column ``name``, or ``size``, names the sizes. A
            ``Path`` always means a file.
        units_in: Unit of lengths whose column names none; cm if empty.

    Raises:
        BodyError: If there is none, or the file is wrong; every fault is named.
    """
    name, path = str(name_or_path), Path(name_or_path)
    if names_file(name_or_path, TABLES) or is_file(path):
        return _read(path, units_in)
    tables = shipped_tables()
    if name in tables:
        return SizeRun(tuple(complete(body) for body in tables[name]))
    what = f"no size table and no file of that name{nearest_text(name, tables)}"
    raise BodyError(name, what, hint=f"size tables are {', '.join(tables)}")


def _read(path: Path, units_in: str) -> SizeRun:
    head = read_head(path, units_in)
    chunks = stream_bodies(head, chunk=4 * MOST_SIZES)
    rows = next(chunks, None)
    if rows is None or not (len(rows) or rows.faults):
        raise BodyError(str(path), "holds no sizes below its header")
    problems = list(rows.faults)
    names = _names(rows)
    problems += [
        Problem(f"line {line}", f"the size {name!r} is there twice")
        for place, (name, line) in enumerate(zip(names, rows.lines, strict=True))
        if name in names[:place]
    ]
    if len(rows) > MOST_SIZES or next(chunks, None) is not None:
        problems.append(Problem("", f"holds more than {MOST_SIZES} sizes"))
    if problems:
        raise BodyError(str(path), problems)
    order = np.argsort(rows.values["bust"], kind="stable").tolist()
    notes = list(head.notes)
    if order != sorted(order):
        notes.append(f"{path.name}: the sizes are set in rising order of bust")
    bodies = tuple(_body(rows, row, names[row], path) for row in order)
    return SizeRun(bodies, tuple(notes))


def _names(rows: Bodies) -> list[str]:
    """Return the name of each size; its bust where it has none."""
    bust = rows.values["bust"].tolist()
    return [name or f"{girth:g}" for name, girth in zip(rows.names, bust, strict=True)]


def _body(rows: Bodies, row: int, name: str, path: Path) -> Body:
    nowhere = np.zeros(len(rows), dtype=bool)
    given = {
        key: float(column[row])
        for key, column in rows.values.items()
        if not (np.isnan(column[row]) or rows.filled.get(key, nowhere)[row])
    }
    return complete(Body(name=name, values=given, source=path.name))
