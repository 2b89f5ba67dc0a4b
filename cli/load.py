"""``ease load``: from weights on a strip, or a tester's export, to tension curves."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .options import ForceOption, JsonOption, QuietOption, RoundBody, length_of
from .screen import Screen

if TYPE_CHECKING:
    from ease.fabric.load_test import LoadTest
    from ease.fabric.profile import Fabric


class LoadUnit(StrEnum):
    """Units of load."""

    N = "N"
    CN = "cN"
    G = "g"
    KG = "kg"
    LB = "lb"
    OZ = "oz"


class LengthUnit(StrEnum):
    """Units of length in a file of readings."""

    MM = "mm"
    CM = "cm"
    INCH = "in"


def load(
    readings: Annotated[
        Path, typer.Argument(help="A table of readings, or a tester's export.")
    ],
    direction: Annotated[
        RoundBody | None,
        typer.Option("--direction", help="Cloth direction, if the file names none."),
    ] = None,
    gauge: Annotated[
        str | None, typer.Option("--gauge", help="Gauge length, such as 10cm.")
    ] = None,
    strip_width: Annotated[
        str | None, typer.Option("--strip-width", help="Width of strip or loop.")
    ] = None,
    layers: Annotated[
        int | None,
        typer.Option("--layers", min=1, max=2, help="1 for a strip, 2 for a loop."),
    ] = None,
    units_load: Annotated[
        LoadUnit | None, typer.Option("--units-load", help="Unit of load.")
    ] = None,
    units_length: Annotated[
        LengthUnit | None, typer.Option("--units-length", help="Unit of length.")
    ] = None,
    save: Annotated[
        str | None,
        typer.Option("--save", help="Keep the curves in the own fabric of this name."),
    ] = None,
    fabric: Annotated[
        str | None,
        typer.Option("--fabric", help="With --save: the fabric to add the curves to."),
    ] = None,
    hand: Annotated[
        Path | None,
        typer.Option("--hand", help="With --save: hand-test readings of the cloth."),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", help="Picture of the curves: .png, .svg or .pdf."),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Turn a load test into tension curves, with energy lost and spread of repeats.

    Columns of a hand-made CSV are direction (across, along), repeat, branch (loading, as
    weights go on; unloading, as they come off; up and down are read as well), load and
    length (or extension, from the gauge), as in `load (g)`; `# gauge = 20 cm` and
    `# strip_width = 5 cm` stand above. What a tensile tester wrote is read as it is.

    Example: ease load weights.csv --save my-lycra
    """
    from ease.fabric.hand_and_load import hand_and_load_notes
    from ease.fabric.load_readings import Given, read_load_test
    from ease.fabric.store import hiding_notes

    from .load_report import held_lines, load_json, load_table

    _check_options(save, fabric, hand)
    screen = Screen(as_json=as_json, quiet=quiet)
    screen.check(pictures=[picture], force=force)
    given = Given(
        gauge=None if gauge is None else length_of("--gauge", gauge, "cm"),
        strip_width=None
        if strip_width is None
        else length_of("--strip-width", strip_width, "cm"),
        layers=layers,
        load_unit=None if units_load is None else units_load.value,
        length_unit=None if units_length is None else units_length.value,
        direction=None if direction is None else direction.value,
    )
    test = read_load_test(readings, given)
    kept, stayed = None, list[str]()
    if save is not None:
        kept, stayed = _fuller(test, save, fabric, hand, force=force)
    screen.show(f"understood: {test.understood}", load_table(test), *held_lines(test))
    doubts = () if kept is None else hand_and_load_notes(kept)
    notes = [*doubts, *test.notes, *stayed, *hiding_notes([fabric or ""])]
    screen.notes(notes)
    screen.document("load", load_json(test, notes))
    written: list[Path] = []
    if kept is not None:
        from ease.fabric.store import save_fabric

        written.append(save_fabric(kept, force=True))
    if picture is not None:
        _save_picture(test, picture, force=force)
        written.append(picture)
    screen.wrote(written)


def _check_options(save: str | None, fabric: str | None, hand: Path | None) -> None:
    from ease.errors import UsageError

    if save is None and (fabric is not None or hand is not None):
        message = "--fabric and --hand go with --save NAME"
        raise UsageError(message)
    if fabric is not None and hand is not None:
        message = "give --fabric or --hand, not both"
        raise UsageError(message)


def _fuller(
    test: LoadTest, name: str, fabric: str | None, hand: Path | None, *, force: bool
) -> tuple[Fabric, list[str]]:
    """Return the fabric to be kept, with the curves in it, and what stayed of it."""
    from ease.errors import UsageError, WriteError
    from ease.fabric.load_test import add_tension
    from ease.fabric.readings import read_reading_file
    from ease.fabric.store import check_save, load_fabric
    from ease.fabric.swatch import summarise

    from .hand_test import hand_fabric

    stayed = list[str]()
    if hand is not None:
        check_save(name, force=force)
        file = read_reading_file(hand)
        loaded = [result.direction for result in test.results]
        summary = summarise(file.readings)
        base, stayed = hand_fabric(summary, file, name, loaded=loaded)
    elif fabric is not None and fabric != name:
        check_save(name, force=force)
        base = replace(load_fabric(fabric), name=name)
    else:
        own = check_save(name, force=True)
        if not own.exists():
            message = f"there is no own fabric {name}"
            hint = "make it with `ease swatch --save`, or add --hand or --fabric"
            raise UsageError(message, hint=hint)
        base = load_fabric(own)
        again = [
            result.direction
            for result in test.results
            if (cloth := base.direction(result.direction)) is not None
            and cloth.tension is not None
        ]
        if again and not force:
            message = f"{name} has a load test {' and '.join(again)} already"
            raise WriteError(message, hint="add --force to replace it")
    return add_tension(base, test), stayed


def _save_picture(test: LoadTest, path: Path, *, force: bool) -> None:
    from functools import partial

    from ease.show.cloth import SIZE_IN, draw_load_test
    from ease.show.figure import save_panels

    draws = [partial(draw_load_test, result=result) for result in test.results]
    size = (SIZE_IN[0] * len(draws), SIZE_IN[1])
    title = f"Load test {Path(test.source).name}"
    save_panels(path, draws, size_in=size, title=title, force=force)
