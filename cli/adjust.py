"""``ease adjust``: a block for another fabric, with every change listed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .drawing_options import KnownOption, MapOption, UnitsInOption
from .options import (
    WANTED,
    BlockArgument,
    BodyOption,
    ElasticOption,
    ForceOption,
    Hold,
    HoldOption,
    JsonOption,
    OpensOption,
    OutOption,
    OverHeadOption,
    QuietOption,
    RoundOption,
    SetOption,
    Units,
    UnitsOption,
    refuse_idle,
)
from .report import ReportOption, report_target
from .screen import Screen

Pair = tuple[float, float]
_NO_FABRIC = (None, "body", "inferred")  # what --from takes besides a fabric


def adjust(
    ctx: typer.Context,
    block: BlockArgument,
    to: Annotated[
        str | None, typer.Option("--to", help="Fabric that it is to be cut in.")
    ] = None,
    from_: Annotated[
        str | None,
        typer.Option(
            "--from",
            help="What it was drafted for: a fabric, `body` (body size) or `inferred`; "
            "else what the block says, which counts where it names that fabric.",
        ),
    ] = None,
    to_factors: Annotated[
        Pair | None,
        typer.Option(
            "--to-factors",
            metavar="GIRTH LENGTH",
            help="Girth and length factor, such as 0.83 0.98, instead of --to.",
        ),
    ] = None,
    from_factors: Annotated[
        Pair | None,
        typer.Option(
            "--from-factors",
            metavar="GIRTH LENGTH",
            help="Those of the block, instead of --from.",
        ),
    ] = None,
    body: BodyOption = None,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    by_level: Annotated[
        bool,
        typer.Option(
            "--by-level",
            help="Give each level what its loop can carry: less where it is cut open.",
        ),
    ] = False,
    by_toile: Annotated[
        bool,
        typer.Option(
            "--by-toile",
            help="Cut by what toiles of this cloth or block have shown, too.",
        ),
    ] = False,
    overlay: Annotated[
        Path | None,
        typer.Option("--overlay", help="Picture of both blocks: .png, .svg or .pdf."),
    ] = None,
    elastic: ElasticOption = 80.0,
    out: OutOption = None,
    report: ReportOption = None,
    drawing_map: MapOption = None,
    known_length: KnownOption = None,
    units_in: UnitsInOption = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Adjust a block for another fabric and list every girth, length and seam.

    Example: ease adjust demo --from body --to firm-tricot --overlay both.png
    """
    from ease.block.refit import refit

    from .adjust_report import (
        adjust_json,
        adjust_tables,
        report_adjusted,
        write_adjusted,
    )
    from .loading import (
        DrawingHelp,
        person_for,
        read_drawn_block,
        read_wanted,
    )
    from .old_and_new import OldAndNew
    from .opening_tables import elastic_notes

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    _check_files(screen, out, overlay, force=force)
    target = report_target(ctx, report)
    drawing = DrawingHelp(drawing_map, known_length, units_in)
    file = read_drawn_block(block, drawing, units)
    old_block = file.block
    person = person_for(old_block, body)
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    if to_factors is not None and from_ in (None, "body", "inferred"):
        refuse_idle(ctx, WANTED, "factors given by hand stand as they are")
    choice = OldAndNew(old_block, person, wanted, by_toile=by_toile)
    old = choice.old(from_, from_factors)
    result = refit(
        old_block,
        old,
        choice.new(to, to_factors, old),
        person,
        by_level=by_level,
    )
    screen.show(*adjust_tables(result, units, elastic, wanted.allowed))
    elastics = elastic_notes(result.block)
    stops = choice.stops(to, result.block)
    notes = [*stops, *file.notes, *choice.notes, *result.notes, *elastics]
    notes = list(dict.fromkeys(notes))
    screen.notes(notes)
    if as_json:
        screen.document("adjust", {**adjust_json(result, elastic), "notes": notes})
    written = write_adjusted(result, out, overlay, units, force=force)
    target = target.about(
        ("block", block),
        ("body", body or (person.name if person else None)),
        *(("fabric", name) for name in (from_, to) if name not in _NO_FABRIC),
        ("file", drawing_map),
    )
    choices = wanted.aim, wanted.allowed
    page = report_adjusted(target, result, units, notes, choices, elastic)
    screen.wrote([*written, *page])


def _check_files(
    screen: Screen, out: Path | None, overlay: Path | None, *, force: bool
) -> None:
    from ease.errors import UsageError

    from .loading import check_block_file

    screen.check([out], pictures=[overlay], force=force)
    check_block_file(out)
    if out is not None and out == overlay:
        message = f"{out}: --out and --overlay need a file each"
        raise UsageError(message)
