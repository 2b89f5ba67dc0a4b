"""``ease check``: a block on a body as it is, in one fabric or ranked over all."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .drawing_options import KnownOption, MapOption, UnitsInOption
from .options import (
    BlockArgument,
    ForceOption,
    Hold,
    HoldOption,
    JsonOption,
    OneBodyOption,
    OpensOption,
    OverHeadOption,
    QuietOption,
    RoundOption,
    SetOption,
    Units,
    UnitsOption,
)
from .report import ReportOption, report_target
from .screen import Screen


def check(
    ctx: typer.Context,
    block: BlockArgument,
    body: OneBodyOption,
    fabric: Annotated[
        str | None,
        typer.Option(
            "--fabric", help="A fabric; without it all known ones are ranked."
        ),
    ] = None,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    accept_pressure: Annotated[
        bool,
        typer.Option(
            "--accept-pressure",
            help="Answer though the pressure is unsafe; for licensed practice only.",
        ),
    ] = False,
    picture: Annotated[
        Path | None,
        typer.Option(
            "--picture", help="Picture of strain and pressure: .png, .svg, .pdf."
        ),
    ] = None,
    drawing_map: MapOption = None,
    known_length: KnownOption = None,
    units_in: UnitsInOption = None,
    report: ReportOption = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Check how a block would be worn: strain, pressure, pull, and whether it goes on.

    Pressure figures are comfort estimates, not medical advice. The exit code is 1 where
    it does not go on or presses unsafely.

    Example: ease check demo-soft --body demo --fabric soft-tricot
    """
    from ease.block.as_worn import as_worn
    from ease.errors import UsageError
    from ease.fabric.store import fabric_names

    from .check_ranking import show_ranking
    from .check_report import show_check
    from .loading import DrawingHelp, read_drawn_block, read_person, read_wanted

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    screen.check(pictures=[picture], force=force)
    target = report_target(ctx, report)
    if picture is not None and fabric is None:
        message = "--picture shows the wear of one fabric; name it with --fabric"
        raise UsageError(message)
    drawing = DrawingHelp(drawing_map, known_length, units_in)
    file = read_drawn_block(block, drawing, units)
    screen.notes(file.notes)
    subject = (file.block, as_worn(file.block, read_person(body)))
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    cloths = fabric_names() if fabric is None else [fabric]
    target = target.about(
        ("block", block),
        ("body", body),
        *(("fabric", name) for name in cloths),
        ("file", drawing_map),
    )
    if fabric is None:
        show_ranking(screen, subject, wanted.aim, wanted.allowed, target)
        return
    fits = show_check(
        screen,
        subject,
        (fabric, wanted),
        units,
        target,
        accept_pressure=accept_pressure,
        picture=picture,
        force=force,
    )
    if not fits:
        raise typer.Exit(1)
