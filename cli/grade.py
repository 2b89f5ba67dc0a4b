"""``ease grade``: a block in every size of a table, cut for one fabric."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .drawing_options import (
    PaperOption,
    SeamAllowanceOption,
    TurningOption,
    sheet_options,
)
from .options import (
    ColumnUnitOption,
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
from .screen import Screen, error_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ease.block.grade import GradedSize, Grading
    from ease.body.measures import Body
    from ease.sentence import Sentence

    from .loading import Wanted


def grade(
    sizes: Annotated[
        str,
        typer.Argument(
            help="A size table: a CSV with one size a row, or a shipped one: en, "
            "en-short, en-long, astm-95, us-1968."
        ),
    ],
    fabric: Annotated[
        str | None,
        typer.Option("--fabric", help="Fabric of all sizes; without it, body size."),
    ] = None,
    only: Annotated[
        str | None,
        typer.Option(
            "--only", metavar="SIZE,SIZE", help="These sizes of the table only."
        ),
    ] = None,
    block: Annotated[
        str | None,
        typer.Option(
            "--block",
            help="Grade this block in proportion; else each size is drafted.",
        ),
    ] = None,
    body: Annotated[
        str | None,
        typer.Option("--body", help="The body that --block is for."),
    ] = None,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    units_in: ColumnUnitOption = "",
    overlay: Annotated[
        Path | None,
        typer.Option(
            "--overlay", help="Picture of all sizes nested: .png, .svg or .pdf."
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            help="A .pdf: the nested print at full size. A folder: also the picture, "
            "the table and a block file for each size.",
        ),
    ] = None,
    paper: PaperOption = "a4",
    seam_allowance: SeamAllowanceOption = None,
    turning: TurningOption = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Grade a block through a run of sizes and list the change from size to size.

    Each size is drafted from its own measures and cut by its own factors. The exit code
    is 1 where a size cannot be made; the others are done.

    Example: ease grade en --only 84,88,92,96 --fabric soft-tricot --overlay nest.png
    """
    from ease.body.sizes import load_size_run
    from ease.fabric.store import hiding_notes
    from ease.sentence import in_units

    from .grade_notes import grade_notes
    from .grade_report import grade_json, grade_tables
    from .grade_write import check_targets, write_grading
    from .loading import read_wanted

    screen = Screen(as_json, quiet, units)
    options = sheet_options(
        paper=paper,
        seam_allowance=seam_allowance,
        turning=turning,
        units=units,
    )
    run = load_size_run(sizes, units_in)
    bodies = _asked(sizes, run.bodies, only)
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    check_targets(bodies, overlay, out, force=force)
    result = _graded(bodies, fabric, wanted, block, body)
    screen.show(*grade_tables(result, units))
    told = [*run.notes, *hiding_notes([fabric or ""]), *grade_notes(result, units)]
    screen.notes(told)
    screen.document("grade", grade_json(result))
    screen.wrote(write_grading(result, overlay, out, options, force=force))
    failed = [size for size in result.sizes if size.block is None]
    for size in failed:
        error_text(in_units(_why_not(size), units))
    if failed:
        raise typer.Exit(1)


def _asked(sizes: str, bodies: tuple[Body, ...], only: str | None) -> tuple[Body, ...]:
    """Return the sizes asked for, in the order of the run."""
    from ease.block.grade import size_labels
    from ease.errors import UsageError

    if only is None:
        return bodies
    labels = size_labels([body.name for body in bodies])
    asked = [name.strip() for name in only.split(",") if name.strip()]
    known = {*labels, *(body.name for body in bodies)}
    for name in asked:
        if name not in known:
            message = f"{sizes} has no size {name}; it has {', '.join(labels)}"
            raise UsageError(message)
    if not asked:
        message = "--only names no size"
        raise UsageError(message)
    return tuple(
        body
        for label, body in zip(labels, bodies, strict=True)
        if label in asked or body.name in asked
    )


def _graded(
    bodies: Sequence[Body],
    fabric: str | None,
    wanted: Wanted,
    block: str | None,
    body: str | None,
) -> Grading:
    from ease.block.grade import grade as grade_block
    from ease.block.way_round import way_round
    from ease.errors import RefusedError, UsageError
    from ease.fabric.store import load_fabric
    from ease.fit.batch import Cloth
    from ease.sentence import joined

    from .loading import person_for, read_block

    if body is not None and block is None:
        message = "--body says what --block is for; give both"
        raise UsageError(message)
    own = None if block is None else read_block(block)
    cloth = None
    if fabric is not None:
        profile, way = load_fabric(fabric), wanted.round_body
        if own is not None:
            way = way_round(own, profile, way)
        cloth = Cloth.of(profile, way)
    result = grade_block(
        bodies,
        cloth,
        wanted.aim,
        wanted.allowed,
        block=own,
        base=None if own is None else person_for(own, body),
    )
    if not result.made:
        raise RefusedError(joined("\n", [_why_not(size) for size in result.sizes]))
    return result


def _why_not(size: GradedSize) -> Sentence:
    """Return why a size cannot be cut."""
    from ease.sentence import Sentence

    return Sentence("size {}: {}", size.label, size.fault)
