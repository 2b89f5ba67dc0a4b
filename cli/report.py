"""``--report``: what a command shows, as one page of HTML with all it was made from."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from matplotlib.figure import Figure
    from rich.table import Table

    from ease.fit.aims import Aim, Allowed
    from ease.show.report import ReportFigure, ReportTable

ReportOption = Annotated[
    Path | None,
    typer.Option(
        "--report", help="The answer as one page of HTML, to print or to hand on."
    ),
]

# What decides where output goes, and not what it says.
_NOT_SETTINGS = frozenset(
    {"report", "out", "overlay", "picture", "as_json", "quiet", "force"}
)


@dataclass(frozen=True, slots=True)
class Target:
    """Where a report goes, and what the command was given.

    Attributes:
        path: The file; None where no report is wanted.
        force: Whether it may be replaced.
        settings: Every option that bears on the answer, in the order of the help.
        inputs: Kind (block, body, fabric, file) and name of each input, as typed.
    """

    path: Path | None
    force: bool
    settings: Mapping[str, Any] = field(default_factory=dict)
    inputs: tuple[tuple[str, str | Path | None], ...] = ()

    def about(self, *inputs: tuple[str, str | Path | None]) -> Target:
        """Return the same target with its inputs; those without a name are left out."""
        return replace(self, inputs=inputs)

    def write(
        self,
        title: str,
        parts: Iterable[Any],
        *,
        notes: Iterable[str] = (),
        cautions: Iterable[str] = (),
        choices: tuple[Aim, Allowed] | None = None,
    ) -> list[Path]:
        """Write the page, if one is wanted; return the file.

        Args:
            title: Heading.
            parts: Texts, tables as they are shown, and figures.
            notes: What the reader should know.
            cautions: What must be heeded.
            choices: Aim and limits in force.
        """
        from ease import __version__
        from ease.sentence import in_units
        from ease.show.report import Report, page_html
        from ease.write import write_text

        if self.path is None:
            return []
        units = str(self.settings.get("--units", "cm"))
        page = Report(
            title=title,
            version=__version__,
            parts=tuple(_titled([_plain(part) for part in parts])),
            notes=tuple(in_units(note, units) for note in dict.fromkeys(notes)),
            cautions=tuple(cautions),
            inputs=tuple(
                _digest(kind, str(name)) for kind, name in self.inputs if name
            ),
            settings=(
                *((name, _value(value)) for name, value in self.settings.items()),
                *_numbers(choices),
            ),
        )
        write_text(self.path, page_html(page), force=self.force)
        return [self.path]


def report_target(ctx: typer.Context, path: Path | None) -> Target:
    """Return where the report of a command goes, before any work is done.

    Args:
        ctx: The command's context, which holds every option.
        path: What ``--report`` named.

    Raises:
        UsageError: If it is no page.
        WriteError: If it cannot be written.
    """
    from ease.endings import file_kind
    from ease.errors import UsageError
    from ease.write import check_writable

    force = bool(ctx.params.get("force"))
    if path is not None:
        if file_kind(path) not in ("html", "htm"):
            message = f"{path}: a report ends in .html"
            raise UsageError(message)
        check_writable(path, force=force)
    given = {
        max(option.opts, key=len): ctx.params[str(option.name)]
        for option in ctx.command.params
        if option.name in ctx.params and option.name not in _NOT_SETTINGS
    }
    return Target(path, force, given)


def picture(
    title: str,
    draw: Callable[[Figure], object],
    size_in: tuple[float, float],
    alt: str,
) -> ReportFigure:
    """Return a picture for a report.

    Args:
        title: What it shows.
        draw: Draws on a new figure.
        size_in: Width and height, inches.
        alt: What is to be seen, with the numbers.
    """
    from ease.show.figure import figure_bytes
    from ease.show.report import ReportFigure

    svg = figure_bytes(draw, "svg", size_in=size_in, title=title)
    return ReportFigure(title=title, svg=svg, alt=alt)


def _plain(part: Any) -> Any:  # noqa: ANN401 - a text, a table or a figure
    from rich.table import Table

    return plain_table(part) if isinstance(part, Table) else part


def _titled(parts: list[Any]) -> list[Any]:
    """Make a line above a table that has no title the title of the table."""
    titled: list[Any] = []
    for part in parts:
        if getattr(part, "title", None) == "" and titled:
            above = titled[-1]
            if isinstance(above, str) and "\n" not in above:
                titled[-1] = replace(part, title=above)
                continue
        titled.append(part)
    return titled


def plain_table(table: Table) -> ReportTable:
    """Return the cells of a table of the screen as plain text."""
    from ease.show.report import ReportTable

    cells = [[_words(cell) for cell in column.cells] for column in table.columns]
    return ReportTable(
        title=_words(table.title),
        columns=tuple(_words(column.header) for column in table.columns),
        rows=tuple(zip(*cells, strict=True)),
        text_columns=frozenset(
            place
            for place, column in enumerate(table.columns)
            if column.justify != "right"
        ),
        caption=_words(table.caption),
    )


def _words(text: object) -> str:
    """Return a text of the screen without its style; empty for none."""
    return "" if text is None else str(getattr(text, "plain", text))


def _value(value: Any) -> str:  # noqa: ANN401 - whatever an option holds
    if value is None or value in ((), []):
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return ", ".join(_value(item) for item in value)
    if isinstance(value, Path):
        return value.name
    return str(getattr(value, "value", value))


def _numbers(choices: tuple[Aim, Allowed] | None) -> list[tuple[str, str]]:
    """Return the numbers of aim and limits that were in force."""
    from dataclasses import asdict

    if choices is None:
        return []
    aim, allowed = choices
    numbers = asdict(aim) | asdict(allowed)
    return [
        (f"in force: {name}", f"{value:.6g}")
        for name, value in numbers.items()
        if isinstance(value, float)
    ]


def _digest(kind: str, name: str) -> tuple[str, str, str]:
    """Return kind, name and SHA-256 of an input."""
    import hashlib

    path = _file_of(kind, name)
    data = path.read_bytes() if path.is_file() else b""
    shown = Path(name).name
    digest = hashlib.sha256(data).hexdigest() if data else "no file"
    return kind, shown, digest


def _file_of(kind: str, name: str) -> Path:
    """Return the file behind a name: one that was named, or a shipped one."""
    from ease.demo import shipped_block
    from ease.fabric.store import fabric_file

    path = Path(name)
    if kind == "fabric":
        return fabric_file(name)
    if kind == "block":
        return shipped_block(name) or path
    if kind == "body" and not path.is_file():
        return _shipped_body_file(name)
    return path


def _shipped_body_file(name: str) -> Path:
    """Return the file that holds a shipped body: its own, or the size tables."""
    import ease.body
    import ease.demo

    home = ease.demo if name == "demo" else ease.body
    file = "body.toml" if name == "demo" else "size_tables.toml"
    return Path(str(home.__file__)).parent / file
