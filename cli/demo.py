"""``ease demo``: the whole job on shipped, invented data, into one folder."""

from __future__ import annotations

from itertools import chain, count
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import JsonOption, QuietOption, Units, UnitsOption
from .screen import Screen, text_of

if TYPE_CHECKING:
    from rich.console import RenderableType

    from ease.block.refit import Refit
    from ease.fabric.profile import Fabric

FOLDER = Path("ease-demo")


def demo(
    out: Annotated[
        Path | None,
        typer.Option("--out", help="A folder to make; else the first free ease-demo."),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Run the whole job on invented data: swatch, factors, block, picture, report.

    A maker's old one-piece block was cut for a soft tricot. She has tested a swatch of
    a firmer one with a ruler and weights, and wants the block for it.
    """
    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    folder = _make(out)
    fabric, swatch_part = _test_swatch(units)
    result, notes, adjust_part = _adjust(fabric, units)
    report = text_of(
        [STORY, *swatch_part, *adjust_part, *(f"note: {n}" for n in notes)]
    )
    files = _write(folder, fabric, result, report, units)
    screen.show(*swatch_part, *adjust_part)
    screen.notes(notes)
    screen.document("demo", {"folder": str(folder), "files": [str(f) for f in files]})
    screen.wrote(files)


STORY = (
    "The whole job on invented data: nobody was measured, and no cloth. A one-piece "
    "block cut for a soft tricot is adjusted for a firmer one, tested with a ruler and "
    "weights."
)


def _make(out: Path | None) -> Path:
    from ease.errors import WriteError

    names = chain([FOLDER], (Path(f"{FOLDER}-{number}") for number in count(2)))
    free = out or next(path for path in names if not path.exists())
    try:
        free.mkdir()
    except FileExistsError:
        message = f"{free}: exists already"
        raise WriteError(message, hint="name a new folder with --out") from None
    except OSError as error:
        message = f"{free}: cannot be made ({error.strerror})"
        raise WriteError(message) from error
    return free


def _test_swatch(units: str) -> tuple[Fabric, list[RenderableType]]:
    from ease.demo import LOAD, SWATCH
    from ease.fabric.advice import advice
    from ease.fabric.classes import class_table
    from ease.fabric.given import Given
    from ease.fabric.load_readings import read_load_test
    from ease.fabric.load_test import add_tension
    from ease.fabric.readings import read_reading_file
    from ease.fabric.swatch import summarise, to_fabric

    from .load_report import load_table
    from .swatch_tables import readings_tables, summary_table

    file = read_reading_file(SWATCH)
    summary = summarise(file.readings)
    fabric = to_fabric(
        summary,
        name="new-tricot",
        title="New firm tricot",
        source="invented readings for the demonstration",
        origin="invented",
    )
    load_test = read_load_test(LOAD, Given())
    said = "\n".join(advice(summary, class_table("ranges")))
    return add_tension(fabric, load_test), [
        *readings_tables(file.readings, units),
        summary_table(summary),
        said,
        load_table(load_test),
    ]


def _adjust(
    fabric: Fabric, units: str
) -> tuple[Refit, tuple[str, ...], list[RenderableType]]:
    from ease.block.plan import Factors, factors_of_block
    from ease.block.refit import refit
    from ease.fit.decide import decide
    from ease.fit.explain import explain
    from ease.fit.spread import spread_of

    from .adjust_report import adjust_tables
    from .factors import factor_tables, pressure_cautions
    from .loading import read_block, read_person

    person, block = read_person("demo"), read_block("demo-soft")
    reduction = decide(fabric, person)
    result = refit(
        block,
        factors_of_block(block, person),
        Factors.from_reduction(reduction),
        person,
    )
    spread = spread_of(reduction)
    said = [*person.notes, *reduction.notes, *result.notes]
    notes = tuple(dict.fromkeys([*said, *pressure_cautions(reduction)]))
    shown: list[Any] = [
        *factor_tables(reduction, spread, units),
        *explain(reduction),
        *adjust_tables(result, units),
    ]
    return result, notes, shown


def _write(
    folder: Path, fabric: Fabric, result: Refit, report: str, units: str
) -> list[Path]:
    from ease.demo import LOAD, SWATCH, TRACE
    from ease.fabric.store import fabric_to_toml
    from ease.write import write_text

    from .adjust_report import write_overlay
    from .loading import write_block

    names = ("report.txt", "fabric.toml", "block.toml", "block.pdf", "overlay.png")
    report_file, fabric_file, block_file, print_file, picture = (
        folder / name for name in names
    )
    write_text(report_file, report)
    write_text(fabric_file, fabric_to_toml(fabric))
    write_block(result.block, block_file, force=False)
    write_block(result.block, print_file, force=False)
    write_overlay(result, picture, units, force=False)
    # The points of another block are no part of the job, but an example to write by.
    sources = (SWATCH, LOAD, TRACE)
    inputs = [folder / source.name for source in sources]
    for source, copy in zip(sources, inputs, strict=True):
        write_text(copy, source.read_text(encoding="utf-8"))
    return [report_file, fabric_file, block_file, print_file, picture, *inputs]
