"""How sure the factors are: the spread of readings and tape carried to the answer.

Seeded samples, all solved in one call. Means of few readings follow Student's t.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.fabric.profile import ClothDirection, Estimate
from ease.fit.aims import ASSUMED_CONTRACTION
from ease.fit.cases import BodyArrays, ClothArrays, directions
from ease.fit.decide import Reduction, membrane_of
from ease.fit.solve import solve

__all__ = ["Interval", "Spread", "spread_of"]

FloatArray = NDArray[np.float64]
SAMPLES: Final = 2000
SEED: Final = 20260101
CLEAR_CM: Final = 2.0  # 0.5 cm on a quarter; beyond it the reading to repeat is named

# Where a single repeat, or a load test without its repeats, tells no spread: own choice,
# about what careful repeats show.
ONE_REPEAT_SD: Final[Mapping[str, float]] = {
    "stretch": 0.03,
    "growth": 0.005,
    "wet_growth": 0.01,
    "contraction": 0.04,
    "tension_scale": 0.05,
}
ASSUMED_CONTRACTION_SD: Final = 0.1  # elastane knits lie at 0.2 to 0.6, from memory
RATIO_RANGE: Final = (0.0, 0.95)  # of contraction; a pair must stay below 1 together


@dataclass(frozen=True, slots=True)
class Interval:
    """Where 95 % of the samples lie.

    Attributes:
        low: 2.5th percentile.
        high: 97.5th percentile.
    """

    low: float
    high: float

    @property
    def half(self) -> float:
        """Half the width, the number behind a plus-minus sign."""
        return 0.5 * (self.high - self.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How sure a reduction is.

    Attributes:
        girth: Girth factor.
        length: Length factor; None where that direction was not tested.
        sizes: Sizes to cut, cm, by measure of the body.
        shares: For each size, the inputs by the share of its variance that goes with
            them, largest first.
    """

    girth: Interval
    length: Interval | None
    sizes: Mapping[str, Interval]
    shares: Mapping[str, tuple[tuple[str, float], ...]]

    def advice(self) -> tuple[str, ...]:
        """Return which reading to repeat where a size is less sure than 2 cm."""
        return tuple(
            f"the {name.replace('_', ' ')} to cut is sure to {interval.half:.1f} cm "
            f"only; most of that comes from the {self.shares[name][0][0]}: measure it again"
            for name, interval in self.sizes.items()
            if interval.half > CLEAR_CM and self.shares[name]
        )


def spread_of(
    reduction: Reduction, *, samples: int = SAMPLES, seed: int = SEED
) -> Spread:
    """Return how sure the factors and sizes of a reduction are.

    Args:
        reduction: The reduction; its fabric and body carry their spread.
        samples: Number of samples.
        seed: Seed of the random numbers; the same seed gives the same answer.
    """
    draw = _Draw(np.random.default_rng(seed), samples)
    cloth = _sample_cloth(reduction, draw)
    sizes = _sample_body(reduction, draw)
    body = BodyArrays(
        **{
            item.name: sizes.get(item.name, np.full(samples, np.nan))
            for item in fields(BodyArrays)
        }
    )
    membrane = membrane_of(reduction.fabric, reduction.round_body)
    if membrane is not None:
        scales = [draw.inputs[f"tension {way}"] for way in ("round", "down")]
        ratios = _sample_ratios(reduction, draw)
        membrane = membrane.batch(
            girth_scale=scales[0],
            length_scale=scales[1],
            girth_ratio=ratios[0],
            length_ratio=ratios[1],
            growth=(cloth.growth_girth, cloth.growth_length),
        )
    solution = solve(cloth, body, reduction.aim, reduction.allowed, membrane)
    factors = {
        "girth": 1.0 / (1.0 + solution.girth.strain),
        "length": 1.0 / (1.0 + np.nan_to_num(solution.length.strain)),
    }
    cut = {
        name: size * factors["length" if name == "torso_loop" else "girth"]
        for name, size in sizes.items()
        if name in ("bust", "waist", "hip", "torso_loop")
    }
    return Spread(
        girth=_interval(factors["girth"]),
        length=None if reduction.length.aim is None else _interval(factors["length"]),
        sizes={name: _interval(values) for name, values in cut.items()},
        shares={name: draw.shares(values) for name, values in cut.items()},
    )


class _Draw:
    """Samples of every uncertain input, kept by name."""

    def __init__(self, rng: np.random.Generator, samples: int) -> None:
        self.rng, self.samples = rng, samples
        self.inputs: dict[str, FloatArray] = {}

    def reading(
        self,
        name: str,
        kind: str,
        estimate: Estimate | None,
        absent: float,
        bounds: tuple[float, float],
    ) -> FloatArray:
        """Sample the mean of readings, kept inside what is possible."""
        if estimate is None and kind == "tension_scale":
            estimate = Estimate(absent)  # as sure as one repeat
        if estimate is None:
            values = np.full(self.samples, absent)
        elif (error := estimate.standard_error) is None:
            noise = self.rng.standard_normal(self.samples)
            values = estimate.mean + ONE_REPEAT_SD[kind] * noise
        else:
            noise = self.rng.standard_t(estimate.n - 1, self.samples)
            values = estimate.mean + error * noise
        return self.keep(name, np.clip(values, *bounds))

    def keep(self, name: str, values: FloatArray) -> FloatArray:
        """Remember an input under its name."""
        self.inputs[name] = values
        return values

    def shares(self, output: FloatArray) -> tuple[tuple[str, float], ...]:
        """Return each input's squared correlation with an output, largest first."""
        found = []
        for name, values in self.inputs.items():
            if np.std(values) > 0 and np.std(output) > 0:
                share = float(np.corrcoef(values, output)[0, 1] ** 2)
                found.append((name, share))
        return tuple(sorted(found, key=lambda item: -item[1]))


def _sample_cloth(reduction: Reduction, draw: _Draw) -> ClothArrays:
    girth, length = directions(reduction.fabric, reduction.round_body)

    def sample(
        cloth: ClothDirection | None, way: str, kind: str, absent: float, top: float
    ) -> FloatArray:
        estimate: Estimate | None = getattr(cloth, kind) if cloth else None
        low = 0.01 if kind in ("stretch", "tension_scale") else 0.0
        label = kind.replace("_scale", "").replace("_", " ")
        return draw.reading(f"{label} {way}", kind, estimate, absent, (low, top))

    nan, inf = float("nan"), float("inf")
    for way, cloth in (("round", girth), ("down", length)):
        sample(cloth, way, "tension_scale", 1.0, inf)
    contraction = sample(girth, "round", "contraction", nan, RATIO_RANGE[1])
    if girth.contraction is None:
        noise = draw.rng.standard_normal(draw.samples)
        assumed = ASSUMED_CONTRACTION + ASSUMED_CONTRACTION_SD * noise
        contraction = draw.keep("contraction round", np.clip(assumed, *RATIO_RANGE))
    return ClothArrays(
        stretch_girth=sample(girth, "round", "stretch", nan, inf),
        stretch_length=sample(length, "down", "stretch", nan, inf),
        growth_girth=sample(girth, "round", "growth", 0.0, inf),
        growth_length=sample(length, "down", "growth", 0.0, inf),
        wet_growth_girth=sample(girth, "round", "wet_growth", nan, inf),
        wet_growth_length=sample(length, "down", "wet_growth", nan, inf),
        contraction=contraction,
    )


def _sample_ratios(
    reduction: Reduction, draw: _Draw
) -> tuple[FloatArray | None, FloatArray | None]:
    """Return the ratios that couple the two strips, None where one gives the other."""
    girth, length = directions(reduction.fabric, reduction.round_body)
    other = length.contraction if length else None
    if other is None:
        return draw.inputs["contraction round"], None
    down = draw.reading("contraction down", "contraction", other, 0.0, RATIO_RANGE)
    measured = girth.contraction is not None
    return draw.inputs["contraction round"] if measured else None, down


def _sample_body(reduction: Reduction, draw: _Draw) -> dict[str, FloatArray]:
    body = reduction.body
    names = ("bust", "waist", "hip", "shoulder_girth", "torso_loop")
    return {
        name: draw.keep(
            f"{name.replace('_', ' ')} on the body",
            body[name] + body.sd(name) * draw.rng.standard_normal(draw.samples),
        )
        for name in names
        if name in body.values
    }


def _interval(values: FloatArray) -> Interval:
    low, high = np.nanpercentile(values, [2.5, 97.5])
    return Interval(float(low), float(high))
