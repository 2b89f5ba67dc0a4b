"""The wearer's measures as toiles of a block found them, and what to know of them."""

from __future__ import annotations

from dataclasses import replace

from ease.block.earlier_toiles import SAME_CM, is_wearer, retaken, same_cloth
from ease.block.pieces import Block, FoundMeasure
from ease.body.measures import Body, body_problems
from ease.fabric.profile import Fabric
from ease.sentence import Length, Sentence

__all__ = ["as_worn", "cut_back", "found_notes", "other_wearer"]


def as_worn(block: Block, body: Body) -> Body:
    """Return a body with the measures that toiles of a block have found.

    Args:
        block: The block.
        body: The body. Of one that is not the wearer nothing is replaced, which a note
            says, and no measure that was given and is not the one that was taped then.
    """
    toiled = block.drafted_for.toiled
    if not is_wearer(block, body):
        other = other_wearer(block, body) if toiled.measures else None
        if other is None or other in body.notes:
            return body
        return replace(body, notes=(other, *body.notes))
    found = [
        one
        for one in toiled.measures
        if one.lay is None
        and (
            one.key in body.filled
            or (
                one.key in body
                and one.key not in body.again
                and abs(body[one.key] - one.taped) < SAME_CM
            )
        )
    ]
    values = {**body.values, **{one.key: one.found for one in found}}
    if body_problems(values):
        return body
    worn = replace(body, values=values)
    notes = (
        *(_taken_as(one, body[one.key], one.key in body.filled) for one in found),
        *_cleared_notes(block, worn),
    )
    keys = {one.key for one in found}
    filled = {key: how for key, how in body.filled.items() if key not in keys}
    # What is said of a measure that was filled in no longer holds; nothing is said twice.
    kept = [
        note
        for note in body.notes
        if note not in notes
        and ("torso_loop" not in keys or not note.startswith("THE TORSO LOOP"))
    ]
    return replace(worn, filled=filled, notes=(*notes, *kept))


def found_notes(block: Block, worn: Body) -> tuple[Sentence, ...]:
    """Return what to know of the wearer's measures that toiles of a block have found.

    Args:
        block: The block.
        worn: The body, as :func:`as_worn` returns it.
    """
    toiled = block.drafted_for.toiled
    if not is_wearer(block, worn):
        other = other_wearer(block, worn) if toiled.measures else None
        return () if other is None else (Sentence(other),)
    anew = retaken(block, worn)
    taken = (
        one
        for one in toiled.measures
        if one.lay is None and one.key in worn and one not in anew
    )
    notes = (_taken_as(one, one.taped, filled=False) for one in taken)
    return (*notes, *_cleared_notes(block, worn))


def other_wearer(block: Block, body: Body) -> str | None:
    """Return that toiles of a block were worn by another body, if by any.

    Args:
        block: The block.
        body: The body.
    """
    toiled = block.drafted_for.toiled
    if not toiled.wearer or is_wearer(block, body):
        return None
    return (
        f"toiles of this block were worn by {toiled.wearer}, and {body.name} is taken for "
        "someone else: nothing found or meant there counts; if it is the same wearer, a "
        f"line `# name = {toiled.wearer}` in the file of {body.name} says so"
    )


def cut_back(block: Block, body: Body | None, fabric: Fabric) -> str | None:
    """Return that a block cut anew loses what a toile corrected by a loop that is none.

    A girth that is none leaves the correction in the level's own factor, which stays.

    Args:
        block: The block.
        body: The body; None where none is known.
        fabric: The fabric that it is to be cut in, by the swatch.

    Returns:
        A note; None where nothing is lost.
    """
    if body is None or not same_cloth(block, fabric):
        return None
    lost = {one.key for one in _none(block, as_worn(block, body))}
    if "torso_loop" not in lost or not block.drafted_for.toiled.meant:
        return None
    return (
        f"{fabric.name}: CUT BY THE SWATCH ALONE, which cuts back what a toile corrected "
        "(the torso loop): let `ease toile` --save tell the fabric first, then `--by-toile`"
    )


def _none(block: Block, worn: Body) -> list[FoundMeasure]:
    """Return the found measures that, taken again, read rather as taped at first."""
    return [
        one
        for one in retaken(block, worn)
        if abs(worn[one.key] - one.taped) < abs(worn[one.key] - one.found)
    ]


def _cleared_notes(block: Block, worn: Body) -> tuple[Sentence, ...]:
    return tuple(_cleared(one, worn, block) for one in _none(block, worn))


def _taken_as(one: FoundMeasure, was_cm: float, filled: bool) -> Sentence:
    """Say that a measure is taken as found, and what to do about it."""
    again = (
        f" again; where it reads the same, `# measured_again = {one.key}` in its file (in "
        f'TOML above [body], `measured_again = "{one.key}"`) says so'
    )
    return Sentence(
        f"{one.key.replace('_', ' ')}: taken as {{}}, as a toile of this block found"
        f"{'' if one.sure else ', which could not tell it from the cloth'}; it was "
        f"{'filled in' if filled else 'taped'} as {{}}: measure it"
        f"{'' if filled else again}",
        *(Length(one.found), Length(was_cm)),
    )


def _cleared(one: FoundMeasure, body: Body, block: Block) -> Sentence:
    """Say what follows where a measure that a toile found is none when taken again."""
    cloth = "" if one.sure else " or the cloth"
    why = "something else was off" if one.sure else "the cloth lay otherwise"
    if one.key != "torso_loop":
        why = f"{'the toile' if one.sure else 'the cloth, or the toile,'} lay otherwise"
        rest = (
            "what was corrected there stays the block's own, but where it is cut "
            "`--by-level`; `ease toile` on marks and block of that toile, with this body, "
            "says why"
        )
    elif block.drafted_for.toiled.meant:
        rest = (
            "so the block is right for that cloth alone, though swatch and body say not: "
            "`ease toile` on marks and block of that toile, with this body and --save, "
            "tells the fabric"
        )
    else:
        rest = (
            "this block was adjusted since by a measure that is none: adjusted with this "
            "body, it goes by the one taken again"
        )
    return Sentence(
        f"{one.key.replace('_', ' ')}: a toile found {{}}{cloth}; measured again it is {{}}"
        f", so that {why}: {rest}",
        *(Length(one.found), Length(body[one.key])),
    )
