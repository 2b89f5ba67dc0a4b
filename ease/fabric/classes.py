"""Trade classes of stretch: published tables as data, each with its boundary rule.

The tables disagree: 50 % is *stretchy* in one and *moderate* in the other. So a class is
always shown with the name of its table.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from math import floor, isfinite
from typing import Final

from ease.errors import RefusedError, UsageError

__all__ = ["CLASS_TABLES", "ClassTable", "class_table", "stretch_class"]


@dataclass(frozen=True, slots=True)
class ClassTable:
    """A table of stretch classes.

    Attributes:
        name: Short name.
        title: What it is.
        source: Source key.
        starts: Per cent at which each class begins, rising, the first 0.
        names: Name of each class.
        whole: Whether the figure is rounded to a whole per cent first.
        reach: Points by which a figure may fall short and still count as reached.
    """

    name: str
    title: str
    source: str
    starts: tuple[float, ...]
    names: tuple[str, ...]
    whole: bool = False
    reach: float = 0.0


CLASS_TABLES: Final[tuple[ClassTable, ...]] = (
    ClassTable(
        name="ranges",
        title="five ranges that meet",
        # Figures are rounded to a whole per cent; rib is all above 100.
        source="richardson-2008",
        starts=(0, 26, 51, 76, 101),
        names=("stable", "moderate", "stretchy", "super-stretch", "rib"),
        whole=True,
    ),
    ClassTable(
        name="gauge",
        title="figures that a five-inch fold must reach",
        # A cloth has the highest class whose figure it reaches, within half a point: 5
        # to 5 7/8 in is 17.5 and printed 18. Rib has the figure of super-stretch, so
        # that stretch alone cannot tell it.
        source="armstrong-knits",
        starts=(0, 18, 25, 50, 100),
        names=("below stable", "stable", "moderate", "stretchy", "super-stretch"),
        reach=0.5,
    ),
)


def class_table(name: str = "ranges") -> ClassTable:
    """Return a table by its name.

    Raises:
        UsageError: If there is no such table.
    """
    for table in CLASS_TABLES:
        if table.name == name:
            return table
    known = ", ".join(table.name for table in CLASS_TABLES)
    message = f"no table of stretch classes is called {name!r}; known are {known}"
    raise UsageError(message)


def stretch_class(stretch: float, table: ClassTable = CLASS_TABLES[0]) -> str:
    """Return the class of a stretch.

    Args:
        stretch: A fraction, 0 or more.
        table: The table to go by.

    Raises:
        RefusedError: If the stretch is below 0 or not finite.

    Examples:
        >>> stretch_class(0.50), stretch_class(0.50, class_table("gauge"))
        ('moderate', 'stretchy')

    Source keys: richardson-2008, armstrong-knits
    """
    if not (isfinite(stretch) and stretch >= 0):
        message = f"a stretch must be 0 or more, not {stretch}"
        raise RefusedError(message)
    percent = round(100 * stretch, 9)
    if table.whole:
        percent = floor(percent + 0.5)
    return table.names[bisect_right(table.starts, percent + table.reach) - 1]
