"""The lines of SVG elements as cubics: paths, rectangles, circles, lines, polygons."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any, Final
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import line
from ease.errors import RefusedError
from ease.files.arcs import ARC_TOLERANCE_CM, arc_controls, quadratic_controls
from ease.files.drawing import MAX_SEGMENTS, check_numbers, placed
from ease.files.svg_tree import local_name
from ease.units import CM_PER

__all__ = ["DRAWN", "element_lines", "matrix_of", "svg_number"]

FloatArray = NDArray[np.float64]
Chain = tuple[FloatArray, tuple[bool, ...]]
Segment = Any  # of svgelements, which declares no types
DRAWN: Final = frozenset(
    {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
)
# CSS pixels: 96 to the inch, exact by definition. Source key: svg-units.
_PER_CM: Final = 96 / CM_PER["in"]
_UNIT: Final = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": _PER_CM,
    "mm": _PER_CM / 10,
    "q": _PER_CM / 40,
    "pt": 96 / 72,
    "pc": 16.0,
}
_LONGEST: Final = 2_000  # signs of a number or transform; none needs as many
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_LENGTH = re.compile(rf"\s*({_NUMBER.pattern})\s*([a-zA-Z%]*)\s*")
_PATH = re.compile(r"[MmZzLlHhVvCcSsQqTtAa0-9eE+\-.,\s]*")
_TRANSFORM = re.compile(
    r"(?:\s*(?:,\s*)?(?:matrix|translate|scale|rotate|skewX|skewY)\s*\([-+.,0-9eE\s]*\))*\s*"
)


def svg_number(text: str, what: str) -> tuple[float, str]:
    """Return a number and its unit in small letters.

    Raises:
        RefusedError: If it is not a plain number with a unit that SVG knows.
    """
    match = _LENGTH.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        message = f"{what} {text[:40]!r} is not a number"
        raise RefusedError(message)
    check_numbers(float(match[1]), what)
    return float(match[1]), match[2].lower()


def _user(element: ElementTree.Element, key: str, default: str = "0") -> float:
    value, unit = svg_number(element.get(key, default) or default, key)
    if unit not in _UNIT:
        message = f"{key}={element.get(key)!r}: the unit {unit!r} is not read"
        raise RefusedError(message)
    return value * _UNIT[unit]


def matrix_of(text: str) -> FloatArray:
    """Return the matrix of a transform attribute, shape (3, 3).

    Raises:
        RefusedError: If it holds anything but the transforms of SVG.
    """
    if not text.strip():
        return np.eye(3)
    if len(text) > _LONGEST or not _TRANSFORM.fullmatch(text):
        message = f"the transform {text[:60]!r} cannot be read"
        raise RefusedError(message)
    from svgelements import Matrix

    try:
        m = Matrix(text)
    except (ValueError, IndexError, TypeError, ArithmeticError) as error:
        message = f"the transform {text[:60]!r} cannot be read"
        raise RefusedError(message) from error
    made = np.array([[m.a, m.c, m.e], [m.b, m.d, m.f], [0.0, 0.0, 1.0]], dtype=float)
    check_numbers(made, "a figure of its transform")
    return made


def element_lines(element: ElementTree.Element, matrix: FloatArray) -> list[Chain]:
    """Return the unbroken lines of one element, each as cubics with straight flags.

    Args:
        element: One of the kinds in ``DRAWN``.
        matrix: From its own coordinates to cm, shape (3, 3).

    Raises:
        RefusedError: If its numbers cannot be read.
    """
    return _path_lines(_path_text(element), matrix)


def _path_text(element: ElementTree.Element) -> str:
    kind = local_name(element.tag)
    if kind == "path":
        return element.get("d", "")
    if kind in ("polyline", "polygon"):
        points = element.get("points", "").strip()
        return f"M{points}{'Z' if kind == 'polygon' else ''}" if points else ""
    if kind == "line":
        ends = [_user(element, key) for key in ("x1", "y1", "x2", "y2")]
        return "M{!r} {!r}L{!r} {!r}".format(*ends)
    if kind == "rect":
        return _rectangle_text(element)
    x, y = _user(element, "cx"), _user(element, "cy")
    if kind == "circle":
        rx = ry = _user(element, "r")
    else:
        rx, ry = _user(element, "rx"), _user(element, "ry")
    if rx <= 0 or ry <= 0:
        return ""
    return (
        f"M{x + rx!r} {y!r}A{rx!r} {ry!r} 0 0 1 {x - rx!r} {y!r}"
        f"A{rx!r} {ry!r} 0 0 1 {x + rx!r} {y!r}Z"
    )


def _rectangle_text(element: ElementTree.Element) -> str:
    x, y, w, h = (_user(element, key) for key in ("x", "y", "width", "height"))
    if w <= 0 or h <= 0:
        return ""
    rx = _user(element, "rx", element.get("ry", "0"))
    ry = _user(element, "ry", element.get("rx", "0"))
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx <= 0 or ry <= 0:
        return f"M{x!r} {y!r}h{w!r}v{h!r}h{-w!r}Z"
    bend = f"a{rx!r} {ry!r} 0 0 1 "
    return (
        f"M{x + rx!r} {y!r}h{w - 2 * rx!r}{bend}{rx!r} {ry!r}v{h - 2 * ry!r}"
        f"{bend}{-rx!r} {ry!r}h{2 * rx - w!r}{bend}{-rx!r} {-ry!r}v{2 * ry - h!r}"
        f"{bend}{rx!r} {-ry!r}Z"
    )


def _parsed(text: str) -> Iterable[Any]:
    """Return the segments of path data, as the SVG library reads them."""
    if not _PATH.fullmatch(text):
        bad = next(c for c in text if not _PATH.fullmatch(c))
        message = f"its path holds {bad!r}, which no path has"
        raise RefusedError(message)
    figures = _NUMBER.findall(text)
    if len(figures) > 7 * MAX_SEGMENTS:
        message = f"its path has far more than {MAX_SEGMENTS} segments"
        raise RefusedError(message)
    check_numbers([float(figure) for figure in figures], "a figure of its path")
    from svgelements import Path

    try:
        found: Iterable[Any] = Path(text)
    except (
        ValueError,
        LookupError,
        TypeError,
        AttributeError,
        ArithmeticError,
    ) as error:
        message = f"its path cannot be read ({text[:40]!r}...)"
        raise RefusedError(message) from error
    return found


def _path_lines(text: str, matrix: FloatArray) -> list[Chain]:
    if not text.strip():
        return []
    import svgelements

    path = _parsed(text)
    lines: list[Chain] = []
    controls: list[FloatArray] = []
    flags: list[bool] = []
    for segment in path:
        if isinstance(segment, svgelements.Move):
            _close(lines, controls, flags, matrix)
            controls, flags = [], []
            continue
        if segment.start is None or segment.end is None:
            message = f"its path does not start with a move ({text[:40]!r})"
            raise RefusedError(message)
        corners = (segment.start.x, segment.start.y, segment.end.x, segment.end.y)
        # The library leaves out what a damaged path does not say.
        if not all(c is not None and math.isfinite(c) for c in corners):
            message = "a coordinate of its path is missing or not a finite number"
            raise RefusedError(message)
        made, straight = _segment(segment, matrix)
        if straight and np.abs(made - made[:, :1]).max() == 0:
            continue  # a closing line of no length
        controls.append(made)
        flags += [straight] * len(made)
        if len(flags) > MAX_SEGMENTS:
            message = f"its path has more than {MAX_SEGMENTS} segments"
            raise RefusedError(message)
        if isinstance(segment, svgelements.Close):
            _close(lines, controls, flags, matrix)
            controls, flags = [], []
    _close(lines, controls, flags, matrix)
    return lines


def _close(
    lines: list[Chain],
    controls: list[FloatArray],
    flags: list[bool],
    matrix: FloatArray,
) -> None:
    if controls:
        lines.append((placed(np.concatenate(controls), matrix), tuple(flags)))


def _segment(segment: Segment, matrix: FloatArray) -> tuple[FloatArray, bool]:
    """Return one path segment as cubics in its own coordinates, shape (k, 4, 2)."""
    import svgelements

    if isinstance(segment, svgelements.CubicBezier):
        four = (segment.start, segment.control1, segment.control2, segment.end)
        return np.array([[[p.x, p.y] for p in four]], dtype=float), False
    if isinstance(segment, svgelements.QuadraticBezier):
        three = (segment.start, segment.control, segment.end)
        return quadratic_controls([[p.x, p.y] for p in three])[None], False
    if isinstance(segment, svgelements.Arc) and segment.sweep:
        return _arc(segment, matrix), False
    # An arc without a radius is a line, as SVG has it.
    start, end = segment.start, segment.end
    return line((start.x, start.y), (end.x, end.y))[None], True


def _arc(arc: Segment, matrix: FloatArray) -> FloatArray:
    c, p, q = arc.center, arc.prx, arc.pry
    centre = np.array([c.x, c.y])
    scale = float(np.linalg.norm(matrix[:2, :2], 2)) or 1.0
    made = arc_controls(
        centre,
        np.array([p.x, p.y]) - centre,
        np.array([q.x, q.y]) - centre,
        float(arc.get_start_t()),
        float(arc.sweep),
        ARC_TOLERANCE_CM / scale,
    )
    start, end = arc.start, arc.end
    made[0, 0], made[-1, 3] = (start.x, start.y), (end.x, end.y)
    return made
