"""Options that several commands share, and the check of what they were given."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final

import typer


def length_of(option: str, text: str, unit: str) -> float:
    """Return the length that an option was given, cm.

    Args:
        option: Its name, for the message.
        text: What was given.
        unit: Unit of a bare number.

    Raises:
        UsageError: If it is no length.
    """
    from ease.errors import UnitError, UsageError
    from ease.units import parse_length

    try:
        return parse_length(text, unit)
    except UnitError as error:
        message = f"{option}: {error}"
        raise UsageError(message) from None


def refuse_idle(ctx: typer.Context, names: Mapping[str, str], needs: str) -> None:
    """Refuse options that were typed but can change nothing here.

    Args:
        ctx: The command as it was typed.
        names: Options by the name of their parameter.
        needs: Why they are idle, and what would make them count.

    Raises:
        UsageError: Naming those that were typed.
    """
    from ease.errors import UsageError

    typed = [
        option
        for name, option in names.items()
        if (source := ctx.get_parameter_source(name)) and source.name == "COMMANDLINE"
    ]
    if typed:
        message = f"{', '.join(typed)}: {needs}"
        raise UsageError(message)


# Options that say how cloth is to be worn: they count only where a fabric decides.
WANTED: Final = {
    "hold": "--hold",
    "numbers": "--set",
    "round_body": "--round",
    "over_head": "--over-head",
    "opens": "--opens",
}


class Units(StrEnum):
    """Units of length for tables and messages."""

    CM = "cm"
    INCH = "in"


class Hold(StrEnum):
    """How firmly the garment should hold."""

    EASY = "easy"
    REGULAR = "regular"
    FIRM = "firm"


class RoundBody(StrEnum):
    """Cloth direction that goes round the body."""

    ACROSS = "across"
    ALONG = "along"


JsonOption = Annotated[
    bool, typer.Option("--json", help="The answer for other programs, as JSON alone.")
]
UnitsOption = Annotated[
    Units, typer.Option("--units", help="Show lengths in cm or in inches with eighths.")
]
QuietOption = Annotated[
    bool, typer.Option("--quiet", "-q", help="Leave out notes; keep result and errors.")
]
ForceOption = Annotated[bool, typer.Option("--force", help="Replace files that exist.")]
BodyOption = Annotated[
    str | None,
    typer.Option("--body", help="A body: a file, or the name of a shipped one."),
]
OneBodyOption = Annotated[
    str, typer.Option("--body", help="A body: a file, or the name of a shipped one.")
]
BlockArgument = Annotated[
    str, typer.Argument(help="A block: a file, or `demo` or `demo-soft`.")
]
HoldOption = Annotated[
    Hold, typer.Option("--hold", help="How firmly the garment should hold.")
]
ColumnUnitOption = Annotated[
    str,
    typer.Option("--units-in", help="Unit of lengths whose column names none [cm]."),
]
OutOption = Annotated[
    Path | None, typer.Option("--out", help="Where to write the result.")
]
RoundOption = Annotated[
    RoundBody | None,
    typer.Option(
        "--round",
        help="Cloth direction round the body; else as a block was cut in that cloth, or "
        "the stretchier.",
    ),
]
OverHeadOption = Annotated[
    bool, typer.Option("--over-head", help="Pulled on over head, not stepped into.")
]
OpensOption = Annotated[
    bool,
    typer.Option("--opens", help="It has a zip or another opening to get in by."),
]
ElasticOption = Annotated[
    float,
    typer.Option(
        "--elastic-stretch",
        min=5.0,
        max=400.0,
        help="Stretch that the elastic can bear worn, per cent.",
    ),
]
SetOption = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME=NUMBER",
        help="Change one aim or limit; --why of `ease factors` names them.",
    ),
]
