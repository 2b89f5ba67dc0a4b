"""What ``ease toile`` says beside its numbers: what they rest on, and what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

    from ease.block.toile import Toile
    from ease.block.toile_correct import Correction

# A quarter to a third of what swimwear is worn at; marks of 10 cm tell it to 2 to 4 points.
# Own choice.
_COARSE = 0.08


def toile_notes(result: Correction, day: date) -> list[str]:
    """Return what the user should know about these numbers."""
    from ease.block.as_worn import other_wearer
    from ease.block.toile_evidence import unlike_others

    toile = result.toile
    notes = [one.text for one in unlike_others(result, day)]
    other = other_wearer(toile.block, toile.body)
    if other is not None and other not in toile.body.notes:
        notes.append(other)
    if toile.has_earlier:
        cloth = "of the cloth, and " if toile.shown != (1.0, 1.0) else ""
        notes.append(
            f"an earlier toile has moved this block: predicted holds what it showed {cloth}"
            "of measures that were not taken again; what is off or moves is beyond that"
        )
    if taped := [name.replace("_", " ") for name in toile.counted_as_taped]:
        notes.append(
            f"the {' and the '.join(taped)} count{'s' * (len(taped) == 1)} as taped: an "
            "earlier toile could not tell the measure from the cloth, and these marks may"
        )
    toiled = toile.block.drafted_for.toiled
    if not toile.same_cloth and (toiled.girth, toiled.length) != (1.0, 1.0):
        notes.append(
            f"an earlier toile moved this block for {toile.block.drafted_for.fabric}; what "
            f"it showed of that cloth is left out in {toile.fabric.name}"
        )
    drafted = toile.block.drafted_for.fabric
    if drafted and not toile.same_cloth:
        notes.append(
            f"the block was cut for {drafted}, and the toile is taken as sewn in "
            f"{toile.fabric.name}: give --fabric the cloth that it was sewn in"
        )
    notes += [*_short(toile), *_aside(toile)]
    if toile.fit.widened > 1.0:
        notes.append(
            f"repeats lie {toile.fit.widened:.1f} times as far apart as the stated spread "
            "of the tape allows; every mark counts that much less"
        )
    if not toile.count("down") and toile.has_loop:
        notes.append("no mark runs down: the length factor was not looked at")
    if result.result is not None:
        notes += _left_alone(result)
        notes.append(_then_check(result))
        # Each level goes its own way here.
        notes += [
            note
            for note in result.result.notes
            if "--by-level" not in note and "keeps these differences" not in note
        ]
    return notes


def _short(toile: Toile) -> list[str]:
    """Say where the marks are too short for their tape to show anything."""
    coarse = [row for row in toile.rows if row.measured_half > _COARSE]
    if not coarse:
        return []
    named = ", ".join(
        f"{row.place} {row.direction} +- {100 * row.measured_half:.0f} points"
        for row in coarse
    )
    return [
        f"marks as short as these tell too little ({named}): draw them 10 cm long or more, "
        "or see whether they were read in another unit than said"
    ]


def _left_alone(result: Correction) -> list[str]:
    """Say which levels stay as they are though another moves by itself."""
    toile = result.toile
    kept = {move.name: move.kept for move in result.moves}
    own = [lv.name for lv in toile.levels if kept[lv.name] != 1.0]
    bare = [
        lv.name
        for lv in toile.levels
        if lv.loop == "closed"
        and kept[lv.name] == 1.0
        and lv.name not in {*toile.marked, *toile.counted_as_taped}
    ]
    if kept["girth"] != 1.0 or not own or not bare:
        return []  # all go with the cloth, or lie where an earlier toile put them
    return [
        f"no mark lies round the {' and the '.join(bare)}, which did not move with the "
        f"{' and the '.join(own)}: mark there too"
    ]


def _aside(toile: Toile) -> list[str]:
    """Say which marks are not judged, or count less."""
    notes = []
    cut = [level.name for level in toile.levels if level.loop != "closed"]
    if cut and toile.count("down"):
        notes.append(
            f"cut open at {', '.join(cut)}: how much length the cloth gives up there is "
            "not known, so marks down count less"
        )
    around: dict[str, list[float]] = {}
    for mark in toile.aside:
        if mark.direction == "round":
            around.setdefault(mark.place, []).append(mark.strain)
    notes += [
        f"the {place} is cut open, wholly or in part: how far the cloth is worn there "
        f"hangs on the gap and is not foretold; its marks round, worn {_mean(strains)} %, "
        "are not judged"
        for place, strains in around.items()
    ]
    if down := [mark.strain for mark in toile.aside if mark.direction == "down"]:
        bare = "body" if toile.block.loop_path else "block"
        notes.append(
            f"the {bare} has no torso loop, so nothing foretells how long it is worn: "
            f"marks down, worn {_mean(down)} %, are not judged and the length stays; try "
            "on the wearer whether it covers"
        )
    return notes


def _mean(strains: list[float]) -> str:
    return f"{100 * sum(strains) / len(strains):.1f}"


def _then_check(result: Correction) -> str:
    """Say what to do with the corrected block, and what will be seen."""
    check = "check the corrected block: `ease check`, with the body as found"
    again = {"length" if key == "torso_loop" else key for key in result.toile.settled}
    unclear = [
        move.name.replace("_", " ")
        for move in result.moved
        if move.name in result.unclear - again
    ]
    if unclear:
        check += (
            f"; the {' and the '.join(unclear)} moved without a clear cause: the block "
            "takes that for the wearer's until it is measured again, and a fabric kept by "
            "--save does not hold it"
        )
    if not any(result.cloth_told):
        return check
    return (
        f"{check}; its figures go by the swatch, and in a fabric kept by --save a note "
        "adds how far each level is worn by this toile"
    )
