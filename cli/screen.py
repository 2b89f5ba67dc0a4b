"""Where output goes: results to stdout, notes and errors to stderr."""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from rich.console import Console, RenderableType


@contextmanager
def _console(*, stderr: bool = False) -> Iterator[Console]:
    """Print to a stream whose reader may leave: files are written all the same."""
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
    try:
        yield Plain(stderr=stderr, highlight=False, emoji=False)
        stream.flush()
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


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
        units: ``cm`` or ``in``, in which notes say their lengths.
    """

    as_json: bool = False
    quiet: bool = False
    units: str = "cm"

    def show(self, *renderables: RenderableType) -> None:
        """Print tables or text to stdout; nothing where JSON is wanted."""
        if self.as_json:
            return
        from .tables import fitted, folded, harmless

        with _console() as console:
            for index, item in enumerate(renderables):
                if index:
                    console.print()
                if isinstance(item, str):
                    item = folded(harmless(item), console.width)
                console.print(fitted(item, console), markup=False)

    def notes(self, notes: Iterable[str]) -> None:
        """Print notes to stderr, unless they were asked to be left out."""
        if self.quiet:
            return
        from ease.sentence import in_units

        from .tables import folded, harmless

        with _console(stderr=True) as console:
            for note in notes:
                said = harmless(in_units(note, self.units))
                said = folded(f"note: {said}", console.width)
                console.print(said, markup=False)

    def check(
        self,
        paths: Iterable[Path | None] = (),
        *,
        pictures: Iterable[Path | None] = (),
        force: bool,
    ) -> None:
        """Refuse files that cannot be written, before any work is done.

        Pictures must also end in a kind that can be drawn.
        """
        from ease.write import check_writable

        wanted = [path for path in pictures if path is not None]
        for path in (*paths, *wanted):
            if path is not None:
                check_writable(path, force=force)
        if wanted:
            from ease.show.figure import figure_format

            for path in wanted:
                figure_format(path)

    def wrote(self, paths: Sequence[object]) -> None:
        """Name the files that were written, on stderr, one a line and unbroken."""
        if self.quiet:
            return
        with _console(stderr=True) as console:
            for path in paths:
                console.print(f"wrote {path}", markup=False, soft_wrap=True)

    def document(self, schema: str, body: dict[str, Any]) -> None:
        """Print the one JSON document, if JSON is wanted.

        Args:
            schema: Name of the document, such as ``swatch``; version 1 is added.
            body: Keys with their units in the names; no NaN.
        """
        if self.as_json:
            import json

            document = {"schema": f"ease/{schema}/1", **plain(body)}
            # JSON is UTF-8; a stream of another encoding gets plain ASCII.
            encoding = (sys.stdout.encoding or "").lower().replace("-", "")
            text = json.dumps(
                document, indent=2, allow_nan=False, ensure_ascii=encoding != "utf8"
            )
            with _console():
                sys.stdout.write(text + "\n")


def text_of(items: Iterable[RenderableType]) -> str:
    """Return tables and text as plain lines of at most 78 columns."""
    from io import StringIO

    from rich.console import Console

    from .tables import WIDTH, captioned, folded

    page = StringIO()
    console = Console(file=page, width=WIDTH, color_system=None, emoji=False)
    for item in items:
        shown = folded(item, WIDTH) if isinstance(item, str) else captioned(item, WIDTH)
        console.print(shown, markup=False, highlight=False)
        console.print()
    return "\n".join(line.rstrip() for line in page.getvalue().splitlines()) + "\n"


def error_text(message: str, hint: str = "") -> None:
    """Print an error, and what would mend it, to stderr."""
    from .tables import harmless

    with _console(stderr=True) as console:
        for line in harmless(message).split("\n"):
            console.print(
                f"error: {line}", style="bold red", markup=False, soft_wrap=True
            )
        if hint:
            console.print(f"hint: {harmless(hint)}", markup=False, soft_wrap=True)
