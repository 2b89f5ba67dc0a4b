"""Strain, factor, reduction and negative ease: one quantity seen four ways.

Source key: reduction-identity.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.errors import RefusedError

__all__ = [
    "combine_strains",
    "cut_girth",
    "factor_from_strain",
    "negative_ease",
    "reduction_from_strain",
    "strain_from_factor",
    "strain_from_reduction",
]

FloatArray = NDArray[np.float64]
_LEAST: Final = -1.0
_SMALLEST: Final = 1e-9  # factor; below it its strain is no number any more
_LARGEST: Final = 1e9


def _checked(values: ArrayLike, what: str, *, above: float) -> FloatArray:
    array = np.asarray(values, dtype=float)
    if not ((array > above) & (array < _LARGEST)).all():  # nan is refused too
        message = f"{what} must be a finite number above {above:g}"
        if (array >= _LARGEST).any():
            message += f" and below {_LARGEST:g}"
        raise RefusedError(message)
    return array


def factor_from_strain(strain: ArrayLike) -> FloatArray:
    """Return cut over body for a worn strain, ``1 / (1 + strain)``.

    Args:
        strain: Body over cut, less 1; any shape, above -1.

    Raises:
        RefusedError: If a strain is -1 or less, or not finite.

    Examples:
        >>> float(factor_from_strain(0.25))
        0.8
    """
    return 1.0 / (1.0 + _checked(strain, "strain", above=_LEAST))


def strain_from_factor(factor: ArrayLike) -> FloatArray:
    """Return the worn strain of a piece cut at a factor, ``1 / factor - 1``.

    Args:
        factor: Cut over body; any shape, above 0 (1e-9).

    Raises:
        RefusedError: If a factor is 0 or less, or not finite.

    Examples:
        >>> float(strain_from_factor(0.8))
        0.25
    """
    checked = _checked(factor, "factor", above=0.0)
    if (checked < _SMALLEST).any():
        message = f"factor must be at least {_SMALLEST:g}"
        raise RefusedError(message)
    return 1.0 / checked - 1.0


def reduction_from_strain(strain: ArrayLike) -> FloatArray:
    """Return the share of the body taken off, ``strain / (1 + strain)``.

    Args:
        strain: Body over cut, less 1; any shape, above -1.

    Raises:
        RefusedError: If a strain is -1 or less, or not finite.

    Examples:
        >>> float(reduction_from_strain(0.25))
        0.2
    """
    checked = _checked(strain, "strain", above=_LEAST)
    return checked / (1.0 + checked)


def strain_from_reduction(reduction: ArrayLike) -> FloatArray:
    """Return the worn strain of a reduction, ``reduction / (1 - reduction)``.

    Args:
        reduction: 1 less cut over body; any shape, below 1.

    Raises:
        RefusedError: If a reduction is 1 or more, or not finite.

    Examples:
        >>> float(strain_from_reduction(0.2))
        0.25
    """
    array = np.asarray(reduction, dtype=float)
    if not ((array > -_LARGEST) & (array < 1.0)).all():
        message = "reduction must be a finite number below 1"
        raise RefusedError(message)
    return array / (1.0 - array)


def cut_girth(body_cm: ArrayLike, strain: ArrayLike) -> FloatArray:
    """Return the size to cut so that it is worn at a strain, ``body / (1 + strain)``.

    Args:
        body_cm: Size on the body, cm.
        strain: Worn strain; broadcast against ``body_cm``.

    Raises:
        RefusedError: If a size is not above 0 or a strain not above -1.

    Examples:
        >>> float(cut_girth(90.0, 0.25))
        72.0
    """
    return _checked(body_cm, "a body size", above=0.0) * factor_from_strain(strain)


def negative_ease(body_cm: ArrayLike, cut_cm: ArrayLike) -> FloatArray:
    """Return body minus cut in cm; positive where the piece is smaller.

    Args:
        body_cm: Size on the body, cm; any shape, above 0.
        cut_cm: Size of the relaxed piece, cm; broadcast against ``body_cm``.

    Raises:
        RefusedError: If a size is not above 0, or not finite.

    Examples:
        >>> float(negative_ease(90.0, 72.0))
        18.0
    """
    body = _checked(body_cm, "a body size", above=0.0)
    return body - _checked(cut_cm, "a cut size", above=0.0)


def combine_strains(worn: ArrayLike, added: ArrayLike) -> FloatArray:
    """Return the strain of a strain on top of another, ``(1+a)(1+b) - 1``.

    Args:
        worn: Strain of the cloth as worn.
        added: Further strain of the skin beneath it, as in a movement.

    Raises:
        RefusedError: If either is -1 or less, or not finite.

    Examples:
        >>> round(float(combine_strains(0.25, 0.40)), 9)
        0.75
    """
    first = 1.0 + _checked(worn, "strain", above=_LEAST)
    return first * (1.0 + _checked(added, "strain", above=_LEAST)) - 1.0
