"""Samples of what was read: seeded, by name, kept inside what is possible.

Means of few readings follow Student's t.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.fabric.profile import ClothDirection, DirectionName, Estimate, Fabric
from ease.fit.aims import ASSUMED_CONTRACTION
from ease.fit.cases import ClothArrays, directions
from ease.fit.decide import membrane_of
from ease.fit.membrane import Membrane

__all__ = [
    "ASSUMED_CONTRACTION_SD",
    "ONE_REPEAT_SD",
    "SEED",
    "Draw",
    "Interval",
    "OneByOne",
    "interval_of",
    "sample_cloth",
    "sample_membrane",
]

FloatArray = NDArray[np.float64]
SEED: Final = 20260101

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


def interval_of(values: FloatArray) -> Interval:
    """Return where 95 % of samples lie; nan where the load tests end within them.

    Args:
        values: Samples; nan where one lies past the load test.
    """
    known = np.sort(values[~np.isnan(values)])
    if known.size < 0.975 * values.size:
        return Interval(float("nan"), float("nan"))
    # What np.percentile gives; that one imports masked arrays, which takes longer.
    places = np.array([0.025, 0.975]) * (known.size - 1)
    low, high = np.interp(places, np.arange(known.size), known)
    return Interval(float(low), float(high))


class Draw:
    """Samples of every uncertain input, kept by name."""

    def __init__(self, rng: np.random.Generator, samples: int) -> None:
        """Begin with no input drawn."""
        self.rng, self.samples = rng, samples
        self.inputs: dict[str, FloatArray] = {}
        self.unread: set[str] = set()  # inputs that were assumed or filled in

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
            self.unread.add(name)
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


class OneByOne(Draw):
    """In place of samples: each input alone at both ends of its 95 %.

    The other inputs stay at their medians. The first element has all of them there, then
    come the low and the high end of each input. The few samples far out, which Student's
    t of three repeats brings, move no end; of squared correlations they decide.
    """

    def __init__(self, draw: Draw) -> None:
        """Take the ends of what was drawn."""
        super().__init__(draw.rng, 1 + 2 * len(draw.inputs))
        self._columns = {}
        for place, (name, values) in enumerate(draw.inputs.items()):
            ends = interval_of(values)
            # np.median imports masked arrays; one sample beside the middle is as good.
            column = np.full(self.samples, np.sort(values)[values.size // 2])
            column[1 + 2 * place : 3 + 2 * place] = ends.low, ends.high
            self._columns[name] = column

    def keep(self, name: str, values: FloatArray) -> FloatArray:
        """Return the column of an input, whatever was drawn for it."""
        del values
        self.inputs[name] = self._columns[name]
        return self.inputs[name]

    def shares(self, output: FloatArray) -> tuple[tuple[str, float], ...]:
        """Return how much of an output's spread each input brings, largest first.

        The width that it brings alone, squared, over the sum of all.

        Args:
            output: Of these inputs, shape (samples,).
        """
        ends = output[1:].reshape(-1, 2)
        every = np.column_stack([np.full(len(ends), output[0]), ends])
        widths = np.nan_to_num(np.ptp(every, axis=1)) ** 2
        total = float(widths.sum())
        found = [
            (name, float(width) / total)
            for name, width in zip(self._columns, widths, strict=True)
            if width > 0
        ]
        return tuple(sorted(found, key=lambda item: -item[1]))


def sample_cloth(fabric: Fabric, way: DirectionName, draw: Draw) -> ClothArrays:
    """Sample what the window needs of a cloth.

    Args:
        fabric: The fabric.
        way: Cloth direction round the body.
        draw: Takes the samples and keeps them by name.
    """
    girth, length = directions(fabric, way)

    def sample(
        cloth: ClothDirection | None, way: str, kind: str, absent: float, top: float
    ) -> FloatArray:
        estimate: Estimate | None = getattr(cloth, kind) if cloth else None
        low = 0.01 if kind in ("stretch", "tension_scale") else 0.0
        label = kind.replace("_scale", "").replace("_", " ")
        return draw.reading(f"{label} {way}", kind, estimate, absent, (low, top))

    nan, inf = float("nan"), float("inf")
    for runs, cloth in (("round", girth), ("down", length)):
        sample(cloth, runs, "tension_scale", 1.0, inf)
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


def sample_membrane(
    fabric: Fabric, way: DirectionName, cloth: ClothArrays, draw: Draw
) -> Membrane | None:
    """Sample the cloth's load tests; None where a direction has none.

    Args:
        fabric: The fabric.
        way: Cloth direction round the body.
        cloth: Its samples of the hand test, from the same draw.
        draw: The draw.
    """
    membrane = membrane_of(fabric, way)
    if membrane is None:
        return None
    scales = draw.inputs["tension round"], draw.inputs["tension down"]
    around, down = _sample_ratios(fabric, way, draw)
    # One ratio alone gives the other by the moduli, which vary too: it stays below what
    # makes the pair impossible.
    most = RATIO_RANGE[1] * np.sqrt(
        membrane.girth.modulus * scales[0] / (membrane.length.modulus * scales[1])
    )
    if down is None and around is not None:
        around = np.minimum(around, most)
    elif around is None and down is not None:
        down = np.minimum(down, RATIO_RANGE[1] ** 2 / most)
    return membrane.batch(
        girth_scale=scales[0],
        length_scale=scales[1],
        girth_ratio=around,
        length_ratio=down,
        growth=(cloth.growth_girth, cloth.growth_length),
    )


def _sample_ratios(
    fabric: Fabric, way: DirectionName, draw: Draw
) -> tuple[FloatArray | None, FloatArray | None]:
    """Return the ratios that couple the two strips, None where one gives the other."""
    girth, length = directions(fabric, way)
    other = length.contraction if length else None
    if other is None:
        return draw.inputs["contraction round"], None
    down = draw.reading("contraction down", "contraction", other, 0.0, RATIO_RANGE)
    measured = girth.contraction is not None
    return draw.inputs["contraction round"] if measured else None, down
