"""How a block goes on: what its levels and openings must pass on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.leg_levels import leg_levels
from ease.block.measure import girth_at
from ease.block.on_body import HEAD_GIRTH_CM, passed_at, passed_girths
from ease.block.openings import block_openings
from ease.block.pieces import Block, Level
from ease.block.wear_faults import SAME_CM, Verdict, going_on_faults
from ease.body.measures import Body
from ease.fit.aims import Allowed
from ease.fit.cases import ClothArrays
from ease.fit.wear import Sizes, reach
from ease.sentence import Length, Sentence

__all__ = ["OpeningPass", "WayOn", "below_hip", "opening_passes", "way_on_of"]

FloatArray = NDArray[np.float64]
_HEAD: Final = "the head is not measured but taken as the mean of women"


@dataclass(frozen=True, slots=True)
class OpeningPass:
    """An opening and what must pass it.

    Attributes:
        name: ``neck``, ``waist`` or ``leg``, of whole pieces with its side.
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
    block: Block, body: Body, allowed: Allowed
) -> tuple[OpeningPass, ...]:
    """Return the openings that something must pass, as far as the body is known.

    Stepped into, a leg passes the thigh, the neck hip, waist and bust, the waist the hip.
    Pulled on over head, the neck passes the head, the waist shoulders and bust; so would
    a leg have to, unless the crotch opens. Of what opens a leg must still lie round the
    thigh.

    Args:
        block: The block.
        body: The body.
        allowed: How it is put on.
    """
    openings = {opening.name: opening for opening in block_openings(block, body)}
    legs = any(name.startswith("leg") for name in openings)
    passes = _stepped_into(body, legs=legs)
    if allowed.over_head:
        passes = _over_head(body)
    elif allowed.opens:
        passes = {kind: way for kind, way in passes.items() if kind == "leg"}
    return tuple(
        OpeningPass(name, opening.cut_cm, *passes[kind])
        for name, opening in openings.items()
        if (kind := name.split()[0]) in passes
    )


_Pass = tuple[str, float, str]  # the part, its girth, and what lets it pass


def _stepped_into(body: Body, *, legs: bool) -> dict[str, _Pass]:
    or_else = ", or an opening (--opens)"
    if not legs:
        or_else = ", an opening (--opens), or --over-head"
    girths = {key: body[key] for key in ("hip", "waist", "bust") if key in body}
    part, girth = max(girths.items(), key=lambda one: one[1])
    found = {
        "neck": (part, girth, f"a larger neck{or_else}"),
        "waist": ("hip", body["hip"], f"a larger waist{or_else}"),
    }
    if "thigh" in body:
        mend = "a larger leg; call an edge lower down the leg `hem`"
        found["leg"] = ("thigh", body["thigh"], mend)
    return found


def _over_head(body: Body) -> dict[str, _Pass]:
    shoulders = "shoulder girth", body["shoulder_girth"]
    if body.values.get("bust", 0.0) > body["shoulder_girth"]:
        shoulders = "bust", body["bust"]
    crotch = "step into it instead, or --opens where the crotch opens"
    opens = "or an opening (--opens)"
    return {
        "neck": ("head", HEAD_GIRTH_CM, f"a larger neck, {opens}; {_HEAD}"),
        "waist": (*shoulders, f"a larger waist, {opens}"),
        "leg": (*shoulders, crotch),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOn:
    """How a block goes on over a body.

    Attributes:
        passed: For each level the widest part of the body that goes through it on the
            way on, and its girth in cm.
        reached: Girth that each level reaches at full stretch, cm.
        not_judged: Closed levels whose girth the body does not know.
        stops_there: The one of them that stops on the way; or empty.
        opening: The opening that does.
        faults: ``does not go on`` and why, where it stops.
    """

    passed: tuple[tuple[str, float], ...]
    reached: FloatArray
    not_judged: tuple[str, ...]
    stops_there: str
    opening: OpeningPass | None
    faults: dict[Verdict, str]


def way_on_of(
    block: Block,
    body: Body,
    on_body: tuple[tuple[Level, ...], Sizes],
    cloth: ClothArrays,
    allowed: Allowed,
) -> WayOn:
    """Return how a block goes on; what opens must only reach round where it lies.

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
    passed = tuple((level.name, body[level.name]) for level in levels)
    if not allowed.opens:
        passed = passed_girths(levels, body, over_head=allowed.over_head)
    reached = reach(sizes.block, stretch)
    stops, opening = "", None
    faults = going_on_faults(names, sizes, reached, passed)
    if not faults:
        stops, text = _stops_unmeasured(block, body, on_body[0], stretch, allowed)
        if not stops:
            opening, text = _opening_stops(block, body, cloth, allowed)
        faults = {"does not go on": text} if text else {}
    return WayOn(
        passed=passed,
        reached=reached,
        not_judged=tuple(level.name for level in _unknown(block, body)),
        stops_there=stops,
        opening=opening,
        faults=faults,
    )


def _unknown(block: Block, body: Body) -> list[Level]:
    """Return closed levels of the trunk whose girth the body does not know."""
    legs = {level.name for level in leg_levels(block)}
    return [
        level
        for level in block.levels
        if level.loop == "closed" and level.name not in {*body.girths, *legs}
    ]


def below_hip(block: Block, y: float) -> bool:
    """Whether a line lies below the hip: stepped into, it never passes over it."""
    hip = next((level.y for level in block.levels if level.name == "hip"), np.inf)
    return y > hip + SAME_CM


def _stops_unmeasured(
    block: Block,
    body: Body,
    known: tuple[Level, ...],
    stretch: float,
    allowed: Allowed,
) -> tuple[str, str]:
    """Return a level that the body has no girth for and that stops on the way on."""
    if allowed.opens:
        return "", ""
    for level in _unknown(block, body):
        if not allowed.over_head and below_hip(block, level.y):
            continue
        name = level.name
        part, needed = passed_at(
            name, level.y, known, body, over_head=allowed.over_head
        )
        reached = float(reach(np.array([girth_at(block, level.y)]), stretch)[0])
        if reached < needed - SAME_CM:
            text = "stops at the {}: it reaches {}, the {} measures {}"
            return name, Sentence(text, name, Length(reached), part, Length(needed))
    return "", ""


def _opening_stops(
    block: Block, body: Body, cloth: ClothArrays, allowed: Allowed
) -> tuple[OpeningPass | None, str]:
    """Return the opening that stops first and why; None where all let pass.

    An edge runs aslant: the stretch of the direction that gives more counts.
    """
    most = float(np.fmax(cloth.stretch_girth, cloth.stretch_length))
    ways = opening_passes(block, body, allowed)
    worst = max(ways, key=lambda way: way.stretch, default=None)
    if worst is None or worst.stretch <= most:
        return None, ""
    text = "the {} opening reaches {}, the {} measures {}: {}"
    sizes = Length(worst.cut_cm * (1.0 + most)), worst.part, Length(worst.girth_cm)
    return worst, Sentence(text, worst.name, *sizes, worst.mend)
