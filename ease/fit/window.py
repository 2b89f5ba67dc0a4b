"""The window of admissible strains: named limits, and the strain chosen between them.

Everything here works on arrays of any one shape: bodies, fabrics or samples at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "AS_IT_IS",
    "LIMITS",
    "NOT_TESTED",
    "Bounds",
    "Chosen",
    "LimitKind",
    "choose",
]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
AIM: Final = "aim"
# What stands in place of a limit where no strain down is chosen.
NOT_TESTED: Final = "not_tested"
AS_IT_IS: Final = "as_it_is"  # nothing hangs from the shoulders


@dataclass(frozen=True, slots=True)
class LimitKind:
    """A named end of the window.

    Attributes:
        key: Name in JSON.
        side: Whether strain must stay above it or below it.
        title: Name in tables.
        why: What goes wrong beyond it.
    """

    key: str
    side: Literal["low", "high"]
    title: str
    why: str


LIMITS: Final[Mapping[str, LimitKind]] = MappingProxyType(
    {
        kind.key: kind
        for kind in (
            LimitKind(
                "growth",
                "low",
                "growth",
                "it grows as large as the body",
            ),
            LimitKind(
                "wet_growth",
                "low",
                "wet growth",
                "it sags as large as the body",
            ),
            LimitKind(
                "least_pressure",
                "low",
                "least pressure",
                "the cloth hangs instead of holding",
            ),
            LimitKind(
                "least_pull",
                "low",
                "least pull",
                "the straps hang slack",
            ),
            LimitKind(
                "room_to_move",
                "high",
                "room to move",
                "it is stretched out in movement",
            ),
            LimitKind(
                "goes_on",
                "high",
                "goes on",
                "it does not pass the widest part",
            ),
            LimitKind(
                "most_pressure",
                "high",
                "most pressure",
                "it presses too much for all day",
            ),
            LimitKind(
                "most_pull",
                "high",
                "most pull",
                "the straps dig in",
            ),
            LimitKind(
                "test_range",
                "high",
                "test range",
                "it was not tested that far",
            ),
        )
    }
)


@dataclass(frozen=True, slots=True)
class Bounds:
    """Limits of one direction.

    Attributes:
        low: Least strain by limit key; arrays that broadcast together.
        high: Most strain by limit key.
    """

    low: Mapping[str, FloatArray]
    high: Mapping[str, FloatArray]

    def mapped(self, strain_map: Strains) -> Bounds:
        """Return the limits with every strain put through a rising function."""
        return Bounds(
            {key: strain_map(value) for key, value in self.low.items()},
            {key: strain_map(value) for key, value in self.high.items()},
        )

    def joined(
        self, low: Mapping[str, FloatArray], high: Mapping[str, FloatArray]
    ) -> Bounds:
        """Return these limits and further ones."""
        return Bounds({**self.low, **low}, {**self.high, **high})


class Strains:
    """The affine map from pull strain to worn strain down the body.

    ``1 + worn = (1 + pull) * free`` where ``free`` is the length, over the cut length,
    of cloth that is stretched round and left free down.
    """

    __slots__ = ("free",)

    def __init__(self, free: FloatArray) -> None:
        """Keep the free length over the cut length."""
        self.free = free

    def __call__(self, pull: FloatArray) -> FloatArray:
        """Return the worn strain of a pull strain."""
        return (1.0 + pull) * self.free - 1.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """The strain chosen in a window, over arrays of one shape.

    Attributes:
        strain: The aim, moved to the nearest end where it lies outside.
        aim: The strain aimed at.
        low: Highest of the low limits.
        high: Lowest of the high limits.
        low_index: Which low limit that is, in the order of ``low_keys``.
        high_index: Which high limit that is.
        low_keys: Keys of the low limits.
        high_keys: Keys of the high limits.
        all_low: Every low limit, stacked in the order of ``low_keys``.
        all_high: Every high limit, stacked in the order of ``high_keys``.
    """

    strain: FloatArray
    aim: FloatArray
    low: FloatArray
    high: FloatArray
    low_index: IntArray
    high_index: IntArray
    low_keys: tuple[str, ...]
    high_keys: tuple[str, ...]
    all_low: FloatArray
    all_high: FloatArray

    @property
    def is_empty(self) -> NDArray[np.bool_]:
        """Where no strain meets both ends."""
        return self.low > self.high

    @property
    def bound_by(self) -> NDArray[np.str_]:
        """Key of the limit that binds, or ``aim`` where none does."""
        low = np.asarray(self.low_keys)[self.low_index]
        high = np.asarray(self.high_keys)[self.high_index]
        return np.where(
            self.aim < self.low, low, np.where(self.aim > self.high, high, AIM)
        )


def choose(aim: FloatArray, bounds: Bounds) -> Chosen:
    """Move an aim into the window and say which limits are its ends.

    Args:
        aim: Strain aimed at, any shape.
        bounds: Limits that broadcast with it; nan where one does not apply.
    """
    low_keys, low = _stack(bounds.low, aim, -np.inf)
    high_keys, high = _stack(bounds.high, aim, np.inf)
    low_end, high_end = low.max(axis=0), high.min(axis=0)
    return Chosen(
        strain=np.clip(aim, low_end, np.maximum(low_end, high_end)),
        aim=np.broadcast_to(aim, low_end.shape),
        low=low_end,
        high=high_end,
        low_index=low.argmax(axis=0),
        high_index=high.argmin(axis=0),
        low_keys=low_keys,
        high_keys=high_keys,
        all_low=low,
        all_high=high,
    )


def _stack(
    limits: Mapping[str, FloatArray], aim: FloatArray, absent: float
) -> tuple[tuple[str, ...], FloatArray]:
    arrays = np.broadcast_arrays(aim, *limits.values())[1:]
    stacked = np.stack(arrays)
    return tuple(limits), np.where(np.isnan(stacked), absent, stacked)
