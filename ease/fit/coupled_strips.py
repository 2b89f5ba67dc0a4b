"""Cloth under both pulls: two strip tests coupled by the contraction of a free strip.

With strains round the body (girth, ``eh``) and down it (length, ``ev``), the energy per
relaxed area and the tensions per relaxed width are

    W(eh, ev) = Phi_h(eh) + Phi_v(ev) + k eh ev
    T_h = phi_h(eh) + k ev,    T_v = phi_v(ev) + k eh
    phi(e) = strip(e) + k nu e  for e >= 0,   (E + k nu) e  for e < 0
    m = sqrt(nu_h nu_v),  k = m sqrt(E_h E_v) / (1 - m^2)

with the ratios nu moved to the nearest pair, of the same product, that obeys
nu_h E_v = nu_v E_h. Either strip alone is then reproduced exactly, and a linear cloth
gives the orthotropic membrane of the textbooks. Of cloth that has grown, e counts from its
grown length in both directions.

Source key: orthotropic-plane-stress
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fabric.tension import Outside
from ease.fit.coupled import (
    Pair,
    convexity,
    in_runs,
    slopes,
    solve_both,
    solve_one,
    stored,
    tensions,
)
from ease.fit.outside import kept
from ease.fit.strip import Strip

__all__ = ["CoupledStrips"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class CoupledStrips:
    """Two strips and their coupling, one or a batch, asked for strains and tensions.

    Strains, tensions and the fields of a batch broadcast against each other. Every
    method takes ``outside``: ``raise`` refuses the whole call with the first offending
    strain, ``nan`` answers NaN there.

    Attributes:
        girth: The strip that is pulled round the body.
        length: The strip that is pulled down the body.
        coupling: k, N/m.
    """

    girth: Strip
    length: Strip
    coupling: Floats

    def tensions(
        self, girth: ArrayLike, length: ArrayLike, *, outside: Outside = "raise"
    ) -> tuple[Floats, Floats]:
        """Return the tensions round and down at strains, N/m of relaxed width.

        A negative tension means that the cloth lies slack that way and would wrinkle.

        Args:
            girth: Strains round the body.
            length: Strains down the body.
            outside: See the class.

        Raises:
            TensionRangeError: If a strain lies past the load test.
        """
        eh, ev = _arrays(girth, length)
        th, tv = in_runs(self._pair, self._beyond_rest(eh, ev), tensions)
        th, tv = self._kept(eh, ev, (th, tv), outside, solved=False)
        return th, tv

    def strains(
        self, girth: ArrayLike, length: ArrayLike, *, outside: Outside = "raise"
    ) -> tuple[Floats, Floats]:
        """Return the strains round and down under tensions round and down.

        Args:
            girth: Tensions round the body, N/m of relaxed width; any shape.
            length: Tensions down the body; broadcast against ``girth``.
            outside: See the class.

        Raises:
            TensionRangeError: If the load test ends before such tensions.
            RefusedError: If the cloth gives way there (see :meth:`definite`).
        """
        eh, ev = in_runs(self._pair, list(_arrays(girth, length)), solve_both)
        eh, ev = eh + self.girth.rest, ev + self.length.rest
        eh, ev = self._kept(eh, ev, (eh, ev), outside)
        return eh, ev

    def length_strain(
        self,
        girth_strain: ArrayLike,
        length_tension: ArrayLike = 0.0,
        *,
        outside: Outside = "raise",
    ) -> Floats:
        """Return the strain down at a strain round and a tension down.

        With no tension down it is the free contraction of a strip.

        Args:
            girth_strain: Strains round the body; any shape.
            length_tension: Tensions down the body, N/m of relaxed width; broadcast
                against ``girth_strain``.
            outside: See the class.

        Raises:
            TensionRangeError: If the load test ends before it.
            RefusedError: If the cloth gives way there.
        """
        eh, tv = _arrays(girth_strain, length_tension)
        ev = self._one_strain("length", tv, eh - self.girth.rest)
        return self._kept(eh, ev, (ev,), outside)[0]

    def girth_strain(
        self,
        girth_tension: ArrayLike,
        length_strain: ArrayLike,
        *,
        outside: Outside = "raise",
    ) -> Floats:
        """Return the strain round at a tension round and a strain down.

        Args:
            girth_tension: Tensions round the body, N/m of relaxed width; any shape.
            length_strain: Strains down the body; broadcast against ``girth_tension``.
            outside: See the class.

        Raises:
            TensionRangeError: If the load test ends before it.
            RefusedError: If the cloth gives way there.
        """
        th, ev = _arrays(girth_tension, length_strain)
        eh = self._one_strain("girth", th, ev - self.length.rest)
        return self._kept(eh, ev, (eh,), outside)[0]

    def free_girth(self, length_strain: ArrayLike) -> Floats:
        """Return the strain round that cloth takes which nothing holds round.

        Grown cloth that lies below its rest carries next to nothing, so the energy may
        be flat there; its width is known all the same.

        Args:
            length_strain: Strains down the body; any shape.

        Returns:
            Strains round, nan past the load test.
        """
        (ev,) = _arrays(length_strain)
        eh = self._one_strain("girth", np.zeros_like(ev), ev - self.length.rest)
        return self._kept(eh, ev, (eh,), "nan", solved=False)[0]

    def energy(
        self, girth: ArrayLike, length: ArrayLike, *, outside: Outside = "raise"
    ) -> Floats:
        """Return the energy W per relaxed area at strains, N/m.

        Nothing else is worked out from it: the tensions must be its slopes, which is
        how they are checked.

        Args:
            girth: Strains round the body; any shape.
            length: Strains down the body; broadcast against ``girth``.
            outside: See the class.

        Raises:
            TensionRangeError: If a strain lies past the load test.
        """
        eh, ev = _arrays(girth, length)
        x, y = self._beyond_rest(eh, ev)
        total = stored(self.girth, self.coupling, x)
        total = total + stored(self.length, self.coupling, y) + self.coupling * x * y
        return self._kept(eh, ev, (total,), outside, solved=False)[0]

    def tangent(self, girth: ArrayLike, length: ArrayLike) -> Floats:
        """Return the slopes of both tensions by both strains, N/m.

        Past the load test the slopes are those with which the curves run on.

        Args:
            girth: Strains round the body; any shape.
            length: Strains down the body; broadcast against ``girth``.

        Returns:
            Shape (..., 2, 2): rows are the tensions round and down, columns the strains.
        """
        a, b = slopes(self._pair, *self._beyond_rest(*_arrays(girth, length)))
        a, b, k = np.broadcast_arrays(a, b, self.coupling)
        return np.stack([np.stack([a, k], -1), np.stack([k, b], -1)], -2)

    def definite(self, girth: ArrayLike, length: ArrayLike) -> NDArray[np.bool_]:
        """Return where the energy is convex, so that the answer is the only one near.

        ``phi_h' phi_v' > k^2``. At rest it always is; it may fail where both curves
        have softened, and after an hour below the set.

        Args:
            girth: Strains round the body; any shape.
            length: Strains down the body; broadcast against ``girth``.
        """
        beyond = self._beyond_rest(*_arrays(girth, length))
        return in_runs(self._pair, beyond, convexity)[0] > 0

    def came_from_higher(
        self, girth: ArrayLike, length: ArrayLike
    ) -> NDArray[np.bool_]:
        """Return where an unloading curve turned far above: there it understates.

        Args:
            girth: Strains round the body; any shape.
            length: Strains down the body; broadcast against ``girth``.
        """
        eh, ev = _arrays(girth, length)
        return self.girth.came_from_higher(eh) | self.length.came_from_higher(ev)

    def _one_strain(
        self, way: Literal["girth", "length"], tension: Floats, other_strain: Floats
    ) -> Floats:
        """Return the strain one way by the tension that way and the other beyond rest."""

        def work(pair: Pair, tension: Floats, other: Floats) -> tuple[Floats, ...]:
            strip: Strip = getattr(pair, way)
            return (solve_one(strip, pair.coupling, tension - pair.coupling * other),)

        strip: Strip = getattr(self, way)
        return in_runs(self._pair, [tension, other_strain], work)[0] + strip.rest

    def _beyond_rest(self, girth: Floats, length: Floats) -> list[Floats]:
        return [girth - self.girth.rest, length - self.length.rest]

    @property
    def _pair(self) -> Pair:
        return Pair(self.girth, self.length, self.coupling)

    def _kept(
        self,
        eh: Floats,
        ev: Floats,
        values: tuple[Floats, ...],
        outside: Outside,
        *,
        solved: bool = True,
    ) -> tuple[Floats, ...]:
        convex = self.definite(eh, ev) if solved else np.asarray(True)
        tops = self.girth.last_strain, self.length.last_strain
        return kept((eh, ev), tops, convex, values, outside)


def _arrays(*values: ArrayLike) -> tuple[Floats, ...]:
    return tuple(np.asarray(value, dtype=np.float64) for value in values)
