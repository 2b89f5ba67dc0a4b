"""The hand-made table of a load test: weights hung on a strip, lengths read off."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Final, NamedTuple, cast

from ease.cells import Cells, Row
from ease.errors import EaseError, Problem, ReadingError
from ease.fabric.given import LEAST_CM, MOST_CM, SIZE, Given, width_doubts
from ease.fabric.load_points import (
    SHORTEST,
    LoadPoint,
    back_problems,
    branch_of,
    hand_sweep,
    load_problem,
    order_problems,
    stretch_problems,
)
from ease.fabric.profile import DIRECTIONS, DirectionName, Origin
from ease.fabric.reading_file import origin_of
from ease.fabric.sweep import Sweep
from ease.table import read_table
from ease.units import CM_PER, parse_length

__all__ = ["COLUMNS", "HandLoad", "HandLoadFile", "is_hand_made"]

COLUMNS: Final = ("direction", "repeat", "branch", "load", "length", "extension")
_NEEDED: Final = ("direction", "load")
MOST_SLACK: Final = 1.2  # of the gauge, read unloaded; own choice
_SHARED: Final = ("gauge", "strip_width", "layers")


def is_hand_made(text: str) -> bool:
    """Return whether the first row that is no comment names the hand-made columns.

    An extension may stand for the length; testers write one too, but no branch.
    """
    rows = [line for line in text.splitlines() if line.strip(' \t;,"')]
    head = next((r for r in rows if not r.lstrip('" ').startswith(("#", "sep="))), "")
    words = set(re.findall(r"[a-z]+", head.lower()))
    read = "length" in words or {"extension", "branch"} <= words
    return set(_NEEDED) <= words and read


class HandLoad(NamedTuple):
    """What a hand-made table holds.

    Attributes:
        sweeps: Loading and unloading of every repeat.
        understood: How the file was read, in words.
        notes: What should be said about it.
        origin: ``measured``, unless the file says otherwise.
    """

    sweeps: list[Sweep]
    understood: str
    notes: tuple[str, ...]
    origin: Origin


class HandLoadFile:
    """Reads the hand-made table and gathers what is wrong with it."""

    def __init__(self, path: Path, given: Given) -> None:
        """Read the table; what is given overrides it."""
        table = read_table(path, known=(*COLUMNS, *_SHARED), error=ReadingError)
        told = {
            column: unit
            for column, unit in (
                ("load", given.load_unit),
                ("length", given.length_unit),
                ("extension", given.length_unit),
            )
            if unit and column in table.units
        }
        table = replace(table, units={**table.units, **told})
        self.cells = Cells(table, ReadingError)
        self.given = given
        self.length_unit = given.length_unit or "cm"
        self.load_unit = given.load_unit or "N"

    def load_test(self) -> HandLoad:
        """Return what the table holds.

        Raises:
            ReadingError: With every fault found.
        """
        cells = self.cells
        by = "extension" if "length" not in cells.table.columns else "length"
        cells.require((*_NEEDED, by), (*COLUMNS, *_SHARED))
        if not cells.table.rows:
            cells.fault(None, "", "holds no readings")
        cells.finish()
        layers = self._layers()
        width = self._shared("strip_width", self.given.strip_width)
        gauge = self._shared("gauge", self.given.gauge)
        if width is None:
            message = "is not given; add a line `# strip_width = 5 cm` or --strip-width"
            cells.fault(None, "strip_width", message)
        if gauge is None and by == "extension":
            message = "is not given; add a line `# gauge = 10 cm` or --gauge"
            cells.fault(None, "gauge", message)
        cells.finish()
        origin = origin_of(cells)
        start = gauge or 0.0 if by == "extension" else 0.0
        points = self._points((width or 1.0) / 100 * layers, by, start)
        cells.finish()
        sweeps, notes = self._sweeps(points, gauge)
        cells.finish()
        loop = " (a loop)" if layers == 2 else ""
        gauge_text = (
            "gauge from the unloaded length"
            if gauge is None
            else (f"gauge {10 * gauge:g} mm")
        )
        understood = (
            f"hand-made table, {gauge_text}, strip {10 * (width or 0):g} mm, "
            f"{layers} layer{'s' if layers > 1 else ''}{loop}, "
            f"{len(points)} readings, load in {self._unit('load', self.load_unit)}"
        )
        notes = [*cells.notes, *width_doubts(width), *notes]
        return HandLoad(sweeps, understood, tuple(notes), origin)

    def _unit(self, column: str, default: str) -> str:
        return self.cells.table.units.get(column, default)

    def _shared(self, key: str, override: float | None) -> float | None:
        """Return a length that holds for the whole file, cm."""
        text = self.cells.table.meta.get(key, "")
        value = override
        if value is None and text:
            try:
                value = parse_length(text, self.length_unit)
            except EaseError as error:
                self.cells.problems.append(Problem(f"# {key}", str(error)))
        elif value is None and key in self.cells.table.columns:
            found = {
                self.cells.length(row, key, self.length_unit)
                for row in self.cells.table.rows
            }
            if len(found) > 1:
                self.cells.fault(None, key, "must be the same in every row")
            value = found.pop()
        if value is not None and not LEAST_CM <= value <= MOST_CM:
            self.cells.fault(None, key, SIZE)
        return value

    def _layers(self) -> int:
        text = self.cells.table.meta.get("layers", "1").strip()
        if self.given.layers is not None:
            return self.given.layers
        if text not in ("1", "2"):
            problem = Problem("# layers", f"must be 1 (strip) or 2 (loop), not {text}")
            self.cells.problems.append(problem)
            return 1
        return int(text)

    def _points(self, width_m: float, by: str, start: float) -> list[LoadPoint]:
        """Return every reading as tension at length; faults are gathered.

        Args:
            width_m: Width of all layers, m.
            by: The column that the length is told by.
            start: What it is counted from, cm.
        """
        points: list[LoadPoint] = []
        for row in self.cells.table.rows:
            direction = self.cells.choice(row, "direction", DIRECTIONS)
            repeat = self.cells.whole(row, "repeat") or 1
            branch = branch_of(self.cells, row)
            said = bool(self.cells.text(row, "branch"))
            load = self.cells.load(row, "load", self.load_unit)
            told = self.cells.length(row, by, self.length_unit)
            length = None if told is None else start + told
            self._above_zero(row, load, length, by)
            if None not in (direction, branch, load, length):
                points.append(
                    LoadPoint(
                        cast("DirectionName", direction),
                        repeat,
                        branch or "loading",
                        float(load or 0.0) / width_m,
                        float(length or 0.0),
                        row.place,
                        said,
                    )
                )
        return points

    def _above_zero(
        self, row: Row, load: float | None, length: float | None, by: str
    ) -> None:
        wrong = "" if load is None else load_problem(load, self._said_unit(row))
        if load is not None and load < 0:
            self.cells.fault(row, "load", "must be 0 or more")
        elif wrong:
            self.cells.fault(row, "load", wrong)
        if length is not None and length <= 0:
            self.cells.fault(row, by, "must be above 0")

    def _said_unit(self, row: Row) -> str | None:
        """Return the unit of a load where column, cell or caller give one."""
        written = re.sub(r"[^A-Za-z]", "", self.cells.text(row, "load"))
        return (
            self.cells.table.units.get("load")
            or self.given.load_unit
            or written
            or None
        )

    def _sweeps(
        self, points: list[LoadPoint], gauge: float | None
    ) -> tuple[list[Sweep], list[str]]:
        """Return loading and unloading of every repeat, strain from its own gauge."""
        sweeps: list[Sweep] = []
        notes: list[str] = []
        for direction, repeat in dict.fromkeys((p.direction, p.repeat) for p in points):
            mine = [p for p in points if (p.direction, p.repeat) == (direction, repeat)]
            own = self._gauge(mine, gauge)
            if own is None:
                name = f"{direction} {repeat}"
                what = "no gauge: give `# gauge = 10 cm`, or the length under load 0"
                self.cells.problems.append(Problem(name, what))
                continue
            if gauge is not None and own < gauge * SHORTEST:
                self._short(mine, own, gauge)
                continue
            if gauge is not None and own > gauge * 1.001:
                odd = "; are the gauge and the unit of length right?"
                notes.append(
                    f"{direction} {repeat}: slack of {100 * (own / gauge - 1):.1f} % of "
                    f"the gauge taken off{odd * (own > gauge * MOST_SLACK)}"
                )
            sweeps += self._ways(mine, own)
        return sweeps, notes

    def _short(self, points: list[LoadPoint], own: float, gauge: float) -> None:
        """Refuse an unloaded length below the gauge: no relaxed strip has it."""
        place = next(p.place for p in points if p.tension == 0 and p.length == own)
        what = (
            f"{own:g} cm under no load is shorter than the gauge ({gauge:g} cm): read it "
            "between the marks again, or put the gauge right"
        )
        self.cells.problems.append(Problem(f"{place}, column length", what))

    def _ways(self, points: list[LoadPoint], gauge: float) -> list[Sweep]:
        """Return the loading and, if there is one, the unloading of one repeat."""
        name = f"{points[0].direction} {points[0].repeat}"
        up = [p for p in points if p.branch == "loading"]
        down = [p for p in points if p.branch == "unloading"]
        if not any(p.tension > 0 for p in up):
            what = "has no reading under load as it rises"
            if down:
                what += "; an unloading alone gives no curve, so add the loading"
            self.cells.problems.append(Problem(name, what))
            return []
        self.cells.problems += stretch_problems(points, gauge)
        for way in (up, down):
            self.cells.problems += order_problems(way) if way else []
        self.cells.problems += back_problems(up, down, gauge)
        self._below_gauge(up, gauge)
        return [hand_sweep(way, gauge) for way in (up, down) if way]

    def _below_gauge(self, up: list[LoadPoint], gauge: float) -> None:
        """Refuse a loaded strip shorter than its gauge.

        Of one length under no load and several under load that are shorter, the one is
        rather wrong.
        """
        short = [p for p in up if p.length < gauge and p.tension > 0]
        unloaded = [p for p in up if p.tension == 0]
        if unloaded and len(short) > 1:
            place, what = (
                unloaded[-1].place,
                f"{gauge:g} cm under no load is longer than",
            )
            what += f" {short[0].length:g} cm under load ({short[0].place})"
            self.cells.problems.append(Problem(f"{place}, column length", what))
            return
        shortest = min(p.length for p in up)
        inches = shortest < gauge / 2 and shortest * CM_PER["in"] >= gauge
        for point in short:
            what = f"{point.length:g} cm under load is shorter than the gauge"
            what += f" ({gauge:g} cm)"
            what += "; was it read in inches and headed cm?" * inches
            self.cells.problems.append(Problem(f"{point.place}, column length", what))

    def _gauge(self, points: list[LoadPoint], stated: float | None) -> float | None:
        """Return the length at first tension: under no load, else the stated gauge."""
        unloaded = [
            p.length for p in points if p.branch == "loading" and p.tension == 0
        ]
        if unloaded:
            return unloaded[-1]
        return stated
