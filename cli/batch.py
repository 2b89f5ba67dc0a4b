"""``ease batch``: many bodies in many fabrics, as a table of any length."""

from __future__ import annotations

import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .options import (
    ColumnUnitOption,
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
)
from .screen import Screen

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from ease.body.table_head import TableHead
    from ease.files.batch_file import ResultFile
    from ease.files.batch_table import BatchTable
    from ease.fit.batch import Cloth

    from .loading import Wanted

ROWS_AT_ONCE = 65_536
FIRST_FAULTS = 10


def batch(
    bodies: Annotated[
        Path,
        typer.Argument(
            metavar="BODIES.csv",
            help="One body a row; the header names its measures, such as name, bust, "
            "waist (cm), hip.",
        ),
    ],
    fabric: Annotated[
        list[str],
        typer.Option("--fabric", help="A fabric; give it again for each further one."),
    ],
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    units_in: ColumnUnitOption = "",
    out: OutOption = None,
    resume: Annotated[
        bool,
        typer.Option(
            "--resume", help="Go on with a result file; bad rows are all named again."
        ),
    ] = False,
    decimals: Annotated[
        int | None,
        typer.Option(
            "--decimals",
            min=0,
            max=15,
            help="Decimals of lengths and pull; factors, strains, kPa get 2 more. "
            "Else all digits.",
        ),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Decide for every body of a table in every fabric: one row of CSV for each pair.

    A row holds factors, worn strains, sizes to cut, what binds, and warnings; where no
    strain meets both limits it holds the reason. Rows that cannot be read are named
    with line and column and left out; the exit code is then 3. Without --out the rows
    are printed; with it, result.csv.toml keeps the settings, and --resume goes on.

    cut_torso_loop is body loop x length factor; on the flat block the loop runs aslant
    and comes out shorter, mostly by 1 to 2 cm. How sure a row is, `ease factors` tells.

    Example: ease batch bodies.csv --fabric soft-tricot --fabric rib --out result.csv
    """
    from ease.body.table_head import read_head
    from ease.fabric.store import hiding_notes
    from ease.files.batch_table import BatchTable

    from .batch_file import bar_fits, ended_in_order, open_result, progress
    from .loading import read_wanted

    _check_options(bodies, fabric, out, resume=resume, as_json=as_json)
    screen = Screen(as_json, quiet, units)
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    head = read_head(bodies, units_in)
    cloths = _cloths(fabric, wanted)
    table = BatchTable(
        cloths, wanted.aim, wanted.allowed, units=units.value, decimals=decimals
    )
    screen.notes([*hiding_notes(fabric), *head.notes])
    for cloth in cloths:
        screen.notes(f"{cloth.fabric.name}: {note}" for note in cloth.notes)
    with ExitStack() as stack:
        result = None
        if out is not None:
            opened = open_result(out, head, table, resume=resume, force=force)
            result = stack.enter_context(opened)
            stack.enter_context(ended_in_order(result))
        show = stack.enter_context(
            progress(head.path, shown=bar_fits(out, quiet=quiet))
        )
        bad = _run(head, table, result, show)
    _end(screen, table, bad, out)


def _check_options(
    bodies: Path,
    fabric: Sequence[str],
    out: Path | None,
    *,
    resume: bool,
    as_json: bool,
) -> None:
    from ease.errors import UsageError

    if out is None and (resume or as_json):
        name = "--resume" if resume else "--json"
        message = f"{name} needs --out: without it the rows themselves are printed"
        raise UsageError(message)
    if out is not None and out.exists() and bodies.exists() and out.samefile(bodies):
        message = f"{out}: is the table of bodies itself; name another file"
        raise UsageError(message)
    twice = sorted({name for name in fabric if fabric.count(name) > 1})
    if twice:
        message = f"--fabric {twice[0]} is given twice"
        raise UsageError(message)


def _cloths(names: Sequence[str], wanted: Wanted) -> list[Cloth]:
    from ease.errors import UsageError
    from ease.fabric.store import load_fabric
    from ease.fit.batch import Cloth

    cloths = [Cloth.of(load_fabric(name), wanted.round_body) for name in names]
    known = [cloth.fabric.name for cloth in cloths]
    for name in known:
        if known.count(name) > 1:
            message = f"two of the fabrics are named {name}; their rows would be mixed"
            raise UsageError(message)
    return cloths


def _run(
    head: TableHead,
    table: BatchTable,
    result: ResultFile | None,
    show: Callable[[int, Sequence[str]], None],
) -> int:
    """Work through the table; return how many of its rows cannot be used."""
    from ease.body.stream import stream_bodies
    from ease.errors import BodyError
    from ease.files.batch_table import table_header

    write = sys.stdout.write if result is None else result.append
    if result is None:
        write(",".join(table_header(table.units)) + "\n")
    bad = done = 0
    chunk = max(256, min(8192, ROWS_AT_ONCE // len(table.cloths)))
    after = 0 if result is None else result.after_line
    # What an earlier run has done is read again, for the rows that it left out.
    for bodies in stream_bodies(head, chunk=chunk):
        if not done and bodies.bad >= chunk:
            first = bodies.faults[:FIRST_FAULTS]
            hint = "none of its first rows can be used; are the units right?"
            raise BodyError(str(head.path), first, hint=hint)
        done += len(bodies)
        bad += bodies.bad
        write(table.lines(bodies, after))
        if result is not None:
            result.rows = table.rows
        faults = [f"{head.path}: {one.told(table.units)}" for one in bodies.faults]
        show(bodies.at_byte, faults)
    if not done and not bad:
        raise BodyError(str(head.path), "holds no bodies below its header")
    return bad


def _end(screen: Screen, table: BatchTable, bad: int, out: Path | None) -> None:
    """Count what was done, and end with 3 where rows were left out."""
    from ease.fit.notes import LOOP_TO_CUT
    from ease.fit.pressure import CAUTIONS

    from .screen import error_text

    pressures = any(cloth.membrane is not None for cloth in table.cloths)
    screen.notes([LOOP_TO_CUT, *([CAUTIONS["comfort"]] if pressures else [])])
    rows = "1 row" if table.rows == 1 else f"{table.rows} rows"
    screen.notes([f"{rows}, {table.refused} without an answer"])
    screen.document(
        "batch-run", {"rows": table.rows, "refused": table.refused, "bad_rows": bad}
    )
    if out is not None:
        from ease.files.batch_settings import settings_path

        screen.wrote([out, settings_path(out)])
    if bad:
        several = "rows of the table were" if bad > 1 else "row of the table was"
        rest = "the others are done" if table.rows else "none was done"
        error_text(f"{bad} {several} left out; {rest}")
        raise typer.Exit(3)
