"""A tensile tester's export as it comes: find the table, the units and the repeats."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.cells import plain_number
from ease.errors import EaseError, Problem, ReadingError
from ease.fabric.given import LEAST_CM, MOST_CM, SIZE, Given, width_doubts
from ease.fabric.profile import DirectionName
from ease.fabric.series import joined_ways, squeezed
from ease.fabric.sweep import Series, split_cycles
from ease.fabric.tester_columns import (
    DIRECTION_HEAD,
    Column,
    direction_of,
    facts_on_top,
)
from ease.fabric.tester_grid import LEAST_ROWS, find_grid
from ease.fabric.tester_runs import (
    AXES,
    Run,
    headings,
    in_percent,
    minutes_of,
    runs_in,
    words_under,
)
from ease.units import CM_PER, NEWTON_PER, parse_length, parse_quantity

__all__ = ["read_tester"]

Floats = NDArray[np.float64]

LARGEST: Final = 1e9  # in any unit; no bench has such loads, lengths or times
SATURATED: Final = 0.03  # of the range of strain at one and the same greatest load


def read_tester(
    path: Path, text: str, given: Given
) -> tuple[list[Series], str, tuple[str, ...]]:
    """Return the series of an export, what was understood, and notes.

    Args:
        path: The file, for messages.
        text: Its text.
        given: What the user states beside it.

    Raises:
        ReadingError: If no table of figures is found, or what it lacks is not given;
            all that is lacking is named at once.
    """
    return _Export(str(path), text, given).series()


class _Export:
    """One export; what it lacks is gathered and raised together."""

    def __init__(self, source: str, text: str, given: Given) -> None:
        self.source = source
        self.given = given
        self.notes: list[str] = []
        self.problems: list[Problem] = []
        self.options: list[str] = []
        self.grid = find_grid(source, text)
        top = self.grid.cells[: self.grid.blocks[0][0]]
        if self.grid.separator == " ":
            top = [[" ".join(row)] for row in top]
        self.facts = facts_on_top(top)

    def series(self) -> tuple[list[Series], str, tuple[str, ...]]:
        """Return every repeat with strain and tension per width."""
        runs, lost = runs_in(self.grid)
        if not runs:
            message = "has no columns of load and extension"
            raise ReadingError(self.source, message, hint=self._heads())
        self._check_size(runs)
        if lost:
            plural = "s" if lost > 1 else ""
            self.notes.append(f"{lost} row{plural} without figures left out")
        direction = self._direction(runs)
        gauge = self._length("gauge", self.given.gauge)
        layers = self._layers()
        width = self._width(runs)
        found = [
            Series(
                direction=direction,
                repeat=number,
                strain=self._strain(run, gauge),
                tension=self._tension(run, width, layers),
                places=tuple(f"line {line + 1}" for line in run.lines),
                minutes=minutes_of(run),
            )
            for number, run in enumerate(runs, start=1)
        ]
        if self.problems:
            hint = f"add {' '.join(dict.fromkeys(self.options))}"
            raise ReadingError(
                self.source, list(dict.fromkeys(self.problems)), hint=hint
            )
        if faults := squeezed(found):
            raise ReadingError(self.source, faults)
        found = self._long_enough(joined_ways(found))
        found = [self._said_if_saturated(one) for one in found]
        understood = self._understood(runs[0], found, gauge, layers)
        return found, understood, tuple(dict.fromkeys(self.notes))

    def _long_enough(self, found: list[Series]) -> list[Series]:
        """Return the repeats of rows enough, and say which rows are left out."""
        kept = [one for one in found if one.strain.size >= LEAST_ROWS]
        if not kept:
            message = f"holds no repeat of {LEAST_ROWS} rows or more"
            raise ReadingError(self.source, message)
        for one in found:
            if one.strain.size < LEAST_ROWS:
                rows = f"{one.strain.size} row{'s' * (one.strain.size > 1)}"
                self.notes.append(f"{rows} from {one.places[0]} on left out: no repeat")
        return [replace(one, repeat=at) for at, one in enumerate(kept, start=1)]

    def _check_size(self, runs: list[Run]) -> None:
        """Refuse figures that no tester shows, with their lines."""
        problems = [
            Problem(f"line {run.lines[int(row)] + 1}, column {column.title}", what)
            for run in runs
            for column, values in run.columns.values()
            for row in np.flatnonzero(np.abs(values) > LARGEST)[:1]
            for what in (f"{values[row]:.4g} is out of all size",)
        ]
        if problems:
            raise ReadingError(self.source, list(dict.fromkeys(problems)))

    def _lack(self, where: str, what: str, option: str) -> None:
        self.problems.append(Problem(where, what))
        self.options.append(option)

    def _heads(self) -> str:
        start = self.grid.blocks[0][0]
        width = max(len(row) for row in self.grid.cells[start:])
        names = [name for name in headings(self.grid, start, width)[0] if name]
        have = f"the figures stand under {', '.join(names)}; " if names else ""
        return f"{have}columns are known by names such as Load (N) and Extension (mm)"

    def _direction(self, runs: list[Run]) -> DirectionName:
        by_row = {
            direction_of(word) for word in words_under(self.grid, runs, DIRECTION_HEAD)
        }
        found = by_row - {None}
        if len(found) > 1:
            message = "names both across and along, row by row"
            hint = (
                "give each direction a file of its own, or weights with a column branch"
            )
            raise ReadingError(self.source, message, hint=hint)
        told = next(iter(found), None) or self.given.direction
        told = told or direction_of(self.facts.get("direction", ""))
        if told is not None:
            return told
        what = "does not say in which direction the cloth was pulled"
        self._lack("", what, "--direction across")
        return "across"

    def _length(self, key: str, override: float | None) -> float | None:
        """Return a length that the lines on top state, cm."""
        text = self.facts.get(key, "")
        if override is not None or not text:
            return override
        default = self.given.length_unit or "mm"
        try:
            plain = plain_number(text, self.grid.decimal)
            if parse_quantity(plain).unit not in CM_PER:
                self.notes.append(f"{key.replace('_', ' ')} {text} taken as {default}")
            value = parse_length(plain, default)
        except EaseError as error:
            self._lack(key, str(error), f"--{key.replace('_', '-')} 10cm")
            return 1.0
        if not LEAST_CM <= value <= MOST_CM:
            self._lack(key, SIZE, f"--{key.replace('_', '-')} 10cm")
            return 1.0
        return value

    def _layers(self) -> int:
        if self.given.layers is not None:
            return self.given.layers
        text = self.facts.get("layers", "").strip()
        if text[:1] in ("1", "2"):
            return int(text[0])
        if re.search(r"\bloop\b", self.facts.get("specimen_type", ""), re.I):
            self.notes.append("specimen called a loop: two layers")
            return 2
        return 1

    def _width(self, runs: list[Run]) -> float:
        """Return the width of the strip, m; 1 where load is per width already."""
        if all(run.columns["load"][0].per_width for run in runs):
            return 1.0
        width = self._length("strip_width", self.given.strip_width)
        if width is None:
            what = "does not state the width of the strip"
            self._lack("", what, "--strip-width 5cm")
        self.notes += width_doubts(width)
        return (width or 100.0) / 100

    def _tension(self, run: Run, width: float, layers: int) -> Floats:
        """Return tension per width and layer, N/m, pulling counted as positive."""
        column, load = run.columns["load"]
        factor = column.factor
        if self.given.load_unit is not None and not column.per_width:
            factor = NEWTON_PER[self.given.load_unit]
        elif not column.unit:
            what, option = "has no unit of load", "--units-load N"
            if named := re.search(r"[(\[]\s*(\S+?)\s*[)\]]", column.title):
                what = f"{named[1]} is no known unit; known are {', '.join(NEWTON_PER)}"
                option += ", once the column is in N"
            self._lack(f"column {column.title}", what, option)
        values = load * factor / (layers * (1.0 if column.per_width else width))
        if values[np.argmax(np.abs(values))] < 0:
            self.notes.append("load has its sign turned: pulling counts as positive")
            return np.asarray(-values)
        return np.asarray(values)

    def _strain(self, run: Run, gauge: float | None) -> Floats:
        for role in AXES:
            if role not in run.columns or (role != "strain" and gauge is None):
                continue
            column, values = run.columns[role]
            if role == "strain":
                return self._from_strain(column, values)
            cm = values * self._length_factor(column)
            if role == "extension" and abs(cm.min()) > abs(cm.max()):
                self.notes.append("extension has its sign turned")
                cm = -cm
            start = gauge or 0.0
            if role == "extension":
                start = self._position_at_rest(run, cm, gauge or 1.0)
            return np.asarray((cm - start) / (gauge or 1.0))
        self._lack("", "does not state the gauge length", "--gauge 10cm")
        return np.zeros(len(run.lines))

    def _position_at_rest(self, run: Run, cm: Floats, gauge: float) -> float:
        """Return where extension is counted from: a far first row without load."""
        load = np.abs(run.columns["load"][1])
        if abs(cm[0]) < gauge / 2 or load[0] > 0.1 * load.max():
            return 0.0
        self.notes.append(f"position counted from the first row, {10 * cm[0]:g} mm")
        return float(cm[0])

    def _said_if_saturated(self, series: Series) -> Series:
        """Note a load that stays at its greatest while the strip is still pulled."""
        top = series.tension == series.tension.max()
        span = float(np.ptp(series.strain[top]))
        if top.sum() >= 4 and span > SATURATED * float(np.ptp(series.strain)):
            self.notes.append(
                f"repeat {series.repeat}: load stays at its greatest over "
                f"{100 * span:.0f} % strain; did the load cell reach its end?"
            )
        return series

    def _length_factor(self, column: Column) -> float:
        if self.given.length_unit is not None:
            return CM_PER[self.given.length_unit]
        if not column.unit:
            what = "has no unit of length"
            self._lack(f"column {column.title}", what, "--units-length mm")
        return column.factor

    def _from_strain(self, column: Column, values: Floats) -> Floats:
        if column.unit:
            return values * column.factor
        percent = in_percent(values)
        kind = "per cent" if percent else "a fraction"
        self.notes.append(f"column {column.title} has no unit; taken as {kind}")
        return values * (0.01 if percent else 1.0)

    def _understood(
        self, run: Run, series: list[Series], gauge: float | None, layers: int
    ) -> str:
        sweeps, _ = split_cycles(series[0])
        cycles = max((sweep.cycle for sweep in sweeps), default=0)
        load = run.columns["load"][0]
        unit = load.unit if load.per_width else self.given.load_unit or load.unit
        axis, values = next(run.columns[role] for role in AXES if role in run.columns)
        axis_unit = axis.unit or ("%" if in_percent(values) else "fractions")
        if axis.role != "strain":
            axis_unit = self.given.length_unit or axis.unit
        width = self._length("strip_width", self.given.strip_width)
        mark = {"\t": "tabs", " ": "spaces"}.get(self.grid.separator)
        parts = [
            series[0].direction,
            "" if gauge is None else f"gauge {10 * gauge:g} mm",
            "load per width" if width is None else f"strip {10 * width:g} mm",
            "1 layer" if layers == 1 else "2 layers (a loop)",
            f"{len(series)} repeat{'s' * (len(series) > 1)}",
            f"{cycles} cycle{'s' * (cycles != 1)}",
            f"{len(series[0].places)} points",
            f"load in {unit}, {axis.role} in {axis_unit}",
            f"cells between {mark or repr(self.grid.separator)}",
            f"decimal mark {self.grid.decimal!r}",
        ]
        return ", ".join(part for part in parts if part)
