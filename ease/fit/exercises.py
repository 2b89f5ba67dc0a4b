"""Kinds of exercises: plausible numbers, a question, and the library's own answer.

Every number is invented for the exercise; the answers are computed, never stored.
"""

from __future__ import annotations

from collections.abc import Callable
from math import tau
from typing import Final

from ease.fabric.hand_reading import HandReading
from ease.fit.dice import Dice
from ease.fit.exercise import Exercise
from ease.fit.lesson import TwoCuts
from ease.fit.pressure import mean_pressure
from ease.fit.reduction import (
    cut_girth,
    negative_ease,
    reduction_from_strain,
    strain_from_factor,
    strain_from_reduction,
)
from ease.fit.size_run import QUARTERS
from ease.fit.working import Sum, digits_of, figure_text
from ease.units import KPA_PER_MMHG, percent_text

__all__ = ["ARITHMETIC", "Exercise", "Kind"]

MMHG_TAUGHT: Final = 0.13332  # kPa, as the exercise gives it


def _stretch(dice: Dice) -> Exercise:
    gauge = dice.gauge()
    extended = gauge + dice.length(0.35 * gauge, 1.1 * gauge)
    reading = HandReading(direction="along", repeat=1, gauge=gauge, extended=extended)
    a, b = dice.number(gauge), dice.number(extended)
    return Exercise(
        kind="stretch",
        question=(
            f"A strip is marked at {dice.text(gauge)} and pulled to "
            f"{dice.text(extended)}. How much does it stretch?"
        ),
        answer=f"{percent_text(reading.stretch)} %",
        working=f"({b} - {a}) / {a}",
        given={"gauge_cm": gauge, "extended_cm": extended},
        results={"stretch": reading.stretch},
    )


def _recovery(dice: Dice) -> Exercise:
    gauge = dice.gauge()
    extended = gauge + dice.length(0.4 * gauge, 0.85 * gauge)
    rested = gauge + dice.length(0.02 * gauge, 0.09 * gauge, fine=True)
    reading = HandReading(
        direction="along", repeat=1, gauge=gauge, extended=extended, rested=rested
    )
    growth, recovery = reading.growth or 0.0, reading.recovery or 0.0
    recovered = reading.recovered_elongation or 0.0
    a, b, c = (dice.number(cm) for cm in (gauge, extended, rested))
    return Exercise(
        kind="growth and recovery",
        question=(
            f"Marked at {dice.text(gauge)}, pulled to {dice.text(extended)}, let go and "
            f"rested, a strip measures {dice.text(rested)}. Give the growth, the recovery "
            "(share of the extension that came back) and the recovered elongation of the "
            "strip standard (100 % less the growth)."
        ),
        answer=(
            f"growth {percent_text(growth)} %, recovery {percent_text(recovery)} %, "
            f"recovered elongation {percent_text(recovered)} %"
        ),
        working=f"({c} - {a}) / {a}; ({b} - {c}) / ({b} - {a}); 100 % less the growth",
        given={"gauge_cm": gauge, "extended_cm": extended, "rested_cm": rested},
        results={
            "growth": growth,
            "recovery": recovery,
            "recovered_elongation": recovered,
        },
    )


def _reduction(dice: Dice) -> Exercise:
    strain = dice.percent(8, 45)
    off = float(reduction_from_strain(strain))
    s = percent_text(strain, 0)
    return Exercise(
        kind="strain to reduction",
        question=(
            f"The cloth is to be worn {s} % stretched. What share of the body is taken "
            "off?"
        ),
        answer=f"{percent_text(off)} %",
        working=f"{strain:.2f} / (1 + {strain:.2f})",
        given={"strain": strain},
        results={"reduction": off},
    )


def _strain(dice: Dice) -> Exercise:
    off = dice.percent(5, 28)
    strain = float(strain_from_reduction(off))
    return Exercise(
        kind="reduction to strain",
        question=(
            f"A block is cut {percent_text(off, 0)} % smaller than the body. How far is "
            "the cloth stretched when worn?"
        ),
        answer=f"{percent_text(strain)} %",
        working=f"{off:.2f} / (1 - {off:.2f})",
        given={"reduction": off},
        results={"strain": strain},
    )


def _mistake(dice: Dice) -> Exercise:
    cuts = TwoCuts(dice.length(78, 116), dice.percent(12, 45))
    body, s = dice.number(cuts.body_cm), f"{cuts.strain:.2f}"
    percent = percent_text(cuts.strain, 0)
    return Exercise(
        kind="the common mistake",
        question=(
            f"For a hip of {dice.text(cuts.body_cm)} a maker wants {percent} % worn "
            f"strain and cuts body x (1 - {s}). How far is it really stretched, and what "
            "should she have cut?"
        ),
        answer=(
            f"really {percent_text(cuts.wrong_strain)} %; right is "
            f"{dice.answer(cuts.right_cm)} (she cut {dice.answer(cuts.wrong_cm)})"
        ),
        working=f"{s} / (1 - {s}); {body} / (1 + {s})",
        given={"body_cm": cuts.body_cm, "strain": cuts.strain},
        results={
            "wrong_cm": cuts.wrong_cm,
            "wrong_strain": cuts.wrong_strain,
            "right_cm": cuts.right_cm,
        },
    )


def _cut(dice: Dice) -> Exercise:
    body, strain = dice.length(76, 120), dice.percent(8, 30)
    cut = float(cut_girth(body, strain))
    ease = float(negative_ease(body, cut))
    b, c, e = (dice.scaled(cm) for cm in (body, cut, ease))
    digits = digits_of(
        Sum(lambda c: b - c, (c,), e),
        Sum(lambda e: e / QUARTERS, (e,), e / QUARTERS),
        least=dice.decimals,
    )
    return Exercise(
        kind="cut girth and negative ease",
        question=(
            f"Bust {dice.text(body)}, worn strain {percent_text(strain, 0)} %. What girth "
            "is cut, how much negative ease is that, and how much of it comes off each "
            "quarter?"
        ),
        answer=(
            f"cut {dice.answer(cut, digits)}, negative ease "
            f"{dice.answer(ease, digits)}, {dice.answer(ease / QUARTERS, digits)} off "
            "each quarter"
        ),
        working=f"{dice.number(body)} / {1 + strain:.2f}; body - cut; over 4",
        given={"body_cm": body, "strain": strain},
        results={
            "cut_cm": cut,
            "negative_ease_cm": ease,
            "quarter_cm": ease / QUARTERS,
        },
    )


def _worn(dice: Dice) -> Exercise:
    body, stretch = dice.length(78, 110), dice.percent(50, 100, 5)
    block = body - dice.length(0.08 * body, 0.24 * body)
    strain = float(strain_from_factor(block / body))
    used = 100 * strain / stretch
    digits = digits_of(Sum(lambda s: s / stretch, (100 * strain,), used, 0), least=1)
    return Exercise(
        kind="worn strain of a block",
        question=(
            f"A block measures {dice.text(block)} round a bust of {dice.text(body)}. How "
            "far is the cloth stretched, and what share is that of a tested stretch of "
            f"{percent_text(stretch, 0)} %?"
        ),
        answer=(
            f"{figure_text(100 * strain, digits, 1)} %, which is {used:.0f} % of the "
            "stretch"
        ),
        working=f"{dice.number(body)} / {dice.number(block)} - 1; over {stretch:.2f}",
        given={"body_cm": body, "block_cm": block, "stretch": stretch},
        results={"strain": strain, "stretch_used": strain / stretch},
    )


def _loop(dice: Dice) -> Exercise:
    width, load = dice.length(4, 12.5), float(dice.whole(6, 40))
    # Each of the two layers carries half of the load.
    reading = HandReading(
        direction="along",
        repeat=1,
        gauge=20.0,
        extended=30.0,
        load=load / 2,
        strip_width=width,
    )
    tension = reading.tension or 0.0
    metres, double = width / 100, 2 * tension
    digits = digits_of(Sum(lambda t: 2 * t, (tension,), double, 0), least=0)
    fine = digits_of(
        Sum(lambda w: load / (2 * w), (metres,), tension, digits),
        Sum(lambda w: load / w, (metres,), double, 0),
    )
    one = figure_text(tension, digits, 0)
    return Exercise(
        kind="the two layers of a loop",
        question=(
            f"A sewn loop {dice.text(width)} wide is pulled with {load:g} N. What tension "
            "does one layer carry, in N per metre of width?"
        ),
        answer=f"{one} N/m (taken for a strip it would be {double:.0f})",
        working=f"{load:g} / (2 x {figure_text(metres, fine)} m)",
        given={"width_cm": width, "load_n": load},
        results={"tension_n_per_m": tension, "as_strip_n_per_m": 2 * tension},
    )


def _pressure(dice: Dice) -> Exercise:
    tension, girth = float(dice.whole(20, 160, 5)), dice.length(50, 120)
    kpa = float(mean_pressure(tension, girth))
    mmhg, metres = kpa / KPA_PER_MMHG, girth / 100
    needed = [
        (digits_of(Sum(lambda p: p / MMHG_TAUGHT, (kpa,), mmhg, places)), places)
        for places in (1, 2)
    ]
    digits, places = min(needed)
    fine = digits_of(Sum(lambda g: tau * tension / g / 1000, (metres,), kpa, digits))
    return Exercise(
        kind="pressure from tension",
        question=(
            f"Round a girth of {dice.text(girth)} the cloth pulls {tension:g} N per metre "
            "of its width (lengthwise it lies unstretched). What mean pressure is that, "
            f"in kPa and in mmHg ({MMHG_TAUGHT} kPa)?"
        ),
        answer=f"{figure_text(kpa, digits)} kPa, {mmhg:.{places}f} mmHg",
        working=f"2 pi x {tension:g} / {figure_text(metres, fine)} m, over 1000",
        given={"tension_n_per_m": tension, "girth_cm": girth},
        results={"pressure_kpa": kpa, "pressure_mmhg": mmhg},
    )


def _contraction(dice: Dice) -> Exercise:
    loop, strain = dice.length(140, 172), dice.percent(10, 30)
    ratio = dice.percent(20, 45, 5)
    free = 1.0 - ratio * strain
    down = float(strain_from_factor(free))
    back = Sum(
        lambda f: 100 * (dice.scaled(loop) / f - 1),
        (dice.scaled(loop * free),),
        100 * down,
        1,
    )
    digits = digits_of(back, least=dice.decimals)
    return Exercise(
        kind="contraction",
        question=(
            f"A torso loop is cut at body length, {dice.text(loop)}. Round, the suit is "
            f"worn {percent_text(strain, 0)} % stretched; the contraction ratio is "
            f"{ratio:.2f}. How long is the loop when the cloth is free to move down, and "
            "how far is it stretched on the body?"
        ),
        answer=f"{dice.answer(loop * free, digits)}; {percent_text(down)} %",
        working=f"{dice.number(loop)} x (1 - {ratio:.2f} x {strain:.2f}); body / that - 1",
        given={"loop_cm": loop, "strain": strain, "contraction": ratio},
        results={"free_loop_cm": loop * free, "length_strain": down},
    )


Kind = Callable[[Dice], Exercise]
ARITHMETIC: Final[tuple[Kind, ...]] = (
    _stretch,
    _recovery,
    _reduction,
    _strain,
    _mistake,
    _cut,
    _worn,
    _loop,
    _pressure,
    _contraction,
)
