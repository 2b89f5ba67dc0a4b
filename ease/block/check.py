"""Wear check: a block on a body in a fabric, level by level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block, Level
from ease.block.sizes import passed_girths, sizes_on
from ease.body.measures import Body
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import Allowed
from ease.fit.cases import directions
from ease.fit.decide import membrane_of
from ease.fit.limits import room_to_move
from ease.fit.membrane import Membrane
from ease.fit.pressure import REFUSED_FROM
from ease.fit.wear import Loads, Sizes, WearState, reach, wear_states

__all__ = ["VERDICTS", "Verdict", "WearCheck", "check_wear"]

FloatArray = NDArray[np.float64]
Verdict = Literal["fits", "loose", "tight", "little room", "does not go on", "unsafe"]
VERDICTS: Final[tuple[Verdict, ...]] = (
    "fits",
    "tight",
    "little room",
    "loose",
    "does not go on",
    "unsafe",
)
# A block cut to a limit lies on it but for held edges, truing and the digits of a file:
# half of the last digit that is shown.
SAME_STRAIN: Final = 5e-4
SAME_CM: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class WearCheck:
    """A block on a body in one fabric.

    Attributes:
        fabric: The fabric.
        round_body: Cloth direction round the body.
        levels: Levels looked at, top to bottom.
        sizes: Girths at them.
        stretch: Tested stretch round.
        states: Loads of each state of wear that was tested, the two ends of a range.
        pull_index: Index of the level whose relaxed girth carries the pull.
        passed: For each level the widest part of the body that goes through it on the
            way on, and its girth in cm.
        reached: Girth that each level reaches at full stretch, cm.
        faults: What is wrong by verdict, the gravest last.
        understated: Levels whose load test came down from far above their strain, so
            that the figures after an hour are too low.
    """

    fabric: Fabric
    round_body: DirectionName
    levels: tuple[Level, ...]
    sizes: Sizes
    stretch: float
    states: Mapping[WearState, tuple[Loads, ...]]
    pull_index: int
    passed: tuple[tuple[str, float], ...]
    reached: FloatArray
    faults: Mapping[Verdict, str]
    understated: tuple[str, ...] = ()

    @property
    def stretch_used(self) -> FloatArray:
        """Worn strain over tested stretch at each level."""
        return self.sizes.strain / self.stretch

    @property
    def goes_on(self) -> bool:
        """Whether every closed level passes over what lies on its way on."""
        return "does not go on" not in self.faults

    @property
    def stops_at(self) -> str | None:
        """Name of the level that stops first; None where it goes on."""
        if self.goes_on:
            return None
        return self.levels[_tightest(self.sizes, self.reached, self.passed)].name

    @property
    def passes(self) -> tuple[str, float]:
        """The widest part of the body that a closed level passes, and its girth, cm."""
        closed = [
            part
            for part, share in zip(self.passed, self.sizes.share, strict=True)
            if share == 1.0
        ]
        return max(closed or self.passed, key=lambda part: part[1])

    @property
    def verdict(self) -> Verdict:
        """The gravest of the faults, or ``fits``."""
        return max(self.faults, key=VERDICTS.index, default="fits")

    def shoulder_pull(self, state: WearState = "now") -> tuple[float, float] | None:
        """Return least and most pull over both shoulders in a state, N.

        None where the state was not tested, or the strain down is not known.
        """
        if state not in self.states or not self.sizes.length_known:
            return None
        girth = float(self.sizes.block[self.pull_index])
        pulls = [ends.pull(self.pull_index, girth) for ends in self.states[state]]
        return min(pulls), max(pulls)


def check_wear(
    block: Block,
    body: Body,
    fabric: Fabric,
    *,
    allowed: Allowed | None = None,
    round_body: DirectionName | None = None,
) -> WearCheck:
    """Check a block on a body in a fabric.

    Args:
        block: The block as it is.
        body: The body.
        fabric: The fabric; without a load test only strain is told.
        allowed: Numbers of the limits.
        round_body: Cloth direction round the body; the stretchier if not given.

    Raises:
        RefusedError: If the body knows no level of the block.
    """
    allowed = allowed or Allowed()
    way = round_body or fabric.round_body
    levels, sizes = sizes_on(block, body)
    membrane = membrane_of(fabric, way)
    girth, _ = directions(fabric, way)
    stretch = girth.stretch.mean
    states = {} if membrane is None else wear_states(membrane, sizes)
    names = [level.name for level in levels]
    anchor = names.index(block.anchor) if block.anchor in names else 0
    passed = passed_girths(levels, body, over_head=allowed.over_head)
    reached = reach(sizes.block, stretch)
    grown = [read.mean for read in (girth.growth, girth.wet_growth) if read]
    faults = {
        **_strain_faults(names, sizes, allowed, stretch, max(grown, default=0.0)),
        **_going_on_faults(names, sizes, reached, passed),
    }
    for verdict, text in _load_faults(names, sizes, states, anchor, allowed).items():
        faults[verdict] = "; ".join(filter(None, (faults.get(verdict), text)))
    return WearCheck(
        fabric=fabric,
        round_body=way,
        levels=levels,
        sizes=sizes,
        stretch=stretch,
        states=states,
        pull_index=anchor,
        passed=passed,
        reached=reached,
        faults={key: faults[key] for key in VERDICTS if key in faults},
        understated=() if membrane is None else _understated(names, sizes, membrane),
    )


def _tightest(
    sizes: Sizes, reached: FloatArray, passed: tuple[tuple[str, float], ...]
) -> int:
    """Index of the closed level that falls shortest of what must go through it."""
    short = reached - np.maximum([girth for _, girth in passed], sizes.body)
    return int(np.where(sizes.share == 1.0, short, np.inf).argmin())


def _going_on_faults(
    names: list[str],
    sizes: Sizes,
    reached: FloatArray,
    passed: tuple[tuple[str, float], ...],
) -> dict[Verdict, str]:
    """A closed level must reach over the way on, and round the body where it lies."""
    worst = _tightest(sizes, reached, passed)
    part, needed = passed[worst]
    own = float(sizes.body[worst])
    if own > needed:
        part, needed = f"body at the {names[worst]}", own
    if sizes.share[worst] < 1.0 or reached[worst] > needed - SAME_CM:
        return {}
    text = (
        f"stops at the {names[worst]}: it reaches {reached[worst]:.1f} cm, the {part} "
        f"measures {needed:.1f} cm"
    )
    return {"does not go on": text}


def _strain_faults(
    names: list[str],
    sizes: Sizes,
    allowed: Allowed,
    stretch: float,
    growth: float,
) -> dict[Verdict, str]:
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
        )
    return faults


def _understated(names: list[str], sizes: Sizes, membrane: Membrane) -> tuple[str, ...]:
    if "coming down" not in membrane.states:
        return ()
    down = np.full_like(sizes.strain, sizes.length_strain)
    far = membrane.in_state("coming down").came_from_higher(sizes.held_strain, down)
    return tuple(name for name, bad in zip(names, far, strict=True) if bad)


def _named(names: list[str], where: NDArray[np.bool_]) -> str:
    return ", ".join(name for name, bad in zip(names, where, strict=True) if bad)


def _load_faults(
    names: list[str],
    sizes: Sizes,
    states: Mapping[WearState, tuple[Loads, ...]],
    anchor: int,
    allowed: Allowed,
) -> dict[Verdict, str]:
    """What tension does just after putting on; nothing without a load test."""
    if "now" not in states:
        return {}
    loads = states["now"][0]
    found: list[tuple[Verdict, str]] = []
    past = np.isnan(loads.side)
    if at := _named(names, past):
        found.append(("little room", f"{at}: stretched past the end of the load test"))
    side = np.where(past, -np.inf, loads.side)
    worst = int(side.argmax())
    text = f"{names[worst]}: {side[worst]:.2f} kPa at the side"
    if side[worst] >= REFUSED_FROM:
        found.append(("unsafe", text))
    elif side[worst] > allowed.most_side_pressure_kpa * (1 + SAME_STRAIN):
        found.append(("tight", text))
    pull = loads.pull(anchor, float(sizes.block[anchor]))
    if not sizes.length_known:
        pull = np.nan  # neither too much nor too little
    if pull > allowed.most_pull_n * (1 + SAME_STRAIN):
        found.append(("tight", f"{pull:.1f} N over both shoulders: the straps dig in"))
    elif pull < allowed.least_pull_n * (1 - SAME_STRAIN):
        found.append(("loose", f"{pull:.1f} N over both shoulders: the straps hang"))
    return {
        verdict: "; ".join(text for key, text in found if key == verdict)
        for verdict, _ in found
    }
