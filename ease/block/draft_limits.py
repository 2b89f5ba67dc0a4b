"""What makes a draft impossible, said in the words of the measures that clash."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.draft_points import DraftPoints
from ease.block.styles import Style

__all__ = ["draft_faults"]

FloatArray = NDArray[np.float64]

# Least distances that leave an outline which can be cut and sewn, cm; and the widest
# difference between the loop and its parts. The tool's own choice: on 993 surveyed
# bodies the difference lies between -12 and 19, half of them 2 to 6. Source key:
# ansur-2012.
LEAST_BUST_TO_WAIST: Final = 5.0
LEAST_HIP_TO_CROTCH: Final = 4.0
LEAST_LEG_TO_CROTCH: Final = 5.0
LEAST_WAIST_TO_LEG: Final = 2.0
LEAST_OPENING: Final = 3.0
LEAST_ARMHOLE: Final = 8.0
LEAST_CENTRE: Final = 8.0
EXCESS_RANGE: Final = (-14.0, 20.0)


def draft_faults(
    body: Mapping[str, FloatArray], points: DraftPoints, style: Style
) -> tuple[tuple[str, ...], ...]:
    """Return for each body every reason against its draft.

    Args:
        body: Completed measures, cm, each of shape (n,).
        points: The points of the drafts.
        style: The choices.
    """
    found: list[list[str]] = [[] for _ in points.leg_side]
    rules = [
        *_length_rules(body, points),
        *_width_rules(body, points),
        *_leg_rules(points, style),
        *_strap_rules(points, style),
        *_neck_rules(points, style),
    ]
    for bad, message, numbers in rules:
        for row in np.flatnonzero(bad):
            found[row].append(
                message.format(*(float(number[row]) for number in numbers))
            )
    return tuple(tuple(reasons) for reasons in found)


Rule = tuple[NDArray[np.bool_], str, tuple[FloatArray, ...]]


def _length_rules(body: Mapping[str, FloatArray], points: DraftPoints) -> list[Rule]:
    level, excess = points.level, points.loop_excess
    front_crotch = points.front["crotch_centre"][:, 1]
    low, high = EXCESS_RANGE
    parts = body["torso_loop"] - excess
    off = ~((excess >= low) & (excess <= high))
    return [
        (
            off,
            "torso_loop {:.1f} cm does not go with nape_to_waist {:.1f} and crotch_length"
            f" {{:.1f}}: they make about {{:.1f}}, and it may be {-low:g} shorter to"
            f" {high:g} longer; measure the three again",
            (body["torso_loop"], body["nape_to_waist"], body["crotch_length"], parts),
        ),
        (
            level["waist"] - level["bust"] < LEAST_BUST_TO_WAIST,
            "the bust level lies only {:.1f} cm above the waist: nape_to_waist {:.1f} is"
            " too short for bust {:.1f}",
            (level["waist"] - level["bust"], body["nape_to_waist"], body["bust"]),
        ),
        (
            ~(front_crotch - level["hip"] >= LEAST_HIP_TO_CROTCH) & ~off,
            "the hip level lies only {:.1f} cm above the front crotch line: waist_to_hip"
            " {:.1f} is too long for crotch_length {:.1f}",
            (front_crotch - level["hip"], body["waist_to_hip"], body["crotch_length"]),
        ),
    ]


def _width_rules(body: Mapping[str, FloatArray], points: DraftPoints) -> list[Rule]:
    half_bust = points.front_side.x[:, 1]
    armhole = points.front_side.y[:, 0] - points.front["strap_arm"][:, 1]
    return [
        (
            body["bust_point_distance"] / 2 > 0.85 * half_bust,
            "bust_point_distance {:.1f} is too wide for bust {:.1f}",
            (body["bust_point_distance"], body["bust"]),
        ),
        (
            armhole < LEAST_ARMHOLE,
            "the armhole is only {:.1f} cm deep: armscye_depth {:.1f} or side_height do not"
            " go with the bust level {:.1f} cm below the nape",
            (armhole, body["armscye_depth"], points.level["bust"]),
        ),
    ]


def _leg_rules(points: DraftPoints, style: Style) -> list[Rule]:
    below_waist = points.leg_side - points.level["waist"]
    to_crotch = points.front["crotch_centre"][:, 1] - points.leg_side
    hip = points.front_side.x[:, 3]
    return [
        (
            below_waist < LEAST_WAIST_TO_LEG,
            f"leg_height {style.leg_height:g} brings the leg line to {{:.1f}} cm below the"
            f" waist; at least {LEAST_WAIST_TO_LEG:g} must stay",
            (below_waist,),
        ),
        (
            to_crotch < LEAST_LEG_TO_CROTCH,
            f"leg_height {style.leg_height:g} leaves only {{:.1f}} cm from the leg line at"
            f" the side to the crotch; at least {LEAST_LEG_TO_CROTCH:g} are needed",
            (to_crotch,),
        ),
        (
            style.crotch_width / 2 > 0.4 * hip,
            f"crotch_width {style.crotch_width:g} is too wide for a half front of {{:.1f}}"
            " cm at the hip",
            (hip,),
        ),
    ]


def _strap_rules(points: DraftPoints, style: Style) -> list[Rule]:
    strap = f"strap_width {style.strap_width:g} at strap_place {style.strap_place:g}"
    inner, outer = (points.front[key][:, 0] for key in ("strap_neck", "strap_arm"))
    under = np.minimum(points.front_side.x[:, 0], points.back_side.x[:, 0])
    return [
        (inner < 2.0, f"{strap} comes within {{:.1f}} cm of the centre line", (inner,)),
        (
            outer > under - 1.0,
            f"{strap} reaches out to {{:.1f}} cm, past the underarm at {{:.1f}}",
            (outer, under),
        ),
    ]


def _neck_rules(points: DraftPoints, style: Style) -> list[Rule]:
    back = f"neck_back {style.neck_back:g} + back_scoop {style.back_scoop:g}"
    rules: list[Rule] = []
    for name, piece, choice in (
        ("front", points.front, f"neck_front {style.neck_front:g}"),
        ("back", points.back, back),
    ):
        centre = piece["neck_centre"][:, 1]
        depth = centre - piece["strap_neck"][:, 1]
        length = piece["crotch_centre"][:, 1] - centre
        rules += [
            (
                depth < LEAST_OPENING,
                f"{choice} leaves the {name} neckline only {{:.1f}} cm below the strap; at"
                f" least {LEAST_OPENING:g} are needed",
                (depth,),
            ),
            (
                length < LEAST_CENTRE,
                f"{choice} leaves only {{:.1f}} cm of the {name} down to the crotch",
                (length,),
            ),
        ]
    return rules
