"""The file that a batch grows, and the bar that shows how far it has come."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path

    from ease.body.table_head import TableHead
    from ease.files.batch_file import ResultFile
    from ease.files.batch_table import BatchTable


def open_result(
    out: Path, head: TableHead, table: BatchTable, *, resume: bool, force: bool
) -> ResultFile:
    """Begin a result file, or take one up where it stopped; its rows are counted."""
    from ease.files.batch_file import ResultFile
    from ease.files.batch_settings import batch_settings
    from ease.files.batch_table import REFUSED, STATUS, table_header

    header = table_header(table.units)
    settings = batch_settings(head, table)
    if not resume or not out.exists():
        return ResultFile.begin(out, header, settings, force=force)
    last = table.cloths[-1].fabric.name
    result = ResultFile.resume(out, header, settings, last)
    there = result.tally(STATUS)
    table.rows, table.refused = there.total(), there[REFUSED]
    result.rows = table.rows
    return result


@contextmanager
def ended_in_order(result: ResultFile) -> Iterator[None]:
    """Let a request to terminate end the run between rows, not inside one.

    However the run was broken off, say what is kept and how it goes on.
    """
    import signal

    import typer

    def stop(number: int, _: object) -> None:
        sys.exit(128 + number)

    before = signal.signal(signal.SIGTERM, stop)
    try:
        yield
    except KeyboardInterrupt:
        _say_what_is_kept(result)
        raise typer.Exit(130) from None
    except SystemExit:
        _say_what_is_kept(result)
        raise
    finally:
        signal.signal(signal.SIGTERM, before)


def _say_what_is_kept(result: ResultFile) -> None:
    from .screen import error_text

    kept = "1 row is" if result.rows == 1 else f"{result.rows or 'no'} rows are"
    error_text(f"broken off: {kept} kept in {result.path}; go on with --resume")


def bar_fits(out: Path | None, *, quiet: bool) -> bool:
    """Return whether there is a terminal that a bar can have to itself."""
    rows_there = out is None and sys.stdout.isatty()
    return sys.stderr.isatty() and not rows_there and not quiet


@contextmanager
def progress(
    path: Path, *, shown: bool
) -> Iterator[Callable[[int, Sequence[str]], None]]:
    """Give a function that shows how far a run is, and what is wrong with rows."""
    from .screen import error_text

    if not shown:
        yield lambda _, faults: error_text("\n".join(faults)) if faults else None
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        DownloadColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    console = Console(stderr=True, highlight=False, emoji=False)
    columns = (
        TextColumn(path.name, markup=False),
        BarColumn(),
        DownloadColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console) as bar:
        task = bar.add_task("", total=path.stat().st_size)

        def show(at: int, faults: Sequence[str]) -> None:
            for fault in faults:
                bar.console.print(f"error: {fault}", style="bold red", markup=False)
            bar.update(task, completed=at)

        yield show
