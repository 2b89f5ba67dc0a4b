"""The help of a command in words for makers, laid out for the width of the terminal."""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from typing import Any, Final

import typer
from typer.core import TyperCommand

from ease.errors import EaseError

# What is to be written after an option, where the kind of its value does not say.
_VALUES: Final = {
    **dict.fromkeys(("fabric", "to", "from_"), "FABRIC"),
    "body": "BODY",
    "block": "BLOCK",
    "save": "NAME",
    "paper": "PAPER",
    "units_in": "UNIT",
    "elastic": "PERCENT",
    "decimals": "NUMBER",
    **dict.fromkeys(
        (
            *("gauge", "strip_width", "tolerance", "margin", "overlap"),
            *("neck_front", "neck_back", "back_scoop", "strap_width", "leg_height"),
            *("crotch_width", "side_height"),
        ),
        "LENGTH",
    ),
}
_KINDS: Final = {"path": "FILE", "str": "TEXT", "int": "NUMBER", "float": "NUMBER"}
_KIND = re.compile(r" <(?:list\[)?(path|str|int|float)\]?(?: range)?>$")
_WIDEST: Final = 80
_LEAST: Final = 28  # columns; a narrower terminal breaks the lines itself
_NARROW: Final = 60  # below it what is said of an option stands under it
# A hyphen where no line is broken: a name such as firm-tricot stays whole.
_WHOLE: Final = "\N{NON-BREAKING HYPHEN}"
_ROUND = re.compile(r"(?<=default: )([0-9]+)\.0(?=[;\]])")
_RANGE = re.compile(r"([0-9.]+?)(?:\.0)?<=x<=([0-9.]+?)(?:\.0)?(?=[;\]])")


def _row(param: Any, ctx: typer.Context) -> tuple[str, str] | None:  # noqa: ANN401 - of the parser
    """Return an argument or option, and what is said of it."""
    record = param.get_help_record(ctx)
    if record is None:
        return None
    name, said = record
    kind = _KIND.search(name)
    if kind is not None:
        value = _VALUES.get(param.name, _KINDS[kind[1]])
        name = name[: kind.start()]
        if param.param_type_name == "option":
            name += f" {value}"
    return name, _ROUND.sub(r"\1", _RANGE.sub(r"\1 to \2", said))


_Formatter: Any = typer.Context.formatter_class


class EaseFormatter(_Formatter):  # type: ignore[misc]  # whatever the parser has
    """Lays out help so that it fits narrow terminals, and breaks no name."""

    def write_text(self, text: str) -> None:
        """Write a paragraph."""
        super().write_text(text.replace("-", _WHOLE))

    def write_dl(self, rows: Sequence[tuple[str, str]], **_: Any) -> None:  # noqa: ANN401 - what the parser adds
        """Write names and what is said of them, beside or below."""
        kept = [(name, said.replace("-", _WHOLE)) for name, said in rows]
        super().write_dl(kept, col_max=30 if self.width >= _NARROW else 8)

    def getvalue(self) -> str:
        """Return all that was written."""
        return str(super().getvalue()).replace(_WHOLE, "-")


class EaseContext(typer.Context):
    """One run of a command; its help is as wide as the terminal."""

    formatter_class = EaseFormatter

    def make_formatter(self) -> Any:  # noqa: ANN401 - as the base class has it
        """Return what lays out the help."""
        columns = shutil.get_terminal_size().columns
        return EaseFormatter(width=max(min(columns, _WIDEST) - 2, _LEAST))


class EaseCommand(TyperCommand):
    """A command whose help names values as makers do, and its errors their units."""

    context_class = EaseContext

    def __init__(self, *args: Any, **attrs: Any) -> None:  # noqa: ANN401 - as the base class has it
        """Take the command's options; an argument is named in capitals, as a file is."""
        super().__init__(*args, **attrs)
        for param in self.params:
            if param.param_type_name == "argument" and param.metavar is None:
                param.metavar = str(param.name).upper()

    def collect_usage_pieces(self, ctx: Any) -> list[str]:  # noqa: ANN401 - of the parser
        """Return what the command takes; only what may be left out stands in brackets."""
        return [piece.strip("{}") for piece in super().collect_usage_pieces(ctx)]

    def invoke(self, ctx: typer.Context) -> Any:  # type: ignore[override]  # noqa: ANN401 - as the base class has it
        """Run the command; an error says its lengths in the unit of ``--units``."""
        try:
            return super().invoke(ctx)
        except EaseError as error:
            error.units = str(ctx.params.get("units", error.units))
            raise

    def format_options(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - of the parser
        """Write what the command takes: first its arguments, then its options."""
        params = self.get_params(ctx)
        for title in ("argument", "option"):
            rows = [
                row
                for param in params
                if param.param_type_name == title and (row := _row(param, ctx))
            ]
            if rows:
                with formatter.section(f"{title.capitalize()}s"):
                    formatter.write_dl(rows)
