"""Where output goes: results to stdout, notes and errors to stderr."""

from __future__ import annotations

import json
import os
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from rich.console import Console, RenderableType


def _console(*, stderr: bool = False) -> Console:
    from rich.console import Console

    class Plain(Console):
        """A console that leaves a closed pipe to its caller instead of exiting."""

        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    stream = sys.stderr if stderr else sys.stdout
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        # An ASCII-only terminal must not end the program at the first dash.
        reconfigure(errors="replace")
    return Plain(stderr=stderr, highlight=False, emoji=False)


def plain(value: Any) -> Any:  # noqa: ANN401 - whatever json can be given
    """Return a value that JSON can hold: NumPy scalars and arrays become plain."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if hasattr(value, "tolist"):
        return value.tolist()
    return value


@dataclass(frozen=True, slots=True)
class Screen:
    """The two streams of one command run.

    Attributes:
        as_json: One JSON document instead of tables.
        quiet: No notes.
    """

    as_json: bool = False
    quiet: bool = False

    def show(self, *renderables: RenderableType) -> None:
        """Print tables or text to stdout; nothing where JSON is wanted."""
        if self.as_json:
            return
        console = _console()
        with _while_read():
            for index, item in enumerate(renderables):
                if index:
                    console.print()
                console.print(item, markup=False)

    def notes(self, notes: Iterable[str]) -> None:
        """Print notes to stderr, unless they were asked to be left out."""
        if self.quiet:
            return
        console = _console(stderr=True)
        for note in notes:
            console.print(f"note: {note}", markup=False)

    def check(self, paths: Sequence[Path | None], *, force: bool) -> None:
        """Refuse files that cannot be written, before any work is done."""
        from ease.write import check_writable

        for path in paths:
            if path is not None:
                check_writable(path, force=force)

    def wrote(self, paths: Sequence[object]) -> None:
        """Name the files that were written, on stderr, one a line and unbroken."""
        if self.quiet:
            return
        console = _console(stderr=True)
        for path in paths:
            console.print(f"wrote {path}", markup=False, soft_wrap=True)

    def document(self, schema: str, body: dict[str, Any]) -> None:
        """Print the one JSON document, if JSON is wanted.

        Args:
            schema: Name of the document, such as ``swatch``; version 1 is added.
            body: Keys with their units in the names; no NaN.
        """
        if self.as_json:
            document = {"schema": f"ease/{schema}/1", **plain(body)}
            text = json.dumps(document, indent=2, allow_nan=False, ensure_ascii=False)
            with _while_read():
                sys.stdout.write(text + "\n")


@contextmanager
def _while_read() -> Iterator[None]:
    """Let output end quietly where its reader left; files are written all the same."""
    try:
        yield
        sys.stdout.flush()
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def text_of(items: Iterable[RenderableType]) -> str:
    """Return tables and text as plain lines of at most 78 columns."""
    from io import StringIO

    from rich.console import Console

    page = StringIO()
    console = Console(file=page, width=78, color_system=None, emoji=False)
    for item in items:
        console.print(item, markup=False, highlight=False)
        console.print()
    return "\n".join(line.rstrip() for line in page.getvalue().splitlines()) + "\n"


def error_text(message: str, hint: str = "") -> None:
    """Print an error, and what would mend it, to stderr."""
    console = _console(stderr=True)
    for line in message.splitlines():
        console.print(f"error: {line}", style="bold red", markup=False, soft_wrap=True)
    if hint:
        console.print(f"hint: {hint}", markup=False, soft_wrap=True)
