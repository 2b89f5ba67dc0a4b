"""The help of a command in words for makers: FILE and LENGTH, not types of a program."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from typer.core import TyperCommand

from ease.errors import EaseError

if TYPE_CHECKING:
    import typer

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
    return name, _RANGE.sub(r"\1 to \2", said)


class EaseCommand(TyperCommand):
    """A command whose help names values as makers do, and its errors their units."""

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
