"""The repeats in a tester's export: headings over the figures, columns told apart."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.fabric.tester_columns import Column, facts_on_top, understand
from ease.fabric.tester_grid import Grid, cell_unit, figure
from ease.units import CM_PER, NEWTON_PER

__all__ = [
    "AXES",
    "Run",
    "headings",
    "in_percent",
    "minutes_of",
    "runs_in",
    "words_under",
]

Floats = NDArray[np.float64]
Columns = dict[str, tuple[Column, Floats]]

AXES: Final = ("extension", "length", "strain")
_ONCE: Final = ("load", *AXES)


class Run(NamedTuple):
    """The figures of one repeat: columns by role, and the line of each row."""

    columns: Columns
    lines: list[int]


def runs_in(grid: Grid) -> tuple[list[Run], int]:
    """Return the repeats of an export and how many rows held no figures.

    Repeats stand side by side, one below another, or are told by a specimen column.
    """
    runs: list[Run] = []
    lost = 0
    for start, end in grid.blocks:
        for group in _groups(grid, start, end):
            if "load" in group and set(AXES) & set(group):
                found, missing = _by_specimen(group, start)
                runs += found
                lost += missing
    return runs, lost


def words_under(grid: Grid, runs: list[Run], heading: str) -> set[str]:
    """Return what stands in the rows of all repeats under a heading.

    Args:
        grid: The cells.
        runs: The repeats.
        heading: The heading as an expression, in small letters.
    """
    used = {line for run in runs for line in run.lines}
    found: set[str] = set()
    for start, end in grid.blocks:
        width = max(len(row) for row in grid.cells[start:end])
        for at, name in enumerate(headings(grid, start, width)[0]):
            if re.fullmatch(heading, re.sub(r"[_\W]+", " ", name.lower()).strip()):
                rows = (grid.cells[n] for n in range(start, end) if n in used)
                found |= {row[at].strip() for row in rows if at < len(row)}
    return found - {""}


def _groups(grid: Grid, start: int, end: int) -> list[Columns]:
    """Return the columns of each repeat that stands side by side in a block."""
    width = max(len(row) for row in grid.cells[start:end])
    names, units = headings(grid, start, width)
    _units_in_cells(grid, (start, end), names, units)
    columns = [understand(n, u) for n, u in zip(names, units, strict=True)]
    figures = np.full((end - start, width), np.nan)
    for i, row in enumerate(grid.cells[start:end]):
        for j, cell in enumerate(row):
            figures[i, j] = figure(cell, grid.decimal)
    roles = [column.role for column in columns]
    groups: list[Columns] = [{}]
    for j, column in enumerate(columns):
        if not column.role or np.isnan(figures[:, j]).all():
            continue
        if column.role in groups[-1] and column.role in _ONCE:
            # A second extension beside one load is another gauge, not another repeat.
            if roles.count("load") < 2:
                continue
            groups.append({})
        groups[-1].setdefault(column.role, (column, figures[:, j]))
    return groups


def _units_in_cells(
    grid: Grid, block: tuple[int, int], names: list[str], units: list[str]
) -> None:
    """Take units from the cells: beside each figure, or in a column of their own.

    A column without a known name is named by its unit. A unit that changes within a
    column counts as none, so that it is asked for.
    """
    rows = grid.cells[slice(*block)]
    for j in range(len(names)):
        cells = [row[j] for row in rows if j < len(row) and row[j]]
        found = {cell_unit(cell, grid.decimal) for cell in cells}
        unit = found.pop() if len(found) == 1 else ""
        if not unit:
            continue
        bare = np.isnan(figure(cells[0], grid.decimal))
        owner = j - 1 if bare else j
        if owner < 0 or units[owner]:
            continue
        units[owner] = unit
        if not understand(names[owner], "").role:
            kind = "load" if unit in NEWTON_PER else "extension"
            names[owner] = kind if unit in {*NEWTON_PER, *CM_PER, "%"} else ""


def _by_specimen(group: Columns, start: int) -> tuple[list[Run], int]:
    """Return a run for each specimen in a group, and the rows lost inside."""
    load = group["load"][1]
    axis = next(group[role][1] for role in AXES if role in group)
    sound = ~(np.isnan(load) | np.isnan(axis))
    if not sound.any():
        return [], 0
    which = np.zeros(load.size)
    if "specimen" in group:
        which = group["specimen"][1]
    runs = []
    for number in np.unique(which[sound]):
        keep = np.flatnonzero(sound & (which == number))
        columns = {role: (c, v[keep]) for role, (c, v) in group.items()}
        if keep.size:  # a specimen that is no number is none
            runs.append(Run(columns, [start + int(i) for i in keep]))
    # Empty rows at the end are a shorter repeat beside a longer one, not a loss.
    last = int(np.flatnonzero(sound)[-1])
    return runs, int((~sound[:last]).sum())


def headings(grid: Grid, start: int, width: int) -> tuple[list[str], list[str]]:
    """Return the names and units of the columns, from up to three lines above.

    A block without a heading of its own has that of the first one.
    """
    names, units = [""] * width, [""] * width
    taken = 0
    # The figures of the block above are no headings.
    above = max((end for _, end in grid.blocks if end <= start), default=0)
    for line in range(start - 1, max(start - 5, above - 1), -1):
        row = [cell.strip() for cell in grid.cells[line]]
        filled = [cell for cell in row if cell]
        if not filled:
            continue
        if len(filled) < 2 or taken == 3 or (taken and facts_on_top([row])):
            break
        is_units = all(_is_unit(cell.strip("()[]<>")) for cell in filled)
        for j, cell in enumerate(row[:width]):
            if is_units:
                units[j] = units[j] or cell
            elif cell:
                names[j] = f"{cell} {names[j]}".strip()
        taken += 1
        if not is_units and any(understand(name, "").role for name in names):
            break
    if not any(names) and start != grid.blocks[0][0]:
        return headings(grid, grid.blocks[0][0], width)
    return names, units


def _is_unit(cell: str) -> bool:
    columns = understand("load", cell), understand("extension", cell)
    known = any(column.unit for column in columns)
    return known or cell in ("%", "s", "sec", "min", "-", "mm/mm")


def in_percent(strain: Floats) -> bool:
    """Whether strains without a unit are per cent: no cloth stretches to six times.

    Args:
        strain: As they stand, shape (n,).
    """
    return bool(strain.max() > 5)


def minutes_of(run: Run) -> Floats | None:
    """Return the time of each row in minutes; None without a whole column of times."""
    if "time" not in run.columns:
        return None
    column, values = run.columns["time"]
    factor = column.factor if column.unit else 1 / 60
    return None if np.isnan(values).any() else values * factor
