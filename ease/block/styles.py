"""What the maker chooses: neckline, straps, leg line, back, crotch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from math import isfinite
from types import MappingProxyType
from typing import Final

from ease.errors import RefusedError
from ease.sentence import Length, Sentence, joined, lengths

__all__ = ["STYLE_RANGE", "Style"]

# Accepted range of each choice, cm (strap_place is a share). The tool's own choice.
STYLE_RANGE: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "neck_front": (0.0, 30.0),
        "neck_back": (0.0, 30.0),
        "back_scoop": (0.0, 40.0),
        "strap_width": (0.6, 9.0),
        "strap_place": (0.1, 0.9),
        "leg_height": (-1.5, 20.0),
        "crotch_width": (4.0, 12.0),
        "side_height": (1.0, 12.0),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """Style choices of a one-piece, cm; the defaults make a plain body block.

    Attributes:
        neck_front: Depth of the neckline below the pit of the neck.
        neck_back: Depth of the neckline below the nape.
        back_scoop: How much deeper the back is scooped out than that.
        strap_width: Width of the strap along the shoulder seam.
        strap_place: Middle of the strap as a share of the shoulder: 0 at the neck, 1 at
            the tip.
        leg_height: Height of the leg line at the side above the hip level; below 0 it
            leaves the hip a closed loop of cloth.
        crotch_width: Whole width of the crotch seam.
        side_height: Height of the top of the side seam above the bust level; None takes
            it from the body's armhole depth.

    Raises:
        RefusedError: If a choice lies outside ``STYLE_RANGE``; each one is named.
    """

    neck_front: float = 8.0
    neck_back: float = 10.0
    back_scoop: float = 0.0
    strap_width: float = 4.0
    strap_place: float = 0.45
    leg_height: float = -1.0
    crotch_width: float = 7.0
    side_height: float | None = None

    def __post_init__(self) -> None:
        """Check each choice."""
        faults = []
        for field in fields(self):
            value = getattr(self, field.name)
            low, high = STYLE_RANGE[field.name]
            if value is None and field.default is None:
                continue
            if not (isfinite(value) and low <= value <= high):
                faults.append(_outside(field.name, value, low, high))
        if faults:
            raise RefusedError(joined("; ", faults))


def _outside(name: str, value: float, low: float, high: float) -> Sentence:
    words = name.replace("_", " ")
    if name == "strap_place":
        accepted = (
            f"{words} {value:g} is not within {low:g} to {high:g} of the shoulder"
        )
        return Sentence(accepted)
    ends = (Length(value, None), *lengths(low, high, digits=None))
    return Sentence("{} {} is not within {} to {}", words, *ends)
