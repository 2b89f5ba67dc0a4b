"""How sure a wear check is: tape, readings and load tests carried to what is worn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.fabric.profile import DirectionName, Fabric
from ease.fit.samples import (
    SEED,
    Draw,
    Interval,
    interval_of,
    sample_cloth,
    sample_membrane,
)
from ease.fit.wear import Sizes, loads

__all__ = ["WearSpread", "wear_spread"]

FloatArray = NDArray[np.float64]
SAMPLES: Final = 1000


@dataclass(frozen=True, slots=True)
class WearSpread:
    """95 % intervals of a garment just put on, level by level.

    Attributes:
        strain: Worn strain.
        pressure: Mean pressure, kPa; empty without a load test.
        side: Pressure at the side, kPa; empty without a load test.
        pull: Pull over both shoulders, N; None without a load test.
    """

    strain: tuple[Interval, ...]
    pressure: tuple[Interval, ...] = ()
    side: tuple[Interval, ...] = ()
    pull: Interval | None = None


def wear_spread(
    fabric: Fabric,
    round_body: DirectionName,
    sizes: Sizes,
    body_sd: FloatArray,
    loop_sd: float,
    pull_index: int,
) -> WearSpread:
    """Return how sure strain, pressure and pull are.

    Args:
        fabric: The fabric.
        round_body: Cloth direction round the body.
        sizes: The garment on the body.
        body_sd: How sure each girth of the body is, cm, shape (levels,).
        loop_sd: How sure the torso loop is, over its length.
        pull_index: Level whose relaxed girth carries the pull.
    """
    draw = Draw(np.random.default_rng(SEED), SAMPLES)
    cloth = sample_cloth(fabric, round_body, draw)
    noise = draw.rng.standard_normal((len(sizes.body), SAMPLES))
    tape = 1.0 + loop_sd * draw.rng.standard_normal(SAMPLES)
    column = (slice(None), None)
    sampled = replace(
        sizes,
        body=np.maximum(sizes.body[column] + body_sd[column] * noise, 1.0),
        block=sizes.block[column],
        share=sizes.share[column],
        depth_ratio=sizes.depth_ratio[column],
    )
    strain = tuple(interval_of(row) for row in sampled.strain)
    membrane = sample_membrane(fabric, round_body, cloth, draw)
    if membrane is None:
        return WearSpread(strain)
    worn = loads(membrane, sampled, (1.0 + sizes.length_strain) * tape - 1.0)
    pull = np.maximum(worn.down[pull_index], 0.0) * sizes.block[pull_index] / 100.0
    return WearSpread(
        strain,
        tuple(interval_of(row) for row in worn.pressure),
        tuple(interval_of(row) for row in worn.side),
        interval_of(pull),
    )
