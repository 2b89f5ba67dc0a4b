"""Tension against strain of a strip, under loading and unloading.

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
    """Tension of a strip against its strain: loading and, if tested, unloading.

    Attributes:
        loading: Going up, from the relaxed cloth at strain 0.
        unloading: Coming down from the same strain, measured from the first gauge, so
            that the set is in it; None where the test did not come down.
    """

    loading: Branch
    unloading: Branch | None = None

    def __post_init__(self) -> None:
        """Refuse branches that do not belong to one test."""
        if self.loading.strain[0] != 0:
            message = (
                "the loading curve must start at strain 0, "
                f"not {self.loading.strain[0]:.4g}"
            )
            raise RefusedError(message)
        if self.unloading is None:
            return
        top, other = self.loading.last_strain, self.unloading.last_strain
        if abs(top - other) > _SAME * top:
            message = (
                "both curves must end at the same strain: "
                f"loading ends at {top:.4g}, unloading at {other:.4g}"
            )
            raise RefusedError(message)
        if self.unloading.last_tension > self.loading.last_tension * (1 + _SAME):
            message = "the unloading curve starts above the loading curve"
            raise RefusedError(message)

    @property
    def last_strain(self) -> float:
        """Strain at which the test turned."""
        return self.loading.last_strain

    @property
    def modulus(self) -> float:
        """Secant over the first 10 % of strain, N/m per unit strain.

        To the first tested point where that lies later; to the last where the test
        stopped before 10 %.
        """
        carrying = float(self.loading.strain[np.argmax(self.loading.tension > 0)])
        first = max(SMALL_STRAIN, carrying)
        strain = min(first, self.last_strain)
        return float(self.loading.tension_at(strain)) / strain

    @property
    def set_strain(self) -> float | None:
        """Strain at which the cloth went slack under unloading; None if not tested."""
        if self.unloading is None:
            return None
        slack = np.flatnonzero(self.unloading.tension <= 0)
        return float(self.unloading.strain[slack[-1]])

    @property
    def energy_lost(self) -> float | None:
        """Share of the work that does not come back, None if untested.

        One less the area under the unloading curve over that under the loading curve,
        both from zero tension.

        Source key: kawabata-1980
        """
        if self.unloading is None:
            return None
        given = float(self.loading.energy_at(self.last_strain))
        back = float(self.unloading.energy_at(self.unloading.last_strain))
        return 1 - back / given if given > 0 else None

    def power_at(self, strain: float) -> float | None:
        """Return the tension under loading, N/m; None where the test did not reach it."""
        return self.loading.reached(strain)
