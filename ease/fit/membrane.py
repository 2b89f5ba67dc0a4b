"""The membrane of a fabric: its two strips coupled, alone, in a batch, and as it wears."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fabric.profile import DirectionName, Fabric
from ease.fit.coupled_strips import CoupledStrips
from ease.fit.coupling import couple, strips_of
from ease.fit.strip import STATES, State

__all__ = ["Membrane"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Membrane(CoupledStrips):
    """A cloth laid round a body, or a batch of cloths, in one state of wear.

    Examples:
        >>> from ease.fabric.profile import ClothDirection, Estimate, Fabric
        >>> from ease.fabric.tension import Branch, TensionCurve
        >>> def cloth(tension: float, ratio: float) -> ClothDirection:
        ...     curve = TensionCurve(Branch.through([0, 1], [0, tension]))
        ...     return ClothDirection(stretch=Estimate(1.0), tension=curve,
        ...                           contraction=Estimate(ratio))
        >>> fabric = Fabric(name="t", title="T", origin="invented", source="invented",
        ...                 across=cloth(100, 0.3), along=cloth(200, 0.6))
        >>> membrane = Membrane.from_fabric(fabric, "across")
        >>> around, down = membrane.tensions(0.4, 0.1)
        >>> round(float(around), 2), round(float(down), 2)
        (56.1, 53.66)
    """

    @classmethod
    def from_fabric(
        cls,
        fabric: Fabric,
        round_body: DirectionName | None = None,
        *,
        contraction: float | None = None,
    ) -> Self:
        """Return the membrane of a fabric, just put on.

        Args:
            fabric: A fabric with a load test in both directions.
            round_body: Cloth direction that goes round; the stretchier one if None.
            contraction: Contraction ratio to assume for the girth direction where none
                was measured in either.

        Raises:
            RefusedError: If a load test or every contraction ratio is missing, or the
                ratios are impossible together.
        """
        girth, length = strips_of(fabric, round_body, contraction)
        return cls(*couple(girth, length))

    def batch(
        self,
        *,
        girth_scale: ArrayLike = 1.0,
        length_scale: ArrayLike = 1.0,
        girth_ratio: ArrayLike | None = None,
        length_ratio: ArrayLike | None = None,
        growth: tuple[ArrayLike, ArrayLike] | None = None,
    ) -> Self:
        """Return many cloths like this one, such as the samples of a Monte Carlo run.

        Args:
            girth_scale: Factors on all tensions round the body, any shape.
            length_scale: The same down the body.
            girth_ratio: Measured contraction ratios; this membrane's own if None.
            length_ratio: The same down the body.
            growth: Growth round and down, in place of this membrane's own.

        Raises:
            RefusedError: If ratios are impossible.
        """
        round_, down = growth or (None, None)
        girth = self.girth.batched(girth_scale, girth_ratio, round_)
        length = self.length.batched(length_scale, length_ratio, down)
        return type(self)(*couple(girth, length))

    def in_state(self, state: State) -> Self:
        """Return the same cloth in another state of wear, with the same coupling.

        Args:
            state: ``now``, ``unloading``, ``rested`` or ``wet``.

        Raises:
            RefusedError: If a direction was not tested for it.
        """
        girth, length = self.girth.in_state(state), self.length.in_state(state)
        return replace(self, girth=girth, length=length)

    @property
    def states(self) -> tuple[State, ...]:
        """The states of wear for which both directions were tested."""
        return tuple(
            state
            for state in STATES
            if not (self.girth.lacks(state) or self.length.lacks(state))
        )

    @property
    def reciprocity_gap(self) -> Floats | None:
        """How far the measured ratios miss nu_h E_v = nu_v E_h, over their mean.

        None where only one ratio was measured.
        """
        mine, other = self.girth.measured_ratio, self.length.measured_ratio
        if mine is None or other is None:
            return None
        left, right = mine * self.length.modulus, other * self.girth.modulus
        mean = 0.5 * (left + right)
        gap = np.divide(left - right, mean, out=np.zeros_like(mean), where=mean > 0)
        return np.asarray(gap)
