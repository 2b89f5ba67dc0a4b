"""What the user should hear about a block that is adjusted, in plain sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ease.block.cut_levels import cut_levels
from ease.block.drafted_notes import far_notes, shape_notes
from ease.block.loop_ends import open_loop_notes
from ease.block.pieces import Block
from ease.block.plan import Factors
from ease.block.sewing_notes import sewing_notes
from ease.body.measures import Body
from ease.fit.outside import SAME_STRAIN
from ease.units import apart_texts

__all__ = ["Beyond", "beyond_windows", "refit_notes", "window_notes"]


def refit_notes(
    block: Block, old: Factors, body: Body | None, *, by_level: bool
) -> tuple[str, ...]:
    """Return notes on a block and on what it is said to be drafted for.

    Args:
        block: The block before.
        old: Factors it is said to be drafted with.
        body: The body it is compared with.
        by_level: Whether each level gets what its loop can carry.
    """
    notes: list[str] = [cut.text for cut in cut_levels(block)]
    notes += [*sewing_notes(block), *open_loop_notes(block), *far_notes(old)]
    cut_open = [level.name for level in block.levels if level.loop != "closed"]
    if cut_open and not by_level:
        notes.append(
            f"cut open at {', '.join(cut_open)}: cloth cannot pull round there; "
            "--by-level takes less off where the loop is open"
        )
    if body is not None:
        notes += shape_notes(block, old, body)
        if not block.loop_path:
            notes.append(
                "no torso loop is marked on the block, so its length was not compared "
                "with the body's"
            )
    if not block.seams:
        notes.append(
            "no seams are named on the block, so edges that are sewn together were not "
            "compared"
        )
    if free := _not_held(block):
        notes.append(
            f"no distance is held on the block, so {', '.join(free)} change width with "
            "the rest; name held distances to keep them"
        )
    return tuple(notes)


def _not_held(block: Block) -> list[str]:
    """Edges whose width usually stays, of a block that holds no distance."""
    names = [f"{piece.name}.{e.name}" for piece in block.pieces for e in piece.edges]
    usual = ("strap", "crotch")
    return [
        name
        for name in names
        if not block.holds and name.rpartition(".")[2].startswith(usual)
    ]


def window_notes(
    strains: Mapping[str, float], down: float | None, new: Factors
) -> tuple[str, ...]:
    """Return notes where the adjusted block is worn beyond a window.

    Args:
        strains: Worn strain of each closed level of the block after.
        down: Worn strain down; None where it is not known.
        new: Factors it is cut with; those given by hand have no window.
    """
    mend = "`ease check` on the new block tells what follows"
    return tuple(
        f"worn {found}: outside the window of {new.fabric} {way}, "
        f"{100 * low:.1f} to {100 * high:.1f} %; {mend}"
        for way, found, (low, high) in beyond_windows(strains, down, new)
    )


class Beyond(NamedTuple):
    """A window that is left: ``round`` or ``down``, how far in words, and its ends."""

    way: str
    worn: str
    window: tuple[float, float]


def beyond_windows(
    strains: Mapping[str, float], down: float | None, new: Factors
) -> list[Beyond]:
    """Return where a block is worn beyond a window.

    Args:
        strains: Worn strain of each closed level.
        down: Worn strain down; None where it is not known.
        new: Factors it is cut with; those given by hand have no window.
    """
    length = {} if down is None else {"": down}
    sides = (
        ("round", strains, new.girth_window),
        ("down", length, new.length_window),
    )
    return [
        Beyond(way, found, window)
        for way, worn, window in sides
        if window is not None and (found := _beyond(worn, *window))
    ]


def _beyond(strains: Mapping[str, float], low: float, high: float) -> str:
    return ", ".join(
        f"{apart_texts(strain, low if strain < low else high)[0]} %"
        f"{f' at {name}' if name else ' down'}"
        for name, strain in strains.items()
        if not low - SAME_STRAIN <= strain <= high + SAME_STRAIN
    )
