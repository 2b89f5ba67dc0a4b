"""Straps that hold a garment when it is put on and hang slack once its cloth has grown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fabric.evidence import Evidence, newest_clear
from ease.fabric.profile import DirectionName
from ease.fit.membrane import Membrane
from ease.fit.outside import SAME_STRAIN
from ease.fit.wear import LATER, WearState
from ease.fit.window import LIMITS

__all__ = ["LATER_TITLES", "is_slack", "pulls_later", "slack_note", "slack_text"]

FloatArray = NDArray[np.float64]
LATER_TITLES: Final[Mapping[WearState, str]] = MappingProxyType(
    {"after_hour": "after an hour", "wet": "wet"}
)


def pulls_later(
    membrane: Membrane,
    girth_strain: ArrayLike,
    length_strain: ArrayLike,
    waist: ArrayLike,
) -> dict[WearState, FloatArray]:
    """Return the most that a garment can pull in each later state that was tested.

    Args:
        membrane: The cloth just put on.
        girth_strain: Worn strain round; any shape that goes with the others.
        length_strain: Worn strain down.
        waist: Waist girth of the body, cm.

    Returns:
        Pull over both shoulders by state, N; of a range its upper end, nan past the
        load test.
    """
    strains = np.asarray(girth_strain, dtype=float), np.asarray(length_strain)
    relaxed = np.asarray(waist) / (1.0 + strains[0]) / 100.0
    return {
        state: np.maximum.reduce(
            [
                np.maximum(
                    membrane.in_state(one).tensions(*strains, outside="nan")[1], 0
                )
                for one in tested
            ]
        )
        * relaxed
        for state, of in LATER.items()
        if (tested := [one for one in of if one in membrane.states])
    }


def is_slack(pull: ArrayLike, least: float) -> NDArray[np.bool_]:
    """Return where a pull, N, is less than the least, but for the digits of a file."""
    return np.asarray(np.asarray(pull) < least * (1.0 - SAME_STRAIN))


def slack_text(pulls: Mapping[WearState, float], least: float, mend: str) -> str:
    """Return in which later states the straps hang slack; empty where they hold.

    Args:
        pulls: Most pull over both shoulders in each later state, N.
        least: Pull that they are to have at least, N.
        mend: What would make them hold.

    Examples:
        >>> slack_text({"after_hour": 5.0, "wet": 0.04}, 2.0, "...")[:46]
        'wet, at most 0.0 N is left over both shoulders'
    """
    slack = [
        f"{LATER_TITLES[state]}, at most {pull:.{2 if round(pull, 1) == least else 1}f} N"
        for state, pull in pulls.items()
        if is_slack(pull, least)
    ]
    if not slack:
        return ""
    return (
        f"{', and '.join(slack)} is left over both shoulders, less than {least:g} N: the "
        f"straps hang slack then; {mend}"
    )


def slack_note(
    evidence: Iterable[Evidence],
    pulls: Mapping[WearState, FloatArray],
    shortest: Mapping[WearState, FloatArray],
    down: tuple[DirectionName, str, str],
    least: float,
) -> str:
    """Return where the straps of a decided garment hang slack later, and what to do.

    Args:
        evidence: What worn garments have shown of the cloth.
        pulls: Most pull in each later state, N.
        shortest: The same where it is cut as short as the window allows.
        down: Cloth direction down the body, the limit that decides there, and the one at
            the high end.
        least: Pull that the straps are to have at least, N.
    """
    way, bound_by, end = down
    mend = "cut shorter (a greater pull_n), or from a cloth that grows less, they hold"
    slack = [state for state, pull in pulls.items() if is_slack(pull, least)]
    if bound_by == end:
        mend = (
            f"{LIMITS[end].title} leaves no shorter cut: take a cloth that grows less"
        )
    elif any(is_slack(shortest[state], least) for state in slack):
        mend = (
            f"no shorter cut that {LIMITS[end].title} leaves holds them: take a cloth "
            "that grows less"
        )
    clear = newest_clear(evidence)
    if way in clear and clear[way][1].differs:
        mend = (
            "that is by the swatch, and a toile found the cloth to lie otherwise down"
        )
    return slack_text({key: float(pull) for key, pull in pulls.items()}, least, mend)
