"""How far the cloth of a toile may lie from the swatch, by the swatch's own repeats.

Spreads are of log(1 + strain). The toile is one more piece of the same cloth: with the
spread sd of single repeats about a mean of n, its figure has the spread
``sd sqrt(1 + 1/n)`` about that mean. At one pull strain goes with the stretch, so that

    sd_round^2 = (e_h / (1 + e_h) * sd_stretch / stretch)^2 + sd_growth^2
    sd_down^2 = the same down the body + (e_h sd_contraction / (1 + e_v))^2

Growth stands for the relaxed length that the cloth comes back to when it is cut and
sewn; contraction for the length that cloth stretched round gives up.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from ease.fabric.profile import ClothDirection, DirectionName, Estimate, Fabric
from ease.fit.aims import ASSUMED_CONTRACTION
from ease.fit.cases import directions
from ease.fit.samples import ASSUMED_CONTRACTION_SD, ONE_REPEAT_SD
from ease.fit.wear import Sizes

__all__ = ["ClothSpread", "cloth_spread"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class ClothSpread:
    """Spreads of log(1 + strain) that come from the cloth.

    Attributes:
        cloth: Of the whole toile, round and down.
        uneven: From spot to spot of one toile, shape (levels + 1,): round each level,
            and down the body.
    """

    cloth: tuple[float, float]
    uneven: Floats


def cloth_spread(
    fabric: Fabric, round_body: DirectionName, sizes: Sizes
) -> ClothSpread:
    """Return how far the cloth may lie from the swatch.

    Args:
        fabric: The fabric, whose figures have the spread of the bench.
        round_body: Cloth direction round the body.
        sizes: The garment on the body.

    Raises:
        RefusedError: If the direction round the body was not tested.
    """
    girth, length = directions(fabric, round_body)
    held, down = sizes.held_strain, sizes.length_strain
    mean = float(held.mean())
    shrink = girth.contraction or Estimate(
        ASSUMED_CONTRACTION, ASSUMED_CONTRACTION_SD, 1
    )
    sideways = _of_one_more(shrink, "contraction")
    around, along = _share(girth), _share(length or girth)
    growth = [_growth(cloth) for cloth in (girth, length or girth)]
    cloth_round = hypot(around[1] * abs(mean) / (1 + mean), growth[0])
    cloth_down = hypot(
        along[1] * abs(down) / (1 + down), growth[1], mean * sideways / (1 + down)
    )
    spots_round = around[0] * held / (1 + held)
    # Where more is stretched round than elsewhere, more is given up in length.
    uneven_round = shrink.mean * float(held.std())
    spots_down = np.hypot(along[0] * down, uneven_round) / (1 + down)
    return ClothSpread((cloth_round, cloth_down), np.append(spots_round, spots_down))


def _share(cloth: ClothDirection) -> tuple[float, float]:
    """Return the spread of one repeat's stretch, and of one more piece's, over it."""
    one = _of_one(cloth.stretch, "stretch")
    return (
        one / cloth.stretch.mean,
        _of_one_more(cloth.stretch, "stretch") / cloth.stretch.mean,
    )


def _growth(cloth: ClothDirection) -> float:
    """Return the spread of the relaxed length; as of one repeat where none was read."""
    if cloth.growth is None:
        return ONE_REPEAT_SD["growth"]
    return _of_one_more(cloth.growth, "growth")


def _of_one(figure: Estimate, kind: str) -> float:
    return ONE_REPEAT_SD[kind] if figure.sd is None else figure.sd


def _of_one_more(figure: Estimate, kind: str) -> float:
    return _of_one(figure, kind) * sqrt(1 + 1 / figure.n)
