"""What would leave a strain where a window is empty: each way out is tried first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ease.fabric.profile import DirectionName
from ease.fit.aims import AIMS, Aim, Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.membrane import Membrane
from ease.fit.solve import solve

__all__ = ["Asked", "ways_out"]

_FAR: Final = 5.0  # more than any cloth stretches
_GROWTH: Final = ("growth", "wet_growth")
_BY_STRETCH: Final = ("room_to_move", "goes_on")
_FIRMER: Final = np.array([1.25, 1.5, 2.0, 3.0, 5.0, 10.0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a decision is asked for.

    Attributes:
        cloth: Figures of the hand test.
        body: Girths of one body, cm.
        aim: What is aimed at.
        allowed: Numbers of the limits.
        membrane: The cloth's load tests; None without.
    """

    cloth: ClothArrays
    body: BodyArrays
    aim: Aim
    allowed: Allowed
    membrane: Membrane | None

    @property
    def is_answered(self) -> bool:
        """Whether both windows hold a strain."""
        found = solve(self.cloth, self.body, self.aim, self.allowed, self.membrane)
        down = np.isnan(found.length.aim) | ~found.length.is_empty
        return bool(~found.girth.is_empty & down)


def ways_out(
    asked: Asked,
    other_way: tuple[DirectionName, Asked] | None,
    clash: tuple[str, str],
) -> str:
    """Return what would leave a strain, in words: ``try ...; or ...``.

    Args:
        asked: What has no answer.
        other_way: The other cloth direction round the body, and the same asked of it;
            None where it cannot go round.
        clash: Keys of the low and of the high limit that clash.
    """
    found = [*_cloths(asked, clash), *_same_cloth(asked, other_way)]
    if clash[1] == "test_range":  # how it would go on cannot be tried
        found.append("a load test up to a higher strain")
    return f"try {'; or '.join(found or [_together(asked, clash)])}"


def _cloths(asked: Asked, clash: tuple[str, str]) -> list[str]:
    """Return what by itself would help if another cloth had it.

    Only what moves one of the two limits that clash can.
    """
    low, high = clash
    ways = []
    if low in _GROWTH:
        ways += _less_growth(asked)
    if high in _BY_STRETCH:
        ways += _more_stretch(asked, clash)
    for kind, keys, times in (
        ("firmer", ("least_pressure", "least_pull"), _FIRMER),
        ("softer", ("most_pressure", "most_pull"), 1.0 / _FIRMER),
    ):
        if {low, high} & set(keys):
            helps = any(_of_power(asked, float(k)).is_answered for k in times)
            ways += [f"a {kind} fabric"] * helps
    return ways


def _less_growth(asked: Asked) -> list[str]:
    if replace(asked, cloth=_grown(asked.cloth, dry=False)).is_answered:
        return ["a fabric that grows less when wet"]
    if replace(asked, cloth=_grown(asked.cloth, dry=True)).is_answered:
        return ["a fabric that grows less"]
    return []


def _more_stretch(asked: Asked, clash: tuple[str, str]) -> list[str]:
    cloths = {
        "round": _stretched(asked.cloth, down=False),
        "down": _stretched(asked.cloth, round_=False),
    }
    where = [way for way, cloth in cloths.items() if _stretchier(asked, cloth, clash)]
    if not where:
        return []
    return [f"a fabric with more stretch {' or '.join(where)} the body"]


def _together(asked: Asked, clash: tuple[str, str]) -> str:
    """Return what would help if another cloth had all of it."""
    both = _stretched(asked.cloth)
    if _stretchier(asked, both, clash):
        return "a fabric with more stretch both ways"
    if _stretchier(asked, _grown(both, dry=True), clash):
        return "a fabric with more stretch that grows less"
    return "other limits (--set): no one change of the cloth is enough"


def _same_cloth(
    asked: Asked, other_way: tuple[DirectionName, Asked] | None
) -> Iterator[str]:
    """Yield what helps with the same cloth."""
    opened = replace(asked.allowed, opens=True, over_head=False)
    if not asked.allowed.opens and replace(asked, allowed=opened).is_answered:
        yield "an opening (--opens)"
    if other_way is not None and other_way[1].is_answered:
        yield f"the other direction round the body (--round {other_way[0]})"
    if asked.aim not in AIMS.values():
        return  # of an aim with numbers of its own no hold stands beside it
    others = {name: aim for name, aim in AIMS.items() if aim != asked.aim}
    holds = [
        name for name, aim in others.items() if replace(asked, aim=aim).is_answered
    ]
    if holds:
        yield f"the hold {' or '.join(holds)}"


def _stretchier(asked: Asked, cloth: ClothArrays, clash: tuple[str, str]) -> bool:
    """Whether a cloth of more stretch helps.

    Its load test would go further too: where only growth and stretch clash, it is asked
    of the hand test alone as well.
    """
    trial = replace(asked, cloth=cloth)
    by_hand = clash[0] in _GROWTH and clash[1] in _BY_STRETCH
    return trial.is_answered or (by_hand and replace(trial, membrane=None).is_answered)


def _of_power(asked: Asked, times: float) -> Asked:
    """Return the same asked of a cloth so many times as firm.

    Tension goes in proportion, so that every pressure and pull is divided instead.
    """
    aim, allowed = asked.aim, asked.allowed
    return replace(
        asked,
        aim=replace(
            aim, pressure_kpa=aim.pressure_kpa / times, pull_n=aim.pull_n / times
        ),
        allowed=replace(
            allowed,
            least_pressure_kpa=allowed.least_pressure_kpa / times,
            most_side_pressure_kpa=allowed.most_side_pressure_kpa / times,
            least_pull_n=allowed.least_pull_n / times,
            most_pull_n=allowed.most_pull_n / times,
        ),
    )


def _grown(cloth: ClothArrays, *, dry: bool) -> ClothArrays:
    """Return a cloth that does not grow more when wet, or at all."""
    girth, length = cloth.growth_girth, cloth.growth_length
    if dry:
        girth, length = np.zeros_like(girth), np.zeros_like(length)
    return replace(
        cloth,
        growth_girth=girth,
        growth_length=length,
        wet_growth_girth=np.where(np.isnan(cloth.wet_growth_girth), np.nan, girth),
        wet_growth_length=np.where(np.isnan(cloth.wet_growth_length), np.nan, length),
    )


def _stretched(
    cloth: ClothArrays, *, round_: bool = True, down: bool = True
) -> ClothArrays:
    """Return a cloth that stretches as far as any could."""
    girth = np.maximum(cloth.stretch_girth, _FAR) if round_ else cloth.stretch_girth
    length = np.maximum(cloth.stretch_length, _FAR) if down else cloth.stretch_length
    return replace(cloth, stretch_girth=girth, stretch_length=length)
