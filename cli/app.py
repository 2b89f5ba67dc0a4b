"""The command ``ease``: its commands, and the one place where errors end."""

from __future__ import annotations

import os
import sys
import warnings
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from ease import __version__
from ease.errors import EaseError, WriteError

from .adjust import adjust
from .batch import batch
from .body import body
from .check import check
from .compare import compare
from .convert import convert
from .demo import demo
from .draft import draft
from .fabrics import fabrics
from .factors import factors
from .grade import grade
from .help import EaseCommand
from .lesson import lesson
from .load import load
from .screen import error_text
from .swatch import swatch
from .toile import toile
from .trace import trace

# How the parser of options speaks, and how it is put here.
_WORDS = (
    ("Value error, ", ""),
    ("Input should be ", "must be "),
    ("a valid integer, unable to parse string as an integer", "a whole number"),
    ("a valid number, unable to parse string as a number", "a number"),
)


def _in_plain_words(message: str) -> str:
    """Return what is wrong with an option in words for makers."""
    for theirs, ours in _WORDS:
        message = message.replace(theirs, ours)
    return message


class EaseGroup(TyperGroup):
    """A command group that turns the project's errors into a line and an exit code."""

    def invoke(self, ctx: typer.Context) -> Any:  # type: ignore[override]  # noqa: ANN401 - as the base class has it
        """Run the chosen command."""
        try:
            return super().invoke(ctx)
        except typer.BadParameter as error:
            error.message = _in_plain_words(error.message)
            raise
        except EaseError as error:
            if os.environ.get("EASE_DEBUG"):
                raise
            error_text(str(error), error.hint)
            raise typer.Exit(error.exit_code) from None


app = typer.Typer(
    cls=EaseGroup,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Negative ease for stretch fabrics: test a swatch, decide, adjust the block.",
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"ease {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_version, is_eager=True, help="Show version."
        ),
    ] = False,
) -> None:
    pass


# In the order of the work; a summary must fit the list of commands at 80 columns.
for _command, _summary in (
    (demo, "Start here: the whole job on invented data, into a folder."),
    (swatch, "Turn readings of a swatch into stretch, growth, recovery."),
    (load, "Turn weights on a strip, or a tester's file, into tension."),
    (fabrics, "List the known fabrics, or show one in detail."),
    (body, "Check a body, and fill in what was not measured."),
    (factors, "Say how much smaller to cut, round and down, and why."),
    (draft, "Draft a one-piece block at body size, or cut for a fabric."),
    (trace, "Trace a paper block by numbers."),
    (adjust, "Adjust a block for another fabric; list every change."),
    (check, "Check how a block is worn: does it go on, hold, press?"),
    (convert, "Turn a block into another file, or a full-scale print."),
    (compare, "Set fabrics side by side, or ask what a block needs."),
    (lesson, "Teach step by step why swimwear is cut below body size."),
    (toile, "Find from marks on a toile what was really worn, and why."),
    (grade, "Grade a block through a run of sizes."),
    (batch, "Decide for every body of a table in every fabric."),
):
    app.command(_command.__name__, cls=EaseCommand, short_help=_summary)(_command)


def main() -> None:
    """Run the command line; the entry point of the console script.

    No traceback reaches the user, unless ``EASE_DEBUG`` is set.
    """
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # the caller closed it
            nowhere = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - open to the end
            setattr(sys, name, nowhere)
    debug = bool(os.environ.get("EASE_DEBUG"))
    if not debug and not sys.warnoptions:
        # What libraries warn of is for those who carry on the work.
        warnings.simplefilter("ignore")
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except BrokenPipeError:
        # The reader of a pipe left early; what it wanted it has.
        _drop_output()
        sys.exit(1)
    except Exception as error:
        if debug:
            raise
        sys.exit(_unforeseen(error))


def _unforeseen(error: Exception) -> int:
    """Say in one line what nobody thought of, and return the exit code."""
    if isinstance(error, OSError) and error.errno:
        if error.filename is None:
            _drop_output()
            error_text(f"the output cannot be written ({error.strerror})")
        else:
            error_text(f"{error.filename}: cannot be used ({error.strerror})")
        return WriteError.exit_code
    said = " ".join(str(error).split())
    error_text(
        f"unforeseen fault, {type(error).__name__}{f': {said}' if said else ''}",
        "this is a fault of the program, not yours; with EASE_DEBUG=1 set it shows where",
    )
    return EaseError.exit_code


def _drop_output() -> None:
    """Let what is still to be printed go nowhere, so that no second error follows."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
