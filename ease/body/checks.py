"""Is a body believable: order of its measures, published spread, closure of the loop."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from ease.body.dictionary import MEASURES
from ease.body.equations import EQUATIONS, Equation
from ease.body.measures import Body
from ease.body.survey import PERCENTILES, SURVEY
from ease.sentence import Length, Sentence
from ease.units import CM_PER, NORMAL_95

__all__ = ["Finding", "check_body", "percentile"]

FAR_SD: Final = 3.0  # spreads from what the other measures say, before it is named
NEAR_SD: Final = 1.5  # a suggested slip must bring the value back this close
EDGE_PERCENT: Final = 1.0

FindingKind = Literal["order", "percentile", "agreement"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about a body that should be looked at.

    Attributes:
        kind: Order of two measures, a rare value, or measures that do not agree.
        keys: The measures it is about.
        text: What is odd, with the numbers, and the likely slip.
        impossible: Whether no body can have it, so that nothing can be drafted.
    """

    kind: FindingKind
    keys: tuple[str, ...]
    text: str
    impossible: bool = False


# Pairs where the first must be less than the second on every body, and a factor on the
# second. Geometry, no source needed.
_ORDER: Final = (
    ("waist_to_hip", "body_rise", 1.0, "the hip level would lie below the crotch"),
    ("armscye_depth", "nape_to_waist", 1.0, "the armhole would end below the waist"),
    ("bust_point_distance", "bust", 0.5, "the bust points would lie at the sides"),
    ("thigh", "hip", 1.0, "one leg would be wider than the seat"),
    ("body_rise", "crotch_length", 0.5, "the tape is shorter than the drop, twice"),
    ("crotch_length", "torso_loop", 1.0, "the loop contains the crotch length"),
    ("nape_to_waist", "torso_loop", 0.5, "the loop contains the back, and the front"),
    ("back_width", "bust", 0.7, "the back would be wider than the bust"),
    ("shoulder", "neck_base", 1.0, "the shoulder would be longer than the neck round"),
    ("underbust", "bust", 1.05, "the bust is the fullest place"),
    ("nape_to_waist", "stature", 0.5, "the back would be half the height"),
)


def percentile(key: str, value: float) -> float | None:
    """Return the percentile of a value among the surveyed women, or None if not known.

    Straight lines between the published quantiles; 0 or 100 outside all of them.
    Source keys: ansur-2012, bdims-2003.

    Examples:
        >>> percentile("hip", 101.6)
        50.0
    """
    if key not in SURVEY:
        return None
    return float(np.interp(value, SURVEY[key], PERCENTILES))


def check_body(body: Body) -> tuple[Finding, ...]:
    """Return everything odd about a body; filled-in measures are not judged.

    Args:
        body: As it was measured, or completed.
    """
    taken = {key: value for key, value in body.values.items() if key not in body.filled}
    disagreeing = _agreement(taken)
    named = {key for finding in disagreeing for key in finding.keys}
    rare = [finding for finding in _rare(taken) if finding.keys[0] not in named]
    return (*_order(body.values), *disagreeing, *rare)


def _order(values: Mapping[str, float]) -> list[Finding]:
    found = []
    for small, large, factor, why in _ORDER:
        if small in values and large in values:
            if values[small] < factor * values[large]:
                continue
            times = f"{factor:g} x " if factor != 1 else ""
            found.append(
                Finding(
                    "order",
                    (small, large),
                    Sentence(
                        "{} {} must be less than {}{} {}: {}",
                        *(small, _said(small, values[small]), times),
                        *(large, _said(large, values[large]), why),
                    ),
                    impossible=True,
                )
            )
    return found


def _rare(taken: Mapping[str, float]) -> list[Finding]:
    found = []
    for key, value in taken.items():
        rank = percentile(key, value)
        if rank is None or EDGE_PERCENT <= rank <= 100 - EDGE_PERCENT:
            continue
        least, most = (_said(key, SURVEY[key][end]) for end in (0, -1))
        place = f"percentile {rank:.1f} of the surveyed women"
        if value < SURVEY[key][0]:
            place = Sentence("less than any surveyed woman (least {})", least)
        elif value > SURVEY[key][-1]:
            place = Sentence("more than any surveyed woman (most {})", most)
        found.append(
            Finding(
                "percentile",
                (key,),
                Sentence("{} {}: {}; read it again", key, _said(key, value), place),
            )
        )
    return found


def _agreement(taken: Mapping[str, float]) -> list[Finding]:
    """Compare each measure with what the others say, the loop with its parts too."""
    found = []
    judged: set[str] = set()
    for equation in EQUATIONS:
        target = equation.target
        ready = target in taken and all(key in taken for key in equation.inputs)
        if not ready or target in judged or not _judges(equation):
            continue
        judged.add(target)
        expected = _value(equation, taken)
        if abs(taken[target] - expected) <= FAR_SD * equation.sd:
            continue
        others = ", ".join(equation.inputs)
        text = Sentence(
            "{} {} does not agree with {}, which let expect {} +- {} in 95 of 100 "
            "bodies{}",
            *(target, _said(target, taken[target]), others, _said(target, expected)),
            *(_said(target, NORMAL_95 * equation.sd), _slip(equation, taken)),
        )
        found.append(Finding("agreement", (target, *equation.inputs), text))
    return found


def _said(key: str, value: float) -> Length | str:
    """Return a measure with its unit, as a sentence can say it."""
    return f"{value:.1f} kg" if MEASURES[key].kind == "weight" else Length(value)


def _judges(equation: Equation) -> bool:
    # Height is what other measures are judged by, not the reverse.
    return equation.target not in ("stature", "shoulder_girth")


def _value(equation: Equation, values: Mapping[str, float]) -> float:
    return equation.constant + sum(
        factor * values[key] for key, factor in equation.terms
    )


def _slip(equation: Equation, taken: Mapping[str, float]) -> str:
    """Return the slip that would explain it, if one brings the value near."""
    target, inch = equation.target, CM_PER["in"]
    off = Sentence("a tape was read {} off", Length(10, 0))
    changes: tuple[tuple[str, Callable[[float], float]], ...] = (
        ("it was read in inches", lambda value: value * inch),
        ("it was turned from inches to cm twice", lambda value: value / inch),
        ("only half was measured", lambda value: value * 2),
        ("half was meant", lambda value: value / 2),
        (off, lambda value: value + 10),
        (off, lambda value: value - 10),
    )
    limit = NEAR_SD * equation.sd
    for words, change in changes:
        if abs(change(taken[target]) - _value(equation, taken)) <= limit:
            return Sentence("; perhaps {}", words)
    for other, value in taken.items():
        if other == target or MEASURES[other].kind == "weight":
            continue
        swapped = {**taken, target: value, other: taken[target]}
        if abs(value - _value(equation, swapped)) <= limit:
            return f"; perhaps {target} and {other} are swapped"
    return ""
