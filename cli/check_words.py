"""Sentences of ``ease check``: pull, leg opening, verdict, and what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .check_tables import half_text, range_text

if TYPE_CHECKING:
    from ease.block.check import LegOpening, WearCheck
    from ease.block.pieces import Block
    from ease.body.measures import Body

STATE_TITLES = {"now": "just put on", "after_hour": "after an hour", "wet": "wet"}


def verdict_lines(result: WearCheck, units: str) -> list[str]:
    """Return strain down, pull, leg opening, putting on and verdict, a line each."""
    from ease.sentence import in_units
    from ease.units import length_text

    lines = [*_length_lines(result), *_pull_lines(result)]
    if result.leg is not None:
        lines.append(_leg_line(result.leg, units))
    name, girth = result.passes
    way = "goes on" if result.goes_on else f"stops at the {result.stops_at}"
    over = f"Over the {name} of {length_text(girth, units)} {units}"
    free = result.opens and result.goes_on
    lines.append("It opens: getting in is not judged." if free else f"{over} it {way}.")
    lines += [f"{key}: {in_units(why, units)}." for key, why in result.faults.items()]
    lines += [f"remark: {in_units(text, units)}." for text in result.remarks]
    known = "round the body only" if result.judged_round else "nor down the body"
    left_out = [known] * (not result.judged_down)
    left_out += [f"without {', '.join(result.not_judged)}"] * bool(result.not_judged)
    round_only = f" ({'; '.join(left_out)})" if left_out else ""
    remarked = ", with a remark" if result.remarks else ""
    lines.append(f"Verdict: {result.headline}{remarked}{round_only}.")
    return lines


def _length_lines(result: WearCheck) -> list[str]:
    """Say how far the torso loop is stretched, where block and body have one."""
    from ease.units import percent_text

    if not result.sizes.length_known:
        return []
    strain = result.sizes.length_strain
    hangs = ": it is longer than the body" if strain < 0 else ""
    if percent_text(strain) == percent_text(0.0):
        hangs = ": it is as long as the body"
    return [f"Torso loop: stretched {percent_text(strain)} % down the body{hangs}."]


def _pull_lines(result: WearCheck) -> list[str]:
    found = {STATE_TITLES[s]: result.shoulder_pull(s) for s in result.states}
    pulls = {title: pull for title, pull in found.items() if pull is not None}
    said = [
        f"{range_text(list(pull), 1)} N {title}"
        for title, pull in pulls.items()
        if pull[0] == pull[0]
    ]
    if not pulls:
        return []
    sure = half_text(result.spread.pull if result.spread else None, 1, 1)
    if said and sure != "-":
        said[0] += f" +- {sure}"
    told = ", ".join(said) or "-; past the load test"
    return [f"Pull over both shoulders together: {told}."]


def _leg_line(leg: LegOpening, units: str) -> str:
    from ease.units import length_text

    sizes = (leg.edge_cm, leg.thigh_cm, leg.worn_cm)
    edge, thigh, worn = (length_text(cm, units) for cm in sizes)
    side = leg.name.removeprefix("leg")
    title = f"Leg opening{side and f',{side} as the tighter'}"
    size = f"{title}: edge {edge} {units} on a thigh of {thigh} {units}"
    if leg.above_thigh:
        size = f"{title}: edge {edge} {units}, worn {worn} {units} over seat and hip"
    if leg.strain < 0:
        return f"{size}: it stands off by {-100 * leg.strain:.0f} %."
    return f"{size}, stretched {100 * leg.strain:.0f} %."


def body_notes(block: Block, body: Body) -> list[str]:
    """Return the notes on a body; none on its torso loop for a block without one."""
    return [
        note
        for note in body.notes
        if block.loop_path or not note.startswith("THE TORSO LOOP")
    ]


def length_notes(block: Block, body: Body) -> list[str]:
    """Say what is not known where block or body has no torso loop."""
    from ease.block.on_body import missing_loop

    if not (missing := missing_loop(block, body)):
        return []
    return [
        f"the strain down is not known, as {missing}: pressure is told for cloth at "
        "body length, and the pull at the shoulders is not told"
    ]


def worn_notes(result: WearCheck) -> list[str]:
    """Say how far each level is worn by a toile that is kept with the fabric."""
    from ease.block.worn_otherwise import toile_moves, worn_otherwise

    told = worn_otherwise(result)
    moves = toile_moves(result.drafted_for, result.fabric, result.round_body)
    of_block = [
        f"{move.text}; the strains here go by swatch and body alone"
        for move in moves
        if move.way not in {one.way for one in told}
    ]
    return [*(one.text for one in told), *of_block]


def check_notes(result: WearCheck) -> list[str]:
    """Say what could not be judged, and why."""
    legs = [level.text for level in result.leg_levels]
    return [*_not_judged(result), *untested_notes(result), *legs, *_state_notes(result)]


def untested_notes(result: WearCheck) -> list[str]:
    """Say that a cloth that was tested one way is not judged down the body."""
    if result.judged_down or not result.sizes.length_known:
        return []
    down = "along" if result.round_body == "across" else "across"
    return [
        f"NOT JUDGED DOWN THE BODY: {result.fabric.name} was not tested {down}, so whether "
        "it gives as much as the torso loop asks for is not known"
    ]


def _not_judged(result: WearCheck) -> list[str]:
    """Name closed levels that are not judged, and levels that are all cut open."""
    from ease.body.measures import TRUNK_GIRTHS

    notes = []
    if not result.judged_round:
        names = ", ".join(level.name for level in result.levels)
        notes.append(
            f"NOT JUDGED ROUND: {names} is cut open, wholly or in part, and no level is a "
            "closed loop: how far the cloth is worn hangs on the gap, so room to move and "
            "hold are not known"
        )
    elif partly := [level.name for level in result.levels if level.loop == "partly"]:
        notes.append(
            f"not judged at the {', '.join(partly)}, cut partly open: how the cloth lies "
            "there hangs on the gap, whatever the block is; try it on"
        )
    way, _ = result.passes
    but = f"NOT JUDGED but for going on over the {way}"
    unknown = [name for name in result.not_judged if name != "thigh"]
    if result.thigh_untold:
        notes.append(f"{but}: thigh; {result.thigh_untold}")
    else:
        unknown = list(result.not_judged)
    if named := [name for name in unknown if name in TRUNK_GIRTHS]:
        notes.append(
            f"{but}: {', '.join(named)}; the body has no such girth: measure it, add it "
            "to the body, and check again"
        )
    if other := [name for name in unknown if name not in TRUNK_GIRTHS]:
        notes.append(
            f"{but}: {', '.join(other)}; no girth has that name. Known girths are "
            f"{', '.join(TRUNK_GIRTHS)}: call the level by one of them, and check again"
        )
    return notes


def _state_notes(result: WearCheck) -> list[str]:
    if result.understated:
        return [
            f"after an hour at {', '.join(result.understated)}: the load test, round or "
            "down, turned far above the worn strain, so the lower figure is too low"
        ]
    if result.states:
        return []
    return [
        f"{result.fabric.name} has no load test both ways: tension, pressure and pull "
        "cannot be told"
    ]
