"""A worksheet: exercises of every kind in turn, freshly drawn from a seed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from ease.errors import UsageError
from ease.fit.aims import Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.dice import Dice
from ease.fit.exercises import ARITHMETIC, Exercise, Kind
from ease.fit.limits import girth_bounds
from ease.fit.reduction import strain_from_factor
from ease.fit.size_run import QUARTERS
from ease.fit.window import LIMITS, Chosen, choose
from ease.units import percent_text

__all__ = ["KINDS", "MOST", "draw_exercises"]

MOST: Final = 200


def _fixed(dice: Dice) -> Exercise:
    small, large = dice.length(76, 84), dice.length(112, 128)
    quarter = dice.length(3, 5)
    worn = [
        float(strain_from_factor((bust - QUARTERS * quarter) / bust))
        for bust in (small, large)
    ]
    return Exercise(
        kind="a fixed amount in two sizes",
        question=(
            f"A draft takes {dice.text(quarter)} off each of the four quarters, whatever "
            f"the size. How far is the cloth stretched on a bust of {dice.text(small)} "
            f"and on one of {dice.text(large)}?"
        ),
        answer=(
            f"{percent_text(worn[0])} % and {percent_text(worn[1])} %: one amount, two "
            "fits"
        ),
        working="body / (body - 4 x amount) - 1",
        given={"small_cm": small, "large_cm": large, "quarter_cm": quarter},
        results={"small_strain": worn[0], "large_strain": worn[1]},
    )


def _limit(dice: Dice) -> Exercise:
    stretch, growth = dice.percent(60, 110, 5), dice.percent(1, 3)
    wet = growth + dice.percent(1, 3)
    waist = dice.length(64, 72)
    # A slim waist makes going on the harder of the two; 10 % is always left.
    hip = dice.length(1.32 * waist, min(1.55, (1.0 + stretch) / 1.10) * waist)
    chosen = _window(stretch, (growth, wet), (waist, hip), 0.0)
    low, high = float(chosen.low), float(chosen.high)
    aim = _aim(dice, round(100 * low), round(100 * high))
    chosen = _window(stretch, (growth, wet), (waist, hip), aim)
    given = {
        "stretch": stretch,
        "growth": growth,
        "wet_growth": wet,
        "waist_cm": waist,
        "hip_cm": hip,
        "aim": aim,
    }
    worn = float(chosen.strain)
    return Exercise(
        kind="which limit binds",
        question=_limit_question(dice, given),
        answer=(
            f"{percent_text(low)} to {percent_text(high)} %; worn {percent_text(worn)} "
            f"%; {_limit_title(chosen)}"
        ),
        working=(
            f"low: the larger growth; high: the lower of (1 + 0.5 x {stretch:.2f}) / "
            f"1.15 - 1 (room to move) and (1 + {stretch:.2f}) x {dice.number(waist)} / "
            f"{dice.number(hip)} - 1 (goes on)"
        ),
        given=given,
        results={"low": low, "high": high, "strain": worn},
    )


def _limit_question(dice: Dice, given: Mapping[str, float]) -> str:
    whole = {
        key: percent_text(given[key], 0)
        for key in ("stretch", "growth", "wet_growth", "aim")
    }
    return (
        f"Stretch {whole['stretch']} %, growth {whole['growth']} %, wet "
        f"{whole['wet_growth']} %. Half of the stretch may be used in movement, which "
        f"adds 15 % (the two multiply); the waist, {dice.text(given['waist_cm'])}, must "
        f"pass over a hip of {dice.text(given['hip_cm'])}. Aimed at: {whole['aim']} % "
        "worn. Give the window, the strain that is worn, and the limit that binds."
    )


def _limit_title(chosen: Chosen) -> str:
    binds = str(chosen.bound_by)
    return "no limit: the aim" if binds == "aim" else LIMITS[binds].title


def _aim(dice: Dice, low: int, high: int) -> float:
    """Return an aim below, inside or, twice as often, above a window in per cent."""
    return (
        dice.percent(1, max(1, low - 1)),
        dice.percent(low + 2, high - 2),
        dice.percent(high + 2, high + 10),
        dice.percent(high + 2, high + 10),
    )[dice.whole(0, 3)]


def _window(
    stretch: float, growth: tuple[float, float], girths: tuple[float, float], aim: float
) -> Chosen:
    """Return the window of a hand-tested cloth on a body, and the strain chosen."""
    nan, none = np.asarray(np.nan), np.asarray(0.0)
    cloth = ClothArrays(
        stretch_girth=np.asarray(stretch),
        stretch_length=nan,
        growth_girth=np.asarray(growth[0]),
        growth_length=none,
        wet_growth_girth=np.asarray(growth[1]),
        wet_growth_length=nan,
        contraction=none,
    )
    waist, hip = (np.asarray(cm) for cm in girths)
    body = BodyArrays(bust=hip, waist=waist, hip=hip, shoulder_girth=nan)
    return choose(np.asarray(aim), girth_bounds(cloth, body, Allowed()))


KINDS: Final[tuple[Kind, ...]] = (*ARITHMETIC, _fixed, _limit)


def draw_exercises(count: int, seed: int, units: str = "cm") -> tuple[Exercise, ...]:
    """Draw exercises; the kinds come in turn, shuffled anew each round.

    The first ones stay the same when more are asked for.

    Args:
        count: How many, 1 to ``MOST``.
        seed: 0 or more; the same seed gives the same exercises.
        units: Units of lengths, ``cm`` or ``in``.

    Raises:
        UsageError: If count or seed is out of range.
    """
    if not 1 <= count <= MOST:
        message = f"a worksheet has 1 to {MOST} exercises, not {count}"
        raise UsageError(message)
    if seed < 0:
        message = f"a seed is a whole number, 0 or more, not {seed}"
        raise UsageError(message)
    made = []
    for index in range(count):
        turn, place = divmod(index, len(KINDS))
        order = np.random.default_rng([seed, turn]).permutation(len(KINDS))
        dice = Dice(np.random.default_rng([seed, 1, index]), units)
        made.append(KINDS[order[place]](dice))
    return tuple(made)
