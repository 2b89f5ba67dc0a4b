"""The table of one edge of a block file: two named points, and what runs between."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Edge, line
from ease.errors import EaseError
from ease.files.block_table import Tables
from ease.nearest import nearest_text

__all__ = ["edge_of"]

Point = tuple[float, float]


def edge_of(
    tables: Tables, item: object, path: str, points: Mapping[str, Point]
) -> Edge | None:
    """Return an edge between two named points; None where it is wrong.

    Args:
        tables: Takes values out of the file, and gathers what is wrong.
        item: The table.
        path: Where it stands.
        points: The named points of the piece, cm.
    """
    table = tables.table(item, path, ("name", "from", "to", "curve", "path"))
    before = len(tables.problems)
    name = tables.name(table, "name", path)
    ends = [tables.name(table, key, path) for key in ("from", "to")]
    for key, point in zip(("from", "to"), ends, strict=True):
        if point and point not in points:
            near = nearest_text(point, points)
            tables.fault(f"{path}.{key}", f"the piece has no point {point!r}{near}")
    if "curve" in table and "path" in table:
        tables.fault(path, "takes curve or path, not both")
    if len(tables.problems) > before:
        return None
    start, end = points[ends[0]], points[ends[1]]
    control, straight = _segments(tables, table, path, start, end)
    if len(tables.problems) > before:
        return None
    try:
        return Edge(name, ends[0], ends[1], np.array(control), tuple(straight))
    except EaseError as error:
        tables.fault(path, str(error))
        return None


def _segments(
    tables: Tables,
    table: Mapping[str, Any],
    path: str,
    start: Point,
    end: Point,
) -> tuple[list[NDArray[np.float64]], list[bool]]:
    if "path" in table:
        items, where = table["path"], f"{path}.path"
    else:
        item = {"curve": table["curve"]} if "curve" in table else {"line": "end"}
        items, where = [item], path
    if not isinstance(items, list) or not items:
        tables.fault(where, "must be a list of { line = ... } and { curve = ... }")
        return [], []
    control, straight, here = [], [], start
    for i, item in enumerate(items, start=1):
        place = f"{where}[{i}]" if "path" in table else f"{where}.curve"
        target = end if i == len(items) else None
        points = _segment(tables, item, place, target)
        if not points:
            return [], []
        flat = len(points) == 1
        control.append(line(here, points[-1]) if flat else np.array([here, *points]))
        straight.append(flat)
        here = points[-1]
    return control, straight


def _segment(tables: Tables, item: object, path: str, end: Point | None) -> list[Point]:
    """Return what follows the start: one point for a line, three for a curve."""
    table = tables.table(item, path, ("line", "curve"))
    if len(table) != 1:
        tables.fault(path, "takes either line or curve")
        return []
    if "line" in table and table["line"] == "end" and end is not None:
        return [end]
    if "line" in table:
        points = [tables.point(table["line"], path)]
    elif not isinstance(table.get("curve"), list):
        tables.fault(path, "a curve takes a list of points [x, y]")
        return []
    else:
        points = [tables.point(xy, path) for xy in table["curve"]]
        if len(points) == 2 and end is not None:
            return [*points, end]
        if len(points) != 3:
            last = "" if end is not None else " and the point where it ends"
            tables.fault(path, f"a curve takes two handles{last}, each [x, y]")
            return []
    if end is None or np.allclose(points[-1], end, rtol=0, atol=1e-6):
        return points if end is None else [*points[:-1], end]
    tables.fault(path, f"ends at {points[-1]}, but the edge ends at {end}")
    return []
