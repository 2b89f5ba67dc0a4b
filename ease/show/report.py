"""A self-contained page of HTML: tables, texts and figures, for screen and print.

No script, and no reference to anything outside the page; the same report gives the same
bytes. Every text is escaped.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from ease.errors import RefusedError
from ease.show.report_svg import inline_svg

__all__ = ["Report", "ReportFigure", "ReportHeading", "ReportTable", "page_html"]


@dataclass(frozen=True, slots=True)
class ReportHeading:
    """The heading of a step."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportTable:
    """A table of plain text cells.

    Attributes:
        title: What it shows; line breaks are kept.
        columns: Headings.
        rows: Cells of each row, as many as headings.
        text_columns: Places of the columns that hold text; the others hold numbers.
        caption: A remark below.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    text_columns: frozenset[int] = frozenset({0})
    caption: str = ""

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the headings."""
        if any(len(row) != len(self.columns) for row in self.rows):
            message = f"table {self.title!r}: a row does not fit its headings"
            raise RefusedError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportFigure:
    """A picture.

    Attributes:
        title: What it shows, in few words.
        svg: The picture as SVG.
        alt: What is to be seen in it, with the numbers, for those who do not see it.
    """

    title: str
    svg: bytes
    alt: str

    def __post_init__(self) -> None:
        """Refuse a picture that says nothing to those who do not see it."""
        if not self.alt.strip():
            message = f"figure {self.title!r} has no alt text"
            raise RefusedError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What a page holds, from top to bottom.

    Attributes:
        title: Heading.
        version: Version of the program.
        parts: Headings, texts, tables and figures.
        notes: What the reader should know.
        cautions: What must be heeded.
        inputs: Kind, name and SHA-256 of each input.
        settings: Name and value of each setting.
    """

    title: str
    version: str
    parts: tuple[str | ReportHeading | ReportTable | ReportFigure, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    inputs: tuple[tuple[str, str, str], ...] = ()
    settings: tuple[tuple[str, str], ...] = ()


KEPT_ROWS: Final = 30
# Dark on white, told apart by lines and weight: it prints in grey as it is.
_STYLE: Final = """\
html { color: #000; background: #fff; font: 11pt/1.45 "Liberation Sans", Arial,
  Helvetica, sans-serif; }
body { margin: 0 auto; max-width: 60rem; padding: 1rem; }
h1 { font-size: 1.6rem; margin: 0 0 .3rem; }
h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #000;
  white-space: pre-wrap; }
p { margin: .5rem 0; max-width: 45rem; }
.made { color: #333; margin-top: 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; margin: 1rem 0; }
caption { text-align: left; font-weight: bold; padding: .2rem 0; }
th, td { padding: .18rem .8rem .18rem 0; text-align: left; vertical-align: top; }
thead th, thead td { border-bottom: 1.5px solid #000; }
tbody tr { border-bottom: 1px solid #bbb; }
tbody th { font-weight: normal; }
.n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
.hash { font: .8rem monospace; overflow-wrap: anywhere; }
code { font-family: "Liberation Mono", monospace; font-size: .95em; }
.remark { font-size: .9rem; margin-top: -.6rem; }
figure { margin: 1rem 0; }
figcaption { font-weight: bold; }
svg { width: 100%; height: auto; max-height: 100vh; }
.cautions { border: 2px solid #000; padding: .3rem .8rem .3rem 1.8rem; max-width: 45rem; }
@page { size: A4; margin: 15mm; }
@media print {
  html { font-size: 9.5pt; }
  body { max-width: none; padding: 0; }
  .wide { overflow: visible; }
  h2 { break-after: avoid; }
  tr, figure, .cautions, .keep { break-inside: avoid; }
  caption { break-after: avoid; }
  thead { display: table-header-group; }
  svg { max-height: 230mm; }
}
"""
_TYPED: Final = re.compile(r"`([^`\n]+)`")
_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"


def page_html(report: Report) -> str:
    """Return a report as one page of HTML."""
    number = 0
    body = []
    for part in report.parts:
        if isinstance(part, ReportFigure):
            number += 1
            body.append(_figure(part, number))
        elif isinstance(part, ReportTable):
            body.append(_table(part))
        elif isinstance(part, ReportHeading):
            body.append(f"<h2>{_text(part.text)}</h2>")
        else:
            # Lines were broken for a terminal; a page breaks its own.
            body.append(f"<p>{_text(' '.join(part.split()))}</p>")
    body += _list("Notes", report.notes, "notes")
    body += _list("Cautions", report.cautions, "cautions")
    body += _origin(report)
    title = escape(_spoken(report.title))
    made = f"ease {escape(report.version)}"
    lines = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta name="generator" content="{made}">',
        f"<title>{title}</title>",
        f"<style>\n{_STYLE}</style>",
        "</head>",
        "<body>",
        "<main>",
        f"<h1>{_text(report.title)}</h1>",
        f'<p class="made">Made with {made}.</p>',
        *body,
        "</main>",
        "</body>",
        "</html>",
    ]
    return "\n".join(lines) + "\n"


def _text(text: str) -> str:
    """Return a text escaped; what is to be typed, in backticks, as code."""
    safe = escape(_shown(text).strip())
    return _TYPED.sub(r"<code>\1</code>", safe).replace("\n", "<br>")


def _spoken(text: str) -> str:
    """Return a text to be read aloud, without the marks of what is to be typed."""
    return _TYPED.sub(r"\1", _shown(text))


def _shown(text: str) -> str:
    """Return a text without control characters, which a page must not hold."""
    return "".join(c for c in text if c in "\n\t" or unicodedata.category(c) != "Cc")


def _table(table: ReportTable) -> str:
    names = "".join(
        _cell(name, place, table, head=True) for place, name in enumerate(table.columns)
    )
    rows = "\n".join(
        "<tr>" + "".join(_cell(c, i, table) for i, c in enumerate(row)) + "</tr>"
        for row in table.rows
    )
    caption = f"<caption>{_text(table.title)}</caption>\n" if table.title else ""
    remark = f'\n<p class="remark">{_text(table.caption)}</p>' if table.caption else ""
    # A short table stays on one sheet; a long one takes its headings along.
    kind = "wide keep" if len(table.rows) <= KEPT_ROWS else "wide"
    return (
        f'<div class="{kind}">\n<table>\n{caption}<thead>\n<tr>{names}</tr>\n</thead>\n'
        f"<tbody>\n{rows}\n</tbody>\n</table>\n</div>{remark}"
    )


def _cell(text: str, place: int, table: ReportTable, *, head: bool = False) -> str:
    """Return a cell; headings say whether they stand over a column or before a row."""
    kind = "" if place in table.text_columns else ' class="n"'
    if head and text.strip():
        return f'<th scope="col"{kind}>{_text(text)}</th>'
    if not head and place == 0 and 0 in table.text_columns and text.strip():
        return f'<th scope="row"{kind}>{_text(text)}</th>'
    return f"<td{kind}>{_text(text)}</td>"


def _figure(figure: ReportFigure, number: int) -> str:
    picture = inline_svg(figure.svg, f"f{number}", _spoken(figure.alt))
    title = _text(figure.title)
    return f"<figure>\n{picture}\n<figcaption>{title}</figcaption>\n</figure>"


def _list(title: str, lines: Sequence[str], name: str) -> list[str]:
    if not lines:
        return []
    items = "\n".join(f"<li>{_text(line)}</li>" for line in lines)
    return [f'<h2>{title}</h2>\n<ul class="{name}">\n{items}\n</ul>']


def _origin(report: Report) -> list[str]:
    """Return the inputs and settings that the page was made from."""
    parts = []
    if report.inputs:
        rows = "\n".join(
            f'<tr><th scope="row">{_text(kind)}</th><td>{_text(name)}</td>'
            f'<td class="hash">{_text(digest)}</td></tr>'
            for kind, name, digest in report.inputs
        )
        heads = "".join(
            f'<th scope="col">{name}</th>' for name in ("input", "name", "SHA-256")
        )
        parts.append(
            "<h2>Inputs</h2>\n<table>\n<caption>What it was made from</caption>\n"
            f"<thead>\n<tr>{heads}</tr>\n</thead>\n<tbody>\n{rows}\n</tbody>\n</table>"
        )
    if report.settings:
        settings = ReportTable(
            title="Every setting, given or by default",
            columns=("setting", "value"),
            rows=report.settings,
            text_columns=frozenset({0, 1}),
        )
        parts.append("<h2>Settings</h2>\n" + _table(settings))
    return parts
