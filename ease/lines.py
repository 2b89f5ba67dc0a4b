"""A text cut into lines and cells, as spreadsheets write them."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from typing import Final

from ease.errors import RefusedError

__all__ = ["plain_lines", "separator_of", "slug", "split_lines"]

LONGEST_CELL: Final = 1_000  # signs; on longer ones the expressions take their time
LONGEST_HEAD: Final = 20_000
MOST_LINES: Final = 100_000
SPACES: Final = "  "  # columns held apart by two spaces or more
_SEP_LINE = re.compile(r'"?sep=(?P<mark>.)"?', re.I)
_META = re.compile(r"#+\s*(?P<key>[A-Za-z][\w \-]*?)\s*=\s*(?P<value>.*)")


def plain_lines(text: str, meta: dict[str, str]) -> tuple[list[str], str]:
    """Return the lines with comments blanked, and the separator a ``sep=`` line names."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    forced = ""
    first = _SEP_LINE.fullmatch(lines[0].strip(" "))
    if first is not None:
        forced, lines[0] = first["mark"], ""
    for place, line in enumerate(lines):
        bare = line.strip().lstrip('"')
        if not bare.startswith("#") or bare.upper().startswith("#N/A"):
            continue
        # A spreadsheet pads the line with separators, and may put it in quotes.
        said = bare.rstrip(';,\t "')
        entry = _META.fullmatch(said) if len(said) <= LONGEST_CELL else None
        if entry is not None:
            meta[slug(entry["key"])] = entry["value"].strip()
        lines[place] = ""
    return lines, forced


def separator_of(head: str) -> str:
    """Return what stands between the cells of the header, or nothing.

    Raises:
        RefusedError: If it is too long to be a header.
    """
    if len(head) > LONGEST_HEAD:
        message = f"its header is longer than {LONGEST_HEAD} signs; that is no table"
        raise RefusedError(message)
    bare = re.sub(r"\([^)]*\)|\[[^]]*\]|\"[^\"]*\"", "", head)
    counts = {mark: bare.count(mark) for mark in "\t;,"}
    best = max(counts, key=lambda mark: counts[mark])
    if counts[best]:
        return best
    return SPACES if re.search(r"\S {2,}\S", bare) else ""


def split_lines(lines: list[str], separator: str) -> list[tuple[int, list[str]]]:
    """Return line number and cells of every line that is not blank.

    Raises:
        RefusedError: If a line's cells cannot be those of a table.
    """
    if len(lines) > MOST_LINES:
        message = f"holds more than {MOST_LINES} lines; that is no table of readings"
        raise RefusedError(message)
    try:
        numbered = list(_split(lines, separator))
    except csv.Error as fault:
        message = f"is no table of cells ({fault})"
        raise RefusedError(message) from None
    for begin, cells in numbered:
        what = _no_cell(cells)
        if what:
            message = f"line {begin}: {what}"
            raise RefusedError(message)
    return numbered


def _split(lines: list[str], separator: str) -> Iterator[tuple[int, list[str]]]:
    """Yield line number and cells of every line that is not blank."""
    if separator in ("", SPACES):
        for number, line in enumerate(lines, start=1):
            if line.strip():
                parts = (
                    re.split(r" {2,}|\t", line.strip()) if separator else [line.strip()]
                )
                yield number, parts
        return
    reader = csv.reader(
        (line + "\n" for line in lines), delimiter=separator, skipinitialspace=True
    )
    begin = 1
    for cells in reader:
        trimmed = [cell.strip() for cell in cells]
        if any(trimmed):
            yield begin, trimmed
        begin = reader.line_num + 1


def _no_cell(cells: list[str]) -> str:
    """Return what is wrong with a line whose cells cannot be those of a table."""
    if any("\n" in cell for cell in cells):
        return "a quotation mark is opened and not closed"
    if max(map(len, cells)) > LONGEST_CELL:
        return f"a cell holds more than {LONGEST_CELL} signs"
    return ""


def slug(name: str) -> str:
    """Return the name of a column or key in small letters, blanks as ``_``."""
    return re.sub(r"[\s\-]+", "_", name.strip().lower())
