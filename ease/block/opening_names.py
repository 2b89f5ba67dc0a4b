"""Which opening an edge belongs to, by the name that a maker gives it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

__all__ = ["EDGE_NAMES", "SIDES", "opening_of", "side_of"]

#: What an edge of an opening may be called, with ``left`` or ``right`` on a whole piece.
EDGE_NAMES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "neck": ("neckline", "neck"),
        "armhole": ("armhole", "arm"),
        "leg": ("leg",),
        "waist": ("waist",),
    }
)
SIDES: Final = ("left", "right")


def opening_of(edge: str) -> str:
    """Return the opening that an edge belongs to by its name, or nothing."""
    words = re.findall(r"[a-z]+", edge.lower())
    sides = [word for word in words if word in SIDES]
    rest = " ".join(word for word in words if word not in SIDES)
    for kind, names in EDGE_NAMES.items():
        if rest in names and len(sides) < 2:
            return " ".join([kind, *sides])
    return ""


def side_of(name: str) -> str:
    """Return ``left`` or ``right`` where a name holds one of the two, or nothing.

    Examples:
        >>> side_of("Back right")
        'right'
    """
    sides = [word for word in re.findall(r"[a-z]+", name.lower()) if word in SIDES]
    return sides[0] if len(sides) == 1 else ""
