"""Tables of one plain look: 78 columns at most, numbers whole, nothing by colour alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.table import Table

WIDTH = 78


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
        title=Text(title, style="bold"),
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
        table.add_row(*(Text(cell) for cell in row))
    return table
