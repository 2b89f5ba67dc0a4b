"""The outlines of the draft: steps 8 to 11 of the construction, on arrays.

8. Side seam: cubics through underarm, bust, waist and hip, cut off at the leg line. The
   back's is trued to the front's at the underarm.
9. Neckline: leaves the strap end square, so that front and back run on over the
   shoulder, and meets the fold square, so that it has no peak when opened.
10. Armhole: leaves the strap end square and meets the side seam square, so that front
    and back make one smooth round.
11. Leg: leaves the side seam square and meets the crotch seam square. The front follows
    the groin in one hollow sweep; the back runs lower over the seat, then in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import split
from ease.block.draft_points import STRAP_SLOPE, DraftPoints, Side, monotone_slopes
from ease.block.lengths import arc_length

__all__ = ["EDGES", "draw_edges"]

FloatArray = NDArray[np.float64]

EDGES: Final = ("neckline", "strap", "armhole", "side", "leg", "crotch", "centre")
# Handles as shares of the box each curve spans: how full the curve is. Chosen by eye.
NECK_HANDLES: Final = (0.55, 0.62)  # down from the strap, out from the fold
ARM_HANDLES: Final = (0.62, 0.60)  # down from the strap, in from the side seam
FRONT_LEG_HANDLES: Final = (0.62, 0.50)  # in from the side seam, up from the crotch
BACK_LEG_MIDDLE: Final = 0.47  # of the way from side to crotch
BACK_LEG_DROP: Final = 0.015  # of that way, outwards: cloth left over the seat
BACK_LEG_START: Final = 0.65  # how long it runs on square to the side seam
BACK_LEG_END: Final = 1.5  # how long it runs on square to the crotch seam
SHORTEST_TAIL_CM: Final = 1e-9
TRUE_TOLERANCE_CM: Final = 1e-12
_THIRDS: Final = np.linspace(0.0, 1.0, 4)[:, None]
_DOWN: Final = np.array([-np.sin(STRAP_SLOPE), np.cos(STRAP_SLOPE)])


def draw_edges(points: DraftPoints) -> dict[str, dict[str, FloatArray]]:
    """Carry out steps 8 to 11.

    Returns:
        For ``front`` and ``back`` the edges by name, in order round the outline, each
        of shape (n, k, 4, 2).
    """
    front_side = cut_side(points.front_side, points.leg_side)
    wanted = arc_length(front_side).sum(axis=-1)
    back_side = _true_side(points.back_side, points.leg_side, wanted)
    return {
        "front": _outline(points.front, front_side, _front_leg),
        "back": _outline(points.back, back_side, _back_leg),
    }


def cut_side(side: Side, leg_side: FloatArray) -> FloatArray:
    """Return a side seam from the underarm down to the leg line, shape (n, k, 4, 2).

    y runs evenly along each cubic, so that x is the cubic of its knots and slopes.
    Below the hip level the seam runs on upright.

    Args:
        side: The seam through all levels.
        leg_side: Height of the leg line, cm, shape (n,), between waist and crotch.
    """
    x, y, slope = side.x, side.y, side.slope
    step = np.diff(y, axis=-1)
    x1 = x[:, :-1] + slope[:, :-1] * step / 3
    x2 = x[:, 1:] - slope[:, 1:] * step / 3
    across = np.stack([x[:, :-1], x1, x2, x[:, 1:]], axis=-1)
    down = y[:, :-1, None] + step[..., None] * _THIRDS[:, 0]
    cubics = np.stack([across, down], axis=-1)
    below = leg_side - y[:, 3]
    if (below > SHORTEST_TAIL_CM).any():
        end = np.stack([x[:, 3], np.maximum(leg_side, y[:, 3])], axis=-1)
        tail = _line(cubics[:, -1, 3], end)
        return np.concatenate([cubics, tail[:, None]], axis=1)
    share = np.clip((leg_side - y[:, 2]) / step[:, 2], 0.0, 1.0)
    cubics[:, -1] = split(cubics[:, -1], share)[0]
    return cubics


def _true_side(side: Side, leg_side: FloatArray, wanted: FloatArray) -> FloatArray:
    """Lift or lower the back's underarm until its seam is as long as the front's."""
    low, high = np.full_like(wanted, -4.0), np.full_like(wanted, 4.0)
    lift = np.zeros_like(wanted)
    for _ in range(60):
        y = side.y.copy()
        y[:, 0] -= lift
        made = cut_side(Side(side.x, y, monotone_slopes(side.x, y)), leg_side)
        over = arc_length(made).sum(axis=-1) - wanted
        if (np.abs(over) < TRUE_TOLERANCE_CM).all():
            break
        low, high = np.where(over < 0, lift, low), np.where(over > 0, lift, high)
        step = lift - over
        lift = np.where((step > low) & (step < high), step, (low + high) / 2)
    return made


def _outline(
    points: Mapping[str, FloatArray],
    side: FloatArray,
    leg: Callable[[FloatArray, FloatArray, FloatArray], FloatArray],
) -> dict[str, FloatArray]:
    underarm, leg_side = side[:, 0, 0], side[:, -1, 3]
    inward = _square_in(side[:, 0, 1] - side[:, 0, 0])
    centre, neck, arm = (points[k] for k in ("neck_centre", "strap_neck", "strap_arm"))
    edge, middle = points["crotch_side"], points["crotch_centre"]
    leg_inward = _square_in(side[:, -1, 3] - side[:, -1, 2])
    edges = {
        "neckline": _neckline(centre, neck)[:, None],
        "strap": _line(neck, arm)[:, None],
        "armhole": _armhole(arm, underarm, inward)[:, None],
        "side": side,
        "leg": leg(leg_side, leg_inward, edge),
        "crotch": _line(edge, middle)[:, None],
        "centre": _line(middle, centre)[:, None],
    }
    return {name: edges[name] for name in EDGES}


def _line(start: FloatArray, end: FloatArray) -> FloatArray:
    return np.asarray(start[:, None] + _THIRDS * (end - start)[:, None])


def _square_in(downwards: FloatArray) -> FloatArray:
    """Return the direction square to the side seam, into the piece, shape (n, 2)."""
    length = np.hypot(downwards[:, 0], downwards[:, 1])
    square = np.stack([-downwards[:, 1], downwards[:, 0]], axis=-1)
    # A seam of no length belongs to a draft that is refused; it must not warn.
    return np.asarray(square / np.maximum(length, 1e-300)[:, None])


def _neckline(centre: FloatArray, strap: FloatArray) -> FloatArray:
    """Step 9, from the fold up to the strap."""
    down, out = NECK_HANDLES
    depth = (centre - strap)[:, 1:]
    width = (strap - centre)[:, :1]
    first = centre + out * width * np.array([1.0, 0.0])
    second = strap + down * depth * _DOWN
    return np.stack([centre, first, second, strap], axis=1)


def _armhole(strap: FloatArray, underarm: FloatArray, inward: FloatArray) -> FloatArray:
    """Step 10, from the strap down to the side seam."""
    down, across = ARM_HANDLES
    depth, width = (underarm - strap)[:, 1:], (underarm - strap)[:, :1]
    first = strap + down * depth * _DOWN
    second = underarm + across * width * inward
    return np.stack([strap, first, second, underarm], axis=1)


def _front_leg(side: FloatArray, inward: FloatArray, crotch: FloatArray) -> FloatArray:
    """Step 11 for the front: one hollow sweep along the groin."""
    across, up = FRONT_LEG_HANDLES
    width, depth = (side - crotch)[:, :1], (crotch - side)[:, 1:]
    first = side + across * width * inward
    second = crotch - up * depth * np.array([0.0, 1.0])
    return np.stack([side, first, second, crotch], axis=1)[:, None]


def _back_leg(side: FloatArray, inward: FloatArray, crotch: FloatArray) -> FloatArray:
    """Step 11 for the back: through a middle point that lies out over the seat.

    A cubic spline over the chords: direction and bend run on through the middle.
    """
    way = crotch - side
    outward = np.stack([-way[:, 1], way[:, 0]], axis=-1)
    outward *= np.where(outward[:, 1:] > 0, 1.0, -1.0)
    middle = side + BACK_LEG_MIDDLE * way + BACK_LEG_DROP * outward
    chords = np.stack([middle - side, crotch - middle], axis=1)
    size = np.hypot(chords[..., 0], chords[..., 1])[..., None]
    slope = chords / size
    first, second = size[:, 0], size[:, 1]
    start, last = BACK_LEG_START * inward, BACK_LEG_END * np.array([0.0, 1.0])
    pull = 3 * (second * slope[:, 0] + first * slope[:, 1])
    turn = (pull - second * start - first * last) / (2 * (first + second))
    return np.stack(
        [
            _hermite(side, start, middle, turn, first),
            _hermite(middle, turn, crotch, last, second),
        ],
        axis=1,
    )


def _hermite(
    start: FloatArray,
    out: FloatArray,
    end: FloatArray,
    into: FloatArray,
    size: FloatArray,
) -> FloatArray:
    reach = size / 3
    return np.stack([start, start + reach * out, end - reach * into, end], axis=1)
