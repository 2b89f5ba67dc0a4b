"""Repeats of a hand test that stand apart by more than chance and the rule explain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ease.fabric.hand_reading import HandReading
from ease.fabric.profile import DirectionName
from ease.fabric.statistics import (
    grubbs_critical,
    grubbs_statistic,
    outlier_place,
    reading_step,
)
from ease.fabric.swatch_notes import FEW_FOR_OUTLIERS
from ease.units import CM_PER

__all__ = ["Outlier", "find_outliers"]

# What two readings of a rule may differ by, cm: a rule in half millimetres, in sixteenths,
# tenths and eighths of an inch. Common practice, no source.
RULER_CM: Final = (0.1, *(part * CM_PER["in"] for part in (1 / 16, 1 / 10, 1 / 8)))
# Each figure with the lengths whose reading moves it.
_TESTED_FOR_OUTLIERS: Final = {
    "stretch": ("gauge", "extended"),
    "growth": ("gauge", "rested"),
    "wet_growth": ("gauge", "wet_rested"),
    "contraction": ("width", "width_extended"),
}


@dataclass(frozen=True, slots=True)
class Outlier:
    """A repeat that Grubbs's test at 0.05, two-sided, sets apart.

    Attributes:
        direction: ``across`` or ``along``.
        repeat: Number of the repeat.
        figure: The figure that stands out, such as ``stretch``.
        value: Its value, a fraction.
        statistic: Distance from the mean in standard deviations.
        critical: What that distance exceeds by chance once in twenty.
        dropped: Whether the repeat was left out of the means.
    """

    direction: DirectionName
    repeat: int
    figure: str
    value: float
    statistic: float
    critical: float
    dropped: bool


def find_outliers(repeats: Sequence[HandReading], *, dropped: bool) -> list[Outlier]:
    """Return the repeats of one direction that stand apart.

    Args:
        repeats: All of them.
        dropped: What is to be said of those found.
    """
    found = []
    for figure, columns in _TESTED_FOR_OUTLIERS.items():
        read = [(one, getattr(one, figure)) for one in repeats]
        pairs = [(one, value) for one, value in read if value is not None]
        values = [value for _, value in pairs]
        place = outlier_place(values) if len(values) > FEW_FOR_OUTLIERS else None
        if place is None:
            continue
        one, value = pairs[place]
        others = [other for i, other in enumerate(values) if i != place]
        # Three equal readings and a fourth give G = 1.5, past the limit of 1.48, however
        # little it differs: what the rule cannot tell apart is no outlier.
        lengths = [getattr(each, name) for each, _ in pairs for name in columns]
        away = _ruler_step(one, figure, reading_step(lengths, RULER_CM))
        if abs(value - sum(others) / len(others)) <= away * 1.001:
            continue
        found.append(
            Outlier(
                direction=one.direction,
                repeat=one.repeat,
                figure=figure,
                value=value,
                statistic=float(grubbs_statistic(values)),
                critical=float(grubbs_critical(len(values))),
                dropped=dropped,
            )
        )
    return found


def _ruler_step(one: HandReading, figure: str, step: float) -> float:
    """Return by how much a figure moves where a length is read a step (cm) off."""
    if figure != "contraction":
        return step / one.gauge
    return step / ((one.width or step) * max(one.stretch, 1e-9))
