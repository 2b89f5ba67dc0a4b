"""The tables of a block file turned into a block, with every fault found at once."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isfinite
from typing import Any, cast

from ease.block.block_limits import LIMIT_CM
from ease.block.fittings import FACTOR_RANGE, STRAIN_RANGE
from ease.block.pieces import LOOP_SHARE, Loop
from ease.errors import Problem, UnitError
from ease.nearest import nearest_text
from ease.sentence import Length, Sentence
from ease.units import CM_PER, parse_length

__all__ = ["LIMIT_CM", "Tables", "lines_of"]

_HEADER = re.compile(r"\s*(\[\[?)\s*([\w.\- \"]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*\"?([\w-]+)\"?\s*=")


def lines_of(text: str) -> dict[str, int]:
    """Return the line of each table and key of a TOML text, by its path.

    Paths count from 1: ``piece[2].edge[1].curve``.
    """
    here, counts, found = "", dict[str, int](), dict[str, int]()
    for number, row in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(row):
            parts, here = header[2].split("."), ""
            for depth, part in enumerate(parts, start=1):
                here = f"{here}.{part.strip()}" if here else part.strip()
                if header[1] == "[[" and depth == len(parts):
                    counts[here] = counts.get(here, 0) + 1
                if here in counts:
                    here = f"{here}[{counts[here]}]"
            found.setdefault(here, number)
        elif entry := _KEY.match(row):
            found.setdefault(f"{here}.{entry[1]}" if here else entry[1], number)
    return found


class Tables:
    """Takes values out of a block file's tables and gathers what is wrong with them."""

    def __init__(self, lines: Mapping[str, int], unit: str = "cm") -> None:
        """Start with the lines of the keys and the unit of bare numbers."""
        self.lines = lines
        self.unit = unit
        self.problems: list[Problem] = []
        self._far: dict[str, list[int]] = {}  # faults of one kind by piece

    def fault(self, path: str, what: str) -> None:
        """Record a fault with its path and, where it is known, its line."""
        place = path
        while place and place not in self.lines:
            # A key in quotes may end with a bracket or a full stop.
            place = re.sub(r"(\[[0-9]+\]|\.?[^.\[\]]+|.)$", "", place, flags=re.DOTALL)
        where = f"line {self.lines[place]}, {path}" if place else path
        self.problems.append(Problem(where, what))

    def told(self) -> list[Problem]:
        """Return the faults; of many numbers of a piece that lie too far out, one."""
        kept = dict(enumerate(self.problems))
        for key, found in self._far.items():
            if len(found) > 1:
                first = kept[found[0]]
                what = Sentence(
                    '{}, one of {} such numbers of {}; is units = "{}" right?',
                    *(first.what, len(found), key, self.unit),
                )
                kept[found[0]] = replace(first, what=what)
                for index in found[1:]:
                    del kept[index]
        return list(kept.values())

    def table(self, value: object, path: str, keys: Sequence[str]) -> dict[str, Any]:
        """Return a table, with a fault for each key that is not known."""
        if not isinstance(value, dict):
            self.fault(path, "must be a table")
            return {}
        for key in value:
            if key not in keys:
                near = nearest_text(str(key), keys)
                accepted = near or f"; accepted are {', '.join(keys)}"
                self.fault(f"{path}.{key}" if path else key, f"is unknown{accepted}")
        return value

    def tables(
        self, parent: Mapping[str, Any], key: str, path: str, *, needed: bool = False
    ) -> list[tuple[str, Any]]:
        """Return the tables of a list ``[[key]]``, each with its path."""
        inner = f"{path}.{key}" if path else key
        value = parent.get(key, [])
        if not isinstance(value, list):
            self.fault(inner, f"must be a list of tables [[{key}]]")
            return []
        if needed and not value:
            self.fault(path or key, f"at least one table [[{key}]] is needed")
        return [(f"{inner}[{i}]", item) for i, item in enumerate(value, start=1)]

    def text(self, table: Mapping[str, Any], key: str, path: str, default: str) -> str:
        """Return a text of one line or more, or the default."""
        value = table.get(key, default)
        if isinstance(value, str):
            return value
        self.fault(f"{path}.{key}" if path else key, "must be a text in quotes")
        return default

    def name(
        self, table: Mapping[str, Any], key: str, path: str, *, free: bool = False
    ) -> str:
        """Return a name that is there and not empty; a full stop only where free."""
        where = f"{path}.{key}" if path else key
        if key not in table:
            self.fault(where, "is missing")
            return ""
        return self.plain_name(table[key], where, free=free)

    def plain_name(self, value: object, path: str, *, free: bool = False) -> str:
        """Return a name; unless free, it can stand in ``piece.edge``, ``piece.point``."""
        if not isinstance(value, str) or not value.strip():
            self.fault(path, "must be a name in quotes")
            return ""
        if "\n" in value or ("." in value and not free):
            stop = "" if free else "full stop and no "
            self.fault(path, f"a name holds no {stop}line break: {value!r}")
        return value

    def flag(self, table: Mapping[str, Any], key: str, path: str) -> bool:
        """Return true or false; true where nothing is said."""
        value = table.get(key, True)
        if not isinstance(value, bool):
            self.fault(f"{path}.{key}", f"must be true or false, not {value!r}")
            return True
        return value

    def choice(self, table: Mapping[str, Any], path: str) -> Loop:
        """Return the kind of loop of a level."""
        value = table.get("loop", "closed")
        if not isinstance(value, str) or value not in LOOP_SHARE:
            self.fault(f"{path}.loop", f"must be one of {', '.join(LOOP_SHARE)}")
            return "closed"
        return cast("Loop", value)

    def factor(self, table: Mapping[str, Any], key: str, path: str) -> float | None:
        """Return a factor (cut over body), or None where there is none."""
        return self._within(table, key, path, FACTOR_RANGE)

    def strain(self, table: Mapping[str, Any], key: str, path: str) -> float | None:
        """Return a worn strain, or None where there is none."""
        return self._within(table, key, path, STRAIN_RANGE)

    def _within(
        self, table: Mapping[str, Any], key: str, path: str, ends: tuple[float, float]
    ) -> float | None:
        if key not in table:
            return None
        value, (low, high) = table[key], ends
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        if not number or not low <= value <= high:
            what = f"must be a number {low:g} to {high:g}, not {value!r}"
            self.fault(f"{path}.{key}", what)
            return None
        return float(value)

    def length(self, value: object, path: str) -> float:
        """Return a length in cm from a number or a text; 0 where it is wrong."""
        if isinstance(value, bool) or not isinstance(value, (int, float, str)):
            self.fault(
                path, f"must be a number or a text such as '3 7/8', not {value!r}"
            )
            return 0.0
        try:
            if isinstance(value, str):
                length = parse_length(value, self.unit)
            else:
                length = value * CM_PER[self.unit]
        except UnitError as error:
            self.fault(path, str(error))
            return 0.0
        if not isfinite(length):
            self.fault(path, f"must be a finite number, not {value}")
        elif abs(length) > LIMIT_CM:
            piece = re.match(r"piece\[[0-9]+\]", path)
            key = piece[0] if piece else path.partition("[")[0]
            self._far.setdefault(key, []).append(len(self.problems))
            far = Sentence(
                "lies over {} from the centre: {}", Length(LIMIT_CM, 0), value
            )
            self.fault(path, far)
        else:
            return float(length)
        return 0.0

    def point(self, value: object, path: str) -> tuple[float, float]:
        """Return a point (x, y), cm."""
        if not isinstance(value, list):
            self.fault(path, f"must be a point [x, y], not {value!r}")
            return 0.0, 0.0
        if len(value) != 2:
            more = "; TOML wants a decimal point: 12.5, not 12,5" if value[2:] else ""
            self.fault(path, f"a point has two numbers, not {len(value)}{more}")
            return 0.0, 0.0
        return self.length(value[0], path), self.length(value[1], path)

    def points(
        self, table: Mapping[str, Any], key: str, path: str
    ) -> dict[str, tuple[float, float]]:
        """Return a table of named points, cm."""
        value = table.get(key, {})
        where = f"{path}.{key}"
        if not isinstance(value, dict):
            self.fault(where, "must be a table of named points: A = [x, y]")
            return {}
        for name in value:
            self.plain_name(name, f"{where}.{name}")
        return {name: self.point(xy, f"{where}.{name}") for name, xy in value.items()}
