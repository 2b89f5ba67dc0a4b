"""One way along a tension curve: monotone cubics through tested points.

Tensions are N per metre of relaxed width of one layer, strains fractions of the relaxed
length. A curve stores its knots with their slopes, so that using one needs NumPy only.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError, TensionRangeError
from ease.fabric.monotone import (
    cubic_integral,
    curve_pieces,
    knot_fault,
    monotone_slopes,
    solve_rising_cubic,
)

__all__ = ["END_STRAIN", "Branch", "Outside"]

Floats = NDArray[np.float64]
Outside = Literal["raise", "nan"]
MANY_KNOTS: Final = 32
# Past the end by half of the last digit of a strain that is shown counts as the end:
# 12 cm on 10 cm, or 2.3622 in on 3.9370 in.
END_STRAIN: Final = 5e-4


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Branch:
    """One way along a tension curve: a cubic between neighbouring knots.

    Below the first knot the cloth is slack and the tension is 0. Past the last knot
    nothing was tested and nothing is answered.

    Attributes:
        strain: Knots, rising, the first 0 or more; shape (n,), n at least 2.
        tension: Tension at the knots, N/m, from 0 and never falling; shape (n,).
        slope: Slope of the curve at the knots, N/m per unit strain; shape (n,).
    """

    strain: Floats
    tension: Floats
    slope: Floats
    _pieces: Floats = field(init=False)

    def __post_init__(self) -> None:
        """Keep read-only copies and refuse knots that no test can give."""
        for name in ("strain", "tension", "slope"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)
        fault = knot_fault(self.strain, self.tension, self.slope)
        if fault:
            message = f"a tension curve cannot have these points: {fault}"
            raise RefusedError(message)
        pieces = curve_pieces(self.strain, self.tension, self.slope)
        object.__setattr__(self, "_pieces", pieces)

    @classmethod
    def through(cls, strain: ArrayLike, tension: ArrayLike) -> Self:
        """Return the monotone cubic through points, PCHIP slopes.

        Where the first point carries tension, the relaxed cloth (0, 0) goes before it.

        Args:
            strain: Strains, rising, 0 or more.
            tension: Tensions at them, N/m, 0 or more, never falling.

        Raises:
            RefusedError: If the points break those rules.

        Examples:
            >>> curve = Branch.through([0.2, 0.4], [30.0, 70.0])
            >>> float(curve.tension_at(0.2))
            30.0

        Source key: fritsch-butland-1984
        """
        x = np.atleast_1d(np.asarray(strain, dtype=np.float64))
        y = np.atleast_1d(np.asarray(tension, dtype=np.float64))
        if x.shape == y.shape and x.ndim == 1 and x.size and y[0] > 0 and x[0] > 0:
            x, y = np.concatenate(([0.0], x)), np.concatenate(([0.0], y))
        fault = knot_fault(x, y, np.zeros_like(x))
        if fault:
            message = f"a tension curve cannot have these points: {fault}"
            raise RefusedError(message)
        return cls(x, y, monotone_slopes(x, y))

    def __eq__(self, other: object) -> bool:
        """Return whether all knots and slopes are the same."""
        if not isinstance(other, Branch):
            return NotImplemented
        pairs = zip(self._columns(), other._columns(), strict=True)
        return all(np.array_equal(mine, theirs) for mine, theirs in pairs)

    def __hash__(self) -> int:
        """Return a hash that fits equality."""
        return hash(tuple(column.tobytes() for column in self._columns()))

    def __repr__(self) -> str:
        """Return the span of the curve in one line."""
        return (
            f"Branch({self.strain.size} knots, strain {self.strain[0]:.4g} to "
            f"{self.last_strain:.4g}, tension to {self.last_tension:.4g} N/m)"
        )

    def _columns(self) -> tuple[Floats, Floats, Floats]:
        return self.strain, self.tension, self.slope

    @property
    def last_strain(self) -> float:
        """Strain at which the test stopped."""
        return float(self.strain[-1])

    @property
    def last_tension(self) -> float:
        """Tension at which the test stopped, N/m."""
        return float(self.tension[-1])

    def tension_at(self, strain: ArrayLike, *, outside: Outside = "raise") -> Floats:
        """Return the tension at strains, N/m; 0 below the first knot.

        Args:
            strain: Strains of any shape.
            outside: ``raise``, or ``nan`` for NaN past the last tested strain.

        Raises:
            TensionRangeError: If a strain lies past the test and ``outside`` is raise.
        """
        e = self._checked(strain, outside)
        return np.where(np.isnan(e), np.nan, self._tension_and_slope(e)[0])

    def reached(self, strain: float) -> float | None:
        """Return the tension at a strain, N/m; None where the test did not reach it."""
        if not strain <= self.last_strain + END_STRAIN:
            return None
        return float(self.tension_at(min(strain, self.last_strain)))

    def energy_at(self, strain: ArrayLike, *, outside: Outside = "raise") -> Floats:
        """Return the area under the curve up to strains, N/m; see :meth:`tension_at`.

        The integral of the cubics is exact. Energy is per relaxed area.
        """
        e = self._checked(strain, outside)
        place = self._place(e)
        cubics, start = self._pieces[:4], self._pieces[4]
        whole = cubic_integral(cubics[:, 1:-1], np.diff(self.strain))
        before = np.concatenate(([0.0, 0.0], np.cumsum(whole)))
        area = before[place] + cubic_integral(cubics[:, place], e - start[place])
        return np.where(np.isnan(e), np.nan, area)

    def continued(self, strain: ArrayLike) -> tuple[Floats, Floats]:
        """Return tension and slope, carried on straight past the last tested strain.

        For a solver on its way only: an answer that ends past the test is no answer.

        Args:
            strain: Finite strains of any shape.
        """
        return self._tension_and_slope(np.asarray(strain, dtype=np.float64))

    def strain_at(self, tension: ArrayLike, *, outside: Outside = "raise") -> Floats:
        """Return the smallest strain at which the curve carries a tension.

        The way back of ``tension_at``, by which curves are checked against published
        figures; the membrane solves both directions at once instead.

        Args:
            tension: Tensions of any shape, N/m, 0 or more.
            outside: ``raise``, or ``nan`` for NaN where no tested strain carries it.

        Raises:
            TensionRangeError: If a tension is below 0 or past the test.
        """
        t = np.asarray(tension, dtype=np.float64)
        bad = ~((t >= 0) & (t <= self.tension[-1]))
        if outside == "raise" and bad.any():
            worst = float(t[bad].flat[0])
            message = (
                f"the load test went to {self.last_tension:.1f} N/m; "
                f"a tension of {worst:.1f} N/m lies outside it"
            )
            raise TensionRangeError(message)
        t = np.where(bad, 0.0, t)
        i = np.searchsorted(self.tension, t, side="left") - 1
        i = np.clip(i, 0, self.strain.size - 2)
        x = solve_rising_cubic(self._pieces[:4, i + 1], np.diff(self.strain)[i], t)
        return np.where(bad, np.nan, self.strain[i] + x)

    def _checked(self, strain: ArrayLike, outside: Outside) -> Floats:
        e = np.asarray(strain, dtype=np.float64)
        over = ~(e <= self.strain[-1])
        if not over.any():
            return e
        if outside == "raise":
            worst = float(e[over].max())
            message = (
                f"the load test went to {100 * self.last_strain:.1f} % strain; "
                f"{100 * worst:.1f} % lies past it"
            )
            raise TensionRangeError(message)
        return np.where(over, np.nan, e)

    def _place(self, e: Floats) -> NDArray[np.intp]:
        """Return the piece of each strain: 0 slack, then the cubics, then onward."""
        if self.strain.size > MANY_KNOTS:
            i = np.searchsorted(self.strain, e, side="right")
            return np.where(e == self.strain[-1], self.strain.size - 1, i)
        # Comparing with each of a few knots is faster than searching among them.
        place = np.zeros(e.shape, dtype=np.int8)
        for knot in self.strain[:-1]:
            place += e >= knot
        place += e > self.strain[-1]
        return place.astype(np.intp)

    def _tension_and_slope(self, e: Floats) -> tuple[Floats, Floats]:
        place = self._place(e)
        c3, c2, c1, c0, start = self._pieces.take(place, axis=1)
        x = e - start
        tension = ((c3 * x + c2) * x + c1) * x + c0
        return tension, (3 * c3 * x + 2 * c2) * x + c1
