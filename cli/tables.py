"""Tables of one plain look: 78 columns at most, numbers whole, nothing by colour alone."""

from __future__ import annotations

import re
from copy import copy
from textwrap import wrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import Console, RenderableType
    from rich.table import Table

WIDTH = 78
_RULES = "    \n    \n -- \n" + "    \n" * 5  # a table's lines for ASCII-only terminals
_FOLDED = 8  # columns that text which may fold needs at least


def make_table(
    title: str,
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    text_columns: Sequence[int] = (0,),
    caption: str = "",
) -> Table:
    """Return a table whose cells are shown as they are, never as markup.

    Args:
        title: Heading, flush left.
        columns: Headings of the columns, units in round brackets.
        rows: Cells of each row.
        text_columns: Columns that hold text: flush left, folded where too long. The
            others hold numbers: flush right, never broken.
        caption: Line below the table.
    """
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(
        title=Text(harmless(title), style="bold"),
        caption=Text(caption, style="") if caption else None,
        title_justify="left",
        caption_justify="left",
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        padding=(0, 2, 0, 0),
        show_edge=False,
    )
    for index, name in enumerate(columns):
        if index in text_columns:
            # The first column names the row and stays whole; others may fold.
            table.add_column(
                Text(name), justify="left", overflow="fold", no_wrap=index == 0
            )
        else:
            table.add_column(Text(name), justify="right", no_wrap=True)
    for row in rows:
        table.add_row(*(Text(harmless(cell)) for cell in row))
    return table


def inch_note(units: str) -> str:
    """Return what a caption says where differences stand beside rounded inches."""
    if units != "in":
        return ""
    return "Each inch is rounded by itself: a difference may be an eighth off."


def fitted(item: RenderableType, console: Console) -> RenderableType:
    """Return a table as a list of its rows where the terminal is too narrow for it.

    Squeezed, its figures would be cut. Anything else comes back as it is.
    """
    from rich.box import Box
    from rich.table import Table
    from rich.text import Text

    if not isinstance(item, Table):
        return item
    if console.options.ascii_only:
        item.box = Box(_RULES, ascii=True)
    columns = [[str(c.header), *map(str, c.cells)] for c in item.columns]
    needed = 3 * (len(columns) - 1) + sum(
        _width(cells) if column.no_wrap else min(_FOLDED, _width(cells))
        for column, cells in zip(item.columns, columns, strict=True)
    )
    if needed <= console.width:
        return captioned(item, console.width)
    heads, *rows = zip(*columns, strict=True)
    lines = [str(item.title or "")]
    for name, *cells in rows:
        lines += ["", " ".join(name.split())]
        for head, cell in zip(heads[1:], cells, strict=True):
            mark = f"{' '.join(head.split())}: " if head else ""
            lines += [f"  {mark}{cell}"] if cell else []
    if item.caption:
        lines += ["", str(item.caption)]
    return Text("\n".join(lines).lstrip("\n"))


def captioned(item: RenderableType, width: int) -> RenderableType:
    """Return a table with its caption in lines of a width, not of the table's own.

    Anything else comes back as it is.
    """
    from rich.console import Group
    from rich.table import Table
    from rich.text import Text

    if not (isinstance(item, Table) and item.caption):
        return item
    caption = folded(str(item.caption), min(width, WIDTH))
    alone = copy(item)  # a page of HTML may want the caption too
    alone.caption = None
    return Group(alone, Text(caption))


# The blank between a number and its unit, its fraction or the sign of its spread.
_BLANK = re.compile(
    r"(?<=\+-) (?=\d)|(?<=\d) (?=%|\d+/\d|(?:cm|mm|in|kPa|mmHg|N/m|N|kg|points)\b)"
)


def folded(text: str, width: int, indent: str = "") -> str:
    """Return sentences in lines of a width, no number parted from its unit.

    Args:
        text: Sentences; line breaks in them are kept.
        width: Signs of a line at most.
        indent: Put before every line of a sentence but its first.

    Examples:
        >>> print(folded("worn 14.1 % wider", 10))
        worn
        14.1 %
        wider
    """
    lines: list[str] = []
    for line in text.split("\n"):
        bound = _BLANK.sub("\N{NO-BREAK SPACE}", line)
        parts = wrap(bound, width, subsequent_indent=indent, break_on_hyphens=False)
        lines += parts or [""]
    # Files and other programs that read on want plain blanks.
    return "\n".join(lines).replace("\N{NO-BREAK SPACE}", " ")


def harmless(text: str) -> str:
    """Return text from a file without signs that would steer the terminal."""
    return "".join(c if c.isprintable() or c in "\n\t" else "\ufffd" for c in text)


def _width(cells: Sequence[str]) -> int:
    return max(len(line) for cell in cells for line in (cell.splitlines() or [""]))
