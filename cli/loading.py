"""From names and files on the command line to the records of the library."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from ease.block.pieces import Block
    from ease.block.plan import Factors
    from ease.body.measures import Body
    from ease.fabric.profile import DirectionName
    from ease.files.any_block import BlockFile
    from ease.files.dxf_out import DxfVersion
    from ease.fit.aims import Aim, Allowed
    from ease.fit.decide import Reduction

    from .drawing_options import FileUnit
    from .options import Hold, RoundBody, Units


def read_person(name: str) -> Body:
    """Load a body by name or file, with missing measures filled in."""
    from ease.body.fill_in import complete
    from ease.body.load import load_body

    return complete(load_body(name))


class DrawingHelp(NamedTuple):
    """What a foreign drawing does not say of itself."""

    map_path: Path | None = None
    known_length: str | None = None
    units_in: FileUnit | None = None


def read_block(name: str) -> Block:
    """Load a block that says all of itself, or a shipped one by name."""
    return read_drawn_block(name).block


def read_drawn_block(
    name: str, drawing: DrawingHelp | None = None, units: Units | None = None
) -> BlockFile:
    """Load a block from a file, or a shipped one by name, with what was understood."""
    from ease.files.any_block import read_block_file

    from .drawing_options import known_length_of
    from .options import Units

    told = drawing or DrawingHelp()
    return read_block_file(
        name,
        map_path=told.map_path,
        known=known_length_of(told.known_length, units or Units.CM),
        units_in="" if told.units_in is None else told.units_in.value,
    )


def check_block_file(path: Path | None) -> None:
    """Refuse a file for a block whose ending names no kind that can be written."""
    from ease.endings import file_kind
    from ease.errors import UsageError
    from ease.files.any_block import WRITABLE

    if path is not None and file_kind(path) not in WRITABLE:
        message = f"{path}: a block is written as .{', .'.join(WRITABLE)}"
        raise UsageError(message)


def write_block(
    block: Block, path: Path, *, dxf: DxfVersion = "r2000", force: bool
) -> None:
    """Write a block as TOML, SVG, DXF or full-scale PDF, by the file's ending."""
    from ease.endings import file_kind
    from ease.files.any_block import block_bytes
    from ease.write import write_bytes

    check_block_file(path)
    if file_kind(path) == "pdf":
        from ease.files.sheet import print_block
        from ease.files.sheet_paper import SheetOptions, paper_named

        printed = print_block(block, SheetOptions(paper=paper_named("a4")))
        write_bytes(path, printed.pdf, force=force)
    else:
        write_bytes(
            path, block_bytes(block, file_kind(path), dxf_version=dxf), force=force
        )


class Wanted(NamedTuple):
    """How firmly a garment should hold, under which limits, and which way round."""

    aim: Aim
    allowed: Allowed
    round_body: DirectionName | None


def read_wanted(
    hold: Hold,
    numbers: Sequence[str] | None,
    round_body: RoundBody | None,
    *,
    over_head: bool = False,
    opens: bool = False,
) -> Wanted:
    """Return what was asked for: a hold with its numbers, some of them changed."""
    from ease.errors import UsageError
    from ease.fit.aims import AIMS, Allowed, changed

    if over_head and opens:
        message = "give --over-head or --opens, not both: what opens is not pulled on"
        raise UsageError(message)
    aim, allowed = changed(
        AIMS[hold.value],
        Allowed(over_head=over_head, opens=opens),
        dict(_numbers(numbers or ())),
    )
    return Wanted(aim, allowed, None if round_body is None else round_body.value)


def _numbers(texts: Iterable[str]) -> Iterator[tuple[str, float]]:
    from ease.errors import UnitError, UsageError
    from ease.units import number_from_text

    for text in texts:
        name, equals, number = text.partition("=")
        if not equals:
            message = f"--set {text}: write NAME=NUMBER, such as pressure_kpa=0.4"
            raise UsageError(message)
        try:
            value = number_from_text(number)
        except UnitError as error:
            message = f"--set {text}: {error}"
            raise UsageError(message) from None
        yield name.strip(), value


def read_reduction(fabric: str, person: Body, wanted: Wanted) -> Reduction:
    """Load a fabric by name or file, and decide for a body."""
    from dataclasses import replace

    from ease.fabric.store import hiding_notes, load_fabric
    from ease.fit.decide import decide

    reduction = decide(load_fabric(fabric), person, **wanted._asdict())
    return replace(reduction, notes=(*hiding_notes([fabric]), *reduction.notes))


def person_for(block: Block, body: str | None) -> Body | None:
    """Return the body named, else the one the block was drafted for, if known.

    With the measures that toiles of the block found, where they were not taken again.
    """
    from ease.block.as_worn import as_worn
    from ease.body.shipped import shipped_names

    drafted = block.drafted_for.body
    if body is None and drafted not in shipped_names():
        return None
    return as_worn(block, read_person(body or drafted))


def factors_for_fabric(
    fabric: str, person: Body | None, wanted: Wanted
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
    reduction = read_reduction(fabric, person, wanted)
    notes = tuple(f"{fabric}: {note}" for note in reduction.notes)
    return Factors.from_reduction(reduction), notes
