"""The map: a short TOML file that says what the lines of a foreign drawing mean."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal, cast, get_args

from ease.block.pieces import Loop
from ease.errors import InputError, Problem
from ease.files.drawing import read_limited

__all__ = ["DrawingMap", "Fold", "LevelMap", "PieceMap", "load_map"]

TomlValue = Any  # whatever a TOML file can hold
Fold = Literal["auto", "left", "right", "none"]
_LIMIT: Final = 1_000_000
_KEYS: Final = {
    "": {"schema", "name", "anchor", "pieces", "levels", "seams", "holds", "loop_path"},
    "piece": {"from", "fold", "in_girth", "edges", "points"},
    "level": {"from", "y", "loop"},
}


@dataclass(frozen=True, slots=True)
class PieceMap:
    """What the map says of one piece.

    Attributes:
        source: Label, title or id of its outline, or of the group round it.
        fold: On which side of the drawn piece the fold lies; ``auto`` looks.
        in_girth: Whether its width counts in girths.
        edges: New names of edges by their names as found.
        points: New names of points by their names as found.
    """

    source: str
    fold: Fold = "auto"
    in_girth: bool = True
    edges: Mapping[str, str] = field(default_factory=dict)
    points: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LevelMap:
    """What the map says of one level: the line that shows it, or its height.

    Attributes:
        source: Label, title or id of its line; empty where ``y`` is given.
        y: Height in cm below the highest point of the first piece.
        loop: Whether the girth there is a closed loop of cloth.
    """

    source: str = ""
    y: float | None = None
    loop: Loop = "closed"


@dataclass(frozen=True, slots=True)
class DrawingMap:
    """What the lines of a drawing mean; all of it may be left out.

    Attributes:
        name: Name of the block.
        anchor: Level that stays in place.
        pieces: By name of the piece; without any, every closed outline is one.
        levels: By name of the level.
        seams: Pairs of ``piece.edge``.
        holds: Name and the two ends, each ``piece.point``.
        loop_path: Runs of ``piece.point``.
    """

    name: str = ""
    anchor: str = ""
    pieces: Mapping[str, PieceMap] = field(default_factory=dict)
    levels: Mapping[str, LevelMap] = field(default_factory=dict)
    seams: tuple[tuple[str, str], ...] = ()
    holds: tuple[tuple[str, str, str], ...] = ()
    loop_path: tuple[tuple[str, ...], ...] = ()


class _Check:
    """Reads values by path and keeps every fault."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def fault(self, where: str, what: str) -> None:
        self.problems.append(Problem(where, what))

    def table(self, value: TomlValue, where: str) -> dict[str, Any]:
        if isinstance(value, dict):
            return value
        self.fault(where, "must be a table")
        return {}

    def text(self, value: TomlValue, where: str) -> str:
        if isinstance(value, str):
            return value
        self.fault(where, "must be text in quotes")
        return ""

    def names(self, value: TomlValue, where: str) -> dict[str, str]:
        table = self.table(value, where)
        return {key: self.text(item, f"{where}.{key}") for key, item in table.items()}

    def rows(self, value: TomlValue, where: str, width: int) -> list[tuple[str, ...]]:
        good = isinstance(value, list) and all(
            isinstance(row, list)
            and (len(row) == width or (not width and len(row) > 1))
            and all(isinstance(item, str) for item in row)
            for row in value
        )
        if good:
            return [tuple(row) for row in value]
        size = f"{width} names" if width else "two names or more"
        self.fault(where, f"must be a list of lists of {size} each")
        return []

    def keys(self, table: Mapping[str, Any], kind: str, where: str) -> None:
        known = ", ".join(sorted(_KEYS[kind]))
        for key in sorted(set(table) - _KEYS[kind]):
            place = f"{where}.{key}" if where else key
            self.fault(place, f"is not a key here; known are {known}")

    def choice(self, value: TomlValue, where: str, accepted: tuple[str, ...]) -> str:
        if value in accepted:
            return str(value)
        self.fault(where, f"{value!r} is not one of {', '.join(accepted)}")
        return accepted[0]


def load_map(path: Path) -> DrawingMap:
    """Return the map in a TOML file.

    Raises:
        InputError: With every fault found, if it is wrong.
    """
    source = str(path)
    data = read_limited(path, _LIMIT, "a TOML file")
    try:
        table = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise InputError(source, "is not UTF-8 text") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(source, f"is not TOML: {error}") from error
    return map_from_table(table, source)


def map_from_table(table: Mapping[str, Any], source: str) -> DrawingMap:
    """Return the map in a table; see :func:`load_map`."""
    check = _Check()
    check.keys(table, "", "")
    if "schema" in table and table["schema"] != "ease/map/1":
        check.fault("schema", f"{table['schema']!r} is not 'ease/map/1'")
    pieces = check.table(table.get("pieces", {}), "pieces")
    levels = check.table(table.get("levels", {}), "levels")
    found = DrawingMap(
        name=check.text(table.get("name", ""), "name"),
        anchor=check.text(table.get("anchor", ""), "anchor"),
        pieces={k: _piece(check, v, f"pieces.{k}", k) for k, v in pieces.items()},
        levels={k: _level(check, v, f"levels.{k}") for k, v in levels.items()},
        seams=tuple((a, b) for a, b in check.rows(table.get("seams", []), "seams", 2)),
        holds=tuple(
            (name, a, b)
            for name, a, b in check.rows(table.get("holds", []), "holds", 3)
        ),
        loop_path=tuple(check.rows(table.get("loop_path", []), "loop_path", 0)),
    )
    if check.problems:
        raise InputError(source, check.problems)
    return found


def _piece(check: _Check, value: TomlValue, where: str, name: str) -> PieceMap:
    if isinstance(value, str):
        return PieceMap(value)
    table = check.table(value, where)
    check.keys(table, "piece", where)
    in_girth = table.get("in_girth", True)
    if not isinstance(in_girth, bool):
        check.fault(f"{where}.in_girth", "must be true or false")
    fold = check.choice(table.get("fold", "auto"), f"{where}.fold", get_args(Fold))
    return PieceMap(
        check.text(table.get("from", name), f"{where}.from"),
        cast("Fold", fold),
        bool(in_girth),
        check.names(table.get("edges", {}), f"{where}.edges"),
        check.names(table.get("points", {}), f"{where}.points"),
    )


def _level(check: _Check, value: TomlValue, where: str) -> LevelMap:
    if isinstance(value, str):
        return LevelMap(source=value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        value = {"y": value}
    table = check.table(value, where)
    check.keys(table, "level", where)
    y = table.get("y")
    number = isinstance(y, (int, float)) and not isinstance(y, bool)
    if y is not None and not (number and abs(y) < 1e4):
        check.fault(f"{where}.y", "must be a number of cm")
        y = None
    loop = check.choice(table.get("loop", "closed"), f"{where}.loop", get_args(Loop))
    source = check.text(table.get("from", ""), f"{where}.from")
    return LevelMap(source, None if y is None else float(y), cast("Loop", loop))
