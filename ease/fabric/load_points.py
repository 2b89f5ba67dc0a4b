"""Readings of a hand-made load test, and what cannot be right about them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from ease.cells import Cells, Row
from ease.errors import Problem
from ease.fabric.hand_reading import MOST_STRETCH
from ease.fabric.profile import DirectionName
from ease.fabric.sweep import BranchName, Sweep
from ease.units import NEWTON_PER

__all__ = [
    "SHORTEST",
    "LoadPoint",
    "back_problems",
    "branch_of",
    "hand_sweep",
    "load_problem",
    "order_problems",
    "stretch_problems",
]

# The words of the column branch; up and down say the same in fewer letters.
_BRANCHES: Final[dict[str, BranchName]] = {
    "loading": "loading",
    "unloading": "unloading",
    "up": "loading",
    "down": "unloading",
}
# Nobody hangs more on a strip by hand. Common practice, no source.
MOST_LOAD: Final = 500.0  # N, 51 kg
MOST_BARE_LOAD: Final = 50.0  # N, 5 kg, where no unit was given
SHORTEST: Final = 0.99  # of the gauge, read unloaded: a slip of the ruler; own choice
CREPT: Final = (
    1.2  # of the greatest strain: no strip gives so much under less; own choice
)


@dataclass(frozen=True, slots=True)
class LoadPoint:
    """One reading: load per width and layer at a length.

    Attributes:
        direction: Cloth direction of the pull.
        repeat: Number of the strip.
        branch: ``loading`` as weights go on, ``unloading`` as they come off.
        tension: Load per width and layer, N/m.
        length: Distance of the marks, cm.
        place: Where it stands in the file.
        said: Whether the file says the branch.
    """

    direction: DirectionName
    repeat: int
    branch: BranchName
    tension: float
    length: float
    place: str
    said: bool = True


def branch_of(cells: Cells, row: Row) -> BranchName | None:
    """Return the branch that a row names, loading where it names none.

    None with a fault where the word is none that is known.
    """
    if not cells.text(row, "branch"):
        return "loading"
    word = cells.choice(row, "branch", tuple(_BRANCHES))
    return None if word is None else _BRANCHES[word]


def load_problem(load: float, unit: str | None) -> str:
    """Return what is wrong with a load, or an empty text.

    Args:
        load: The load, N.
        unit: The unit that it was given in; None where none was given, so that newtons
            were taken.

    Examples:
        >>> load_problem(300.0, None)
        'no unit is given, and 300 N would be 31 kg; write load (g) above the column'
        >>> load_problem(300.0, "N")
        ''
    """
    if unit is None and load > MOST_BARE_LOAD:
        weight = f"{load:g} N would be {load / NEWTON_PER['kg']:.0f} kg"
        return f"no unit is given, and {weight}; write load (g) above the column"
    if load > MOST_LOAD:
        return f"{load:.0f} N is no load for a strip; was it read in g?"
    return ""


def stretch_problems(points: Sequence[LoadPoint], gauge: float) -> list[Problem]:
    """Return a fault for each length that no knit reaches.

    Args:
        points: Readings of one strip.
        gauge: Its relaxed length, cm.
    """
    return [
        Problem(
            f"{point.place}, column length",
            f"{point.length:g} cm is a stretch of {100 * (point.length / gauge - 1):.0f} "
            f"% on {gauge:g} cm; was it read in mm and headed cm?",
        )
        for point in points
        if point.length > gauge * (1 + MOST_STRETCH)
    ]


def order_problems(points: Sequence[LoadPoint]) -> list[Problem]:
    """Return a fault where the unloading, or another strip, runs on as the loading.

    Args:
        points: Readings of one direction, repeat and branch, in the order of the file.
    """
    loads = [point.tension for point in points]
    rising = all(a <= b for a, b in pairwise(loads))
    falling = all(a >= b for a, b in pairwise(loads))
    first = points[0]
    if rising or (falling and first.said):
        return []
    at = next(b for a, b in pairwise(points) if b.tension < a.tension)
    name = f"{first.direction} {first.repeat}"
    what = (
        f"the load falls within {name}; is the weight right? Else write loading or "
        "unloading in a column branch, or number the strips in a column repeat"
    )
    if falling:
        what = (
            f"the load falls from the first reading of {name} to the last. If weights "
            "came off, write unloading in a column branch, and add the readings of the "
            "loading, which are needed; if they went on, write loading there"
        )
    return [Problem(f"{at.place}, column load", what)]


def back_problems(
    up: Sequence[LoadPoint], down: Sequence[LoadPoint], gauge: float
) -> list[Problem]:
    """Return a fault for each reading that cannot be as the weights come off.

    Args:
        up: Readings of one strip as the weights go on.
        down: The same as they come off.
        gauge: Its relaxed length, cm.
    """
    heaviest = max(point.tension for point in up)
    longest = max(up, key=lambda point: point.length)
    most = gauge + CREPT * (longest.length - gauge)
    found = []
    for point in down:
        length = f"{point.place}, column length"
        if point.tension > heaviest * (1 + 1e-9):
            what = "more than the strip was loaded with before the weights came off"
            found.append(Problem(f"{point.place}, column load", what))
        elif point.length > most:
            what = (
                f"{point.length:g} cm as the weights come off is longer than "
                f"{longest.length:g} cm under all of them ({longest.place})"
            )
            found.append(Problem(length, what))
        elif point.length < gauge * SHORTEST:
            what = f"{point.length:g} cm is shorter than the gauge ({gauge:g} cm)"
            found.append(Problem(length, what))
    return found


def hand_sweep(points: Sequence[LoadPoint], gauge: float) -> Sweep:
    """Return one way of a strip as strain and tension, in order of length."""
    points = sorted(points, key=lambda p: (p.length, p.tension))
    first = points[0]
    return Sweep(
        direction=first.direction,
        repeat=first.repeat,
        cycle=1,
        branch=first.branch,
        strain=np.array([max(p.length / gauge - 1, 0.0) for p in points]),
        tension=np.array([p.tension for p in points]),
        places=tuple(p.place for p in points),
    )
