"""``ease swatch``: test a swatch by hand, and keep it as a fabric."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from .options import ForceOption, JsonOption, QuietOption, Units, UnitsOption
from .screen import Screen

ASK_FILE = Path("swatch.csv")


class ClassTableName(StrEnum):
    """Tables of trade classes."""

    RANGES = "ranges"
    GAUGE = "gauge"


def swatch(
    readings: Annotated[
        Path | None,
        typer.Argument(help="Readings, CSV or TOML; with --ask the file to be filled."),
    ] = None,
    save: Annotated[
        str | None,
        typer.Option("--save", help="Keep it as an own fabric of this name."),
    ] = None,
    title: Annotated[
        str, typer.Option("--title", help="With --save: what you call the cloth.")
    ] = "",
    drop_outliers: Annotated[
        bool, typer.Option("--drop-outliers", help="Leave out repeats that stand out.")
    ] = False,
    ask: Annotated[
        bool, typer.Option("--ask", help="Guide the bench test question by question.")
    ] = False,
    classes: Annotated[
        ClassTableName, typer.Option("--class-table", help="Table of stretch classes.")
    ] = ClassTableName.RANGES,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Turn readings of a swatch into stretch, growth, recovery and contraction.

    Columns of a CSV are direction (across, along), gauge, extended and, where read,
    repeat, rested, rest_minutes, width, width_extended, load, strip_width; units stand
    in brackets, as in `gauge (cm)`. For a garment that gets wet, wet_rested: soak the
    strip, pull it as far as before, let it rest as long, wet, and measure it again.

    Example: ease swatch readings.csv --save my-lycra
    """
    from ease.fabric.advice import advice
    from ease.fabric.classes import class_table
    from ease.fabric.hand_and_load import hand_and_load_notes
    from ease.fabric.readings import read_reading_file
    from ease.fabric.store import check_save, save_fabric
    from ease.fabric.swatch import summarise

    from .hand_test import hand_fabric
    from .swatch_tables import readings_tables, summary_table, swatch_json

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    if save is not None:
        check_save(save, force=force)
    file = read_reading_file(_filled(readings, units, screen, ask=ask))
    summary = summarise(file.readings, drop_outliers=drop_outliers)
    table = class_table(classes.value)
    screen.show(
        *readings_tables(file.readings, units),
        summary_table(summary),
        "\n".join(advice(summary, table)),
    )
    notes = [*file.notes, *summary.notes]
    if save is not None:
        fabric, kept = hand_fabric(summary, file, save, title)
        notes += [*kept, *hand_and_load_notes(fabric)]
    screen.notes(notes)
    screen.document("swatch", swatch_json(summary, table))
    if save is not None:
        screen.wrote([save_fabric(fabric, force=force)])


def _filled(path: Path | None, units: str, screen: Screen, *, ask: bool) -> Path:
    """Return the file of readings, after the questions if they are wanted."""
    from ease.errors import UsageError

    if not ask:
        if path is None:
            message = (
                "name a file of readings, or add --ask to be guided through the test"
            )
            raise UsageError(message)
        return path
    from .ask import ask_readings

    ask_readings(path or ASK_FILE, units, quiet=screen.quiet)
    return path or ASK_FILE
