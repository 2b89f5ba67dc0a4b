"""Keep a block as a TOML file that a person can read and write by hand.

A file has ``schema``, ``units``, ``name``, ``note``, ``anchor``, ``loop_path``, the table
``[drafted_for]`` and the lists ``[[level]]``, ``[[piece]]`` with ``[[piece.edge]]``,
``[[seam]]`` and ``[[hold]]``. An edge names the points ``from`` and ``to``. With
nothing else it is a straight line; ``curve`` gives the two handles of one cubic;
``path`` strings lines and curves together, of which the last runs to the end::

    path = [
      { line = [3, 4] },
      { curve = [[5, 4], [6, 5], [6, 7]] },
      { curve = [[6, 9], [5, 9]] },
    ]

Coordinates are numbers in ``units`` or texts such as ``"3 7/8 in"``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final, cast, get_args

from ease.block.pieces import (
    Block,
    Cut,
    DraftedFor,
    Hold,
    Level,
    Piece,
    PointRef,
    Seam,
)
from ease.endings import file_kind
from ease.errors import BlockError, EaseError, Problem, UsageError
from ease.files.block_table import Tables, lines_of
from ease.files.block_text import SCHEMA, block_to_toml
from ease.files.drafted_table import drafted_for_of
from ease.files.edge_table import edge_of
from ease.nearest import nearest_text
from ease.read import read_text, read_toml
from ease.write import write_text

__all__ = [
    "SCHEMA",
    "UNITS",
    "block_from_tables",
    "block_to_toml",
    "load_block",
    "save_block",
]

UNITS: Final = ("cm", "mm", "in")
_TOP: Final = (
    "schema",
    "units",
    "name",
    "note",
    "anchor",
    "loop_path",
    "drafted_for",
    "level",
    "piece",
    "seam",
    "hold",
)


def load_block(path: Path) -> Block:
    """Read a block file.

    Args:
        path: A TOML file with ``schema = "ease/block/1"``.

    Raises:
        BlockError: With every fault, its line and its table path, if it is no block.
    """
    data = read_toml(path, BlockError)
    text, _ = read_text(path, BlockError)
    if data.get("schema") != SCHEMA:
        was = repr(data["schema"]) if "schema" in data else "missing"
        fault = Problem("schema", f'is {was}; accepted is "{SCHEMA}"')
        raise BlockError(str(path), [fault])
    return block_from_tables(data, Tables(lines_of(text)), str(path))


def block_from_tables(data: dict[str, Any], reader: Tables, source: str) -> Block:
    """Return the block that the tables of a block file make up.

    Args:
        data: The tables.
        reader: Knows the lines of the file and keeps faults found so far.
        source: The file's name for messages.

    Raises:
        BlockError: With every fault, its line and its table path, if it is no block.
    """
    block = _block(reader, data)
    if reader.problems or block is None:
        raise BlockError(source, reader.told())
    return block


def save_block(block: Block, path: str | Path, *, force: bool = False) -> None:
    """Write a block file in cm, whole or not at all.

    Args:
        block: The block.
        path: The file, which ends in ``.toml``.
        force: Whether an existing file may be replaced.

    Raises:
        UsageError: If the file has another ending; `ease convert` makes other kinds.
        WriteError: If the file exists and ``force`` is not given, or cannot be written.
    """
    path = Path(path)
    if file_kind(path) != "toml":
        message = f"{path}: a block is kept as .toml"
        hint = "`ease convert` turns it into a drawing or a print"
        raise UsageError(message, hint=hint)
    write_text(path, block_to_toml(block), force=force)


def _block(reader: Tables, data: dict[str, Any]) -> Block | None:
    table = reader.table(data, "", _TOP)
    unit = table.get("units", "missing")
    if unit not in UNITS:
        reader.fault("units", f"is {unit}; accepted are {', '.join(UNITS)}")
    else:
        reader.unit = unit
    name = reader.name(table, "name", "", free=True)
    levels = [
        _level(reader, item, path)
        for path, item in reader.tables(table, "level", "", needed=True)
    ]
    pieces = [
        _piece(reader, item, path)
        for path, item in reader.tables(table, "piece", "", needed=True)
    ]
    drafted_for = drafted_for_of(reader, table.get("drafted_for", {}))
    _levels_named(reader, drafted_for, [level.name for level in levels])
    note, anchor = (
        reader.text(table, key, "", default)
        for key, default in (("note", ""), ("anchor", "waist"))
    )
    if reader.problems:
        return None  # what refers to pieces cannot be judged yet
    found = [piece for piece in pieces if piece is not None]
    refs = _References(reader, found)
    try:
        return Block(
            name=name,
            pieces=tuple(found),
            levels=tuple(sorted(levels, key=lambda level: level.y)),
            seams=refs.seams(table),
            holds=refs.holds(table),
            loop_path=refs.loop_path(table.get("loop_path", [])),
            anchor=anchor,
            drafted_for=drafted_for,
            note=note,
        )
    except EaseError as error:
        if not reader.problems:
            reader.fault("", error.message)
        return None


def _levels_named(reader: Tables, made: DraftedFor, names: Sequence[str]) -> None:
    """Refuse a factor of a level that the block does not have."""
    for name, _ in made.level_factors:
        if name not in names:
            what = f"{name!r} is no level of the block; levels are {', '.join(names)}"
            reader.fault("drafted_for.level_factors", what)


def _level(reader: Tables, item: object, path: str) -> Level:
    table = reader.table(item, path, ("name", "y", "loop"))
    if "y" not in table:
        reader.fault(f"{path}.y", "is missing")
    y = reader.length(table.get("y", 0), f"{path}.y")
    return Level(reader.name(table, "name", path), y, reader.choice(table, path))


def _cut(reader: Tables, table: dict[str, Any], path: str) -> Cut:
    """Return how a piece is cut; older files tell only whether it lies on the fold."""
    if "cut" not in table:
        return "fold" if reader.flag(table, "on_fold", path) else "pair"
    if "on_fold" in table:
        reader.fault(f"{path}.on_fold", "is the older way to say cut; leave it out")
    cut = table["cut"]
    if cut not in get_args(Cut):
        reader.fault(f"{path}.cut", f"must be one of {', '.join(get_args(Cut))}")
        return "fold"
    return cast("Cut", cut)


def _piece(reader: Tables, item: object, path: str) -> Piece | None:
    keys = ("name", "cut", "on_fold", "in_girth", "points", "marks", "edge")
    table = reader.table(item, path, keys)
    before = len(reader.problems)
    name = reader.name(table, "name", path)
    points, marks = (reader.points(table, key, path) for key in ("points", "marks"))
    edges = [
        edge_of(reader, each, where, points)
        for where, each in reader.tables(table, "edge", path, needed=True)
    ]
    cut, in_girth = _cut(reader, table, path), reader.flag(table, "in_girth", path)
    if len(reader.problems) > before:
        return None
    found = [edge for edge in edges if edge is not None]
    for i, (edge, after) in enumerate(zip(found, found[1:] + found[:1], strict=True)):
        if edge.end != after.start:
            reader.fault(
                f"{path}.edge[{i + 1}].to",
                f"edge {edge.name!r} ends at {edge.end!r} but the next edge, "
                f"{after.name!r}, starts at {after.start!r}",
            )
    if len(reader.problems) > before:
        return None
    for spare in sorted(points.keys() - {edge.start for edge in found}):
        reader.fault(f"{path}.points.{spare}", "is on no edge; put it under marks")
    if len(reader.problems) > before:
        return None
    try:
        return Piece(name, tuple(found), marks, cut, in_girth)
    except EaseError as error:
        reader.fault(path, error.message)
        return None


class _References:
    """Reads what refers to pieces, with a fault for each name that does not exist."""

    def __init__(self, reader: Tables, pieces: list[Piece]) -> None:
        self.reader = reader
        self.edges = [f"{piece.name}.{e.name}" for piece in pieces for e in piece.edges]
        self.points = [
            f"{piece.name}.{point}"
            for piece in pieces
            for point in (*(edge.start for edge in piece.edges), *piece.marks)
        ]

    def _known(self, value: object, path: str, known: list[str], kind: str) -> str:
        if not isinstance(value, str):
            self.reader.fault(path, f"must be a {kind} written 'piece.{kind}'")
        elif value not in known:
            near = nearest_text(value, known)
            self.reader.fault(path, f"the block has no {kind} {value!r}{near}")
        else:
            return value
        return known[0]

    def _pair(
        self, table: dict[str, Any], key: str, path: str, known: list[str], kind: str
    ) -> tuple[str, str]:
        value, where = table.get(key), f"{path}.{key}"
        if not isinstance(value, list) or len(value) != 2:
            self.reader.fault(where, f"must name two {kind}s, each 'piece.{kind}'")
            return known[0], known[0]
        first, second = (self._known(v, where, known, kind) for v in value)
        return first, second

    def seams(self, top: dict[str, Any]) -> tuple[Seam, ...]:
        found = []
        for path, item in self.reader.tables(top, "seam", ""):
            table = self.reader.table(item, path, ("edges",))
            found.append(Seam(*self._pair(table, "edges", path, self.edges, "edge")))
        return tuple(found)

    def holds(self, top: dict[str, Any]) -> tuple[Hold, ...]:
        found = []
        for path, item in self.reader.tables(top, "hold", ""):
            table = self.reader.table(item, path, ("name", "between"))
            name = self.reader.name(table, "name", path, free=True)
            pair = self._pair(table, "between", path, self.points, "point")
            if pair[0] == pair[1] and table.get("between") == [*pair]:
                self.reader.fault(f"{path}.between", "must name two different points")
            found.append(Hold(name, _ref(pair[0]), _ref(pair[1])))
        return tuple(found)

    def loop_path(self, value: object) -> tuple[tuple[PointRef, ...], ...]:
        if not isinstance(value, list) or not all(isinstance(r, list) for r in value):
            self.reader.fault("loop_path", "must be a list of lists of 'piece.point'")
            return ()
        return tuple(
            tuple(_ref(self._known(v, "loop_path", self.points, "point")) for v in run)
            for run in value
        )


def _ref(text: str) -> PointRef:
    return PointRef(*text.split(".", 1))
