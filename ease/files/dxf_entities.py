"""DXF entities as cubics: lines, arcs, ellipses, bulged polylines, splines."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import line
from ease.errors import RefusedError
from ease.files.arcs import arc_controls, bulge_controls, quadratic_controls
from ease.files.drawing import MAX_SEGMENTS, check_numbers

__all__ = ["DRAWN", "Entity", "entity_lines"]

FloatArray = NDArray[np.float64]
# The DXF library builds its classes at run time; it gives them no types to name.
Entity = Any
Chain = tuple[FloatArray, tuple[bool, ...]]
DRAWN: Final = frozenset(
    {"LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE"}
)


def entity_lines(entity: Entity, tolerance: float) -> tuple[Chain | None, str]:
    """Return one entity as a chain of cubics in its own coordinates, and a remark.

    Lines, polynomial splines up to degree 3 and polylines are exact; arcs, ellipses and
    bulges stay within the tolerance. The chain is None where nothing can be drawn.

    Args:
        entity: One of the kinds in ``DRAWN``.
        tolerance: Largest distance of arcs, in units of the drawing.

    Raises:
        RefusedError: If it holds what cannot be read exactly enough.
    """
    kind = entity.dxftype()
    if kind == "LINE":
        ends = entity.dxf.start, entity.dxf.end
        check_numbers([[p.x, p.y] for p in ends])
        return (line(*((p.x, p.y) for p in ends))[None], (True,)), ""
    if kind == "SPLINE":
        return _spline(entity, tolerance)
    if kind in ("LWPOLYLINE", "POLYLINE"):
        return _polyline(entity, tolerance), ""
    return _round(entity, kind, tolerance), ""


def _plane(entity: Entity) -> FloatArray:
    """Return the axes of an entity's own plane seen from above, shape (2, 2)."""
    ocs = entity.ocs()
    axes = [ocs.to_wcs((1, 0, 0)), ocs.to_wcs((0, 1, 0))]
    if any(abs(axis.z) > 1e-9 for axis in axes):
        message = "it stands up out of the drawing plane"
        raise RefusedError(message)
    return np.array([[axis.x, axis.y] for axis in axes])


def _round(entity: Entity, kind: str, tolerance: float) -> Chain:
    if kind == "ELLIPSE":
        centre, major, minor = (
            entity.dxf.center,
            entity.dxf.major_axis,
            entity.minor_axis,
        )
        start, end = entity.dxf.start_param, entity.dxf.end_param
        middle, first, second = ([v.x, v.y] for v in (centre, major, minor))
    else:
        plane, radius = _plane(entity), entity.dxf.radius
        centre = entity.dxf.center
        check_numbers((centre.x, centre.y, radius))
        middle = (np.array([centre.x, centre.y]) @ plane).tolist()
        first, second = (radius * plane).tolist()
        start, end = 0.0, 2 * math.pi
        if kind == "ARC":
            start = math.radians(entity.dxf.start_angle)
            end = math.radians(entity.dxf.end_angle)
    check_numbers((*middle, *first, *second, start, end))
    sweep = (end - start) % (2 * math.pi) or 2 * math.pi
    made = arc_controls(middle, first, second, start, sweep, tolerance)
    if kind == "CIRCLE" or abs(sweep - 2 * math.pi) < 1e-12:
        made[-1, 3] = made[0, 0]
    return made, (False,) * len(made)


def _polyline(entity: Entity, tolerance: float) -> Chain | None:
    if entity.dxftype() == "LWPOLYLINE":
        rows = [(x, y, b) for x, y, b in entity.get_points("xyb")]
        closed = bool(entity.closed)
    else:
        if entity.is_polygon_mesh or entity.is_poly_face_mesh:
            message = "it is a surface, not a line"
            raise RefusedError(message)
        vertices = [v for v in entity.vertices if not v.dxf.flags & 16]
        rows = [
            (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0))
            for v in vertices
        ]
        closed = bool(entity.is_closed)
    points = np.array([row[:2] for row in rows], dtype=float).reshape(-1, 2)
    bulges = [float(row[2]) for row in rows]
    check_numbers(points)
    check_numbers(bulges, "a bulge")
    if closed and len(points):
        points = np.concatenate([points, points[:1]])
    controls: list[FloatArray] = []
    flags: list[bool] = []
    for start, end, bulge in zip(points[:-1], points[1:], bulges, strict=False):
        if np.array_equal(start, end):
            continue
        straight = abs(bulge) < 1e-12
        leg = (
            line(tuple(start), tuple(end))[None]
            if straight
            else bulge_controls(start, end, bulge, tolerance)
        )
        controls.append(leg)
        flags += [straight] * len(leg)
        if len(flags) > MAX_SEGMENTS:
            message = f"it has more than {MAX_SEGMENTS} segments"
            raise RefusedError(message)
    if not controls:
        return None
    flat = entity.dxftype() == "POLYLINE" and entity.is_3d_polyline
    plane = np.eye(2) if flat else _plane(entity)
    return np.concatenate(controls) @ plane, tuple(flags)


def _spline(entity: Entity, tolerance: float) -> tuple[Chain | None, str]:
    if not len(entity.control_points):
        return _through_fit_points(entity)
    check_numbers([[p[0], p[1]] for p in entity.control_points])
    check_numbers([*entity.knots, *entity.weights], "a knot or weight")
    curve = entity.construction_tool()
    if curve.is_rational:
        if len(set(entity.weights)) > 1:
            return _approximated(curve, tolerance), "a rational spline is approximated"
        curve = type(curve)(curve.control_points, curve.order, curve.knots())
    if curve.degree > 3:
        remark = f"a spline of degree {curve.degree} is approximated"
        return _approximated(curve, tolerance), remark
    if not curve.is_clamped:
        message = "its spline does not start and end at control points"
        raise RefusedError(message)
    made = []
    for points in curve.bezier_decomposition():
        p = np.array([[v.x, v.y] for v in points])
        if len(p) == 2:
            p = line(tuple(p[0]), tuple(p[1]))
        elif len(p) == 3:
            p = quadratic_controls(p)
        made.append(p)
    return (np.array(made), (curve.degree == 1,) * len(made)), ""


def _through_fit_points(entity: Entity) -> tuple[Chain | None, str]:
    if len(entity.fit_points) < 2:
        return None, ""
    check_numbers([[p[0], p[1]] for p in entity.fit_points])
    from ezdxf.path import make_path

    remark = (
        "a spline is given by points it passes through only; another program may draw "
        "another curve"
    )
    return _of_path(make_path(entity)), remark


_HANDLES: Final = {
    "LINE_TO": (),
    "CURVE3_TO": ("ctrl",),
    "CURVE4_TO": ("ctrl1", "ctrl2"),
}


def _of_path(path: Entity) -> Chain:
    start = path.start
    made: list[FloatArray] = []
    flags: list[bool] = []
    for command in path.commands():
        handles = _HANDLES[command.type.name]
        inner = [getattr(command, name) for name in handles]
        p = np.array([[v.x, v.y] for v in (start, *inner, command.end)])
        straight = len(p) == 2
        if straight:
            p = line(tuple(p[0]), tuple(p[1]))
        elif len(p) == 3:
            p = quadratic_controls(p)
        made.append(p)
        flags.append(straight)
        start = command.end
    return np.array(made), tuple(flags)


def _approximated(curve: Entity, tolerance: float) -> Chain:
    """Return cubics through a curve, halved until their middles lie on it.

    Each piece takes the curve's own points and tangents at its ends (Hermite form).
    """
    knots = np.unique(np.asarray(curve.knots(), dtype=float))
    for level in range(12):
        t = np.concatenate(
            [np.linspace(a, b, 2**level, endpoint=False) for a, b in pairwise(knots)]
            + [knots[-1:]]
        )
        if len(t) > MAX_SEGMENTS:
            break
        # Weights of zero make points at infinity: such a curve is never near enough.
        with np.errstate(all="ignore"):
            made, gap = _hermite(curve, t)
        if gap <= tolerance / 2:
            return made, (False,) * len(made)
    message = "its spline cannot be followed closely enough"
    raise RefusedError(message)


def _hermite(curve: Entity, t: FloatArray) -> tuple[FloatArray, float]:
    """Return cubics through a curve at its parameters t, and how far their middles err."""
    found = curve.derivatives(t, n=1)
    rows = np.array([[[v.x, v.y] for v in pair] for pair in found])
    point, slope = rows[:, 0], rows[:, 1]
    step = np.diff(t)[:, None] / 3
    made = np.stack(
        [
            point[:-1],
            point[:-1] + step * slope[:-1],
            point[1:] - step * slope[1:],
            point[1:],
        ],
        axis=1,
    )
    middle = np.array([[v.x, v.y] for v in curve.points((t[:-1] + t[1:]) / 2)])
    guess = (made[:, 0] + 3 * made[:, 1] + 3 * made[:, 2] + made[:, 3]) / 8
    return made, float(np.linalg.norm(guess - middle, axis=1).max())
