"""How sure the factors are: the spread of readings and tape carried to the answer.

Seeded samples, all solved in one call.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.fit.cases import BodyArrays
from ease.fit.decide import Reduction
from ease.fit.samples import (
    SEED,
    Draw,
    Interval,
    OneByOne,
    interval_of,
    sample_cloth,
    sample_membrane,
)
from ease.fit.solve import solve
from ease.units import length_text

__all__ = ["Interval", "Spread", "spread_of"]

FloatArray = NDArray[np.float64]
SAMPLES: Final = 2000
HALF: Final = 0.5
CLEAR_CM: Final = 2.0  # 0.5 cm on a quarter; beyond it the reading to repeat is named


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How sure a reduction is.

    Attributes:
        girth: Girth factor.
        length: Length factor; None where that direction was not tested.
        sizes: Sizes to cut, cm, by measure of the body.
        shares: For each size, the inputs by the share of its spread that each brings
            alone, largest first.
        unread: Inputs that were not measured but assumed or filled in.
    """

    girth: Interval
    length: Interval | None
    sizes: Mapping[str, Interval]
    shares: Mapping[str, tuple[tuple[str, float], ...]]
    unread: frozenset[str] = frozenset()

    def advice(self, units: str = "cm") -> tuple[str, ...]:
        """Return what to measure, or to repeat, where a size is not sure to 2 cm."""
        return tuple(
            f"the {name.replace('_', ' ')} to cut is sure to "
            f"{length_text(interval.half, units)} {units} only; "
            f"{_most(self.shares[name][0][1])} of that comes from the "
            f"{self.shares[name][0][0]}: measure it{self._again(name)}"
            for name, interval in self.sizes.items()
            if interval.half > CLEAR_CM and self.shares[name]
        )

    def _again(self, name: str) -> str:
        return "" if self.shares[name][0][0] in self.unread else " again"


def _most(share: float) -> str:
    return "most" if share > HALF else "the largest part"


def spread_of(
    reduction: Reduction, *, samples: int = SAMPLES, seed: int = SEED
) -> Spread:
    """Return how sure the factors and sizes of a reduction are.

    Args:
        reduction: The reduction; its fabric and body carry their spread.
        samples: Number of samples.
        seed: Seed of the random numbers; the same seed gives the same answer.
    """
    draw = Draw(np.random.default_rng(seed), samples)
    girth, length, cut = _outcome(reduction, draw)
    alone = OneByOne(draw)
    _, _, cut_alone = _outcome(reduction, alone)
    return Spread(
        girth=interval_of(girth),
        length=None if reduction.length.aim is None else interval_of(length),
        sizes={name: interval_of(values) for name, values in cut.items()},
        shares={name: alone.shares(values) for name, values in cut_alone.items()},
        unread=frozenset(draw.unread),
    )


def _outcome(
    reduction: Reduction, draw: Draw
) -> tuple[FloatArray, FloatArray, dict[str, FloatArray]]:
    """Return both factors and the sizes to cut of what is drawn."""
    cloth = sample_cloth(reduction.fabric, reduction.round_body, draw)
    sizes = _sample_body(reduction, draw)
    body = BodyArrays(
        **{
            item.name: sizes.get(item.name, np.full(draw.samples, np.nan))
            for item in fields(BodyArrays)
        }
    )
    membrane = sample_membrane(reduction.fabric, reduction.round_body, cloth, draw)
    solution = solve(cloth, body, reduction.aim, reduction.allowed, membrane)
    girth = 1.0 / (1.0 + solution.girth.strain)
    length = 1.0 / (1.0 + np.nan_to_num(solution.length.strain))
    cut = {
        name: size * (length if name == "torso_loop" else girth)
        for name, size in sizes.items()
        if name in ("bust", "waist", "hip", "torso_loop")
    }
    return girth, length, cut


def _sample_body(reduction: Reduction, draw: Draw) -> dict[str, FloatArray]:
    body = reduction.body
    names = ("bust", "waist", "hip", "shoulder_girth", "torso_loop")
    labels = {
        name: f"{name.replace('_', ' ')} on the body"
        for name in names
        if name in body.values
    }
    draw.unread |= {label for name, label in labels.items() if name in body.filled}
    return {
        name: draw.keep(
            label, body[name] + body.sd(name) * draw.rng.standard_normal(draw.samples)
        )
        for name, label in labels.items()
    }
