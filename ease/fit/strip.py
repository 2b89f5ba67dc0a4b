"""One cloth direction as it lies on the body: its strip curve in a state of wear."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final, Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError
from ease.fabric.profile import ClothDirection, DirectionName
from ease.fabric.tension import TensionCurve

__all__ = ["STATES", "State", "Strip", "flat"]

Floats = NDArray[np.float64]
State = Literal["now", "unloading", "rested", "wet"]

STATES: Final[tuple[State, ...]] = ("now", "unloading", "rested", "wet")
#: A curve that turned at more than this times the worn strain understates.
MUCH_HIGHER: Final = 1.5  # the tool's own choice; no source


def flat(values: Floats, shape: tuple[int, ...]) -> Floats:
    """Return values broadcast to a shape, in one row."""
    if values.shape != shape:  # broadcasting takes longer than solving a few elements
        values = np.broadcast_to(values, shape)
    return values.reshape(-1)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Strip:
    """A strip test with the figures that couple it to the other direction.

    The array fields hold one cloth (shape ``()``) or a batch of cloths that broadcasts
    against the strains, such as the samples of a Monte Carlo run.

    Attributes:
        cloth: Cloth direction that is pulled, across or along.
        curve: Tension against strain of the mean cloth.
        modulus: Secant modulus of the loading curve times ``scale``, N/m.
        measured_ratio: Contraction ratio as measured; None where it was not.
        ratio: Contraction ratio that obeys reciprocity.
        scale: Factor on every tension of the curve.
        growth: Growth after rest; NaN where not tested.
        wet_growth: Growth of the wet cloth; NaN where not tested.
        state: ``now`` the loading curve; ``unloading`` the other branch; ``rested``
            and ``wet`` the loading curve from the grown length.

    Its curve is asked for at the strain beyond :attr:`rest`, over the first gauge: cloth
    that has grown pulls, and gets narrower, from its grown length.
    """

    cloth: DirectionName
    curve: TensionCurve
    modulus: Floats
    measured_ratio: Floats | None
    ratio: Floats
    scale: Floats
    growth: Floats
    wet_growth: Floats
    state: State = "now"

    @classmethod
    def of(cls, name: DirectionName, cloth: ClothDirection | None) -> Self:
        """Return the strip of a cloth direction; the ratio is not yet coupled.

        Raises:
            RefusedError: If the direction has no load test.
        """
        if cloth is None or cloth.tension is None:
            message = f"no load test {name}"
            raise RefusedError(message)
        measured = None
        if cloth.contraction is not None:
            measured = np.asarray(cloth.contraction.mean, dtype=np.float64)
        return cls(
            cloth=name,
            curve=cloth.tension,
            modulus=np.asarray(cloth.tension.modulus),
            measured_ratio=measured,
            ratio=np.asarray(np.nan) if measured is None else measured,
            scale=np.asarray(1.0),
            growth=np.asarray(cloth.growth.mean if cloth.growth else np.nan),
            wet_growth=np.asarray(
                cloth.wet_growth.mean if cloth.wet_growth else np.nan
            ),
        )

    def in_state(self, state: State) -> Self:
        """Return the strip in another state of wear.

        Raises:
            RefusedError: If what that state needs was not tested.
        """
        missing = self.lacks(state)
        if missing:
            message = f"the cloth {self.cloth} was tested without {missing}"
            raise RefusedError(message)
        return replace(self, state=state)

    def lacks(self, state: State) -> str:
        """Return what a state of wear needs and was not tested; empty if nothing."""
        if state == "unloading":
            return "" if self.curve.unloading else "unloading curve"
        if state == "rested":
            return "growth" if np.isnan(self.growth).any() else ""
        wet = state == "wet" and np.isnan(self.wet_growth).any()
        return "wet growth" if wet else ""

    def batched(
        self,
        scale: ArrayLike,
        ratio: ArrayLike | None,
        growth: ArrayLike | None,
    ) -> Self:
        """Return strips with other figures; None keeps this one's own.

        Args:
            scale: Factors on every tension, above 0.
            ratio: Measured contraction ratios.
            growth: Growth after rest.

        Raises:
            RefusedError: If a factor is not above 0.
        """
        factor = np.asarray(scale, dtype=np.float64)
        if not (factor > 0).all():
            message = "a factor on tensions must be above 0"
            raise RefusedError(message)
        own = replace(self, scale=self.scale * factor, modulus=self.modulus * factor)
        figures = {"measured_ratio": ratio, "growth": growth}
        given: dict[str, Any] = {
            name: np.asarray(values, dtype=np.float64)
            for name, values in figures.items()
            if values is not None
        }
        return replace(own, **given)

    def part(self, shape: tuple[int, ...], where: slice | NDArray[np.bool_]) -> Self:
        """Return the cloths that belong to some elements of a flattened shape."""

        def cut(values: Floats) -> Floats:
            return values if values.ndim == 0 else flat(values, shape)[where]

        return replace(
            self,
            modulus=cut(self.modulus),
            measured_ratio=None,
            ratio=cut(self.ratio),
            scale=cut(self.scale),
            growth=cut(self.growth),
            wet_growth=cut(self.wet_growth),
        )

    @property
    def shapes(self) -> list[tuple[int, ...]]:
        """Shapes of the array fields, for broadcasting."""
        arrays = (self.modulus, self.ratio, self.scale, self.growth, self.wet_growth)
        return [array.shape for array in arrays]

    @property
    def _grown(self) -> Floats | float:
        """Length of the cloth it starts from, over the first gauge."""
        if self.state == "rested":
            return 1 + self.growth
        return 1 + self.wet_growth if self.state == "wet" else 1.0

    @property
    def rest(self) -> Floats:
        """Strain on the body at which the cloth lies at its own length."""
        return np.asarray(self._grown - 1.0)

    @property
    def last(self) -> Floats:
        """Greatest strain beyond rest that the test covers."""
        return np.asarray(self.curve.last_strain * self._grown)

    @property
    def last_strain(self) -> Floats:
        """Greatest strain on the body that the test covers."""
        return self.last + self.rest

    def pull(self, strain: Floats) -> tuple[Floats, Floats]:
        """Return strip tension and slope at strains of 0 or more beyond rest, N/m.

        Carried on straight past the test, for a solver on its way.
        """
        if self.state == "unloading" and self.curve.unloading is not None:
            tension, slope = self.curve.unloading.continued(strain)
        elif self.state == "now":
            tension, slope = self.curve.loading.continued(strain)
        else:
            grown = self._grown
            tension, slope = self.curve.loading.continued(strain / grown)
            slope = slope / grown
        if self.scale.ndim == 0 and self.scale == 1:
            return tension, slope
        return self.scale * tension, self.scale * slope

    def energy(self, strain: Floats) -> Floats:
        """Return the area under the strip curve up to tested strains beyond rest.

        For ``Membrane.energy`` alone, by which tensions are checked.
        """
        if self.state == "unloading" and self.curve.unloading is not None:
            return self.scale * self.curve.unloading.energy_at(strain, outside="nan")
        grown = self._grown
        area = self.curve.loading.energy_at(strain / grown, outside="nan")
        return self.scale * grown * area

    def first_guess(self, tension: Floats) -> Floats:
        """Return a strain beyond rest near that at which it carries a tension alone."""
        branch = self.curve.loading
        if self.state == "unloading" and self.curve.unloading is not None:
            branch = self.curve.unloading
        guess: Any = np.interp(tension / self.scale, branch.tension, branch.strain)
        return np.asarray(guess * self._grown)

    def came_from_higher(self, strain: Floats) -> NDArray[np.bool_]:
        """Return where an unloading curve turned far above the strain."""
        if self.state != "unloading":
            return np.zeros(strain.shape, dtype=bool)
        far = self.curve.last_strain > MUCH_HIGHER * strain
        return np.asarray((strain > 0) & far)
