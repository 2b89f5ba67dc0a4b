"""Hand test and load test of one cloth beside each other: what both cannot say."""

from __future__ import annotations

from typing import Final

from ease.fabric.profile import DIRECTIONS, Fabric
from ease.units import percent_text

__all__ = ["hand_and_load_notes"]

#: A hand pull stops where the cloth stops, but for strips that differ by a tenth.
#: Own choice.
MORE: Final = 1.1
#: Directions differ clearly where one gives a quarter more. Own choice.
CLEARLY: Final = 1.25


def hand_and_load_notes(fabric: Fabric) -> tuple[str, ...]:
    """Return what looks as if strips had been exchanged between the two tests.

    Args:
        fabric: A fabric with the curves of its load test.
    """
    notes = []
    for name in DIRECTIONS:
        cloth = fabric.direction(name)
        if cloth is None or cloth.tension is None:
            continue
        pulled, stop = cloth.tension.last_strain, cloth.stretch.mean
        if pulled > MORE * stop:
            notes.append(
                f"{name}: the load pulled it to {percent_text(pulled)} %, by hand it "
                f"stopped at {percent_text(stop)} %: were the strips exchanged, or was "
                "the hand pull weak? Test one of them again"
            )
    return tuple(notes) or _order(fabric)


def _order(fabric: Fabric) -> tuple[str, ...]:
    """Return a note where the two tests put the directions in a different order."""
    across, along = fabric.across, fabric.along
    if across is None or along is None:
        return ()
    if across.tension is None or along.tension is None:
        return ()
    strain = min(across.tension.last_strain, along.tension.last_strain)
    firm = [
        float(curve.loading.tension_at(strain))
        for curve in (across.tension, along.tension)
    ]
    if min(firm) <= 0:
        return ()
    by_hand, by_load = across.stretch.mean / along.stretch.mean, firm[1] / firm[0]
    for more, hand, load in (
        ("across", by_hand, by_load),
        ("along", 1 / by_hand, 1 / by_load),
    ):
        if hand > CLEARLY and load < 1 / CLEARLY:
            return (
                f"{more}: it stretches more than the other way by hand, and less under "
                "load: were the strips exchanged? Test one of them again",
            )
    return ()
