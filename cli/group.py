"""The list of commands, each imported only when it is run, and where errors end."""

from __future__ import annotations

import os
import re
from importlib import import_module
from typing import Any, Final

import typer
from typer.core import TyperCommand, TyperGroup

from ease.errors import EaseError

from .help import EaseCommand, EaseContext

# In the order of the work; a summary must fit the list of commands at 80 columns. A
# command is the function of that name in the module of that name.
SUMMARIES: Final = {
    "demo": "Start here: the whole job on invented data, into a folder.",
    "swatch": "Turn readings of a swatch into stretch, growth, recovery.",
    "load": "Turn weights on a strip, or a tester's file, into tension.",
    "fabrics": "List the known fabrics, or show one in detail.",
    "body": "Check a body, and fill in what was not measured.",
    "factors": "Say how much smaller to cut, round and down, and why.",
    "draft": "Draft a one-piece block at body size, or cut for a fabric.",
    "trace": "Trace a paper block by numbers.",
    "adjust": "Adjust a block for another fabric; list every change.",
    "check": "Check how a block is worn: does it go on, hold, press?",
    "convert": "Turn a block into another file, or a full-scale print.",
    "compare": "Set fabrics side by side, or ask what a block needs.",
    "lesson": "Teach step by step why swimwear is cut below body size.",
    "toile": "Find from marks on a toile what was really worn, and why.",
    "grade": "Grade a block through a run of sizes.",
    "batch": "Decide for every body of a table in every fabric.",
}

# How the parser of options speaks, and how it is put here.
_WORDS: Final = (
    (r"Value error, ", ""),
    (r"Input should be ", "must be "),
    (r"a valid integer, unable to parse string as an integer", "a whole number"),
    (r"a valid number, unable to parse string as a number", "a number, as 0.83"),
    (r"less than or equal to ", "at most "),
    (r"greater than or equal to ", "at least "),
    (r"^Invalid value for '([^']*)': ", r"\1: "),
    (r"^Missing (?:argument|option|parameter) '([^']*)'\.?", r"\1 is missing"),
    (r"^Option '([^']*)' requires an argument\.", r"\1 needs a value"),
    (r"^Option '([^']*)' requires (\d+) arguments\.", r"\1 needs \2 values"),
    (r"^Option '([^']*)' does not take a value\.", r"\1 takes no value"),
    (r"^Got unexpected extra arguments?(?:\(s\))? \((.*)\)", r"too much is given: \1"),
    (r"^No such option: (\S+)", r"there is no option \1"),
    (r" \(Possible options: (.*)\)", r"; did you mean \1?"),
    (r"^No such command '([^']*)'\.?", r"there is no command '\1'"),
    (r" Did you mean (.*)\?", r"; did you mean \1?"),
)
_ParserError: Final[Any] = typer.BadParameter.__mro__[1]  # of every wrong command line


def _in_plain_words(message: str) -> str:
    """Return what is wrong with a command line in words for makers."""
    for theirs, ours in _WORDS:
        message = re.sub(theirs, ours, message)
    # One wording for every misspelt word, as `ease.nearest` has it: no quotes, and "or".
    said, asked, words = message.partition("; did you mean ")
    return said + asked + " or ".join(words.replace("'", "").rsplit(", ", 1))


def _loaded(name: str) -> Any:  # noqa: ANN401 - of the parser
    """Import a command and read its options; for all at once that is slow."""
    function = getattr(import_module(f".{name}", __package__), name)
    alone = typer.Typer(rich_markup_mode=None, add_completion=False)
    alone.command(name, cls=EaseCommand)(function)
    return typer.main.get_command(alone)


class EaseGroup(TyperGroup):
    """The commands by name and summary; one that is run is loaded first.

    The project's errors become a line and an exit code.
    """

    context_class = EaseContext

    def __init__(self, **attrs: Any) -> None:  # noqa: ANN401 - as the base class has it
        """Take the group's own options; list the commands without loading them."""
        super().__init__(**attrs)
        for name, summary in SUMMARIES.items():
            self.add_command(TyperCommand(name, short_help=summary))

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - of the parser
        """List the commands, each summary whole."""
        with formatter.section("Commands"):
            formatter.write_dl(list(SUMMARIES.items()))

    def resolve_command(self, ctx: Any, args: list[str]) -> tuple[Any, Any, list[str]]:  # noqa: ANN401 - of the parser
        """Find the command that was named, and load it."""
        name, _, rest = super().resolve_command(ctx, args)
        return name, name and _loaded(name), rest

    def invoke(self, ctx: typer.Context) -> Any:  # type: ignore[override]  # noqa: ANN401 - as the base class has it
        """Run the chosen command."""
        # Here, as every command prints and `--help` does not.
        from .screen import error_text

        try:
            return super().invoke(ctx)
        except _ParserError as error:
            said = _in_plain_words(error.format_message())
            raise _ParserError(said, error.ctx) from None
        except EaseError as error:
            if os.environ.get("EASE_DEBUG"):
                raise
            error_text(str(error), error.hint)
            raise typer.Exit(error.exit_code) from None
