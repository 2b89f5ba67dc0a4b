"""The lines ``# key = value`` above the points of a traced block, and what they mean."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from ease.cells import Table
from ease.errors import BlockError, Problem
from ease.files.block_table import Tables
from ease.files.block_toml import UNITS
from ease.files.trace_records import TracedPiece
from ease.nearest import nearest_text
from ease.units import canonical_unit

__all__ = ["TraceLines", "line_tables", "line_unit", "slug_of"]

_BLOCK_SCHEMA: Final = "ease/block/1"
_KNOWN: Final = (
    "name, anchor, note, units, tolerance, fold PIECE, girth PIECE, level NAME, "
    "seam NAME, hold NAME, loop NAME"
)
_MOST_WORDS: Final = 60


class TraceLines(Tables):
    """Tells faults by the lines and names of the file, which has no tables."""

    def __init__(self, unit: str) -> None:
        """Start with the unit of bare numbers."""
        super().__init__({}, unit)
        self.names: dict[str, str] = {}  # what stands in the file, by table path

    def fault(self, path: str, what: str) -> None:
        """Record a fault with what the file calls the place."""
        place = path
        while place and place not in self.names:
            place = re.sub(r"(\[[0-9]+\]|\.?[^.\[\]]+|.)$", "", place, flags=re.DOTALL)
        self.problems.append(Problem(self.names.get(place, path), what))


def line_unit(table: Table) -> str:
    """Return the unit of bare numbers: what ``# units`` says, else the columns'.

    Raises:
        BlockError: If it is no unit that a block can have.
    """
    said = table.meta.get("units")
    if said is None:
        unit = table.units.get("across", "cm")
        return unit if unit in UNITS else "cm"
    unit = canonical_unit(said)
    if unit not in UNITS:
        what = f"{said!r} is none of {', '.join(UNITS)}"
        raise BlockError(table.source, [Problem("# units", what)])
    return unit


def line_tables(
    meta: Mapping[str, str], pieces: Sequence[TracedPiece], reader: TraceLines
) -> dict[str, Any]:
    """Return the lines above the points as tables of a block file.

    Args:
        meta: Text by key, as the table was read.
        pieces: The pieces, whose edges and points the lines name.
        reader: Takes faults; learns what the file calls the tables.
    """
    tables: dict[str, Any] = {"schema": _BLOCK_SCHEMA, "units": reader.unit}
    edges = [f"{piece.name}.{edge.name}" for piece in pieces for edge in piece.edges]
    points = [f"{piece.name}.{edge.start}" for piece in pieces for edge in piece.edges]
    _name_pieces(pieces, reader)
    lists: dict[str, list[dict[str, Any]]] = {"level": [], "seam": [], "hold": []}
    runs = []
    for key, value in meta.items():
        kind, _, name = key.partition("_")
        where = f"# {kind} {name.replace('_', ' ')}".rstrip()
        if kind in lists and name:
            reader.names[f"{kind}[{len(lists[kind]) + 1}]"] = where
        if key in ("name", "anchor", "note"):
            tables[key] = value
        elif kind == "level" and name:
            lists[kind].append(_level(name, value))
        elif kind == "seam" and name:
            pair = _pair(value, edges, "edge", where, reader)
            lists[kind].append({"edges": pair})
        elif kind == "hold" and name:
            pair = _pair(value, points, "point", where, reader)
            lists[kind].append({"name": name, "between": pair})
        elif kind == "loop":
            runs.append(_known(_listed(value, points), points, "point", where, reader))
            reader.names["loop_path"] = "# loop"
        elif kind in ("fold", "girth") and name:
            _check_piece(name, pieces, where, reader)
        elif kind not in ("fold", "tolerance", "units"):
            reader.fault(f"# {key}", f"is not known; known are {_KNOWN}")
    _check_levels(lists["level"], meta.get("anchor", "waist"), reader)
    return {**tables, **lists, **({"loop_path": runs} if runs else {})}


def _check_piece(
    slug: str, pieces: Sequence[TracedPiece], where: str, reader: TraceLines
) -> None:
    slugs = [slug_of(piece.name) for piece in pieces]
    if slug not in slugs:
        name = slug.replace("_", " ")
        reader.fault(
            where, f"the block has no piece {name!r}{nearest_text(slug, slugs)}"
        )


def _check_levels(
    levels: Sequence[Mapping[str, Any]], anchor: str, reader: TraceLines
) -> None:
    names = [level["name"] for level in levels]
    if not names:
        reader.fault("", "names no level; write at least one, `# level waist = 41`")
    elif anchor not in names:
        what = f"no level {anchor} is there to stay in place when the block is adjusted"
        reader.fault("# anchor", f"{what}; name one, such as `# anchor = {names[0]}`")


def _name_pieces(pieces: Sequence[TracedPiece], reader: TraceLines) -> None:
    for i, piece in enumerate(pieces, start=1):
        reader.names[f"piece[{i}]"] = f"piece {piece.name}"
        for k, edge in enumerate(piece.edges, start=1):
            where = f"{edge.place}, piece {piece.name}, edge {edge.name}"
            reader.names[f"piece[{i}].edge[{k}]"] = where


def _level(name: str, value: str) -> dict[str, Any]:
    height, _, loop = value.rpartition(" ")
    if loop in ("closed", "partly", "open"):
        return {"name": name, "y": height, "loop": loop}
    return {"name": name, "y": value}


def _pair(
    value: str, known: Sequence[str], kind: str, where: str, reader: TraceLines
) -> list[str]:
    found = _listed(value, known)
    if len(found) != 2 and len(known) > 1:
        what = f"must name two {kind}s, such as {known[0]}, {known[-1]}, not {value!r}"
        reader.fault(where, what)
        return found
    return _known(found, known, kind, where, reader)


def _known(
    names: list[str], known: Sequence[str], kind: str, where: str, reader: TraceLines
) -> list[str]:
    """Return names, with a fault for each that the block does not have."""
    for name in names:
        if name not in known:
            near = nearest_text(name, known)
            reader.fault(where, f"the block has no {kind} {name!r}{near}")
    return names


def _listed(value: str, known: Sequence[str]) -> list[str]:
    """Return the names in a line, between commas or, where that is plain, blanks.

    Examples:
        >>> _listed("front.side, back.side", [])
        ['front.side', 'back.side']
        >>> _listed("front.low side back.side", ["front.low side", "back.side"])
        ['front.low side', 'back.side']
    """
    words = value.split()
    if "," in value or ";" in value:
        return [item.strip() for item in re.split("[,;]", value)]
    ways = _ways(words, frozenset(known)) if len(words) <= _MOST_WORDS else []
    if len(ways) == 1:
        return ways[0]
    # Names that do not exist are told one by one.
    each = all("." in word for word in words)
    return words if each and not ways else [value]


def _ways(words: list[str], known: frozenset[str]) -> list[list[str]]:
    """Return every way to read words, one blank between them, as known names."""
    ends: list[list[list[str]]] = [[[]]]
    for end in range(1, len(words) + 1):
        found = [
            [*before, name]
            for start in range(end)
            if (name := " ".join(words[start:end])) in known
            for before in ends[start]
        ]
        ends.append(found[:2])  # more than one is not plain
    return ends[-1]


def slug_of(name: str) -> str:
    """Return a piece's name as it stands in the key of a line."""
    return "_".join(name.lower().replace("-", " ").split())
