"""Where the points of the draft lie: steps 1 to 7 of the construction, on arrays.

y = 0 is the level of the nape, x = 0 the fold. The steps and their reasons:

1. Levels. Waist at the nape-to-waist length, hip at waist to hip below it. The bust lies
   where a survey finds it from nape to waist and bust. All pieces share the levels, so
   that a girth is read straight across.
2. Widths. A quarter of the girth to each half piece; at the bust the front takes a
   little more because the bust stands in front, at the hip the back does because the
   seat stands behind. Front and back together are the girth, without any ease.
3. Crotch. The crotch length hangs from the waist on both centre lines; of it 45 %
   falls to the front and 55 % to the back, which goes round the seat.
4. Shoulder. The neck is 0.18 of the neck base wide on the half piece; the shoulder
   falls away by 18 degrees, and its middle lies level with the nape.
5. Torso loop. The loop runs off the centre line over bust and seat and comes out longer
   (or shorter) than steps 1 to 4. The difference is shared out where a body gives:
   half to the front above the waist, three tenths to the crotch, a fifth to the back.
6. Neckline and straps as chosen. Strap ends are square to the strap.
7. Underarm and leg line at the side as chosen, on a side seam through all levels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.styles import Style

__all__ = ["FRONT_SHARE", "DraftPoints", "Side", "place_points"]

FloatArray = NDArray[np.float64]

# Share of half the girth that the front takes: no published share was found (the tool's
# own choice).
FRONT_SHARE: Final = {"bust": 0.512, "waist": 0.50, "hip": 0.488}
FRONT_CROTCH_SHARE: Final = 0.45  # 0.39 to 0.50 on bodies. Source key: ansur-2012
SHOULDER_SLOPE: Final = np.radians(18.0)  # 12.6 to 23.9. Source key: ansur-2012
# A strap end falls less than the shoulder: a strap square to the full slope would lean
# in towards the centre. The tool's own choice.
STRAP_SLOPE: Final = np.radians(8.0)
NECK_HALF_WIDTH: Final = 0.18  # of the neck base: wider than deep
# Shares of the loop's difference: front above the waist, crotch, back above the waist.
LOOP_SHARES: Final = (0.5, 0.3, 0.2)
SEAT_SHARE: Final = 0.45  # seat point, of the half back's width at the hip
LEAST_SIDE_CM: Final = (
    2.0  # underarm above the bust level: keeps the bust a closed loop
)
LOOP_TOLERANCE_CM: Final = 1e-10


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """A side seam before it is cut off at its ends: knots x at heights y, slopes dx/dy.

    Attributes:
        x: cm, shape (n, 4): at the underarm, bust, waist and hip level.
        y: cm, shape (n, 4).
        slope: dx/dy, shape (n, 4).
    """

    x: FloatArray
    y: FloatArray
    slope: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class DraftPoints:
    """All points of many drafts.

    Attributes:
        front: Named points of the half front, each shape (n, 2).
        back: The same of the half back.
        front_side: Side seam of the front.
        back_side: Side seam of the back; its top is trued later.
        level: Height of bust, waist and hip, each shape (n,).
        leg_side: Height of the leg line at the side, shape (n,).
        loop_excess: What step 5 had to share out, cm, shape (n,).
    """

    front: Mapping[str, FloatArray]
    back: Mapping[str, FloatArray]
    front_side: Side
    back_side: Side
    level: Mapping[str, FloatArray]
    leg_side: FloatArray
    loop_excess: FloatArray


def place_points(body: Mapping[str, FloatArray], style: Style) -> DraftPoints:
    """Carry out steps 1 to 7.

    Args:
        body: Completed measures, cm, each of shape (n,).
        style: The choices.
    """
    level = _levels(body)
    top = _underarm(body, level, style)
    sides = {name: _side(body, level, top, name) for name in ("front", "back")}
    seat_x = SEAT_SHARE * sides["back"].x[:, 3]
    bust_point = _xy(body["bust_point_distance"] / 2, level["bust"])
    seat_point = _xy(seat_x, level["hip"])
    neck_x = NECK_HALF_WIDTH * body["neck_base"]
    strap_x = neck_x + style.strap_place * body["shoulder"] * np.cos(SHOULDER_SLOPE)
    # The middle of the shoulder lies level with the nape; elsewhere the slope counts.
    off = (style.strap_place - 0.5) * body["shoulder"] * np.sin(SHOULDER_SLOPE)
    excess = _close_loop(body, level, strap_x, off, bust_point, seat_point)
    at = _loop_ends(body, level, strap_x, off, excess)
    leg_side = level["hip"] - style.leg_height
    pit = level["waist"] - body["front_neck_to_waist"]
    front = {
        "neck_centre": _xy(0 * pit, pit + style.neck_front),
        **_strap(at["front strap"], style),
        **_crotch(at["front crotch"], style),
        "bust_point": bust_point,
    }
    back_depth = np.full_like(pit, style.neck_back + style.back_scoop)
    back = {
        "neck_centre": _xy(0 * pit, back_depth),
        **_strap(at["back strap"], style),
        **_crotch(at["back crotch"], style),
        "seat_point": seat_point,
    }
    return DraftPoints(
        front, back, sides["front"], sides["back"], level, leg_side, excess
    )


def _xy(x: FloatArray, y: FloatArray) -> FloatArray:
    return np.stack(np.broadcast_arrays(x, y), axis=-1)


def _levels(body: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    """Step 1. Nape to bust level: fitted on 993 women, spread 2 cm (ansur-2012)."""
    waist = body["nape_to_waist"]
    bust = 0.46 + 0.4264 * waist + 0.0608 * body["bust"]
    return {"bust": bust, "waist": waist, "hip": waist + body["waist_to_hip"]}


def _underarm(
    body: Mapping[str, FloatArray], level: Mapping[str, FloatArray], style: Style
) -> FloatArray:
    """Return the height of the underarm, step 7."""
    if style.side_height is not None:
        return level["bust"] - style.side_height
    return np.minimum(body["armscye_depth"], level["bust"] - LEAST_SIDE_CM)


def _side(
    body: Mapping[str, FloatArray],
    level: Mapping[str, FloatArray],
    top: FloatArray,
    piece: str,
) -> Side:
    """Return the side seam through the levels, step 2.

    Above the bust it follows the high bust, where that is smaller. Slopes are those of
    a monotone cubic: upright where the width turns, so that it never swings out.
    """
    widths = []
    for name in ("bust", "waist", "hip"):
        share = FRONT_SHARE[name] if piece == "front" else 1 - FRONT_SHARE[name]
        widths.append(share * body[name] / 2)
    # Upper chest of a size table: 0.817 bust + 16. Source key: astm-d5585-11
    high = body.get("high_bust", np.full_like(top, np.nan))
    high = np.where(np.isnan(high), 0.817 * body["bust"] + 16.0, high)
    taper = np.clip((body["bust"] - high) / 4, 0.4, 1.0)
    x = np.stack([widths[0] - taper, *widths], axis=-1)
    y = np.stack([top, level["bust"], level["waist"], level["hip"]], axis=-1)
    return Side(x, y, monotone_slopes(x, y))


def monotone_slopes(x: FloatArray, y: FloatArray) -> FloatArray:
    """Return slopes dx/dy at knots that keep a cubic between its knots, shape (n, k).

    Inside: harmonic mean of the neighbouring slopes weighted by the steps, 0 where x
    turns. At the last knot 0; at the first half the slope of the first step.
    """
    step = np.diff(y, axis=-1)
    secant = np.diff(x, axis=-1) / step
    before, after = secant[:, :-1], secant[:, 1:]
    near, far = 2 * step[:, 1:] + step[:, :-1], step[:, 1:] + 2 * step[:, :-1]
    same = before * after > 0
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (near + far) / (near / before + far / after)
    inner = np.where(same, mean, 0.0)
    return np.concatenate([secant[:, :1] / 2, inner, 0 * secant[:, :1]], axis=-1)


def _loop_ends(
    body: Mapping[str, FloatArray],
    level: Mapping[str, FloatArray],
    strap_x: FloatArray,
    off: FloatArray,
    excess: FloatArray,
) -> dict[str, FloatArray]:
    """Return strap middles and crotch centres for a shared-out difference."""
    to_front, to_crotch, to_back = LOOP_SHARES
    crotch = body["crotch_length"] + to_crotch * excess
    share = FRONT_CROTCH_SHARE
    return {
        "front strap": _xy(strap_x, off - to_front * excess),
        "back strap": _xy(strap_x, off - to_back * excess),
        "front crotch": _xy(0 * strap_x, level["waist"] + share * crotch),
        "back crotch": _xy(0 * strap_x, level["waist"] + (1 - share) * crotch),
    }


def _close_loop(
    body: Mapping[str, FloatArray],
    level: Mapping[str, FloatArray],
    strap_x: FloatArray,
    off: FloatArray,
    bust_point: FloatArray,
    seat_point: FloatArray,
) -> FloatArray:
    """Return the difference that makes the loop path equal the torso loop, step 5.

    The path grows with the difference; bisection inside -60 to 60 cm, with a secant
    step where it stays inside. Rows that do not close come back as nan.
    """

    def gap(excess: FloatArray) -> FloatArray:
        at = _loop_ends(body, level, strap_x, off, excess)
        legs = (
            at["front strap"] - bust_point,
            bust_point - at["front crotch"],
            at["back crotch"] - seat_point,
            seat_point - at["back strap"],
        )
        lengths = [np.hypot(leg[:, 0], leg[:, 1]) for leg in legs]
        return np.asarray(sum(lengths) - body["torso_loop"])

    # Below this the strap or the crotch would pass bust or seat and the path would turn.
    low, high = np.full_like(off, -30.0), np.full_like(off, 60.0)
    below, above = gap(low), gap(high)
    closes = (below < 0) & (above > 0)
    now = np.zeros_like(off)
    for _ in range(60):
        miss = gap(now)
        if (np.abs(miss[closes]) < LOOP_TOLERANCE_CM).all():
            break
        low, high = np.where(miss < 0, now, low), np.where(miss > 0, now, high)
        step = now - miss  # the path grows by nearly 1 for 1
        now = np.where((step > low) & (step < high), step, (low + high) / 2)
    return np.where(closes, now, np.nan)


def _strap(middle: FloatArray, style: Style) -> dict[str, FloatArray]:
    """Return both ends of a strap along the falling shoulder, step 6."""
    half = style.strap_width / 2 * np.array([np.cos(STRAP_SLOPE), np.sin(STRAP_SLOPE)])
    return {
        "strap_neck": middle - half,
        "strap_arm": middle + half,
        "strap_middle": middle,
    }


def _crotch(centre: FloatArray, style: Style) -> dict[str, FloatArray]:
    return {
        "crotch_centre": centre,
        "crotch_side": centre + np.array([style.crotch_width / 2, 0.0]),
    }
