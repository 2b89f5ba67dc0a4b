"""What is wrong with a garment on a body: too tight, too loose, does not go on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.fit.limits import pull_bounds, room_to_move
from ease.fit.membrane import Membrane
from ease.fit.outside import SAME_STRAIN
from ease.fit.pressure import REFUSED_FROM
from ease.fit.slack import LATER_TITLES, is_slack
from ease.fit.wear import Loads, Sizes, WearState
from ease.fit.window import Strains
from ease.sentence import Length, Sentence
from ease.units import apart_texts

__all__ = [
    "NOT_WORN",
    "VERDICTS",
    "LengthLimits",
    "Verdict",
    "going_on_faults",
    "hanging_states",
    "length_faults",
    "length_limits",
    "length_remark",
    "load_faults",
    "strain_faults",
    "tightest",
    "understated_levels",
]

FloatArray = NDArray[np.float64]
Verdict = Literal["does not go on", "unsafe", "tight", "little room", "loose", "fits"]
# The gravest first: what cannot be worn at all, what can hurt, what is stretched out or
# past what was tested, and what only hangs. The first names a garment, ranks the fabrics
# and orders the faults.
VERDICTS: Final[tuple[Verdict, ...]] = (
    "does not go on",
    "unsafe",
    "tight",
    "little room",
    "loose",
    "fits",
)
NOT_WORN: Final[tuple[Verdict, ...]] = ("does not go on", "unsafe")
SAME_CM: Final = 0.05
SLACK_N_PER_M: Final = 0.5  # a block cut to the growth limit lies on it but for so much


def tightest(
    sizes: Sizes, reached: FloatArray, passed: tuple[tuple[str, float], ...]
) -> int:
    """Index of the closed level that falls shortest of what must go through it."""
    short = reached - np.maximum([girth for _, girth in passed], sizes.body)
    return int(np.where(sizes.share == 1.0, short, np.inf).argmin())


def going_on_faults(
    names: list[str],
    sizes: Sizes,
    reached: FloatArray,
    passed: tuple[tuple[str, float], ...],
) -> dict[Verdict, str]:
    """A closed level must reach over the way on, and round the body where it lies."""
    worst = tightest(sizes, reached, passed)
    part, needed = passed[worst]
    own = float(sizes.body[worst])
    if own > needed:
        part, needed = f"body at the {names[worst]}", own
    if sizes.share[worst] < 1.0 or reached[worst] > needed - SAME_CM:
        return {}
    text = Sentence(
        "stops at the {}: it reaches {}, the {} measures {}",
        *(names[worst], Length(float(reached[worst])), part, Length(needed)),
    )
    return {"does not go on": text}


def strain_faults(
    names: list[str],
    sizes: Sizes,
    allowed: Allowed,
    stretch: float,
    growth: float,
) -> dict[Verdict, str]:
    """Where a closed level leaves no room to move, or is loose once it has grown."""
    faults: dict[Verdict, str] = {}
    closed = sizes.share == 1.0
    room = float(
        room_to_move(np.asarray(stretch), allowed.usable_share, allowed.girth_move)
    )
    if at := _named(names, closed & (sizes.strain > room + SAME_STRAIN)):
        faults["little room"] = (
            f"{at}: worn more than {100 * room:.1f} % stretched leaves no room to move"
        )
    if at := _named(names, closed & (sizes.strain < growth - SAME_STRAIN)):
        faults["loose"] = (
            f"{at}: worn less than {100 * growth:.1f} % stretched, it hangs once grown"
            if growth > 0
            else f"{at}: larger than the body, it hangs"
        )
    return faults


class LengthLimits(NamedTuple):
    """Limits of the worn strain down the body.

    Attributes:
        least: Below it the garment hangs, at every level.
        most: Above it there is no room to move.
        end: Above it the cloth gives no more.
        closed: Most where every level is a closed loop, as a decision takes it.
        grows: Whether ``least`` is of cloth that has grown.
    """

    least: float
    most: float
    end: float
    closed: float
    grows: bool


def length_limits(
    sizes: Sizes, cloth: ClothArrays, allowed: Allowed, free_length: FloatArray
) -> LengthLimits | None:
    """Return the limits down that a decision keeps to; None where nothing tells them.

    Pull counts from the length that the cloth takes by itself, stretched round: less where
    a level is cut open. The same pull runs down all of the loop, so that levels together
    give the mean of what they give; only what hangs at every level hangs.

    Args:
        sizes: The garment on the body.
        cloth: Stretch and growth.
        allowed: Numbers of the limits.
        free_length: Length of the cloth over its cut length at each level, stretched
            round as its loop holds it.
    """
    if not sizes.length_known or np.isnan(cloth.stretch_length):
        return None
    as_worn = Strains(free_length)
    limits = pull_bounds(cloth, allowed, sizes.held_strain, free_length).mapped(as_worn)
    room = limits.high["room_to_move"]
    return LengthLimits(
        least=float(np.nanmax(list(limits.low.values()), axis=0).min()),
        most=float(room.mean()),
        end=float(as_worn(cloth.stretch_length).mean()),
        closed=float(room.min()),
        grows=bool(np.fmax(cloth.growth_length, cloth.wet_growth_length) > 0),
    )


def length_faults(worn: float, limits: LengthLimits | None) -> dict[Verdict, str]:
    """Where the torso loop leaves no room to move, asks for more than there is, or hangs.

    Args:
        worn: Worn strain down the body.
        limits: Its limits.
    """
    if limits is None:
        return {}
    if worn > limits.end + SAME_STRAIN:
        return {"tight": _down(worn, ", where the cloth gives {} %", limits.end)}
    if worn > limits.most + SAME_STRAIN:
        text = ": more than {} % leaves no room to move"
        return {"little room": _down(worn, text, limits.most)}
    if worn < limits.least - SAME_STRAIN:
        hangs = "hangs once grown" if limits.grows else "hangs"
        return {"loose": _down(worn, f": less than {{}} % {hangs}", limits.least)}
    return {}


def length_remark(worn: float, limits: LengthLimits | None) -> str:
    """Say where a decision would not take as much off the length; or nothing.

    Args:
        worn: Worn strain down the body.
        limits: Its limits.
    """
    if limits is None or not limits.closed + SAME_STRAIN < worn <= limits.most:
        return ""
    text = (
        ", past the {} % that `ease factors` keeps to: what is cut open gives the room"
    )
    return _down(worn, text, limits.closed)


def _down(worn: float, text: str, limit: float) -> str:
    strain, end = apart_texts(worn, limit)
    return f"strain down the body {strain} %{text.format(end)}"


def understated_levels(
    names: list[str], sizes: Sizes, membrane: Membrane
) -> tuple[str, ...]:
    """Levels whose hour of wear reads low: the test turned far above."""
    if "unloading" not in membrane.states:
        return ()
    down = np.full_like(sizes.strain, sizes.length_strain)
    hour = membrane.in_state("unloading")
    far = hour.came_from_higher(sizes.held_strain, down)
    told = ~np.isnan(hour.tensions(sizes.held_strain, down, outside="nan")[0])
    return tuple(name for name, low in zip(names, far & told, strict=True) if low)


def _named(names: list[str], where: NDArray[np.bool_]) -> str:
    return ", ".join(name for name, bad in zip(names, where, strict=True) if bad)


def hanging_states(
    states: Mapping[WearState, tuple[Loads, ...]], anchor: int
) -> list[WearState]:
    """Return later states in which the straps hang, whichever end of a range is true."""
    return [
        state
        for state in LATER_TITLES
        if (ends := states.get(state))
        and all(end.down[anchor] < -SLACK_N_PER_M for end in ends)
    ]


def load_faults(
    names: list[str],
    sizes: Sizes,
    states: Mapping[WearState, tuple[Loads, ...]],
    anchor: int,
    allowed: Allowed,
) -> dict[Verdict, str]:
    """What tension does, just put on and where straps hang later; by load tests only."""
    if "now" not in states:
        return {}
    loads = states["now"][0]
    found: list[tuple[Verdict, str]] = []
    past, side = np.isnan(loads.side), loads.least_side
    if at := _named(names, past):
        text = (
            f"{at}: stretched past the end of the load test: it presses more than "
            f"{side[past].max():.2f} kPa at the side, how much is not known"
        )
        found.append(("little room", text))
    worst = int(side.argmax())
    least = "at least " if past[worst] else ""
    text = f"{names[worst]}: {least}{side[worst]:.2f} kPa at the side"
    if side[worst] >= REFUSED_FROM:
        found.append(("unsafe", text))
    elif side[worst] > allowed.most_side_pressure_kpa * (1 + SAME_STRAIN):
        found.append(("tight", text))
    closed = sizes.share == 1.0
    # So much less presses cloth that lies on the limit but for the digits of a file.
    slack = SAME_STRAIN / np.maximum(sizes.strain, 10 * SAME_STRAIN)
    weak = loads.pressure < allowed.least_pressure_kpa * (1.0 - slack)
    if at := _named(names, closed & weak):
        text = (
            f"{at}: presses less than {allowed.least_pressure_kpa:g} kPa, it hangs "
            "instead of holding"
        )
        found.append(("loose", text))
    pull = loads.pull(anchor, float(sizes.block[anchor]))
    if not sizes.length_known:
        pull = np.nan  # neither too much nor too little
    if pull > allowed.most_pull_n * (1 + SAME_STRAIN):
        found.append(("tight", f"{pull:.1f} N over both shoulders: the straps dig in"))
    elif is_slack(pull, allowed.least_pull_n):
        found.append(("loose", f"{pull:.1f} N over both shoulders: the straps hang"))
    elif sizes.length_known and allowed.least_pull_n > 0:
        found += [
            ("loose", f"0.0 N over both shoulders {LATER_TITLES[s]}: the straps hang")
            for s in hanging_states(states, anchor)
        ]
    return {
        verdict: "; ".join(text for key, text in found if key == verdict)
        for verdict, _ in found
    }
