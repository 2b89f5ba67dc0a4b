"""Each limit of the window as arithmetic on arrays; see ``window.LIMITS`` for words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ease.fit.aims import Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.window import Bounds

__all__ = ["girth_bounds", "pull_bounds", "room_to_move"]

FloatArray = NDArray[np.float64]


def room_to_move(stretch: FloatArray, usable_share: float, move: float) -> FloatArray:
    """Return the most worn strain that leaves room to move.

    ``(1 + worn)(1 + move) - 1 <= usable_share * stretch``. Source key: strain-product.

    Args:
        stretch: Tested stretch.
        usable_share: Share of it that may be reached in movement.
        move: Further strain of the skin in movement.

    Examples:
        >>> round(float(room_to_move(np.float64(0.8), 0.75, 0.07)), 4)
        0.4953
    """
    return (1.0 + usable_share * stretch) / (1.0 + move) - 1.0


def girth_bounds(cloth: ClothArrays, body: BodyArrays, allowed: Allowed) -> Bounds:
    """Return the limits of the worn strain round the body that need no load test.

    Growth: the grown piece, ``cut (1 + growth)``, stays smaller than the body. Goes on:
    fully stretched, each part passes the widest girth on its way on, if nothing opens.

    Args:
        cloth: Stretch and growth.
        body: Girths, cm.
        allowed: Numbers of the limits.
    """
    room = room_to_move(cloth.stretch_girth, allowed.usable_share, allowed.girth_move)
    # One for each body, also where nothing else differs from body to body.
    high = {"room_to_move": room + np.zeros_like(body.bust)}
    if not allowed.opens:
        ratio = np.maximum(_passing(body, allowed), 1.0)
        high["goes_on"] = (1.0 + cloth.stretch_girth) / ratio - 1.0
    return Bounds(
        low={"growth": cloth.growth_girth, "wet_growth": cloth.wet_growth_girth},
        high=high,
    )


def _passing(body: BodyArrays, allowed: Allowed) -> FloatArray:
    if allowed.passing is not None:
        return np.asarray(allowed.passing)
    return body.passing_ratio(over_head=allowed.over_head)


def pull_bounds(
    cloth: ClothArrays, allowed: Allowed, girth: FloatArray, free: FloatArray
) -> Bounds:
    """Return the limits of the pull strain down the body that need no load test.

    Pull strain counts from the length that the cloth takes by itself once it is
    stretched round, so that contraction is not counted twice. Growth: the grown piece,
    which gets shorter only by what it is stretched beyond its grown girth, still pulls.

    Args:
        cloth: Stretch and growth.
        allowed: Numbers of the limits.
        girth: Worn strain round.
        free: Length of the cloth over its cut length, stretched so and free down.
    """

    def grown(down: FloatArray, around: FloatArray) -> FloatArray:
        read = np.nan_to_num(around)  # not read round: as if it did not grow that way
        part = np.divide(read, girth, out=np.zeros(free.shape), where=girth > 0)
        return np.asarray((1.0 + down + (free - 1.0) * (1.0 - part)) / free - 1.0)

    return Bounds(
        low={
            "growth": grown(cloth.growth_length, cloth.growth_girth),
            "wet_growth": grown(cloth.wet_growth_length, cloth.wet_growth_girth),
        },
        high={
            "room_to_move": room_to_move(
                cloth.stretch_length, allowed.usable_share, allowed.length_move
            )
        },
    )
