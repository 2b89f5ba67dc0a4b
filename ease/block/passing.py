"""How a block goes on: what its levels and openings must pass on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ease.block.measure import girth_at
from ease.block.on_body import passed_girths
from ease.block.openings import block_openings
from ease.block.pieces import Block, Level
from ease.block.wear_faults import SAME_CM, Verdict, going_on_faults
from ease.body.measures import Body
from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.fit.wear import Sizes, reach
from ease.sentence import Length, Sentence

__all__ = ["OpeningPass", "WayOn", "opening_passes", "way_on_of"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OpeningPass:
    """An opening and what must pass it.

    Attributes:
        name: ``neck`` or ``leg``, of whole pieces with its side.
        cut_cm: Length all round on the block.
        part: Part of the body that passes it.
        girth_cm: Girth of that part.
        mend: What lets it pass.
    """

    name: str
    cut_cm: float
    part: str
    girth_cm: float
    mend: str

    @property
    def stretch(self) -> float:
        """Stretch that it takes to pass, a fraction; below 0 where it is larger."""
        return self.girth_cm / self.cut_cm - 1.0


def opening_passes(
    block: Block, body: Body, *, over_head: bool
) -> tuple[OpeningPass, ...]:
    """Return the openings that something must pass, as far as the body is known.

    A leg passes the thigh. Stepped into, the neck passes hip, waist and bust; pulled on
    over head it passes the head, which is not measured.

    Args:
        block: The block.
        body: The body.
        over_head: Whether it is pulled on over head and shoulders.
    """
    found = []
    for opening in block_openings(block, body):
        kind = opening.name.split()[0]
        if kind == "leg" and "thigh" in body.values:
            mend = "a larger leg; call an edge lower down the leg `hem`"
            size = "thigh", body["thigh"]
        elif kind == "neck" and not over_head:
            mend = "a larger neck, an opening (--opens), or --over-head"
            girths = {key: body[key] for key in ("hip", "waist", "bust") if key in body}
            size = max(girths.items(), key=lambda part: part[1])
        else:
            continue
        found.append(OpeningPass(opening.name, opening.cut_cm, *size, mend))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOn:
    """How a block goes on over a body.

    Attributes:
        passed: For each level the widest part of the body that goes through it on the
            way on, and its girth in cm.
        reached: Girth that each level reaches at full stretch, cm.
        not_judged: Closed levels whose girth the body does not know.
        stops_there: The one of them, or the opening, that stops on the way; or empty.
        faults: ``does not go on`` and why, where it stops.
    """

    passed: tuple[tuple[str, float], ...]
    reached: FloatArray
    not_judged: tuple[str, ...]
    stops_there: str
    faults: dict[Verdict, str]


def way_on_of(
    block: Block,
    body: Body,
    on_body: tuple[tuple[Level, ...], Sizes],
    cloth: ClothArrays,
    allowed: Allowed,
) -> WayOn:
    """Return how a block goes on; of what opens nothing is judged.

    Args:
        block: The block.
        body: The body.
        on_body: Its levels that the body knows, and the sizes there.
        cloth: Stretch of the fabric.
        allowed: How it is put on.
    """
    levels, sizes = on_body
    names = [level.name for level in levels]
    stretch = float(cloth.stretch_girth)
    passed = passed_girths(levels, body, over_head=allowed.over_head)
    reached = reach(sizes.block, stretch)
    unknown = [
        level
        for level in block.levels
        if level.loop == "closed" and level.name not in body.girths
    ]
    stops = ""
    faults: dict[Verdict, str] = {}
    if not allowed.opens:
        faults = going_on_faults(names, sizes, reached, passed)
    if not allowed.opens and not faults:
        on_the_way = unknown if allowed.over_head else _not_below_hip(block, unknown)
        stops, text = _stops_unmeasured(block, on_the_way, stretch, passed)
        if not stops:
            stops, text = _opening_stops(block, body, cloth, allowed)
        faults = {"does not go on": text} if stops else {}
    return WayOn(
        passed=passed,
        reached=reached,
        not_judged=tuple(level.name for level in unknown),
        stops_there=stops,
        faults=faults,
    )


def _not_below_hip(block: Block, levels: Sequence[Level]) -> list[Level]:
    """Leave out levels below the hip: stepped into, cloth there never passes over it."""
    hip = next((level.y for level in block.levels if level.name == "hip"), np.inf)
    return [level for level in levels if level.y <= hip + SAME_CM]


def _stops_unmeasured(
    block: Block,
    levels: Sequence[Level],
    stretch: float,
    passed: tuple[tuple[str, float], ...],
) -> tuple[str, str]:
    """Return a level that the body has no girth for and that stops on the way on."""
    part, needed = min(passed, key=lambda one: one[1])
    for level in levels:
        reached = float(reach(np.array([girth_at(block, level.y)]), stretch)[0])
        if reached < needed - SAME_CM:
            text = "stops at the {}: it reaches {}, the {} measures {}"
            sizes = Length(reached), part, Length(needed)
            return level.name, Sentence(text, level.name, *sizes)
    return "", ""


def _opening_stops(
    block: Block, body: Body, cloth: ClothArrays, allowed: Allowed
) -> tuple[str, str]:
    """Return the opening that stops first and why; empty where all let pass.

    An edge runs aslant: the stretch of the direction that gives more counts.
    """
    most = float(np.fmax(cloth.stretch_girth, cloth.stretch_length))
    ways = opening_passes(block, body, over_head=allowed.over_head)
    worst = max(ways, key=lambda way: way.stretch, default=None)
    if worst is None or worst.stretch <= most:
        return "", ""
    text = "the {} opening reaches {}, the {} measures {}: {}"
    sizes = Length(worst.cut_cm * (1.0 + most)), worst.part, Length(worst.girth_cm)
    return worst.name, Sentence(text, worst.name, *sizes, worst.mend)
