"""What a misspelt word was meant to be: one measure of likeness, one wording."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Final

__all__ = ["LIKE", "MISSPELT", "nearest", "nearest_text"]

# Likeness is twice the letters that two words share in order, over the letters of both.
# The shortest names here have three letters, and one wrong letter in three makes 2/3:
# so one slip is seen in every name, and two only from six letters on.
LIKE: Final = 2 / 3
# A word that may as well be another one, such as a column that is not used, is taken for
# a slip only from here on: a false guess would refuse a good file. Own choice; one wrong
# letter in four, or one missing in three (4/5).
MISSPELT: Final = 0.75


def nearest(
    word: str, known: Iterable[str], *, most: int = 1, likeness: float = LIKE
) -> list[str]:
    """Return the known words that a word is like, whatever its case, the likest first.

    Args:
        word: As it was written.
        known: The words that are accepted.
        most: How many to return at most.
        likeness: Least likeness, from 0 to 1 for the same word.

    Examples:
        >>> nearest("Hop", ["bust", "waist", "hip"])
        ['hip']
    """
    written = {name.casefold(): name for name in known}
    close = difflib.get_close_matches(
        word.casefold(), list(written), n=most, cutoff=likeness
    )
    return [written[name] for name in close]


def nearest_text(word: str, known: Iterable[str], *, most: int = 1) -> str:
    """Return ``; did you mean X?`` for a misspelt word, or an empty text.

    Args:
        word: As it was written.
        known: The words that are accepted.
        most: How many to name at most.

    Examples:
        >>> nearest_text("strech", ["stretch", "growth"])
        '; did you mean stretch?'
        >>> nearest_text("en-8", ["en-84", "en-88", "demo"], most=3)
        '; did you mean en-88 or en-84?'
        >>> nearest_text("colour", ["stretch", "growth"])
        ''
    """
    near = nearest(word, known, most=most)
    if not near:
        return ""
    *others, last = near
    said = f"{', '.join(others)} or {last}" if others else last
    return f"; did you mean {said}?"
