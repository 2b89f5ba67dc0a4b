"""Tension against strain of a strip, going up and coming down.

Tensions are N per metre of relaxed width of one layer, strains fractions of the relaxed
length.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ease.errors import RefusedError
from ease.fabric.branch import Branch, Outside

__all__ = ["Branch", "Outside", "TensionCurve"]

SMALL_STRAIN: Final = 0.10  # the modulus is the secant over this strain
_SAME: Final = 1e-6  # relative; file rounding may move the shared top point by this


@dataclass(frozen=True, slots=True)
class TensionCurve:
    """Tension of a strip against its strain, going up and, if tested, coming down.

    Attributes:
        up: Going up, from the relaxed cloth at strain 0.
        down: Coming down from the same strain, measured from the first gauge, so that
            the set is in it; None where the test did not come down.
    """

    up: Branch
    down: Branch | None = None

    def __post_init__(self) -> None:
        """Refuse branches that do not belong to one test."""
        if self.up.strain[0] != 0:
            message = (
                "the tension going up must start at strain 0, "
                f"not {self.up.strain[0]:.4g}"
            )
            raise RefusedError(message)
        if self.down is None:
            return
        top, other = self.up.last_strain, self.down.last_strain
        if abs(top - other) > _SAME * top:
            message = (
                "both branches must end at the same strain: "
                f"up ends at {top:.4g}, down at {other:.4g}"
            )
            raise RefusedError(message)
        if self.down.last_tension > self.up.last_tension * (1 + _SAME):
            message = "the tension coming down starts above the tension going up"
            raise RefusedError(message)

    @property
    def last_strain(self) -> float:
        """Strain at which the test turned."""
        return self.up.last_strain

    @property
    def modulus(self) -> float:
        """Secant over the first 10 % of strain, N/m per unit strain.

        To the first tested point where that lies later; to the last where the test
        stopped before 10 %.
        """
        carrying = float(self.up.strain[np.argmax(self.up.tension > 0)])
        first = max(SMALL_STRAIN, carrying)
        strain = min(first, self.last_strain)
        return float(self.up.tension_at(strain)) / strain

    @property
    def set_strain(self) -> float | None:
        """Strain at which the cloth went slack coming down; None if not tested."""
        if self.down is None:
            return None
        slack = np.flatnonzero(self.down.tension <= 0)
        return float(self.down.strain[slack[-1]])

    @property
    def energy_lost(self) -> float | None:
        """Share of the work that does not come back, ``1 - down/up``; None if untested.

        Areas up from zero and down to zero tension.

        Source key: kawabata-1980
        """
        if self.down is None:
            return None
        up = float(self.up.energy_at(self.last_strain))
        down = float(self.down.energy_at(self.down.last_strain))
        return 1 - down / up if up > 0 else None

    def power_at(self, strain: float) -> float | None:
        """Return the tension going up, N/m; None where the test did not reach it."""
        last = self.up.last_strain
        # 12 cm on 10 cm is 20 %, though it divides to a hair less.
        at = last if last < strain <= last + 1e-9 else strain
        value = float(self.up.tension_at(at, outside="nan"))
        return None if np.isnan(value) else value
