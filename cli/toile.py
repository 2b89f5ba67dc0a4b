"""``ease toile``: marks measured on the worn toile, and what they correct."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .options import (
    ForceOption,
    JsonOption,
    OutOption,
    QuietOption,
    RoundOption,
    Units,
    UnitsOption,
)
from .screen import Screen

if TYPE_CHECKING:
    from datetime import date

    from ease.block.toile_correct import Correction
    from ease.fabric.profile import DirectionName, Fabric


def toile(
    readings: Annotated[
        str,
        typer.Argument(
            help="Marks, CSV or TOML: place (a level), direction (round, down), repeat, "
            "relaxed, worn, remark; or `demo`."
        ),
    ],
    block: Annotated[
        str, typer.Option("--block", help="The block that it was cut by.")
    ],
    fabric: Annotated[
        str, typer.Option("--fabric", help="Its fabric: a name or a profile file.")
    ],
    body: Annotated[
        str, typer.Option("--body", help="The wearer: a file or a shipped body.")
    ],
    round_body: RoundOption = None,
    out: OutOption = None,
    save: Annotated[
        str | None,
        typer.Option(
            "--save",
            metavar="NAME",
            help="Keep an own fabric of this name with what the toile shows.",
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(
            "--date", metavar="YYYY-MM-DD", help="When it was measured; else today."
        ),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Set the strain really worn against the predicted one, and correct the block.

    Draw marks of known length on the relaxed toile, at levels of the block, round and
    down; repeats are other marks round the same level. Measure them on the wearer.

    A remark that begins with pulls, tight, digs in or cuts in is set against marks that
    are longer than predicted; one with gapes, loose, sags, folds or stands off against
    shorter ones. Any other remark is shown as written.

    To add what a toile shows to your own fabric that it was sewn in, name that fabric
    in --save; any other name that is taken needs --force.

    Example: ease toile demo --block demo-soft --fabric soft-tricot --body demo
    """
    from dataclasses import replace

    from ease.block.toile_correct import correct
    from ease.block.toile_weigh import toile_places, weigh_toile
    from ease.block.way_round import turned_note
    from ease.demo import TOILE
    from ease.fabric.store import hiding_notes, load_fabric, save_fabric
    from ease.fabric.toile_readings import read_toile

    from .check_words import body_notes
    from .loading import check_block_file, read_block, read_person, write_block
    from .toile_json import toile_json
    from .toile_notes import toile_notes
    from .toile_report import toile_parts

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    screen.check([out], force=force)
    check_block_file(out)
    measured_on = _day(day)
    replaces = save is not None and _may_replace(save, fabric, force=force)
    drafted, person = read_block(block), read_person(body)
    asked: DirectionName | None = None if round_body is None else round_body.value
    path = TOILE if readings == "demo" else Path(readings)
    read = read_toile(path, toile_places(drafted, person))
    weighed = weigh_toile(
        read,
        drafted,
        person,
        load_fabric(fabric),
        round_body=asked,
    )
    result = correct(weighed)
    as_taped = tuple(
        f"{name.replace('_', ' ')}: taken as " for name in weighed.counted_as_taped
    )
    screen.show(*toile_parts(result, units))
    notes = [
        *read.notes,
        *hiding_notes([fabric]),
        *filter(None, [turned_note(drafted, weighed.fabric, asked)]),
        *(
            note
            for note in body_notes(drafted, weighed.body)
            if not note.startswith(as_taped)
        ),
        *toile_notes(result, measured_on),
    ]
    screen.notes(notes)
    screen.document("toile", {**toile_json(result), "notes": notes})
    kept = None if save is None else _with_evidence(result, measured_on, read.origin)
    if out is not None:
        write_block(result.block, out, force=force)
        screen.wrote([out])
    if kept is not None and save is not None:
        screen.wrote([save_fabric(replace(kept, name=save), force=replaces)])


def _day(text: str | None) -> date:
    from datetime import date

    from ease.errors import UsageError

    today = date.today()
    if text is None:
        return today
    try:
        day = date.fromisoformat(text)
    except ValueError:
        message = f"--date {text}: write a day that exists, such as 2026-05-31"
        raise UsageError(message) from None
    if day > today:
        message = f"--date {text}: is still to come; today is {today}"
        raise UsageError(message)
    return day


def _may_replace(name: str, fabric: str, *, force: bool) -> bool:
    """Return whether a fabric that is kept under a name may be written again.

    It may where it is the very one that the toile was sewn in: evidence is added to it,
    and nothing is lost.

    Raises:
        WriteError: If another fabric has that name, and ``force`` is not set.
    """
    from ease.fabric.store import check_save, fabric_file

    own = check_save(name, force=True)
    if own.exists() and own.resolve() == fabric_file(fabric).resolve():
        return True
    check_save(name, force=force)
    return force


def _with_evidence(result: Correction, day: date, origin: str) -> Fabric:
    """Return the fabric with the evidence added; the same evidence is not added twice."""
    from dataclasses import replace

    from ease.block.toile_evidence import evidence_of
    from ease.errors import RefusedError

    fabric = result.toile.fabric
    if origin == "invented" and fabric.origin != "invented":
        message = (
            f"the marks are invented and fabric {fabric.name} is {fabric.origin}: "
            "invented figures are no evidence for it"
        )
        raise RefusedError(message)
    found = evidence_of(result, day)
    if found in fabric.evidence:
        return fabric
    return replace(fabric, evidence=(*fabric.evidence, found))
