"""From cloths and bodies to worn strains, both directions, on arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ease.fit.aims import Aim, Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.limits import girth_bounds, pull_bounds
from ease.fit.window import Chosen, Strains, choose

__all__ = ["Solution", "solve"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Solution:
    """Worn strains with their windows, over arrays of one shape.

    Attributes:
        girth: Strain chosen round the body.
        length: Worn strain chosen down the body; nan where that direction was not
            tested.
        free_length: Length of the cloth over its cut length when it is stretched round
            and left free down: below 1 by contraction.
    """

    girth: Chosen
    length: Chosen
    free_length: FloatArray

    @property
    def contraction_strain(self) -> FloatArray:
        """Share of the worn strain down the body that contraction alone brings."""
        return 1.0 / self.free_length - 1.0

    @property
    def pull_strain(self) -> FloatArray:
        """Strain down the body over and above the free length."""
        return (1.0 + self.length.strain) / self.free_length - 1.0


def solve(cloth: ClothArrays, body: BodyArrays, aim: Aim, allowed: Allowed) -> Solution:
    """Choose worn strains by shares of the stretch, for cloths without a load test.

    Args:
        cloth: Figures of the hand test.
        body: Girths, cm.
        aim: Shares of the stretch aimed at.
        allowed: Numbers of the limits.
    """
    girth = choose(
        np.asarray(aim.girth_share * cloth.stretch_girth),
        girth_bounds(cloth, body, allowed),
    )
    free = 1.0 - cloth.contraction * girth.strain
    worn = Strains(free)
    length = choose(
        worn(np.asarray(aim.length_share * cloth.stretch_length)),
        pull_bounds(cloth, allowed).mapped(worn),
    )
    return Solution(girth, length, free)
