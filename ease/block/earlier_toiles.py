"""What earlier toiles of a block have shown: measures of the wearer, and of which cloth.

Marks on a toile can say that a measure of the wearer was taken wrong. The block that was
corrected for it keeps the measure as taped and as found, and its factors are cut over body
as found. Whoever measures again replaces both, or says in the body's file that the measure
reads the same: then the block is that much off its factors.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ease.block.pieces import Block, DraftedFor, FoundMeasure
from ease.body.measures import Body, body_problems
from ease.fabric.profile import Fabric
from ease.sentence import Length, Sentence

__all__ = [
    "as_worn",
    "cut_back",
    "found_notes",
    "left_open",
    "retaken",
    "same_cloth",
    "toiled_ways",
]

_SAME_CM: Final = 1e-6


def as_worn(block: Block, body: Body) -> Body:
    """Return a body with the measures that toiles of a block have found.

    Args:
        block: The block.
        body: The body. Of another name than the wearer's nothing is replaced, and no
            measure that was given and is not the one that was taped then.
    """
    toiled = block.drafted_for.toiled
    if body.name != toiled.wearer:
        return body
    found = [
        one
        for one in toiled.measures
        if one.key in body.filled
        or (
            one.key in body
            and one.key not in body.again
            and abs(body[one.key] - one.taped) < _SAME_CM
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
    if worn.name != toiled.wearer:
        return ()
    anew = retaken(block, worn)
    taken = (one for one in toiled.measures if one.key in worn and one not in anew)
    notes = (_taken_as(one, one.taped, filled=False) for one in taken)
    return (*notes, *_cleared_notes(block, worn))


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


def retaken(block: Block, body: Body) -> tuple[FoundMeasure, ...]:
    """Return what toiles found of the wearer that was measured again since.

    Args:
        block: The block.
        body: The body, as :func:`as_worn` returns it.
    """
    toiled = block.drafted_for.toiled
    if body.name != toiled.wearer:
        return ()
    return tuple(
        one
        for one in toiled.measures
        if one.key in body and abs(body[one.key] - one.found) >= _SAME_CM
    )


def left_open(block: Block, body: Body) -> dict[str, FoundMeasure]:
    """Return girths found that may be as taped after all, the cloth being off instead.

    Marks at other levels can tell. Down the body there is but one, so that a torso loop
    stays as found until it is taken again.

    Args:
        block: The block.
        body: The body, as :func:`as_worn` returns it.
    """
    toiled = block.drafted_for.toiled
    if body.name != toiled.wearer:
        return {}
    anew = retaken(block, body)
    return {
        one.key: one
        for one in toiled.measures
        if not (one.sure or one.key == "torso_loop" or one in anew) and one.key in body
    }


def toiled_ways(said: DraftedFor, round_body: str) -> tuple[float, float]:
    """Return what toiles multiplied the factors round and down by, for their cloth.

    It is of the directions of the cloth: turned, the other one goes round the body.

    Args:
        said: What the block was drafted for.
        round_body: Cloth direction that goes round the body now.
    """
    ways = said.toiled.girth, said.toiled.length
    turned = bool(said.round_body) and said.round_body != round_body
    return ways[::-1] if turned else ways


def same_cloth(block: Block, fabric: Fabric) -> bool:
    """Return whether a block was cut for a fabric.

    By its name, or by the one that it had when a toile of it was kept with it: ``ease
    toile --save`` may give it a new one.

    Args:
        block: The block.
        fabric: The fabric.
    """
    name = block.drafted_for.fabric
    earlier = {one.fabric for one in fabric.evidence}
    return bool(name) and name in {fabric.name, *earlier}
