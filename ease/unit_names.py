"""Units by name: exact factors, and the spellings that makers use."""

from __future__ import annotations

from typing import Final

__all__ = [
    "CM_PER",
    "KPA_PER_MMHG",
    "MINUTES_PER",
    "NEWTON_PER",
    "canonical_unit",
]

# Exact by definition: inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665.
CM_PER: Final[dict[str, float]] = {
    "mm": 0.1,
    "cm": 1.0,
    "m": 100.0,
    "in": 2.54,
    "ft": 30.48,
}
NEWTON_PER: Final[dict[str, float]] = {
    "N": 1.0,
    "cN": 0.01,
    "kN": 1000.0,
    "g": 0.00980665,
    "kg": 9.80665,
    "lb": 4.4482216152605,
    "oz": 4.4482216152605 / 16,
}
MINUTES_PER: Final[dict[str, float]] = {"s": 1 / 60, "min": 1.0, "h": 60.0}
KPA_PER_MMHG: Final[float] = 0.133322387415  # conventional millimetre of mercury

_ALIASES: Final[dict[str, str]] = {
    '"': "in",
    "″": "in",
    "”": "in",
    "''": "in",
    "′′": "in",
    "’’": "in",
    "inch": "in",
    "inches": "in",
    "ins": "in",
    "'": "ft",
    "′": "ft",
    "’": "ft",
    "feet": "ft",
    "foot": "ft",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "n": "N",
    "newton": "N",
    "newtons": "N",
    "cn": "cN",
    "kn": "kN",
    "gf": "g",
    "gram": "g",
    "grams": "g",
    "kgf": "kg",
    "kilo": "kg",
    "lbf": "lb",
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "ozf": "oz",
    "ounce": "oz",
    "ounces": "oz",
    "sec": "s",
    "second": "s",
    "seconds": "s",
    "minute": "min",
    "minutes": "min",
    "mins": "min",
    "hour": "h",
    "hours": "h",
}


def canonical_unit(text: str) -> str:
    """Return the project's own spelling of a unit; unknown text comes back as it is."""
    bare = text.strip().strip(".").strip("()[]")
    for table in (CM_PER, NEWTON_PER, MINUTES_PER):
        if bare in table:
            return bare
    lower = bare.lower()
    if lower in _ALIASES:
        return _ALIASES[lower]
    return lower if lower in CM_PER or lower in NEWTON_PER else bare
