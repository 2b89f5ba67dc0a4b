"""What the user should know about an answer, each note under a short name.

A single answer tells the notes in whole sentences; a row of many tells their names.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fabric.evidence import evidence_notes
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import ASSUMED_CONTRACTION
from ease.fit.cases import directions
from ease.fit.membrane import Membrane

__all__ = [
    "LOOP_TO_CUT",
    "WARNINGS",
    "Note",
    "cloth_notes",
    "garment_notes",
    "pulled_twice",
]

BOTH_TAKEN: Final = 0.01  # strain from each above which a note is due; own choice
RECIPROCITY_GAP: Final = 0.25  # above it a note is due; own choice

LOOP_TO_CUT: Final = (
    "the torso loop to cut is body loop x length factor; on the flat block the loop runs "
    "aslant and comes out shorter, mostly by 1 to 2 cm (3/8 to 3/4 in)"
)

WARNINGS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "rule_of_thumb": "no load test both ways: the aim is a share of the stretch",
        "readings_disagree": "contraction ratios and load tests do not go together",
        "growth_not_read": "growth was not read, so sagging cannot be ruled out",
        "wet_growth_not_read": "wet growth was not read",
        "contraction_assumed": "contraction was not measured in either direction",
        "length_not_tested": "the direction down the body was not tested",
        "worn_otherwise": "a toile lay otherwise than predicted: see the profile",
        "length_pulled_twice": "the length is pulled twice: by contraction and by the cut",
        "straps_slack_later": "later, or wet, the straps pull less than the least",
        "unsafe_pressure": "presses more at the side than is safe",
        "torso_loop_filled_in": "the torso loop was not measured: measure it to cut",
        "shoulders_filled_in": "the girth over the shoulders was not measured",
        "outside_fill_in_range": "the body lies outside what the fill-in was fitted on",
    }
)
"""Warnings of a row by their short names, in the order in which they are listed."""


_TEXTS: Final = {
    "growth_not_read": "growth was not read, so sagging cannot be ruled out",
    "wet_growth_not_read": (
        "wet growth was not read: before cutting swimwear, soak a strip and read "
        "wet_rested in the hand test (ease swatch)"
    ),
    "contraction_assumed": (
        f"contraction was not measured; {ASSUMED_CONTRACTION:g} is assumed, so the "
        "length is uncertain: measure the strip's width too"
    ),
    "length_not_tested": (
        "only one direction was tested: the length stays at body length"
    ),
}


class Note(NamedTuple):
    """A note.

    Attributes:
        name: Its name in ``WARNINGS``.
        text: The note itself, in whole sentences.
    """

    name: str
    text: str


def cloth_notes(
    fabric: Fabric, way: DirectionName, membrane: Membrane | None
) -> tuple[Note, ...]:
    """Return what the user should know about a fabric's answers, on any body.

    Args:
        fabric: The fabric.
        way: Cloth direction that goes round the body.
        membrane: Its load tests; None where a direction has none.
    """
    girth, length = directions(fabric, way)
    by_load_test = length is not None and length.contraction is not None
    told = girth.contraction is not None or (by_load_test and membrane is not None)
    found = {
        "growth_not_read": girth.growth is None,
        "wet_growth_not_read": girth.wet_growth is None,
        "contraction_assumed": not told,
        "length_not_tested": length is None,
    }
    return (
        *_basis_notes(membrane),
        *(Note(name, _TEXTS[name]) for name, holds in found.items() if holds),
        *(Note("worn_otherwise", text) for text in evidence_notes(fabric.evidence)),
    )


def _basis_notes(membrane: Membrane | None) -> tuple[Note, ...]:
    """Return what to know about the ground that the answers stand on."""
    if membrane is None:
        text = (
            "without a load test both ways the aim is a share of the stretch: a rule of "
            "thumb; pressure and pull cannot be told. Hang weights on a strip"
        )
        return (Note("rule_of_thumb", text),)
    gap = membrane.reciprocity_gap
    if gap is None or abs(gap) <= RECIPROCITY_GAP:
        return ()
    text = (
        f"the contraction ratios and the load tests disagree by {100 * abs(gap):.0f} "
        "%; an elastic cloth cannot: measure widths and loads again"
    )
    return (Note("readings_disagree", text),)


def pulled_twice(length_strain: ArrayLike, free_length: ArrayLike) -> NDArray[np.bool_]:
    """Return where a shorter cut is added to what contraction pulls already.

    Args:
        length_strain: Worn strain down the body.
        free_length: Length of the cloth over its cut length when stretched round.

    Examples:
        >>> pulled_twice([0.05, 0.005], 0.95).tolist()
        [True, False]
    """
    pulled = 1.0 / np.asarray(free_length) - 1.0
    return np.asarray(np.minimum(length_strain, pulled) > BOTH_TAKEN)


def garment_notes(
    length_strain: float,
    free_length: float,
    slack_later: str,
    *,
    shoulders_filled_in: bool,
) -> tuple[Note, ...]:
    """Return what the user should know about one answer on one body.

    Args:
        length_strain: Worn strain down the body.
        free_length: Length of the cloth over its cut length when stretched round.
        slack_later: In which later states the straps hang slack; or empty.
        shoulders_filled_in: Whether it must pass over shoulders that were not measured.
    """
    found = []
    if pulled_twice(length_strain, free_length):
        text = (
            f"the length is pulled twice: {100 * (1.0 / free_length - 1.0):.1f} % by "
            f"contraction and {100 * length_strain:.1f} % by the shorter cut, which add "
            "up; take nothing off for contraction besides, and try it on a toile"
        )
        found.append(Note("length_pulled_twice", text))
    if slack_later:
        found.append(Note("straps_slack_later", slack_later))
    if shoulders_filled_in:
        text = (
            "the girth over the shoulders was not measured but filled in: measure it "
            "before cutting what goes on over head"
        )
        found.append(Note("shoulders_filled_in", text))
    return tuple(found)
