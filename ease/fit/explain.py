"""A reduction in plain sentences, with the numbers put in."""

from __future__ import annotations

import numpy as np

from ease.fit.aims import Aim
from ease.fit.decide import Decision, Reduction, membrane_of
from ease.fit.holding import DEPTH_OVER_BREADTH
from ease.fit.pressure import band
from ease.fit.wear import Sizes, loads
from ease.fit.window import AS_IT_IS, LIMITS
from ease.units import percent_text, pressure_text

__all__ = ["explain", "sizes_at"]


def explain(reduction: Reduction) -> tuple[str, ...]:
    """Return the answer as sentences: round, down, what it does, what not to mistake."""
    return (
        _round(reduction),
        *_down(reduction),
        *_holding(reduction),
        _mistake(reduction.girth),
    )


def sizes_at(reduction: Reduction) -> Sizes:
    """Return a garment cut exactly by a reduction, at the girths that it lies round."""
    names = reduction.allowed.held_at
    body = np.array([reduction.body[name] for name in names])
    return Sizes(
        body=body,
        block=body * reduction.girth.factor,
        share=np.ones(len(body)),
        depth_ratio=np.array([DEPTH_OVER_BREADTH[name] for name in names]),
        length_strain=reduction.length.strain,
    )


def _holding(reduction: Reduction) -> tuple[str, ...]:
    membrane = membrane_of(reduction.fabric, reduction.round_body)
    if membrane is None:
        return ()
    sizes = sizes_at(reduction)
    worn = loads(membrane, sizes)
    names = reduction.allowed.held_at
    most = int(worn.side.argmax())
    pull = worn.pull(0, reduction.cut("waist"))  # as stretched there as anywhere
    pulls = f", and pulls {pull:.1f} N over both shoulders together"
    if not reduction.allowed.hangs:
        pulls = ""
    return (
        f"So it presses {pressure_text(float(worn.pressure[0]))} on average round the "
        f"{names[0]}, at most {pressure_text(float(worn.side[most]))} at the side of the "
        f"{names[most]} ({band(float(worn.side[most])).title}){pulls}.",
    )


def _amount(decision: Decision) -> str:
    share = percent_text(abs(decision.reduction))
    if float(share) == 0:
        return "at body size"
    return (
        f"{share} % {'smaller' if decision.reduction > 0 else 'larger'} than the body"
    )


def _reason(decision: Decision, wanted: Aim) -> str:
    if decision.bound_by == "aim":
        return "no limit stands in the way of the aim"
    kind = LIMITS[decision.bound_by]
    if decision.aim_beyond_test:
        return _beyond_test(decision, wanted)
    moved = "down" if kind.side == "high" else "up"
    aim = percent_text(decision.aim if decision.aim is not None else 0.0)
    return (
        f"the aim of {aim} % was moved {moved} by {kind.title}: beyond that, {kind.why}"
    )


def _beyond_test(decision: Decision, wanted: Aim) -> str:
    """Say that no tested strain gives what is aimed at, and what stops it before."""
    aim = f"{wanted.pressure_kpa:.2f} kPa at the bust is"
    if decision.axis == "length":
        aim = f"{wanted.pull_n:.1f} N over both shoulders is"
    last = percent_text(decision.strains["test_range"])
    said = f"{aim} not reached even at {last} %, where the load test ends; "
    kind = LIMITS[decision.bound_by]
    if kind.key == "test_range":
        return f"{said}so it stops there, as {kind.why}"
    stop = percent_text(decision.strain)
    return f"{said}{kind.title} stops it at {stop} %: beyond that, {kind.why}"


def _round(reduction: Reduction) -> str:
    girth = reduction.girth
    why = _reason(girth, reduction.aim)
    return (
        f"Round: cut {_amount(girth)} (factor {girth.factor:.3f}), so that "
        f"the cloth is worn {percent_text(girth.strain)} % stretched; {why}."
    )


def _down(reduction: Reduction) -> tuple[str, ...]:
    length = reduction.length
    if length.bound_by == AS_IT_IS:
        return (
            "Down: nothing hangs from the shoulders, so the length stays as it is.",
        )
    if length.aim is None:
        return ("Down: not tested, so the length stays at body length.",)
    shrink = percent_text(1.0 - reduction.free_length)
    pull = percent_text(reduction.pull_strain)
    first = (
        f"Down: cut {_amount(length)} (factor {length.factor:.3f}); "
        f"{_reason(length, reduction.aim)}."
    )
    second = (
        f"Stretched round, the cloth shortens by {shrink} % by itself; worn, it is pulled "
        f"{pull} % beyond that."
    )
    if length.strain > 0 and reduction.contraction_strain > 0:
        second += (
            f" Of this, contraction brings "
            f"{percent_text(reduction.contraction_strain)} % and the shorter cut "
            f"{percent_text(length.strain)} %: do not take off more for the same reason."
        )
    return (first, second)


def _mistake(girth: Decision) -> str:
    strain = percent_text(girth.strain)
    then = "leave nothing"
    if girth.strain < 1:
        wrong = girth.strain / (1.0 - girth.strain)
        then = f"stretch it {percent_text(wrong)} %"
    return (
        f"Not the same: {strain} % stretch is {percent_text(girth.reduction)} % off the "
        f"body; taking {strain} % off would {then}."
    )
