"""What ``ease toile`` says in sentences: what is off, what moves, what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

    from ease.block.toile import Toile
    from ease.block.toile_correct import Correction
    from ease.block.toile_rows import Cause

_OFF = ("off", "likely")
_LEAST_MARKED = 2  # levels, before body and cloth can be told apart


def toile_sentences(result: Correction, units: str) -> list[str]:
    """Return what is off, and what the marks move only together."""
    from ease.units import length_text

    toile = result.toile
    earlier = " and the earlier toile" if toile.has_earlier else ""
    found = [
        f"The {change.key.replace('_', ' ')} was taken as "
        f"{length_text(change.taped, units)} {units}; the marks say "
        f"{length_text(change.found, units)} +- {length_text(change.half, units)} "
        f"{units}: measure again."
        for change in result.body
    ]
    for cause in toile.causes:
        if cause.verdict not in _OFF:
            continue
        if cause.kind == "tape":
            way = "long" if cause.off > 0 else "short"
            size = cause_size(cause, abs(cause.off), units)
            found.append(
                f"The mark {cause.name} was read {size} too {way}: read it again. It is "
                "left out."
            )
        elif cause.kind == "cloth":
            found.append(
                f"The cloth is unlike the swatch: {cause.name} it lies "
                f"{100 * abs(cause.off):.1f} % {'longer' if cause.off > 0 else 'shorter'} "
                f"than block and body{earlier} say, at every level alike."
            )
        elif cause.kind == "toile":
            found.append(
                f"At the {cause.name} alone the toile lies {100 * abs(cause.off):.1f} % "
                f"{'longer' if cause.off > 0 else 'shorter'} than block, body and cloth "
                f"say, though the {cause.name} was measured again: see whether it is sewn "
                "and worn there as drawn."
            )
    found += [*_closed(result, units), *_unclear(toile)]
    found += [
        f"The {move.name.replace('_', ' ')} moves by {100 * (move.kept - 1.0):+.1f} %: not "
        "the marks ask for it, but the measures as they are now."
        for move in result.moved
        if move.name in result.followed
    ]
    if together := _together(result):
        alone = (
            f"No single statement is off (beyond {toile.limit:.1f} standard deviations), "
            "but"
        )
        found.append(
            f"{'Besides,' if found else alone} together {' and '.join(together)} (beyond "
            f"{result.limit:.1f})."
        )
    return found or [
        f"Marks, body{',' if earlier else ' and'} swatch{earlier} agree within their "
        "spreads."
    ]


def _closed(result: Correction, units: str) -> list[str]:
    """Say which girths these marks tell from the cloth that an earlier toile could not."""
    from ease.units import length_text

    toile = result.toile
    now = {one.key: one for one in result.block.drafted_for.toiled.measures}
    said = []
    for one in toile.measures_found:
        if one.sure or one.key in toile.settled:
            continue
        name, taped = one.key.replace("_", " "), length_text(one.taped, units)
        if one.key not in now:
            said.append(f"So the {name} is as taped, {taped} {units}.")
        elif now[one.key].sure:
            size = length_text(now[one.key].found, units)
            said.append(
                f"The {name} was taken as {taped} {units}; it is {size} {units}, as an "
                "earlier toile found, and not the cloth: measure again."
            )
    return said


def _together(result: Correction) -> list[str]:
    """Return moves that no statement alone accounts for, but all marks of one way do.

    A statement is looked at among many and has the higher limit of the two.
    """
    off = {(c.kind, c.name) for c in result.toile.causes if c.verdict in _OFF}
    off |= {("body", change.key) for change in result.body}
    ways = (
        ("round", [move for move in result.moved if move.name != "length"]),
        ("down", [move for move in result.moved if move.name == "length"]),
    )
    said = []
    for way, moves in ways:
        if ("cloth", way) in off:
            continue
        own = {"length": "torso_loop"}
        girth = next((move.kept for move in moves if move.name == "girth"), None)
        moved = [
            f"the {move.name} by {100 * (move.kept - 1.0):+.1f} %"
            for move in moves
            if move.name not in result.followed
            and not {("body", own.get(move.name, move.name)), ("toile", move.name)}
            & off
            and (move.name == "girth" or move.kept != girth)
        ]
        if moved:
            said.append(f"the marks {way} move {', '.join(moved)}")
    return said


def doubts(toile: Toile) -> list[list[list[Cause]]]:
    """Return for each doubt the sets of statements of which all of one are off."""
    causes = {cause.row: cause for cause in toile.causes}
    return [
        [[causes[row] for row in rows if row in causes] for rows in choice]
        for choice in toile.fit.found.unclear
    ]


def _unclear(toile: Toile) -> list[str]:
    kinds = {
        "tape": "the mark",
        "body": "the body's",
        "toile": "the toile at the",
        "cloth": "the cloth",
    }
    said = []
    for choice in doubts(toile):
        named = [
            " and ".join(f"{kinds[one.kind]} {cause_name(one)}" for one in rows)
            for rows in choice
        ]
        several = any(len(rows) > 1 for rows in choice)
        said.append(
            f"These marks cannot tell which {'are' if several else 'is'} off: "
            f"{'; or '.join(named) if several else ', '.join(named)}. "
            f"{_to_tell(toile, [one for rows in choice for one in rows])}"
        )
    return said


def _to_tell(toile: Toile, doubted: list[Cause]) -> str:
    """Return what would tell doubted statements apart."""
    closed = {level.name for level in toile.levels if level.loop == "closed"}
    is_round = any(cause.way == "round" for cause in doubted)
    if is_round and len(toile.marked) < _LEAST_MARKED and closed - toile.marked:
        return "Mark another level too, and repeat each mark."
    measure = any(cause.kind == "body" for cause in doubted)
    return f"Read those marks again, add repeats{', take the measure again' * measure}."


def cause_name(cause: Cause) -> str:
    """Return what a statement is about, in words."""
    return cause.name.replace("_", " ")


def cause_size(cause: Cause, value: float, units: str, *, sign: bool = False) -> str:
    """Return a size of a statement with its unit."""
    plus = "+" if sign else ""
    if cause.kind in ("cloth", "toile"):
        return f"{round(100 * value, 1) + 0.0:{plus}.1f} %"
    from ease.units import CM_PER

    # Eighths of an inch are too coarse for what a tape is off by.
    number = value / CM_PER[units]
    digits = 2 if units == "in" or cause.kind == "tape" else 1
    return f"{round(number, digits) + 0.0:{plus}.{digits}f} {units}"


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
        notes.append(
            "an earlier toile has moved this block: predicted holds what it showed of "
            "cloth, body and levels; what is off or moves is beyond that"
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
    notes += _aside(toile)
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


def _left_alone(result: Correction) -> list[str]:
    """Say which levels stay as they are though another moves by itself."""
    toile = result.toile
    kept = {move.name: move.kept for move in result.moves}
    girth = kept.pop("girth")
    own = [lv.name for lv in toile.levels if kept[lv.name] != girth]
    bare = [
        lv.name
        for lv in toile.levels
        if lv.loop == "closed" and lv.name not in toile.marked
    ]
    if not own or not bare:
        return []
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
