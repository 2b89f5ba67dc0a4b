"""The numbers of a lesson: why stretch cloth is cut below body size, step by step.

Source keys: reduction-identity, laplace-bandage.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.fabric.hand_reading import HandReading
from ease.fabric.profile import ClothDirection, DirectionName
from ease.fit.cases import directions, other_direction
from ease.fit.decide import Reduction, membrane_of
from ease.fit.pressure import mean_pressure
from ease.fit.reduction import (
    cut_girth,
    reduction_from_strain,
    strain_from_factor,
    strain_from_reduction,
)
from ease.fit.size_run import SIZES
from ease.fit.working import Sum

__all__ = [
    "GAUGE_CM",
    "TAUGHT_STRAIN",
    "Falling",
    "Grown",
    "Pulled",
    "TwoCuts",
    "falling_pressure",
    "grown_states",
    "pulled_strips",
]

FloatArray = NDArray[np.float64]
Goes = Literal["round", "down"]

TAUGHT_STRAIN: Final = 0.25
GAUGE_CM: Final = 10.0
EXAMPLE_TENSION: Final = 100.0  # N/m, where the cloth has no load test


@dataclass(frozen=True, slots=True)
class Pulled:
    """A strip of the cloth as the bench would show it, on a round gauge.

    Attributes:
        cloth: Cloth direction of the strip.
        goes: Which way that direction lies on the body.
        reading: Gauge, extended and rested lengths that give the fabric's means.
        wet_growth: Growth of the wet cloth, if it was read.
    """

    cloth: DirectionName
    goes: Goes
    reading: HandReading
    wet_growth: float | None

    def sums(self, scale: float) -> list[Sum]:
        """Return the sums of stretch, growth and recovery as far as they were read.

        Args:
            scale: Length of the unit that the strip is printed in, cm.
        """
        one = self.reading
        gauge, pulled = one.gauge / scale, one.extended / scale
        sums = [
            Sum(lambda b, a: 100 * (b - a) / a, (pulled, gauge), 100 * one.stretch, 1)
        ]
        if one.rested is None or one.growth is None or one.recovery is None:
            return sums
        rested = one.rested / scale
        return [
            *sums,
            Sum(lambda c, a: 100 * (c - a) / a, (rested, gauge), 100 * one.growth, 1),
            Sum(
                lambda b, c, a: 100 * (b - c) / (b - a),
                (pulled, rested, gauge),
                100 * one.recovery,
                1,
            ),
        ]


@dataclass(frozen=True, slots=True)
class TwoCuts:
    """A worn strain cut rightly, ``body / (1 + strain)``, and by the common mistake.

    Attributes:
        body_cm: Girth of the body.
        strain: Worn strain that is wanted, below 1.

    Examples:
        >>> cuts = TwoCuts(90.0, 0.25)
        >>> cuts.right_cm, cuts.wrong_cm, round(cuts.wrong_strain, 4)
        (72.0, 67.5, 0.3333)
    """

    body_cm: float
    strain: float

    @property
    def right_cm(self) -> float:
        """Girth to cut."""
        return float(cut_girth(self.body_cm, self.strain))

    @property
    def reduction(self) -> float:
        """Share of the body that the right cut takes off."""
        return float(reduction_from_strain(self.strain))

    @property
    def wrong_cm(self) -> float:
        """Girth that taking the strain itself off the body would leave."""
        return self.body_cm * (1.0 - self.strain)

    @property
    def wrong_strain(self) -> float:
        """How far the wrong cut is really stretched."""
        return float(strain_from_reduction(self.strain))


@dataclass(frozen=True, slots=True)
class Grown:
    """A suit cut at body size, in one state.

    Attributes:
        state: ``new``, ``grown`` (after rest) or ``wet``.
        round: Growth round the body.
        down: Growth down the body; None where that was not read.
    """

    state: Literal["new", "grown", "wet"]
    round: float
    down: float | None

    @property
    def strain(self) -> float:
        """Strain of the grown cloth round the body; below 0 it hangs."""
        return float(strain_from_factor(1.0 + self.round))


@dataclass(frozen=True, slots=True, kw_only=True)
class Falling:
    """Mean pressure of one tension round ever larger girths.

    Attributes:
        tension: Tension round, N/m of relaxed width.
        length_strain: Worn strain down.
        is_example: Whether the tension is a round number, not this cloth's.
        names: What is measured there.
        girth: Girths, cm, rising, shape (n,).
        alone: Tension of a strip pulled as far with free sides, N/m; None for an example.
    """

    tension: float
    length_strain: float
    is_example: bool
    names: tuple[str, ...]
    girth: FloatArray
    alone: float | None = None

    @property
    def pressure(self) -> FloatArray:
        """Mean pressures, kPa."""
        return self.at(self.girth)

    def at(self, girth: FloatArray) -> FloatArray:
        """Return the mean pressure at other girths, kPa."""
        return mean_pressure(self.tension, girth, self.length_strain)


def pulled_strips(
    reduction: Reduction, gauge_cm: float = GAUGE_CM
) -> tuple[Pulled, ...]:
    """Return the tested directions as readings on one gauge, round first."""
    cloths = directions(reduction.fabric, reduction.round_body)
    ways = (reduction.round_body, other_direction(reduction.round_body))
    goes: tuple[Goes, Goes] = ("round", "down")
    return tuple(
        Pulled(way, place, _reading(way, cloth, gauge_cm), _mean(cloth, "wet_growth"))
        for way, place, cloth in zip(ways, goes, cloths, strict=True)
        if cloth is not None
    )


def _reading(way: DirectionName, cloth: ClothDirection, gauge: float) -> HandReading:
    growth = _mean(cloth, "growth")
    return HandReading(
        direction=way,
        repeat=1,
        gauge=gauge,
        extended=gauge * (1.0 + cloth.stretch.mean),
        rested=None if growth is None else gauge * (1.0 + growth),
        rest_minutes=cloth.rest_minutes,
    )


def _mean(cloth: ClothDirection | None, key: str) -> float | None:
    figure = None if cloth is None else getattr(cloth, key)
    return None if figure is None else float(figure.mean)


def grown_states(reduction: Reduction) -> tuple[Grown, ...]:
    """Return a body-size suit new, grown and wet, as far as growth was read."""
    girth, length = directions(reduction.fabric, reduction.round_body)
    states = [Grown("new", 0.0, 0.0)]
    grown, wet = _mean(girth, "growth"), _mean(girth, "wet_growth")
    if grown is not None:
        states.append(Grown("grown", grown, _mean(length, "growth")))
    if wet is not None:
        states.append(Grown("wet", wet, _mean(length, "wet_growth")))
    return tuple(states)


def falling_pressure(reduction: Reduction) -> Falling:
    """Return how the pressure of the decided strain falls with the girth.

    Without a load test a tension of 100 N/m stands as an example.
    """
    body = reduction.body
    known = [name for name in ("thigh", "waist", "bust", "hip") if name in body]
    pairs = [(body[name], name) for name in known]
    if body["bust"] < SIZES[-1]:
        pairs.append((SIZES[-1], "large bust"))
    pairs.sort()
    membrane = membrane_of(reduction.fabric, reduction.round_body)
    tension, down, alone = EXAMPLE_TENSION, 0.0, None
    if membrane is not None:
        down = reduction.length.strain
        tension = float(membrane.tensions(reduction.girth.strain, down)[0])
        alone = reduction.fabric.power(reduction.round_body, reduction.girth.strain)
    return Falling(
        tension=tension,
        length_strain=down,
        is_example=membrane is None,
        names=tuple(name for _, name in pairs),
        girth=np.array([girth for girth, _ in pairs]),
        alone=alone,
    )
