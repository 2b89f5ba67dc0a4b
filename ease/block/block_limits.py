"""What no block may hold: names that are no names, and places out of all size."""

from __future__ import annotations

import re
from pathlib import PurePath
from typing import TYPE_CHECKING, Final

import numpy as np

from ease.errors import RefusedError
from ease.sentence import Length, Sentence, lengths

if TYPE_CHECKING:
    from ease.block.pieces import Block

__all__ = ["LIMIT_CM", "check_names", "check_size", "name_from_file"]

LIMIT_CM: Final = 300.0  # no piece reaches so far; one of 72 cm in mm, called cm, does
LEAST_CM: Final = 0.1  # no piece is so small
NO_LENGTH_CM: Final = 1e-6  # a line of a drawing that short ends where it starts
# Control signs, halves of surrogate pairs and what XML leaves out.
_NO_TEXT: Final = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_LINE_ENDS: Final = dict.fromkeys(map(ord, "\n\r\t"))


def check_names(block: Block) -> None:
    """Refuse names that no file can hold or nothing can refer to.

    Raises:
        RefusedError: With the first one.
    """
    names = [level.name for level in block.levels]
    for piece in block.pieces:
        names += [piece.name, *piece.marks]
        names += [name for edge in piece.edges for name in (edge.name, edge.start)]
    for name in names:
        if not name.strip() or "." in name:
            message = f"the name {name!r} is empty or holds a full stop"
            raise RefusedError(message)
    drafted, note = block.drafted_for, block.note.translate(_LINE_ENDS)
    names += [block.name, drafted.fabric, drafted.body, note]
    for name in (*names, *(hold.name for hold in block.holds)):
        if _NO_TEXT.search(name):
            message = f"the name or note {name[:40]!r} holds a sign that is no text"
            raise RefusedError(message)


def check_size(block: Block) -> None:
    """Refuse what is so large or small that its unit must be another one.

    Raises:
        RefusedError: With the piece or level.
    """
    for piece in block.pieces:
        for edge in piece.edges:
            if np.ptp(edge.control.reshape(-1, 2), axis=0).max() <= NO_LENGTH_CM:
                message = f"piece {piece.name}: edge {edge.name!r} has no length"
                raise RefusedError(message)
        points = [edge.control.reshape(-1, 2) for edge in piece.edges]
        # A file keeps seven digits of a cm: a piece of just the least size stays one.
        size = round(float(np.ptp(np.concatenate(points), axis=0).max()), 5)
        if piece.marks:
            points.append(np.array([*piece.marks.values()], dtype=float))
        reach = round(float(np.abs(np.concatenate(points)).max()), 5)
        if not (reach <= LIMIT_CM and size >= LEAST_CM):
            far = reach if size >= LEAST_CM else size
            message = Sentence(
                "piece {} measures {}, and a piece measures {} to {}; is its unit right?",
                *(
                    piece.name,
                    Length(far, None),
                    *lengths(LEAST_CM, LIMIT_CM, digits=None),
                ),
            )
            raise RefusedError(message)
    for level in block.levels:
        if not abs(level.y) <= LIMIT_CM:
            message = Sentence(
                "level {} lies at {}, over {}",
                *(level.name, Length(level.y, None), Length(LIMIT_CM, 0)),
            )
            raise RefusedError(message)


def name_from_file(source: str) -> str:
    """Return a name for a block whose file gives it none.

    Examples:
        >>> name_from_file("old/suit v1.2.svg")
        'suit v1.2'
    """
    # A file name that is no text in this system's encoding has halves of pairs in it.
    return _NO_TEXT.sub("_", PurePath(source).stem).strip() or "block"
