"""Small changes to good files, cell by cell: figures, words, signs, whole lines."""

from __future__ import annotations

import re
from typing import Final

__all__ = ["WORDS", "changed", "tokens"]

# A number, a word, a run of blanks, or one sign.
_TOKEN = re.compile(
    r"[-+]?[0-9]+(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?|[^\W\d]+|\s+|.", re.S
)

_FIGURE = re.compile(r"[-+]?[0-9]{1,15}(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?")

# What stands in for a cell: figures at the edges, and signs that readers give a meaning.
WORDS: Final = (
    "", "0", "-1", "1e308", "-1e308", "1e-320", "nan", "inf", "-inf", "9" * 400,
    "9" * 5000, "1/0", "1/3", "3 7/8", "12,5", "1.000,5", "1e999", "0x" + "f" * 400,
    "0x" + "f" * 5000, "½", "−2", "true", "[]", "[1, 2]", "{}", "{ mean = 1 }",
    '"x"', '"', "'", '"""', "=", "#", ",", ";", "\t", "\n", "\r", "\x00", "\ufeff",
    "\u2028", "\x85", "é", "\u017f", "\U0001d7d9", "\u0663", "\\ud800", "\\u0000",
    "_xD800_", "a.b", "..",
    "[[piece]]", "[body]", "cm", "mm", "in", "kg", "N/.", "N/0mm", "N/1.2.3m", "%",
    "sep=", "waist", "across", "up", "down", "<", ">", "&a;", "&#0;", "<g>", "</g>",
    "<!DOCTYPE svg SYSTEM 'a'>", "M0 0", "A1e200 1 0 0 1 9 9", "a0 0 0 0 1 9 9", "z",
    "url(#a)", "none", "EOF", "  0\nLINE", "  0\nINSERT", " 70\n1", " 10\n1e300", "999",
)  # fmt: skip


def tokens(text: str) -> list[str]:
    """Return the numbers, words, blanks and signs of a text, which make it up again."""
    return _TOKEN.findall(text)


def changed(text: str, edits: list[tuple[int, int, int]]) -> str:
    """Return a text after some edits.

    Args:
        text: A file.
        edits: For each edit its kind, its place and what it takes, all of them numbers
            of any size.
    """
    parts = tokens(text)
    for kind, place, what in edits:
        if not parts:
            break
        here = place % len(parts)
        if kind % 6 == 0:
            parts[here] = WORDS[what % len(WORDS)]
        elif kind % 6 == 1:
            parts.insert(here, WORDS[what % len(WORDS)])
        elif kind % 6 == 2:
            del parts[here : here + 1 + what % 3]
        elif kind % 6 == 3:
            parts[here] = parts[what % len(parts)]
        elif kind % 6 == 4:
            _repeat_line(parts, here, what)
        else:
            _other_figure(parts, here, what)
    return "".join(parts)


def _other_figure(parts: list[str], here: int, what: int) -> None:
    """Put another figure for the next one: so most files stay readable."""
    figures = [i for i, part in enumerate(parts) if _FIGURE.fullmatch(part)]
    if not figures:
        return
    at = next((i for i in figures if i >= here), figures[0])
    others = ("0", "1", "2", "-1", "0.001", "1000", "1e-9", "1e9", parts[figures[0]])
    choice = what % (len(others) + 4)
    if choice < len(others):
        parts[at] = others[choice]
    else:
        factor = (0.5, -1.0, 1.01, 10.0)[choice - len(others)]
        parts[at] = f"{float(parts[at]) * factor:.6g}"


def _repeat_line(parts: list[str], here: int, what: int) -> None:
    """Repeat the line round a place, or move it to another place."""
    ends = [i for i, part in enumerate(parts) if "\n" in part]
    begin = max((i + 1 for i in ends if i < here), default=0)
    end = min((i + 1 for i in ends if i >= here), default=len(parts))
    line = parts[begin:end]
    if what % 2:
        del parts[begin:end]
    at = what % (len(parts) + 1)
    parts[at:at] = line
