"""What makes a draft impossible, said in the words of the measures that clash."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.draft_points import DraftPoints
from ease.block.styles import Style
from ease.sentence import Length, Sentence

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
    for bad, message, fixed, numbers in rules:
        for row in np.flatnonzero(bad):
            lengths = (Length(float(number[row])) for number in numbers)
            found[row].append(Sentence(message, *fixed, *lengths))
    return tuple(tuple(reasons) for reasons in found)


# Where a draft is bad, what is said of it, and what goes into the gaps: first the same for
# every body, then lengths of each.
Rule = tuple[
    NDArray[np.bool_], str, tuple[Length | str | float, ...], tuple[FloatArray, ...]
]


def _length_rules(body: Mapping[str, FloatArray], points: DraftPoints) -> list[Rule]:
    level, excess = points.level, points.loop_excess
    front_crotch = points.front["crotch_centre"][:, 1]
    low, high = EXCESS_RANGE
    parts = body["torso_loop"] - excess
    off = ~((excess >= low) & (excess <= high))
    none = ~np.isfinite(excess)
    return [
        (
            none,
            "torso_loop {} does not go with nape_to_waist {} and crotch_length {}: no loop "
            "over them is that short; measure the three again",
            (),
            (body["torso_loop"], body["nape_to_waist"], body["crotch_length"]),
        ),
        (
            off & ~none,
            "torso_loop {2} does not go with nape_to_waist {3} and crotch_length {4}: they "
            "make about {5}, and it may be {0} shorter to {1} longer; measure the three "
            "again",
            (Length(-low), Length(high)),
            (body["torso_loop"], body["nape_to_waist"], body["crotch_length"], parts),
        ),
        (
            level["waist"] - level["bust"] < LEAST_BUST_TO_WAIST,
            "the bust level lies only {} above the waist: nape_to_waist {} is too short "
            "for bust {}",
            (),
            (level["waist"] - level["bust"], body["nape_to_waist"], body["bust"]),
        ),
        (
            ~(front_crotch - level["hip"] >= LEAST_HIP_TO_CROTCH) & ~off,
            "the hip level lies only {} above the front crotch line: waist_to_hip {} is "
            "too long for crotch_length {}",
            (),
            (front_crotch - level["hip"], body["waist_to_hip"], body["crotch_length"]),
        ),
    ]


def _width_rules(body: Mapping[str, FloatArray], points: DraftPoints) -> list[Rule]:
    half_bust = points.front_side.x[:, 1]
    armhole = points.front_side.y[:, 0] - points.front["strap_arm"][:, 1]
    return [
        (
            body["bust_point_distance"] / 2 > 0.85 * half_bust,
            "bust_point_distance {} is too wide for bust {}",
            (),
            (body["bust_point_distance"], body["bust"]),
        ),
        (
            armhole < LEAST_ARMHOLE,
            "the armhole is only {} deep: armscye_depth {} or the side height do not go "
            "with the bust level {} below the nape",
            (),
            (armhole, body["armscye_depth"], points.level["bust"]),
        ),
    ]


def _leg_rules(points: DraftPoints, style: Style) -> list[Rule]:
    below_waist = points.leg_side - points.level["waist"]
    to_crotch = points.front["crotch_centre"][:, 1] - points.leg_side
    hip = points.front_side.x[:, 3]
    raised = Length(style.leg_height)
    return [
        (
            below_waist < LEAST_WAIST_TO_LEG,
            "leg height {0} brings the leg line to {2} below the waist; at least {1} must "
            "stay",
            (raised, Length(LEAST_WAIST_TO_LEG)),
            (below_waist,),
        ),
        (
            to_crotch < LEAST_LEG_TO_CROTCH,
            "leg height {0} leaves only {2} from the leg line at the side to the crotch; "
            "at least {1} are needed",
            (raised, Length(LEAST_LEG_TO_CROTCH)),
            (to_crotch,),
        ),
        (
            style.crotch_width / 2 > 0.4 * hip,
            "crotch width {} is too wide for a half front of {} at the hip",
            (Length(style.crotch_width),),
            (hip,),
        ),
    ]


def _strap_rules(points: DraftPoints, style: Style) -> list[Rule]:
    strap = "strap width {} at strap place {:g}"
    chosen = (Length(style.strap_width), style.strap_place)
    inner, outer = (points.front[key][:, 0] for key in ("strap_neck", "strap_arm"))
    under = np.minimum(points.front_side.x[:, 0], points.back_side.x[:, 0])
    return [
        (
            inner < 2.0,
            f"{strap} comes within {{}} of the centre line",
            chosen,
            (inner,),
        ),
        (
            outer > under - 1.0,
            f"{strap} reaches out to {{}}, past the underarm at {{}}",
            chosen,
            (outer, under),
        ),
    ]


def _neck_rules(points: DraftPoints, style: Style) -> list[Rule]:
    rules: list[Rule] = []
    least, front, back, scoop = (
        Length(cm)
        for cm in (LEAST_OPENING, style.neck_front, style.neck_back, style.back_scoop)
    )
    for name, piece, choice, fixed in (
        ("front", points.front, "neck front {1}", (least, front)),
        ("back", points.back, "neck back {1} + back scoop {2}", (least, back, scoop)),
    ):
        centre = piece["neck_centre"][:, 1]
        depth = centre - piece["strap_neck"][:, 1]
        length = piece["crotch_centre"][:, 1] - centre
        own = f"{{{len(fixed)}}}"
        rules += [
            (
                depth < LEAST_OPENING,
                f"{choice} leaves the {name} neckline only {own} below the strap; at "
                "least {0} are needed",
                fixed,
                (depth,),
            ),
            (
                length < LEAST_CENTRE,
                f"{choice} leaves only {own} of the {name} down to the crotch",
                fixed,
                (length,),
            ),
        ]
    return rules
