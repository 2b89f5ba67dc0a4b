"""``ease compare``: fabrics side by side, or what fabric a block needs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .options import (
    BodyOption,
    ForceOption,
    Hold,
    HoldOption,
    JsonOption,
    OpensOption,
    OverHeadOption,
    QuietOption,
    RoundOption,
    SetOption,
    Units,
    UnitsOption,
)
from .screen import Screen

if TYPE_CHECKING:
    from ease.block.check import WearCheck
    from ease.block.compare import Comparison, Suited
    from ease.sentence import Sentence

    from .loading import Wanted


def compare(
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="FABRIC...",
            help="Two to four fabrics; with --need any number, or all known ones.",
        ),
    ] = None,
    body: BodyOption = None,
    block: Annotated[
        str | None,
        typer.Option(
            "--block", help="A block to cut for each: a file, `demo` or `demo-soft`."
        ),
    ] = None,
    need: Annotated[
        bool,
        typer.Option(
            "--need",
            help="What a fabric for --block as it is must have, and who has it.",
        ),
    ] = False,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    overlay: Annotated[
        Path | None,
        typer.Option(
            "--overlay", help="Picture of the block cut for each: .png, .svg, .pdf."
        ),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Set fabrics side by side: cloth, factors, hold, and the block cut for each.

    Example: ease compare soft-tricot firm-tricot --body demo --block demo-soft
    """
    from ease.errors import UsageError

    from .loading import read_wanted

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    screen.check(pictures=[overlay], force=force)
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    if need:
        if block is None or overlay is not None or round_body is not None:
            message = "--need goes with --block, and without --overlay and --round"
            raise UsageError(message)
        _show_need(screen, names or [], (block, body), wanted)
        return
    if overlay is not None and block is None:
        message = "--overlay draws a block; name it with --block"
        raise UsageError(message)
    compared = _compare(names or [], (block, body), wanted)
    _show(screen, names or [], compared, units, overlay, force=force)


def _compare(
    names: list[str], subject: tuple[str | None, str | None], wanted: Wanted
) -> Comparison:
    from ease.block.compare import compare_fabrics
    from ease.fabric.store import load_fabric

    from .loading import person_for, read_block, read_person

    block_name, body = subject
    block = None if block_name is None else read_block(block_name)
    if block is not None:
        person = person_for(block, body)
    else:
        person = None if body is None else read_person(body)
    fabrics = [load_fabric(name) for name in names]
    return compare_fabrics(fabrics, person, block, **wanted._asdict())


def _show(
    screen: Screen,
    names: list[str],
    compared: Comparison,
    units: str,
    overlay: Path | None,
    *,
    force: bool,
) -> None:
    from ease.fabric.store import hiding_notes
    from ease.fit.pressure import CAUTIONS

    from .compare_json import compare_json
    from .compare_report import compare_parts

    screen.show(*compare_parts(compared, units))
    notes = [*hiding_notes(names), *_body_notes(compared)]
    for one in compared.suited:
        notes += _fabric_notes(compared, one)
    screen.notes(notes)
    if compared.body is not None:
        screen.notes(CAUTIONS[key] for key in ("comfort", "flotation"))
    screen.document("compare", {**compare_json(compared), "notes": notes})
    if overlay is not None:
        _write_overlay(compared, overlay, units, force=force)
        screen.wrote([overlay])


def _body_notes(compared: Comparison) -> list[str]:
    """Return the notes on a body, as far as they concern the block."""
    from .check_words import body_notes, length_notes

    body, block = compared.body, compared.block
    if body is None:
        return []
    if block is None:
        return list(body.notes)
    return [*body_notes(block, body), *length_notes(block, body)]


def _fabric_notes(compared: Comparison, one: Suited) -> list[str]:
    """Return what to know of one fabric."""
    from ease.block.cut_stops import CUT_SO
    from ease.block.way_round import turned_note
    from ease.sentence import Sentence

    name, notes = one.fabric.name, list[str]()
    if compared.block is not None and one.round_body != one.fabric.round_body:
        notes += filter(None, [turned_note(compared.block, one.fabric)])
    if one.refused:
        notes.append(Sentence("{}: refused, {}", name, one.refused))
    if one.reduction is not None:
        notes += [f"{name}: {note}" for note in one.reduction.notes]
    if one.as_it_is is not None:
        notes += _block_as_it_is(one.as_it_is)
    if one.refit is not None:
        notes += [
            Sentence("{}: {}", _cut_for(name, note), note)
            for note in one.refit.notes
            if note.startswith(("worn ", CUT_SO))
        ]
    return notes


def _cut_for(name: str, note: str) -> str:
    from ease.block.cut_stops import CUT_SO

    return name if note.startswith(CUT_SO) else f"{name}, cut for it"


def _block_as_it_is(check: WearCheck) -> list[Sentence]:
    """Say what is wrong with a block in a fabric."""
    from ease.sentence import Sentence

    said = "{}, block as it is: {}: {}"
    faults = check.faults.items()
    return [Sentence(said, check.fabric.name, key, why) for key, why in faults]


def _write_overlay(
    compared: Comparison, path: Path, units: str, *, force: bool
) -> None:
    from ease.show.compare import SIZE_IN, draw_cuts
    from ease.show.figure import save_figure

    cut = [one for one in compared.suited if one.refit is not None]
    blocks = [one.refit.block for one in cut if one.refit is not None]
    title = f"{blocks[0].name} cut for each fabric"
    save_figure(
        path,
        lambda axes: draw_cuts(
            axes, blocks, [one.fabric.name for one in cut], units=units, title=title
        ),
        size_in=SIZE_IN,
        title=title,
        force=force,
    )


def _show_need(
    screen: Screen, names: list[str], subject: tuple[str, str | None], wanted: Wanted
) -> None:
    from ease.block.suiting import which_suit
    from ease.errors import UsageError
    from ease.fabric.store import hiding_notes, load_fabric, readable_fabrics
    from ease.fit.pressure import CAUTIONS

    from .check_words import body_notes, length_notes
    from .compare_json import need_json
    from .compare_report import need_parts
    from .loading import person_for, read_block

    block = read_block(subject[0])
    person = person_for(block, subject[1])
    if person is None:
        message = "the block names no body that is known here; give --body"
        raise UsageError(message)
    known, left_out = ((), hiding_notes(names)) if names else readable_fabrics()
    fabrics = [load_fabric(name) for name in names] or known
    suiting = which_suit(block, person, fabrics, wanted.aim, wanted.allowed)
    screen.show(*need_parts(suiting, wanted.aim, person.title))
    notes = [*body_notes(block, person), *length_notes(block, person), *left_out]
    for one in suiting.having:
        if one.enough_stretch and one.right_power and not one.fits:
            notes += _block_as_it_is(one.check)
    screen.notes([*notes, CAUTIONS["comfort"], CAUTIONS["flotation"]])
    screen.document(
        "compare-need",
        {
            "block": block.name,
            "body": person.name,
            "hold": wanted.aim.name,
            **need_json(suiting),
            "notes": notes,
        },
    )
