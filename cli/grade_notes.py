"""Notes of ``ease grade``: what holds for all sizes once, and what for some by name."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ease.block.grade import Grading


def grade_notes(result: Grading, units: str = "cm") -> list[str]:
    """Return what to know about all sizes, once and not by size."""
    from ease.block.leg_levels import leg_levels
    from ease.body.dictionary import MEASURES
    from ease.units import length_text

    bodies = [size.body for size in result.sizes]
    plain = [
        note
        for body in bodies
        for note in body.notes
        if not note.startswith("THE TORSO LOOP") and "lies outside" not in note
    ]
    notes = list(dict.fromkeys([*result.notes, *plain]))
    key = result.lengths_by
    halves = [body.filled[key].half for body in bodies if key in body.filled]
    if halves:
        notes.append(
            f"THE {MEASURES[key].title.upper()} IS FILLED IN for {len(halves)} of "
            f"{len(bodies)} sizes; 95 of 100 bodies lie within +- "
            f"{length_text(max(halves), units)} {units} of it: measure one before cutting"
        )
    beyond = [
        size.label
        for size in result.sizes
        if any("lies outside" in note for note in size.body.notes)
    ]
    if beyond:
        notes.append(
            f"sizes {', '.join(beyond)} lie outside the bodies that the fill-in "
            "equations were fitted on: trust their filled-in measures less"
        )
    if legs := [level.name for level in leg_levels(result.blocks[0])]:
        notes.append(f"girths at {', '.join(legs)} are of both legs together")
    notes += [*_stopped(result), *_own_warnings(result), *_beyond(result)]
    if result.cloth is not None:
        name = result.cloth.fabric.name
        notes += [f"{name}: {note}" for note in result.cloth.notes]
    return notes


def _own_warnings(result: Grading) -> list[str]:
    """Return each warning that some sizes have, with their names."""
    from ease.fit.notes import WARNINGS

    warned = {
        name: [size.label for size in result.sizes if name in size.warnings]
        for name in WARNINGS
    }
    return [
        f"size{'s' * (len(labels) > 1)} {', '.join(labels)}: {WARNINGS[name]}; `ease "
        "factors` on that body says how much"
        for name, labels in warned.items()
        if labels
    ]


def _beyond(result: Grading) -> list[str]:
    """Say which sizes are worn beyond the window of the fabric, for each way once."""
    cloth = "" if result.cloth is None else result.cloth.fabric.name
    notes = []
    for way in ("round", "down"):
        sizes = "; ".join(
            f"size {size.label} {found} ({100 * low:.1f} to {100 * high:.1f} %)"
            for size in result.sizes
            for own, found, (low, high) in size.beyond
            if own == way
        )
        if sizes:
            notes.append(
                f"worn outside the window of {cloth} {way}: {sizes}; `ease check` on each "
                "block tells what follows"
            )
    return notes


def _stopped(result: Grading) -> list[str]:
    """Name the sizes whose block does not go on, and why of the first."""
    from ease.block.cut_stops import CUT_SO
    from ease.sentence import Sentence

    stopped = [size for size in result.sizes if size.stops]
    if not stopped:
        return []
    first = stopped[0]
    if len(stopped) == 1:
        return [Sentence("size {}: {}: {}", first.label, CUT_SO, first.stops)]
    labels = ", ".join(size.label for size in stopped)
    said = "sizes {}: cut so, they do not go on; size {}: {}"
    return [Sentence(said, labels, first.label, first.stops)]
