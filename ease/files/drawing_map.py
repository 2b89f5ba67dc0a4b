"""The map: a short TOML file that says what the lines of a foreign drawing mean."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal, cast, get_args

from ease.block.pieces import Loop
from ease.errors import InputError, Problem
from ease.files.block_table import Tables, lines_of
from ease.read import read_text, read_toml

__all__ = ["DrawingMap", "Fold", "LevelMap", "PieceMap", "load_map", "map_from_tables"]

Fold = Literal["auto", "left", "right", "none", "pair"]
SCHEMA: Final = "ease/map/1"
_TOP: Final = (
    "schema",
    "name",
    "anchor",
    "loop_path",
    "level",
    "piece",
    "seam",
    "hold",
)


@dataclass(frozen=True, slots=True)
class PieceMap:
    """What the map says of one piece.

    Attributes:
        source: Label, title or id of its outline, or of the group round it.
        fold: On which side of the drawn piece the fold lies; ``auto`` looks, ``none``
            is a whole piece cut once, ``pair`` one that is cut twice, mirrored.
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


def load_map(path: Path) -> DrawingMap:
    """Return the map in a TOML file.

    Raises:
        InputError: With every fault found, its line and its table path.
    """
    data = read_toml(path)
    if data.get("schema") != SCHEMA:
        fault = Problem("schema", f'must be "{SCHEMA}"')
        raise InputError(str(path), [fault])
    text, _ = read_text(path)
    return map_from_tables(data, Tables(lines_of(text)), str(path))


def map_from_tables(data: Mapping[str, Any], reader: Tables, source: str) -> DrawingMap:
    """Return the map that tables make up; see :func:`load_map`."""
    table = reader.table(data, "", _TOP)
    pieces = dict(
        _piece(reader, item, path) for path, item in reader.tables(table, "piece", "")
    )
    levels = dict(
        _level(reader, item, path) for path, item in reader.tables(table, "level", "")
    )
    seams = []
    for path, item in reader.tables(table, "seam", ""):
        row = reader.table(item, path, ("edges",))
        first, second = _names(reader, row.get("edges"), f"{path}.edges", 2)
        seams.append((first, second))
    holds = []
    for path, item in reader.tables(table, "hold", ""):
        row = reader.table(item, path, ("name", "between"))
        first, second = _names(reader, row.get("between"), f"{path}.between", 2)
        holds.append((reader.name(row, "name", path), first, second))
    runs = table.get("loop_path", [])
    if not isinstance(runs, list):
        reader.fault("loop_path", "must be a list of lists of 'piece.point'")
        runs = []
    found = DrawingMap(
        name=reader.text(table, "name", "", ""),
        anchor=reader.text(table, "anchor", "", ""),
        pieces=pieces,
        levels=levels,
        seams=tuple(seams),
        holds=tuple(holds),
        loop_path=tuple(_names(reader, run, "loop_path", 0) for run in runs),
    )
    if reader.problems:
        raise InputError(source, reader.told())
    return found


def _names(reader: Tables, value: object, path: str, count: int) -> tuple[str, ...]:
    """Return names of edges or points; with a count of 0, two or more."""
    good = (
        isinstance(value, list)
        and (len(value) == count or (not count and len(value) > 1))
        and all(isinstance(item, str) and "." in item for item in value)
    )
    if good:
        return tuple(cast("list[str]", value))
    number = "two" if count else "two or more"
    reader.fault(path, f"must name {number}, each with its piece: ['front.side', ...]")
    return ("",) * count


def _renames(
    reader: Tables, table: Mapping[str, Any], key: str, path: str
) -> dict[str, str]:
    value, where = table.get(key, {}), f"{path}.{key}"
    if not isinstance(value, dict):
        reader.fault(where, "must be a table: 'name as found' = 'new name'")
        return {}
    return {old: reader.plain_name(new, f"{where}.{old}") for old, new in value.items()}


def _piece(reader: Tables, item: object, path: str) -> tuple[str, PieceMap]:
    table = reader.table(
        item, path, ("name", "from", "fold", "in_girth", "edges", "points")
    )
    name = reader.name(table, "name", path)
    fold = table.get("fold", "auto")
    if fold not in get_args(Fold):
        reader.fault(f"{path}.fold", f"must be one of {', '.join(get_args(Fold))}")
        fold = "auto"
    return name, PieceMap(
        reader.text(table, "from", path, name),
        cast("Fold", fold),
        reader.flag(table, "in_girth", path),
        _renames(reader, table, "edges", path),
        _renames(reader, table, "points", path),
    )


def _level(reader: Tables, item: object, path: str) -> tuple[str, LevelMap]:
    table = reader.table(item, path, ("name", "from", "y", "loop"))
    name = reader.name(table, "name", path)
    y = reader.length(table["y"], f"{path}.y") if "y" in table else None
    source = reader.text(table, "from", path, "" if "y" in table else name)
    return name, LevelMap(source, y, reader.choice(table, path))
