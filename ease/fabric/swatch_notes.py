"""What a user should hear about the readings of a hand test, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from ease.fabric.given import width_doubts
from ease.fabric.hand_reading import HandReading
from ease.fabric.profile import DIRECTIONS, DirectionName
from ease.sentence import Length, Sentence

__all__ = ["FEW_FOR_OUTLIERS", "direction_notes", "pair_notes"]

FEW_FOR_OUTLIERS: Final = 3
# Marks on a strip in cm; common practice lies between 5 and 25 cm, no source.
LEAST_GAUGE, MOST_GAUGE = 2.0, 50.0
MOST_CONTRACTION: Final = 1.0  # knits lie near 0.2 to 0.6 (from memory)


def direction_notes(name: DirectionName, repeats: Sequence[HandReading]) -> list[str]:
    """Return notes on the repeats of one direction.

    Args:
        name: The direction.
        repeats: Its repeats, at least one.
    """
    notes = []
    if len(repeats) == 1:
        notes.append(f"{name}: one repeat gives no spread; do two more at least")
    elif len(repeats) == FEW_FOR_OUTLIERS:
        notes.append(
            f"{name}: three repeats are too few to test for outliers; look at the "
            "readings yourself"
        )
    notes += _gauge_notes(name, repeats)
    shorter = [one.repeat for one in repeats if (one.growth or 0) < 0]
    if shorter:
        notes.append(
            f"{name}: rested is shorter than the gauge in repeat {_listed(shorter)}; "
            "the cloth was not relaxed when it was marked"
        )
    shrunk = [one.repeat for one in repeats if (one.wet_growth or 0) < 0]
    if shrunk:
        notes.append(
            f"{name}: wet_rested is shorter than the gauge in repeat {_listed(shrunk)}; "
            "the cloth shrinks in water: wash it before you test and cut it"
        )
    if all(one.rested is None for one in repeats):
        notes.append(f"{name}: rested was not read, so growth and recovery are unknown")
    if all(one.contraction is None for one in repeats):
        notes.append(f"{name}: the widths were not read, so contraction is unknown")
    wide = [one.repeat for one in repeats if (one.contraction or 0) > MOST_CONTRACTION]
    if wide:
        notes.append(
            f"{name}: the strip narrows more than it lengthens in repeat {_listed(wide)}; "
            "look at the widths again"
        )
    if any(one.load is not None and one.strip_width is None for one in repeats):
        notes.append(f"{name}: a load needs the strip's width to give a tension")
    widths = dict.fromkeys(one.strip_width for one in repeats if one.load is not None)
    return [*notes, *(doubt for width in widths for doubt in width_doubts(width))]


def _gauge_notes(name: DirectionName, repeats: Sequence[HandReading]) -> list[str]:
    """A wrong unit leaves stretch as it is, so that only the gauge shows it."""
    notes: list[str] = []
    for odd, slip in (
        ([one for one in repeats if one.gauge > MOST_GAUGE], "mm and headed cm"),
        ([one for one in repeats if one.gauge < LEAST_GAUGE], "cm and headed mm"),
    ):
        if odd:
            gauge, which = Length(odd[0].gauge, None), [one.repeat for one in odd]
            notes.append(
                Sentence(
                    "{}: a gauge of {} in repeat {}; was it read in {}?",
                    *(name, gauge, _listed(which), slip),
                )
            )
    return notes


def pair_notes(readings: Iterable[HandReading]) -> list[str]:
    """Return notes on what differs between the readings of a test.

    Args:
        readings: All readings, in one or both directions.
    """
    taken = tuple(readings)
    notes = [
        f"{name} was not tested: that direction of the cloth stays unknown"
        for name in DIRECTIONS
        if all(one.direction != name for one in taken)
    ]
    if all(one.wet_rested is None for one in taken):
        notes.append(
            "wet_rested was not read, so wet growth is unknown; a garment that gets wet "
            "wants it"
        )
    rests = {one.rest_minutes for one in taken if one.rest_minutes is not None}
    if len(rests) > 1:
        notes.append(
            f"the rest was not the same ({min(rests):g} to {max(rests):g} minutes): "
            "growth after a short rest is larger"
        )
    tensions = [one.tension for one in taken if one.tension is not None]
    if tensions and max(tensions) > 1.05 * min(tensions):
        notes.append(
            f"the pull was not the same ({min(tensions):.0f} to {max(tensions):.0f} N/m): "
            "stretch can be compared only at one load"
        )
    if any((one.load is None) != (taken[0].load is None) for one in taken):
        notes.append("some readings were taken with a load and some by hand")
    return notes


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers)
