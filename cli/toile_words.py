"""What ``ease toile`` says in sentences: what is off, what moves, what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
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
    found += _unclear(toile)
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
