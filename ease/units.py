"""Lengths, loads and pressures: exact factors, one parser, one display.

Inside the project lengths are cm, loads N, tensions N/m of relaxed width, pressures
kPa and ratios fractions. Only this module and the edges know other units.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from ease.errors import UnitError
from ease.unit_names import (
    CM_PER,
    KPA_PER_MMHG,
    MINUTES_PER,
    NEWTON_PER,
    canonical_unit,
)

__all__ = [
    "CM_PER",
    "KPA_PER_MMHG",
    "MINUTES_PER",
    "NEWTON_PER",
    "NORMAL_95",
    "Quantity",
    "apart_texts",
    "canonical_unit",
    "length_text",
    "number_from_text",
    "parse_length",
    "parse_load",
    "parse_quantity",
    "percent_text",
    "pressure_text",
]

#: Standard deviations to either side that hold 95 % of a normal spread: what stands
#: behind a plus-minus sign.
NORMAL_95: Final = 1.96

_FRACTIONS: Final[dict[str, str]] = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_INCHES_IN_A_FOOT: Final = 12
_LONGEST: Final = 60  # signs of a wrong number that a message shows
_NUMBER = re.compile(
    r"""(?P<sign>[-+\u2212]?)\s*
        (?:(?P<whole>[0-9]+)[\s-]+(?P<num>[0-9]+)/(?P<den>[0-9]+)
          |(?P<num2>[0-9]+)/(?P<den2>[0-9]+)
          |(?P<dec>[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]+)?|[.,][0-9]+))
        \s*(?P<unit>[^\d\s.,/].*)?$""",
    re.VERBOSE,
)
# Whole feet, and inches that name their unit: 5 ft 6 1/2 in.
_FEET = re.compile(
    r"(?P<sign>[-+\u2212]?)\s*(?P<feet>[0-9]{1,9})\s*"
    r"(?P<unit>ft\.?|foot|feet|['\u2032\u2019])[\s,]*(?P<rest>[0-9.].*)$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit it was written with.

    Attributes:
        value: The bare number.
        unit: Canonical unit name, or an empty string where none was written.
    """

    value: float
    unit: str


def parse_quantity(text: str) -> Quantity:
    """Read a number as makers write it, with its unit if there is one.

    Accepted are ``12.5``, ``12,5``, ``3 7/8``, ``3-7/8``, ``3⅞``, ``7/8"``, ``12.5cm``;
    feet with inches, ``5 ft 6 1/2 in`` or ``5' 6"``, come back in inches.

    Raises:
        UnitError: If the text is anything else, not finite, or has 12 inches or more
            beside feet.

    Examples:
        >>> parse_quantity('3 7/8"')
        Quantity(value=3.875, unit='in')
        >>> parse_quantity("12,5 mm")
        Quantity(value=12.5, unit='mm')
        >>> parse_quantity("5 ft 6 1/2 in")
        Quantity(value=66.5, unit='in')
    """
    plain = text.strip().replace("\u00a0", " ").replace("⁄", "/")
    for sign, spelled in _FRACTIONS.items():
        plain = plain.replace(sign, f" {spelled}")
    plain = plain.strip()
    if both := _FEET.match(plain):
        return _feet_and_inches(both, text)
    match = _NUMBER.match(plain)
    if match is None:
        message = f"{_short(text)} is not a number; write 12.5, 12,5 or 3 7/8"
        raise UnitError(message)
    value = _number(match, text)
    unit = canonical_unit(match["unit"] or "")
    return Quantity(-value if match["sign"] in ("-", "\u2212") else value, unit)


def _feet_and_inches(match: re.Match[str], text: str) -> Quantity:
    rest = _NUMBER.match(match["rest"])
    if rest is None or canonical_unit(rest["unit"] or "") != "in":
        message = f"{_short(text)} is no length; write 5 ft 6 1/2 in, or 5' 6\""
        raise UnitError(message)
    inches = _number(rest, text)
    if inches >= _INCHES_IN_A_FOOT:
        message = f"{_short(text)}: beside feet stand fewer than 12 inches"
        raise UnitError(message)
    value = int(match["feet"]) * _INCHES_IN_A_FOOT + inches
    return Quantity(-value if match["sign"] in ("-", "\u2212") else value, "in")


def _number(match: re.Match[str], text: str) -> float:
    if match["dec"]:
        value = float(match["dec"].replace(",", "."))
        if value == float("inf"):
            message = f"{_short(text)} is too large a number"
            raise UnitError(message)
        return value
    try:
        # Python reads whole numbers of up to 4300 digits, floats up to 1e308.
        top, bottom = (int(match[k] or match[f"{k}2"]) for k in ("num", "den"))
        whole = int(match["whole"] or 0)
        if bottom:
            return float(whole + Fraction(top, bottom))
    except (ValueError, OverflowError):
        message = f"{_short(text)} is too large a number"
        raise UnitError(message) from None
    message = f"{_short(text)} divides by zero"
    raise UnitError(message)


def _short(text: str) -> str:
    """Return what was written, in quotes, cut where no number is that long."""
    bare = text.strip()
    return repr(bare if len(bare) <= _LONGEST else f"{bare[:_LONGEST]}...")


def number_from_text(text: str) -> float:
    """Return a bare number; a unit behind it is an error.

    Raises:
        UnitError: If the text is no number, or carries a unit.
    """
    quantity = parse_quantity(text)
    if quantity.unit:
        message = f"{_short(text)} carries a unit where a bare number is expected"
        raise UnitError(message)
    return quantity.value


def _convert(text: str, default: str, table: dict[str, float], kind: str) -> float:
    quantity = parse_quantity(text)
    unit = quantity.unit or canonical_unit(default)
    if unit not in table:
        accepted = ", ".join(table)
        message = f"{_short(text)} has no unit of {kind}; accepted are {accepted}"
        raise UnitError(message)
    return quantity.value * table[unit]


def parse_length(text: str, default: str = "cm") -> float:
    """Return a length in cm.

    Args:
        text: The length as written, such as ``61,5``, ``24 1/8"`` or ``615 mm``.
        default: Unit where the text names none.

    Raises:
        UnitError: If it cannot be read as a length.

    Examples:
        >>> parse_length("10", "in")
        25.4
    """
    return _convert(text, default, CM_PER, "length")


def parse_load(text: str, default: str = "N") -> float:
    """Return a load in newtons; a mass stands for its weight.

    Args:
        text: The load as written, such as ``500 g`` or ``1.2``.
        default: Unit where the text names none.

    Raises:
        UnitError: If it cannot be read as a load.

    Examples:
        >>> round(parse_load("1.8 kg"), 3)
        17.652
    """
    return _convert(text, default, NEWTON_PER, "load")


def length_text(
    value_cm: float, units: str = "cm", digits: int = 1, *, parts: int = 8
) -> str:
    """Return a length for reading: cm with decimals, or inches to the nearest eighth.

    Args:
        value_cm: The length, cm.
        units: ``cm`` or ``in``.
        digits: Decimals of cm.
        parts: Parts of an inch it is rounded to.

    Examples:
        >>> length_text(17.94)
        '17.9'
        >>> length_text(9.8425, "in")
        '3 7/8'
        >>> length_text(10.31875, "in", parts=16)
        '4 1/16'
    """
    if units != "in":
        text = f"{value_cm:.{digits}f}"
        return text.removeprefix("-") if float(text) == 0 else text
    counted = round(value_cm / CM_PER["in"] * parts)
    whole, rest = divmod(abs(counted), parts)
    part = str(Fraction(rest, parts)) if rest else ""
    sign = "-" if counted < 0 else ""
    return sign + (f"{whole} {part}".strip() if whole or not part else part)


def percent_text(fraction: float, digits: int = 1) -> str:
    """Return a fraction as a percentage without the sign ``%``.

    Examples:
        >>> percent_text(0.2)
        '20.0'
    """
    text = f"{100 * fraction:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def apart_texts(fraction: float, other: float) -> tuple[str, str]:
    """Return two fractions as percentages, with digits enough to tell them apart.

    Examples:
        >>> apart_texts(0.0256, 0.0264)
        ('2.56', '2.64')
        >>> apart_texts(0.02, 0.03)
        ('2.0', '3.0')
    """
    for digits in (1, 2, 3):
        pair = percent_text(fraction, digits), percent_text(other, digits)
        if pair[0] != pair[1]:
            break
    return pair


def pressure_text(value_kpa: float) -> str:
    """Return a pressure in kPa with mmHg beside it.

    Examples:
        >>> pressure_text(2.4)
        '2.40 kPa (18.0 mmHg)'
    """
    return f"{value_kpa:.2f} kPa ({value_kpa / KPA_PER_MMHG:.1f} mmHg)"
