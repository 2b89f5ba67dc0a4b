"""Tension to pressure on the body and back, and the bands to judge it by.

Laplace's law on the worn cloth: ``P = T / ((1 + ev) R)`` with R the radius of curvature.
T acts on the relaxed width, so the worn length (1 + ev) divides it. Girths are cm,
tensions N/m of relaxed width, pressures kPa; all arrays broadcast.

Source key: laplace-bandage
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError

__all__ = [
    "BANDS",
    "CAUTIONS",
    "REFUSED_FROM",
    "Band",
    "band",
    "band_index",
    "ellipse_perimeter",
    "ellipse_radii",
    "local_pressures",
    "mean_pressure",
    "tension_for_pressure",
]

Floats = NDArray[np.float64]
_LEAST_CM: Final = 0.1  # girth
_LEAST_WORN: Final = 0.01  # worn over relaxed length
_MOST: Final = 1e9  # of anything

# T/R with T in N/m and R = girth/(2 pi) in cm: 2 pi / 0.01 Pa, over 1000 to kPa.
_KPA: Final = 0.2 * np.pi


@dataclass(frozen=True, slots=True)
class Band:
    """A span of local pressure and what published figures say of it.

    Attributes:
        key: Name in tables and JSON.
        low: Least pressure, kPa; it belongs to the band.
        high: Pressure at which the next band begins, kPa.
        title: The same name, and what it is for, in words.
        source: Key of the published source of its lower edge.
    """

    key: str
    low: float
    high: float
    title: str
    source: str


# The groups to 3.3 kPa are one table; swimwear was measured at 0.98 to 1.96 kPa. From
# 4.27 kPa, 32 mmHg, blood no longer passes the smallest vessels of the skin: the tool's
# own choice is to refuse there, below the 5.9 kPa at which most wearers feel discomfort.
# Source keys: pressure-groups, capillary-pressure, denton-1972.
BANDS: Final[tuple[Band, ...]] = (
    Band("negligible", 0.0, 0.4, "negligible", "pressure-groups"),
    Band("comfortable", 0.4, 1.3, "comfortable all day", "pressure-groups"),
    Band("close", 1.3, 2.0, "close: critical for casual wear", "pressure-groups"),
    Band("shaping", 2.0, 3.3, "shaping garments only", "pressure-groups"),
    Band("tight", 3.3, 4.27, "tight: above advice for sports", "pressure-groups"),
    Band("unsafe", 4.27, np.inf, "unsafe: may stop blood flow", "capillary-pressure"),
)
REFUSED_FROM: Final = BANDS[-1].low
_EDGES: Final = np.array([item.low for item in BANDS[1:]])

# On legs, sensors read up to 42.1 % lower, here rounded. Source key: laplace-on-legs.
CAUTIONS: Final[dict[str, str]] = {
    "comfort": (
        "Pressure figures are comfort estimates, not medical advice. Compression "
        "therapy, and garments for infants, in pregnancy or after surgery, belong to "
        "licensed practice and to the rules in force locally."
    ),
    "accuracy": (
        "Calculated from the girth and the cloth alone; on soft parts of the body "
        "sensors have read up to 40 % lower, over bone higher."
    ),
    "edges": (
        "Bands, straps and elastic press harder than the cloth beside them; they are "
        "not in these figures."
    ),
    "flotation": "A swimsuit is not a flotation aid.",
}


def mean_pressure(
    tension: ArrayLike, girth: ArrayLike, length_strain: ArrayLike = 0.0
) -> Floats:
    """Return the mean pressure round a body, kPa.

    It is the mean over the girth for any convex section, round or oval.

    Args:
        tension: Tension round the body, N/m of relaxed width; slack cloth presses 0.
        girth: Girth of the body, cm, above 0.
        length_strain: Strain down the body, above -1.

    Returns:
        kPa; nan where any of the three is nan.

    Raises:
        RefusedError: If one is out of its range, or of all size.

    Examples:
        >>> round(float(mean_pressure(100.0, 70.0)), 4)
        0.8976

    Source key: laplace-bandage
    """
    pull = np.maximum(_floats(tension), 0.0)
    size, worn = _floats(girth), 1 + _floats(length_strain)
    for what, values, least in (
        ("a girth", size, _LEAST_CM),
        ("1 + a length strain", worn, _LEAST_WORN),
        ("a tension", pull, 0.0),
    ):
        if (values < least).any() or (values > _MOST).any():
            message = f"{what} must lie from {least:g} to {_MOST:g}"
            raise RefusedError(message)
    return np.asarray(_KPA * pull / (size * worn))


def tension_for_pressure(
    pressure: ArrayLike, girth: ArrayLike, length_strain: ArrayLike = 0.0
) -> Floats:
    """Return the tension round the body that gives a mean pressure, N/m.

    The inverse of :func:`mean_pressure`.

    Examples:
        >>> round(float(tension_for_pressure(1.96, 90.0)), 1)
        280.7
    """
    worn = _floats(girth) * (1 + _floats(length_strain))
    return np.asarray(_floats(pressure) * worn / _KPA)


def ellipse_perimeter(a: ArrayLike, b: ArrayLike) -> Floats:
    """Return the perimeter of ellipses by the arithmetic-geometric mean.

    Args:
        a: Semi-axes, above 0.
        b: The other semi-axes, above 0.

    Examples:
        >>> round(float(ellipse_perimeter(18.0, 12.0)), 3)
        95.193

    Source key: ellipse-agm
    """
    first, second = np.broadcast_arrays(_floats(a), _floats(b))
    x, y = np.maximum(first, second), np.minimum(first, second)
    total, weight = x * x - 0.5 * (x * x - y * y), 0.5
    for _ in range(8):  # each round doubles the digits that are right
        c = 0.5 * (x - y)
        x, y = 0.5 * (x + y), np.sqrt(x * y)
        weight *= 2
        total = total - weight * c * c
    return np.asarray(2 * np.pi * total / x)


def ellipse_radii(girth: ArrayLike, depth_ratio: ArrayLike) -> tuple[Floats, Floats]:
    """Return the radii of curvature of an oval body at its side and at its front, cm.

    With half breadth a and half depth b: side b^2/a, front a^2/b.

    Args:
        girth: Girth, cm.
        depth_ratio: Depth over breadth of the section, above 0.

    Examples:
        >>> side, front = ellipse_radii(95.193, 12 / 18)
        >>> round(float(side), 3), round(float(front), 2)
        (8.0, 27.0)
    """
    ratio = _floats(depth_ratio)
    a = _floats(girth) / ellipse_perimeter(1.0, ratio)
    return np.asarray(ratio**2 * a), np.asarray(a / ratio)


def local_pressures(
    tension: ArrayLike,
    girth: ArrayLike,
    depth_ratio: ArrayLike,
    length_strain: ArrayLike = 0.0,
) -> tuple[Floats, Floats]:
    """Return the pressure at the side and at the front of an oval body, kPa.

    Args:
        tension: Tension round the body, N/m of relaxed width.
        girth: Girth, cm.
        depth_ratio: Depth over breadth of the section.
        length_strain: Strain down the body.
    """
    side, front = ellipse_radii(girth, depth_ratio)
    mean = mean_pressure(tension, girth, length_strain)
    radius = _floats(girth) / (2 * np.pi)
    return np.asarray(mean * radius / side), np.asarray(mean * radius / front)


def band_index(pressure: ArrayLike) -> NDArray[np.intp]:
    """Return the place in :data:`BANDS` of local pressures, kPa."""
    return np.asarray(np.searchsorted(_EDGES, _floats(pressure), side="right"))


def band(pressure: float) -> Band:
    """Return the band of a local pressure, kPa.

    Raises:
        RefusedError: If the pressure is not known.

    Examples:
        >>> band(1.65).title
        'close: critical for casual wear'
    """
    if isnan(pressure):
        message = "a pressure that is not known lies in no band"
        raise RefusedError(message)
    return BANDS[int(band_index(pressure))]


def _floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)
