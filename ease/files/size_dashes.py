"""The dashes by which nested sizes are told apart, on paper and on screen."""

from __future__ import annotations

from typing import Final

__all__ = ["SIZE_DASHES", "size_dashes"]

# Lengths on and off: mm on paper, line widths in a picture.
SIZE_DASHES: Final[tuple[tuple[float, ...], ...]] = (
    (),
    (6.0, 2.0),
    (1.5, 1.5),
    (5.0, 1.5, 1.0, 1.5, 1.0, 1.5),
)


def size_dashes(count: int) -> list[tuple[float, ...]]:
    """Return the dashes of each size, the smallest first.

    The largest is a full line, and neighbours never share their dashes.

    Examples:
        >>> size_dashes(3)
        [(1.5, 1.5), (6.0, 2.0), ()]
    """
    return [SIZE_DASHES[(count - 1 - row) % len(SIZE_DASHES)] for row in range(count)]
