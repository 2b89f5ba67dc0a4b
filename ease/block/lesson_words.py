"""Sentences of the lesson that say only what was read, and hold for these numbers."""

from __future__ import annotations

from typing import Final

from ease.block.lesson import Lesson
from ease.fit.cases import directions
from ease.fit.decide import Decision, Limit, membrane_of
from ease.fit.size_run import QUARTERS, Hold, SizeRun
from ease.fit.working import Sum, digits_of, figure_text
from ease.units import length_text, percent_text

__all__ = [
    "agreeing_bust_in_table",
    "body_size_words",
    "contraction_assumed",
    "factor_text",
    "hold_words",
    "percents",
    "shortens",
    "window_words",
]

FACTOR_DIGITS: Final = 3
_NEW: Final = (
    "New, the cloth is just as large as the body: strain 0, no tension, nothing holds."
)


def percents(fraction: float) -> float:
    """Return a fraction as the per cent that are shown, so that words follow them."""
    return float(percent_text(fraction))


def factor_text(lesson: Lesson) -> str:
    """Return the factor with the digits that give every cut of the lesson."""
    factor = lesson.reduction.girth.factor
    girths = [*lesson.sizes.bust.tolist(), *(row.body_cm for row in lesson.levels)]
    sums = [
        Sum(lambda f, girth=girth: f * girth, (factor,), factor * girth, 1)
        for girth in girths
    ]
    digits = digits_of(*sums, least=FACTOR_DIGITS)
    return figure_text(factor, digits, FACTOR_DIGITS)


def body_size_words(lesson: Lesson) -> str:
    """Return what a suit at body size does: new, grown and wet, as far as was read."""
    states = {one.state: one.round for one in lesson.grown}
    grown, wet = states.get("grown"), states.get("wet")
    said = [_NEW]
    if grown is None:
        said.append("How far it grows, pulled out and rested, was not read.")
    else:
        said.append(f"Once pulled out and rested as in the test it {_grown(grown)}.")
    if wet is None:
        said.append("Wet growth was not read.")
    elif grown is None or percents(grown) <= 0 or percents(wet) <= 0:
        said.append(f"Wet, it {_grown(wet)}.")
    elif percents(wet) == percents(grown):
        said.append("Wet, it grows no further.")
    else:
        said.append(f"Wet, it grows {'further' if wet > grown else 'less'}.")
    if any(percents(one) > 0 for one in states.values()):
        said.append("Grown cloth sags.")
    return " ".join(said)


def _grown(growth: float) -> str:
    shown = percents(growth)
    if shown == 0:
        return "is as large as the body again"
    return "has grown past the body" if shown > 0 else "has drawn in below the body"


def window_words(lesson: Lesson) -> str:
    """Return between which strains this fabric is worn, and where body size lies."""
    girth = lesson.reduction.girth
    low, high = girth.low, girth.high
    if low is None or high is None:
        return ""
    return (
        f"This fabric's window on this body runs from {percent_text(low.strain)} % "
        f"({_title(lesson, low)}) to {percent_text(high.strain)} % ({high.title}); body "
        f"size, 0 %, lies {body_size_lies(girth)}. Decided: "
        f"{percent_text(girth.strain)} % ({girth.bound_title})."
    )


def _title(lesson: Lesson, low: Limit) -> str:
    """Return the name of a low limit; growth that was not read limits nothing."""
    girth, _ = directions(lesson.reduction.fabric, lesson.reduction.round_body)
    unread = low.key == "growth" and girth.growth is None
    return "no growth was read" if unread else low.title


def body_size_lies(girth: Decision) -> str:
    """Return where strain 0 lies: outside the window, on its edge, or inside."""
    low = 0.0 if girth.low is None else percents(girth.low.strain)
    return "outside" if low > 0 else "inside" if low < 0 else "on its edge"


def hold_words(lesson: Lesson, units: str) -> str:
    """Return at which sizes a fixed amount is tight and at which loose."""
    run = lesson.sizes
    kinds: tuple[Hold, ...] = ("tight", "loose")
    said = [f"{kind} {where}" for kind in kinds if (where := _where(run, kind, units))]
    return " and ".join(said) or "neither tight nor loose at any of these busts"


def _where(run: SizeRun, kind: Hold, units: str) -> str:
    """Return in words at which sizes a hold is found; empty for nowhere."""
    at = [place for place, hold in enumerate(run.hold) if hold == kind]
    if not at:
        return ""
    if len(at) == len(run.hold):
        return "at every bust"
    first, last = (length_text(run.bust[place], units) for place in (at[0], at[-1]))
    if len(at) == 1:
        return f"at bust {first}"
    if len(at) <= at[-1] - at[0]:
        return f"at {len(at)} of these busts"
    if at[0] == 0:
        return f"up to bust {last}"
    if at[-1] == len(run.hold) - 1:
        return f"from bust {first} on"
    return f"from bust {first} to {last}"


def agreeing_bust_in_table(lesson: Lesson) -> bool:
    """Whether fixed amount and factor agree at a bust that the table spans."""
    run = lesson.sizes
    off = 1.0 - run.factor
    return bool(off * run.bust[0] <= QUARTERS * run.fixed_cm <= off * run.bust[-1])


def shortens(lesson: Lesson) -> bool:
    """Whether the cloth gets shorter, as far as is shown, when stretched round."""
    return percents(1.0 - lesson.reduction.free_length) > 0


def contraction_assumed(lesson: Lesson) -> bool:
    """Whether how much it gets shorter is assumed, for want of a reading."""
    reduction = lesson.reduction
    girth, length = directions(reduction.fabric, reduction.round_body)
    if girth.contraction is not None:
        return False
    # A membrane finds one ratio from the other.
    coupled = membrane_of(reduction.fabric, reduction.round_body) is not None
    return not coupled or length is None or length.contraction is None
