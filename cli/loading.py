"""From names and files on the command line to the records of the library."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ease.block.pieces import Block
    from ease.block.plan import Factors
    from ease.body.measures import Body
    from ease.fit.decide import Reduction

    from .options import Hold, RoundBody


def read_person(name: str) -> Body:
    """Load a body by name or file, with missing measures filled in."""
    from ease.body.fill_in import complete
    from ease.body.load import load_body

    return complete(load_body(name))


def read_block(name: str) -> Block:
    """Load a block from a file, or a shipped one by name."""
    from ease.demo import shipped_block
    from ease.files.block_toml import load_block

    return load_block(shipped_block(name) or Path(name))


def read_reduction(
    fabric: str,
    person: Body,
    hold: Hold,
    round_body: RoundBody | None,
    *,
    over_head: bool = False,
) -> Reduction:
    """Load a fabric by name or file, and decide for a body."""
    from ease.fabric.store import load_fabric
    from ease.fit.aims import AIMS, Allowed
    from ease.fit.decide import decide

    return decide(
        load_fabric(fabric),
        person,
        aim=AIMS[hold.value],
        allowed=Allowed(over_head=over_head),
        round_body=round_body.value if round_body else None,
    )


def person_for(block: Block, body: str | None) -> Body | None:
    """Return the body named, else the one the block was drafted for, if known."""
    from ease.body.shipped import shipped_names

    drafted = block.drafted_for.body
    if body is None and drafted not in shipped_names():
        return None
    return read_person(body or drafted)


def factors_for_fabric(
    fabric: str, person: Body | None, hold: Hold, round_body: RoundBody | None
) -> tuple[Factors, tuple[str, ...]]:
    """Return the factors of a fabric on a body, with the notes on them.

    Raises:
        UsageError: If there is no body.
    """
    from ease.block.plan import Factors
    from ease.errors import UsageError

    if person is None:
        message = "the block names no body that is known here; give --body"
        raise UsageError(message)
    reduction = read_reduction(fabric, person, hold, round_body)
    notes = tuple(f"{fabric}: {note}" for note in reduction.notes)
    return Factors.from_reduction(reduction), notes
