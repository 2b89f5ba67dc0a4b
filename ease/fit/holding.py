"""Pressure and pull as worn strains: aims and limits of cloths with a load test.

Round the body ``T_h = P (1 + ev) R`` (Laplace on relaxed width); down the body the pull
``F`` is carried by the relaxed girth at the waist, ``T_v = F (1 + eh) / waist``. All on
arrays. Where the load test ends first, a highest strain is nan (the end of the test
stands for it) and a least one lies just past the test, so that nothing meets it.
Source key: laplace-bandage.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fit.aims import Allowed
from ease.fit.cases import BodyArrays
from ease.fit.membrane import Membrane
from ease.fit.pressure import ellipse_radii, tension_for_pressure
from ease.fit.pull import pull_tension
from ease.fit.settle import settle

__all__ = [
    "DEPTH_OVER_BREADTH",
    "aimed_girth",
    "girth_holding",
    "length_holding",
    "side_over_mean",
]

FloatArray = NDArray[np.float64]

# Medians of a survey of 993 women; waist at the navel. Source key: ansur-2012.
DEPTH_OVER_BREADTH: Final[Mapping[str, float]] = MappingProxyType(
    {"bust": 0.915, "waist": 0.703, "hip": 0.653}
)


def side_over_mean(depth_ratio: ArrayLike) -> FloatArray:
    """Return the pressure at the side of an oval body over the mean round it.

    Args:
        depth_ratio: Depth over breadth of the section.

    Examples:
        >>> round(float(side_over_mean(0.653)), 2)
        1.96
    """
    side, _ = ellipse_radii(1.0, depth_ratio)
    return np.asarray(1.0 / (2.0 * np.pi) / side)


def _beyond(strain: FloatArray, last: FloatArray) -> FloatArray:
    """Return a least strain, or just past the test where no tested strain does."""
    return np.where(np.isnan(strain), np.nextafter(last, np.inf), strain)


def _strain_round(
    membrane: Membrane,
    around: FloatArray,
    pull_n: ArrayLike | None,
    waist: FloatArray,
) -> FloatArray:
    """Return the strain round at a tension on body length; nan where no test has it."""
    if pull_n is None:
        return membrane.girth_strain(around, 0.0, outside="nan")
    return settle(membrane, around, pull_n, waist)


def aimed_girth(
    membrane: Membrane,
    body: BodyArrays,
    pressure_kpa: float,
    pull_n: ArrayLike | None,
    at: str = "bust",
) -> FloatArray:
    """Return the worn strain round that gives the aimed pressure.

    Args:
        membrane: The cloth, or a batch.
        body: Girths, cm.
        pressure_kpa: Pressure aimed at, kPa.
        pull_n: Pull over both shoulders with which it is worn, N; None where nothing
            pulls it and it is worn at body length.
        at: Girth that it is aimed at: ``bust``, ``waist`` or ``hip``.
    """
    around = tension_for_pressure(pressure_kpa, body.girths[at])
    return _strain_round(membrane, around, pull_n, body.waist)


def girth_holding(
    membrane: Membrane, body: BodyArrays, pull_n: ArrayLike | None, allowed: Allowed
) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    """Return the low and the high limits round that pressure sets.

    Least mean pressure at the widest girth that it lies round; most pressure at the side
    of whichever of them presses most; the end of the load test.

    Args:
        membrane: The cloth, or a batch.
        body: Girths, cm.
        pull_n: Pull over both shoulders at which the limits are read, N; None: none, at
            body length.
        allowed: Numbers of the limits.
    """
    least = tension_for_pressure(
        allowed.least_pressure_kpa, body.widest(allowed.held_at)
    )
    most = allowed.most_side_pressure_kpa / np.stack(
        np.broadcast_arrays(
            *(
                side_over_mean(DEPTH_OVER_BREADTH[name])
                / tension_for_pressure(1.0, body.girths[name])
                for name in allowed.held_at
            )
        )
    ).max(axis=0)
    least_strain = _strain_round(membrane, least, pull_n, body.waist)
    low = {"least_pressure": _beyond(least_strain, membrane.girth.last_strain)}
    high = {
        "most_pressure": _strain_round(membrane, most, pull_n, body.waist),
        "test_range": membrane.girth.last_strain,
    }
    return low, high


def length_holding(
    membrane: Membrane, girth_strain: FloatArray, waist: FloatArray, allowed: Allowed
) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    """Return the low and the high limits of the worn strain down that pull sets.

    Args:
        membrane: The cloth, or a batch.
        girth_strain: Worn strain round that was chosen.
        waist: Waist girth, cm.
        allowed: Numbers of the limits.
    """
    least, most = (
        membrane.length_strain(
            girth_strain, pull_tension(pull, girth_strain, waist), outside="nan"
        )
        for pull in (allowed.least_pull_n, allowed.most_pull_n)
    )
    return {"least_pull": _beyond(least, membrane.length.last_strain)}, {
        "most_pull": most,
        "test_range": membrane.length.last_strain,
    }
