"""A fixed amount off each quarter against one factor, over many sizes.

Source key: en-13402-3.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.errors import UsageError
from ease.fit.aims import AIMS
from ease.fit.cases import BodyArrays, ClothArrays, directions
from ease.fit.decide import Reduction, membrane_of
from ease.fit.pressure import mean_pressure
from ease.fit.reduction import strain_from_factor
from ease.fit.solve import solve
from ease.fit.window import LIMITS, Chosen
from ease.sentence import Length, Sentence

__all__ = ["QUARTERS", "SIZES", "SizeRun", "size_run"]

FloatArray = NDArray[np.float64]
Hold = Literal["tight", "", "loose"]

# Bust girths of the European size designation, 76 to 128 cm.
SIZES: Final = (76.0, 80, 84, 88, 92, 96, 100, 104, 110, 116, 122, 128)
QUARTERS: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRun:
    """One fixed amount and one factor over many sizes; arrays of shape (sizes,).

    Attributes:
        fixed_cm: Amount taken off each quarter.
        factor: Factor decided for the body of the lesson.
        bust: Bust girths, cm; waist and hip in the proportions of that body.
        low: Low end of each size's window.
        high: High end.
        decided: Worn strain that would be decided for each size.
        fixed_pressure: Mean pressure of the fixed amount, kPa; nan past the load test,
            None without one.
        factor_pressure: The same of the factor.
        hold: What the fixed amount does: ``tight`` above the window or firmer than the
            hold ``firm``, ``loose`` below the window or weaker than ``easy``. Where a
            limit keeps the factor itself outside a hold, that hold judges nothing.
        beyond: Name of the limit that is passed, or empty.
    """

    fixed_cm: float
    factor: float
    bust: FloatArray
    low: FloatArray
    high: FloatArray
    decided: FloatArray
    fixed_pressure: FloatArray | None
    factor_pressure: FloatArray | None
    hold: tuple[Hold, ...]
    beyond: tuple[str, ...]

    @property
    def fixed_cut(self) -> FloatArray:
        """Cut girths of the fixed amount, cm."""
        return self.bust - QUARTERS * self.fixed_cm

    @property
    def fixed_strain(self) -> FloatArray:
        """Worn strains of the fixed amount."""
        return strain_from_factor(self.fixed_cut / self.bust)

    @property
    def factor_cut(self) -> FloatArray:
        """Cut girths of the factor, cm."""
        return self.bust * self.factor

    @property
    def factor_strain(self) -> float:
        """Worn strain of the factor, the same in every size."""
        return float(strain_from_factor(self.factor))


def size_run(reduction: Reduction, fixed_cm: float) -> SizeRun:
    """Set a fixed amount off each quarter against the decided factor, size by size.

    Args:
        reduction: What was decided for the body of the lesson.
        fixed_cm: Amount off each quarter, cm.

    Raises:
        UsageError: If the amount is not above 0 or leaves nothing of the least size.
    """
    bust = np.array(SIZES)
    if not (isfinite(fixed_cm) and 0 < QUARTERS * fixed_cm < bust[0]):
        message = Sentence(
            "a fixed {} off each quarter must lie above 0 and below {}, a quarter of the "
            "least bust",
            *(Length(fixed_cm, None), Length(float(bust[0]) / QUARTERS, None)),
        )
        raise UsageError(message)
    membrane = membrane_of(reduction.fabric, reduction.round_body)
    cloth = ClothArrays.from_fabric(reduction.fabric, reduction.round_body)
    bodies = _scaled(reduction, bust)
    found = solve(cloth, bodies, reduction.aim, reduction.allowed, membrane).girth
    low, high, decided = (
        np.broadcast_to(x, bust.shape) for x in (found.low, found.high, found.strain)
    )
    strains = bust / (bust - QUARTERS * fixed_cm) - 1.0
    fixed, same = (
        _pressures(reduction, x, bust)
        for x in (strains, np.full(bust.shape, reduction.girth.strain))
    )
    hold, beyond = _judged(reduction, found, strains, fixed, same)
    return SizeRun(
        fixed_cm=fixed_cm,
        factor=reduction.girth.factor,
        bust=bust,
        low=low,
        high=high,
        decided=decided,
        fixed_pressure=fixed,
        factor_pressure=same,
        hold=hold,
        beyond=beyond,
    )


def _scaled(reduction: Reduction, bust: FloatArray) -> BodyArrays:
    """Return bodies of other sizes in the proportions of one."""
    own = BodyArrays.from_body(reduction.body)
    ratio = bust / own.bust
    return BodyArrays(
        bust=bust,
        waist=own.waist * ratio,
        hip=own.hip * ratio,
        shoulder_girth=own.shoulder_girth * ratio,
    )


def _pressures(
    reduction: Reduction, strains: FloatArray, girths: FloatArray
) -> FloatArray | None:
    """Return mean pressures, kPa; nan past the load test, None without one."""
    membrane = membrane_of(reduction.fabric, reduction.round_body)
    if membrane is None:
        return None
    down = reduction.length.strain
    tension, _ = membrane.tensions(strains, down, outside="nan")
    return mean_pressure(tension, girths, down)


def _judged(
    reduction: Reduction,
    found: Chosen,
    strains: FloatArray,
    felt: FloatArray | None,
    by_factor: FloatArray | None,
) -> tuple[tuple[Hold, ...], tuple[str, ...]]:
    """Say which sizes are tight or loose, and which limit they pass."""
    easy, firm = AIMS["easy"], AIMS["firm"]
    if felt is None or by_factor is None:
        girth, _ = directions(reduction.fabric, reduction.round_body)
        felt, stretch = strains, girth.stretch.mean
        by_factor = np.full(strains.shape, reduction.girth.strain)
        least, most = easy.girth_share * stretch, firm.girth_share * stretch
    else:
        least, most = easy.pressure_kpa, firm.pressure_kpa
    firmer = (felt > most) & ~(by_factor > most)
    weaker = (felt < least) & ~(by_factor < least)
    over, under = strains > found.high, strains < found.low
    hold: list[Hold] = [
        "tight" if high else "loose" if low else ""
        for high, low in zip(over | firmer, under | weaker, strict=True)
    ]
    top = np.broadcast_to(found.high_index, strains.shape)
    bottom = np.broadcast_to(found.low_index, strains.shape)
    keys = np.where(
        over,
        np.asarray(found.high_keys)[top],
        np.where(under, np.asarray(found.low_keys)[bottom], ""),
    )
    return tuple(hold), tuple(LIMITS[key].title if key else "" for key in keys)
