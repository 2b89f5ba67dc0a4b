"""``ease lesson``: a worked teaching sheet, and exercises with answers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .options import (
    WANTED,
    ForceOption,
    Hold,
    HoldOption,
    JsonOption,
    OneBodyOption,
    QuietOption,
    RoundOption,
    SetOption,
    Units,
    UnitsOption,
    length_of,
    refuse_idle,
)
from .report import ReportOption, report_target
from .screen import Screen

if TYPE_CHECKING:
    from ease.block.lesson import Lesson

    from .loading import Wanted
    from .report import Target


def lesson(
    ctx: typer.Context,
    fabric: Annotated[
        str, typer.Option("--fabric", help="A fabric's name, or a profile file.")
    ] = "firm-tricot",
    body: OneBodyOption = "demo",
    block: Annotated[
        str,
        typer.Option("--block", help="A block: a file, or `demo` or `demo-soft`."),
    ] = "demo",
    fixed: Annotated[
        str | None,
        typer.Option(
            "--fixed",
            metavar="LENGTH",
            help="Fixed amount off each quarter to set against the factor; "
            "4 cm or 1 1/2 in if not given (common practice, no source).",
        ),
    ] = None,
    quiz: Annotated[
        int | None,
        typer.Option("--quiz", metavar="N", help="Instead: N exercises and answers."),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", help="Another number, other exercises; 1 if not given."),
    ] = None,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", help="One A4 page: .pdf, .png or .svg; of a quiz .pdf only."
        ),
    ] = None,
    report: ReportOption = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Teach why swimwear is cut below body size, step by step, with the numbers put in.

    Example: ease lesson --fabric firm-tricot --out sheet.pdf
    """
    from ease.errors import UsageError
    from ease.show.figure import figure_format

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    screen.check([out], force=force)
    target = report_target(ctx, report)
    if quiz is not None and report is not None:
        message = "--report is for the lesson; a quiz goes to --out"
        raise UsageError(message)
    if quiz is not None:
        from .quiz import show_quiz

        cloth = {"fabric": "--fabric", "body": "--body", "block": "--block"}
        needs = "the exercises of a quiz are about invented cloths and bodies"
        refuse_idle(ctx, {**cloth, "fixed": "--fixed", **WANTED}, needs)
        show_quiz(screen, quiz, 1 if seed is None else seed, units, out, force=force)
        return
    if seed is not None:
        message = "--seed goes with --quiz"
        raise UsageError(message)
    if out is not None:
        figure_format(out)
    from .loading import read_wanted

    wanted = read_wanted(hold, numbers, round_body)
    worked = _work((fabric, body, block), wanted, fixed, units)
    target = target.about(("fabric", fabric), ("body", body), ("block", block))
    _show(screen, worked, units, out, target)


def _work(
    names: tuple[str, str, str], wanted: Wanted, fixed: str | None, units: str
) -> Lesson:
    from ease.block.as_worn import as_worn
    from ease.block.garment import for_garment
    from ease.block.lesson import FIXED_CM, check_taught, make_lesson
    from ease.block.way_round import way_round
    from ease.fabric.store import load_fabric
    from ease.fit.lesson import GAUGE_CM
    from ease.units import CM_PER

    from .loading import read_block, read_person, read_reduction

    fabric, body, named = names
    block = read_block(named)
    # Where rulers show inches, the class works with a round number of them.
    inch = CM_PER["in"] if units == "in" else None
    fixed_cm, gauge_cm = (1.5 * inch, 5 * inch) if inch else (FIXED_CM, GAUGE_CM)
    if fixed is not None:
        fixed_cm = length_of("--fixed", fixed, units)
    person = as_worn(block, read_person(body))
    check_taught(block)
    garment = for_garment(wanted.allowed, block, [person])
    way = way_round(block, load_fabric(fabric), wanted.round_body)
    wanted = wanted._replace(allowed=garment, round_body=way)
    reduction = read_reduction(fabric, person, wanted)
    return make_lesson(block, reduction, fixed_cm, gauge_cm)


def _show(
    screen: Screen, worked: Lesson, units: str, out: Path | None, target: Target
) -> None:
    from ease.block.way_round import turned_note
    from ease.fit.pressure import CAUTIONS

    from .lesson_json import lesson_json
    from .lesson_report import lesson_parts
    from .lesson_web import report_lesson

    screen.show(*lesson_parts(worked, units))
    reduction = worked.reduction
    notes = [*reduction.body.notes, *reduction.notes]
    if reduction.round_body != reduction.fabric.round_body:
        notes += filter(None, [turned_note(worked.block, reduction.fabric)])
    if reduction.fabric.origin == "invented":
        notes.append(f"{reduction.fabric.name} is invented: teach with a tested cloth")
    screen.notes([*notes, CAUTIONS["comfort"], CAUTIONS["flotation"]])
    screen.document("lesson", {**lesson_json(worked), "notes": notes})
    if out is not None:
        from ease.show.figure import figure_bytes, figure_format
        from ease.show.lesson_page import SIZE_IN, draw_page
        from ease.write import write_bytes

        data = figure_bytes(
            lambda figure: draw_page(figure, worked, units=units),
            figure_format(out),
            size_in=SIZE_IN,
            title="Why swimwear is cut below body size",
            dpi=200,
        )
        write_bytes(out, data, force=target.force)
        screen.wrote([out])
    screen.wrote(report_lesson(target, worked, units, notes))
