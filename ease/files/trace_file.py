"""Read a traced paper block from a TOML or CSV file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import numpy as np

from ease.block.block_limits import name_from_file
from ease.block.pieces import Cut
from ease.cells import Cells, Row
from ease.errors import BlockError, Problem
from ease.files.block_table import Tables, lines_of
from ease.files.trace import TRACE_TOLERANCE_CM, trace_block
from ease.files.trace_lines import TraceLines, line_tables, line_unit, slug_of
from ease.files.trace_records import Traced, TracedEdge, TracedPiece
from ease.read import read_text, read_toml
from ease.sentence import Length, Sentence, lengths
from ease.table import read_table
from ease.units import CM_PER

__all__ = ["load_trace"]

SCHEMA: Final = "ease/trace/1"
_BLOCK_SCHEMA: Final = "ease/block/1"
_COLUMNS: Final = ("piece", "edge", "point", "across", "down", "hint")
_HINTS: Final = ("line", "curve", "corner", "free")
_MOST_POINTS: Final = 2_000


def load_trace(path: Path, *, tolerance_cm: float | None = None) -> Traced:
    """Return the block traced in a TOML or CSV file.

    Args:
        path: The file.
        tolerance_cm: Largest distance of a point from its curve; else the file's own,
            or ``TRACE_TOLERANCE_CM``.

    Raises:
        BlockError: With every fault found.
    """
    ending = path.suffix.lower()
    if ending == ".toml":
        return _from_toml(path, tolerance_cm)
    if ending == ".csv":
        return _from_csv(path, tolerance_cm)
    raise BlockError(str(path), "a traced block is read from .toml or .csv")


def _from_toml(path: Path, tolerance_cm: float | None) -> Traced:
    source = str(path)
    data = read_toml(path, BlockError)
    if data.get("schema") != SCHEMA:
        raise BlockError(source, [Problem("schema", f'must be "{SCHEMA}"')])
    reader = Tables(lines_of(read_text(path, BlockError)[0]))
    unit = data.get("units", "cm")
    if not isinstance(unit, str) or unit not in CM_PER:
        raise BlockError(
            source, [Problem("units", f"{unit!r} is none of {', '.join(CM_PER)}")]
        )
    reader.unit = unit
    pieces = tuple(
        _piece(reader, item, where)
        for where, item in reader.tables(data, "piece", "", needed=True)
    )
    said = data.pop("tolerance", None)
    own = TRACE_TOLERANCE_CM if said is None else reader.length(said, "tolerance")
    if reader.problems:
        raise BlockError(source, reader.told())
    tables = {**data, "schema": _BLOCK_SCHEMA, "units": unit}
    tolerance = _checked(own if tolerance_cm is None else tolerance_cm, source)
    return trace_block(pieces, tables, reader, source, tolerance_cm=tolerance)


def _checked(tolerance: float, source: str) -> float:
    if not 0.001 <= tolerance <= 2:
        what = Sentence(
            "{} is not between {} and {}",
            *(Length(tolerance, None), *lengths(0.001, 2, digits=None)),
        )
        raise BlockError(source, [Problem("tolerance", what)])
    return tolerance


def _piece(reader: Tables, item: object, path: str) -> TracedPiece:
    table = reader.table(item, path, ("name", "fold", "in_girth", "edge"))
    edges = tuple(
        _edge(reader, row, where)
        for where, row in reader.tables(table, "edge", path, needed=True)
    )
    fold = "none" if table.get("fold") is False else table.get("fold")
    return TracedPiece(
        reader.name(table, "name", path),
        edges,
        *_fold(reader, fold, f"{path}.fold"),
        reader.flag(table, "in_girth", path),
    )


def _fold(reader: Tables, said: object, where: str) -> tuple[float | None, Cut | None]:
    """Return where the fold lies, cm, and how the piece is cut; None where not said."""
    word = said.lower() if isinstance(said, str) else said
    if word is None:
        return None, None
    if word in ("none", "pair"):
        return None, "pair" if word == "pair" else "once"
    return reader.length(said, where), "fold"


def _edge(reader: Tables, item: object, path: str) -> TracedEdge:
    table = reader.table(item, path, ("name", "from", "hint", "through"))
    rows = table.get("through")
    where = f"{path}.through"
    if not isinstance(rows, list) or not 0 < len(rows) <= _MOST_POINTS:
        reader.fault(where, "must be a list of points [across, down]")
        rows = []
    corners, points = [], []
    for i, row in enumerate(rows):
        place = f"{where}[{i + 1}]"
        if isinstance(row, list) and len(row) == 3 and row[2] == "corner":
            corners.append(i)
            row = row[:2]
        points.append(reader.point(row, place))
    hints = _hints(reader.text(table, "hint", path, ""))
    unknown = [hint for hint in hints if hint not in ("line", "curve", "free")]
    if unknown:
        reader.fault(f"{path}.hint", f"{unknown[0]!r} is none of line, curve, free")
    return TracedEdge(
        reader.name(table, "name", path),
        reader.name(table, "from", path),
        np.array(points, dtype=float).reshape(-1, 2),
        _is_curve(hints, len(points)),
        tuple(i for i in corners if i > 0),
        "free" in hints,
        "curve" in hints,
        place=f"line {reader.lines[path]}" if path in reader.lines else "",
    )


def _hints(text: str) -> list[str]:
    return text.lower().replace(",", " ").split()


def _is_curve(hints: list[str], points: int) -> bool:
    """An edge with points between its ends is a curve unless told to be straight."""
    return "line" not in hints and ("curve" in hints or points > 1)


def _from_csv(path: Path, tolerance_cm: float | None) -> Traced:
    source = str(path)
    cells = Cells(read_table(path, known=_COLUMNS, error=BlockError), BlockError)
    cells.require(("piece", "edge", "point", "across", "down"), _COLUMNS)
    cells.finish()
    meta = cells.table.meta
    reader = TraceLines(line_unit(cells.table))
    rows = _grouped(cells)
    pieces = tuple(
        _csv_piece(cells, name, found, meta, reader) for name, found in rows.items()
    )
    cells.finish()
    tables = line_tables(meta, pieces, reader)
    own = (
        reader.length(meta["tolerance"], "# tolerance") if "tolerance" in meta else None
    )
    if not pieces:
        reader.fault("", "it holds no points")
    if reader.problems:
        raise BlockError(source, reader.told())
    tolerance = next(
        v for v in (tolerance_cm, own, TRACE_TOLERANCE_CM) if v is not None
    )
    tables.setdefault("name", name_from_file(str(path)))
    return trace_block(
        pieces, tables, reader, source, tolerance_cm=_checked(tolerance, source)
    )


Grouped = dict[str, list[tuple[str, list[Row]]]]


def _grouped(cells: Cells) -> Grouped:
    """Sort rows into pieces and edges; an empty cell goes on with the one above."""
    found: Grouped = {}
    piece = edge = ""
    for row in cells.table.rows:
        piece = cells.text(row, "piece") or piece
        named = cells.text(row, "edge")
        if not piece or not (named or edge):
            cells.fault(
                row, "piece" if not piece else "edge", "is empty on the first row"
            )
            continue
        edges = found.setdefault(piece, [])
        if not edges or (named and named != edges[-1][0]):
            edges.append((named or edge, []))
        edge = edges[-1][0]
        edges[-1][1].append(row)
    return found


def _csv_piece(
    cells: Cells,
    name: str,
    edges: list[tuple[str, list[Row]]],
    meta: Mapping[str, str],
    reader: Tables,
) -> TracedPiece:
    made = tuple(
        _csv_edge(cells, name, edge, rows, reader.unit) for edge, rows in edges
    )
    slug = slug_of(name)
    said = meta.get(f"fold_{slug}", meta.get("fold"))
    fold = _fold(reader, said, f"# fold {name}")
    girth = meta.get(f"girth_{slug}", "yes").lower()
    if girth not in ("yes", "no"):
        reader.fault(f"# girth {name}", f"must be yes or no, not {girth!r}")
    return TracedPiece(name, made, *fold, girth == "yes")


def _csv_edge(
    cells: Cells, of: str, name: str, rows: list[Row], unit: str
) -> TracedEdge:
    points, corners, hints = [], [], list[str]()
    for i, row in enumerate(rows[:_MOST_POINTS]):
        across, down = (cells.length(row, way, unit) for way in ("across", "down"))
        points.append((across or 0.0, down or 0.0))
        said = _hints(cells.text(row, "hint"))
        for hint in said:
            if hint not in _HINTS:
                cells.fault(row, "hint", f"{hint!r} is none of {', '.join(_HINTS)}")
        if "corner" in said and i:
            corners.append(i)
        hints += said
    start = cells.text(rows[0], "point")
    if not start:
        what = (
            f"is empty; edge {of}.{name} begins here, and its first point needs a name"
        )
        cells.fault(rows[0], "point", what)
    return TracedEdge(
        name,
        start,
        np.array(points, dtype=float),
        _is_curve(hints, len(points)),
        tuple(corners),
        "free" in hints,
        "curve" in hints,
        place=rows[0].place,
    )
