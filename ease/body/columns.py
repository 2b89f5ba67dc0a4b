"""Cells of a table of bodies as columns of figures, quickly where they are plain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray

from ease.body.table_head import TableHead
from ease.errors import UnitError
from ease.units import CM_PER, NEWTON_PER, parse_length, parse_load

__all__ = ["Figures", "read_figures"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """Columns of figures, with the cells that could not be read.

    Attributes:
        names: Name of each row.
        values: Figures by measure, cm (kg for the weight), nan where a cell is empty or
            cannot be read; bust, waist and hip are always there.
        faults: For each row with a fault, what is wrong by column; the row as a whole
            under an empty name.
    """

    names: tuple[str, ...]
    values: Mapping[str, FloatArray]
    faults: Mapping[int, dict[str, str]]


def read_figures(head: TableHead, rows: Sequence[Sequence[str]]) -> Figures:
    """Return the figures that stand in the cells of some rows.

    Args:
        head: Head of the table.
        rows: Cells of each row, as many as it has.
    """
    faults: dict[int, dict[str, str]] = {}
    # One more column, so that cells beyond the last named one show up.
    blank = [""] * (len(head.columns) + 1)
    columns = list(zip_longest(*rows, blank, fillvalue=""))
    values: dict[str, FloatArray] = {}
    names: tuple[str, ...] = ("",) * len(rows)
    for place, cells in enumerate(columns):
        key = head.columns[place] if place < len(head.columns) else ""
        own = cells[:-1]
        if key == "name":
            names = tuple(cell.strip() for cell in own)
        elif key in head.units:
            values[key] = _column(key, own, head.units[key], faults)
        elif not key:
            _refuse_stray(own, faults)
    return Figures(names, values, faults)


def _refuse_stray(cells: Sequence[str], faults: dict[int, dict[str, str]]) -> None:
    if not any(cells):
        return
    for row, cell in enumerate(cells):
        if cell.strip():
            what = (
                f"{cell.strip()!r} stands under no column name; a decimal comma needs "
            )
            what += "semicolons between the cells, or quotes"
            faults.setdefault(row, {})[""] = what


def _column(
    key: str, cells: Sequence[str], unit: str, faults: dict[int, dict[str, str]]
) -> FloatArray:
    """Return a column of figures; a cell that is none is nan, with a fault."""
    per = CM_PER[unit] if unit in CM_PER else NEWTON_PER[unit] / NEWTON_PER["kg"]
    values = _plain(cells)
    if values is not None:
        with np.errstate(over="ignore"):  # what is infinite is refused as too large
            return values * per
    found = np.full(len(cells), np.nan)
    for row, cell in enumerate(cells):
        text = cell.strip()
        if not text:
            continue
        try:
            found[row] = _figure(key, text, unit)
        except UnitError as error:
            faults.setdefault(row, {})[key] = str(error)
    return found


def _plain(cells: Sequence[str]) -> FloatArray | None:
    """Return a column of bare numbers and empty cells; None if it holds anything else."""
    for texts in (cells, [cell.replace(",", ".") for cell in cells]):
        try:
            values = np.array([cell or "nan" for cell in texts], dtype=float)
        except ValueError:
            continue
        # A cell may hold "inf" or "nan" itself.
        empty = sum(not cell for cell in cells)
        return values if int(np.isfinite(values).sum()) + empty == len(cells) else None
    return None


def _figure(key: str, text: str, unit: str) -> float:
    if key == "weight_kg":
        return parse_load(text, unit) / NEWTON_PER["kg"]
    return parse_length(text, unit)
