"""The command ``ease``: its own options, and what no command foresaw."""

from __future__ import annotations

import os
import sys
import warnings
from pathlib import Path
from typing import Annotated

import typer

from ease import __version__
from ease.errors import EaseError, WriteError

from .group import EaseGroup

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
    from .screen import error_text

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
