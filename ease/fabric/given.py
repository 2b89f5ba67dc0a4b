"""What is stated beside the file of a load test, hand-made or a tester's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ease.fabric.profile import DirectionName
from ease.sentence import Length, Sentence

__all__ = ["LEAST_CM", "MOST_CM", "SIZE", "Given", "width_doubts"]

LEAST_CM: Final = 0.01  # of a gauge or a strip's width
MOST_CM: Final = 10_000.0
SIZE: Final = "must be above 0, from 0.1 mm to 100 m"
# The strip tests cut 2.5 to 10 cm; beyond these, cm and mm may be mistaken. Own choice.
NARROWEST_CM: Final = 2.0
WIDEST_CM: Final = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What the user states beside the file; it overrides what the file says.

    Attributes:
        gauge: Gauge length, cm.
        strip_width: Width of the strip or loop, cm.
        layers: 1 for a strip, 2 for a loop.
        load_unit: Unit of load.
        length_unit: Unit of length.
        direction: Cloth direction of a file that does not name it.
    """

    gauge: float | None = None
    strip_width: float | None = None
    layers: int | None = None
    load_unit: str | None = None
    length_unit: str | None = None
    direction: DirectionName | None = None


def width_doubts(width_cm: float | None) -> list[Sentence]:
    """Ask for the width of a strip that no strip test has.

    A wrong unit leaves the shape of the curve as it is: only the width shows it.

    Args:
        width_cm: The width, cm; None where it is not known.
    """
    if width_cm is None or NARROWEST_CM <= width_cm <= WIDEST_CM:
        return []
    what = "the strip is said to be {} wide; most are 5 cm: is that its width?"
    return [Sentence(what, Length(width_cm))]
