"""Cloth under both pulls: two strip tests coupled by the contraction of a free strip.

With strains round the body (girth, ``eh``) and down it (length, ``ev``), the energy per
relaxed area and the tensions per relaxed width are

    W(eh, ev) = Phi_h(eh) + Phi_v(ev) + k eh ev
    T_h = phi_h(eh) + k ev,    T_v = phi_v(ev) + k eh
    phi(e) = strip(e) + k nu e  for e >= 0,   (E + k nu) e  for e < 0
    m = sqrt(nu_h nu_v),  k = m sqrt(E_h E_v) / (1 - m^2)

with the ratios nu moved to the nearest pair, of the same product, that obeys
nu_h E_v = nu_v E_h. Either strip alone is then reproduced exactly, and a linear cloth
gives the orthotropic membrane of the textbooks.

Source key: orthotropic-plane-stress
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError, TensionRangeError
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.coupled import Pair, solve_both, solve_one
from ease.fit.strip import MUCH_HIGHER, State, Strip

__all__ = ["Membrane"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Membrane:
    """A cloth laid round a body, or a batch of cloths, in one state of wear.

    Strains, tensions and the fields of a batch broadcast against each other. Every
    method takes ``outside``: ``raise`` refuses the whole call with the first offending
    strain, ``nan`` answers NaN there.

    Attributes:
        girth: The strip that is pulled round the body.
        length: The strip that is pulled down the body.
        coupling: k, N/m.

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

    girth: Strip
    length: Strip
    coupling: Floats

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
        across = around_first = round_body or fabric.round_body
        across = "along" if around_first == "across" else "across"
        lacking = [
            name
            for name in ("across", "along")
            if (side := fabric.direction(name)) is None or side.tension is None
        ]
        if lacking:
            message = f"fabric {fabric.name}: no load test {' and '.join(lacking)}"
            hint = "tension and pressure need one each way; `ease load` adds it"
            raise RefusedError(message, hint=hint)
        girth = Strip.of(fabric.name, around_first, fabric.direction(around_first))
        length = Strip.of(fabric.name, across, fabric.direction(across))
        if girth.measured_ratio is None and length.measured_ratio is None:
            if contraction is None:
                message = f"fabric {fabric.name}: no contraction ratio was measured"
                hint = "measure the width of the strip before and at extension"
                raise RefusedError(message, hint=hint)
            girth = replace(girth, measured_ratio=np.asarray(float(contraction)))
        return cls._coupled(girth, length)

    @classmethod
    def _coupled(cls, girth: Strip, length: Strip) -> Self:
        """Move the ratios to the nearest pair with reciprocity, and couple."""
        root = np.sqrt(girth.modulus / length.modulus)
        both = [girth.measured_ratio, length.measured_ratio]
        if both[0] is not None and both[1] is not None:
            for ratio in both:
                _check_ratio(ratio)
            m = np.sqrt(both[0] * both[1])
        elif both[0] is not None:
            _check_ratio(both[0])
            m = both[0] / root
        elif both[1] is not None:
            _check_ratio(both[1])
            m = both[1] * root
        if not (m < 1).all():
            message = (
                "the contraction ratios are too large together: their mean, as a "
                f"geometric mean, is {float(np.max(m)):.2f} and must stay below 1"
            )
            hint = "measure the width at extension again, or the load on both strips"
            raise RefusedError(message, hint=hint)
        coupling = m * np.sqrt(girth.modulus * length.modulus) / (1 - m**2)
        return cls(
            replace(girth, ratio=m * root),
            replace(length, ratio=m / root),
            np.asarray(coupling),
        )

    def batch(
        self,
        *,
        girth_scale: ArrayLike = 1.0,
        length_scale: ArrayLike = 1.0,
        girth_ratio: ArrayLike | None = None,
        length_ratio: ArrayLike | None = None,
        growth: tuple[ArrayLike, ArrayLike] | None = None,
        wet_growth: tuple[ArrayLike, ArrayLike] | None = None,
    ) -> Self:
        """Return many cloths like this one, such as the samples of a Monte Carlo run.

        Args:
            girth_scale: Factors on all tensions round the body, any shape.
            length_scale: The same down the body.
            girth_ratio: Measured contraction ratios; this membrane's own if None.
            length_ratio: The same down the body.
            growth: Growth round and down, in place of this membrane's own.
            wet_growth: The same for the wet cloth.

        Raises:
            RefusedError: If ratios are impossible.
        """
        strips = []
        for i, (strip, scale, ratio) in enumerate(
            (
                (self.girth, girth_scale, girth_ratio),
                (self.length, length_scale, length_ratio),
            )
        ):
            factor = np.asarray(scale, dtype=np.float64)
            if not (factor > 0).all():
                message = "a factor on tensions must be above 0"
                raise RefusedError(message)
            given = strip.measured_ratio if ratio is None else np.asarray(ratio, float)
            dry = strip.growth if growth is None else np.asarray(growth[i], float)
            wet = strip.wet_growth
            if wet_growth is not None:
                wet = np.asarray(wet_growth[i], float)
            strips.append(
                replace(
                    strip,
                    scale=strip.scale * factor,
                    modulus=strip.modulus * factor,
                    measured_ratio=given,
                    growth=dry,
                    wet_growth=wet,
                )
            )
        return self._coupled(*strips)

    def in_state(self, state: State) -> Self:
        """Return the same cloth in another state of wear, with the same coupling.

        Args:
            state: ``now``, ``coming down``, ``rested`` or ``wet``.

        Raises:
            RefusedError: If a direction was not tested for it.
        """
        return replace(
            self,
            girth=self.girth.in_state(state),
            length=self.length.in_state(state),
        )

    @property
    def states(self) -> tuple[State, ...]:
        """The states of wear for which both directions were tested."""
        known: list[State] = []
        for state in ("now", "coming down", "rested", "wet"):
            try:
                self.in_state(state)
            except RefusedError:
                continue
            known.append(state)
        return tuple(known)

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
