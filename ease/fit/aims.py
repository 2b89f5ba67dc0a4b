"""What is aimed at and what is allowed: every choice of the tool in one place.

Each number says where it comes from. "Own choice" means that no source was found and
that the reasoning stands beside it; every one can be changed by the caller.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from math import isfinite
from types import MappingProxyType
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import UsageError
from ease.nearest import nearest_text

__all__ = [
    "AIMS",
    "ASSUMED_CONTRACTION",
    "Aim",
    "Allowed",
    "Choice",
    "changed",
    "choices",
]


@dataclass(frozen=True, slots=True)
class Aim:
    """How firmly a garment holds.

    Attributes:
        name: ``easy``, ``regular`` or ``firm``.
        pressure_kpa: Mean pressure at the bust, kPa; of a garment without one, at its
            highest closed girth.
        pull_n: Pull over both shoulders together, front and back, N.
        girth_share: Worn strain over stretch where no load test exists.
        length_share: The same down the body, over and above contraction.
    """

    name: str
    pressure_kpa: float
    pull_n: float
    girth_share: float
    length_share: float

    def __post_init__(self) -> None:
        """Refuse aims that are no positive number."""
        for item in fields(self)[1:]:
            value = getattr(self, item.name)
            if not (isfinite(value) and value > 0):
                message = f"the aim {item.name} must be above 0, not {value:g}"
                raise UsageError(message)
        for name in ("girth_share", "length_share"):
            if getattr(self, name) > 1:
                message = f"the aim {name} is a share of the stretch: 1 or less"
                raise UsageError(message)


# Pressures: own choice. Swimwear was measured at 0.98-1.96 kPa locally and 0.4-1.3 kPa
# counts as comfortable all day (source key: pressure-groups); those are local figures,
# the side of an oval body carries up to twice the mean, so the mean is set lower:
# `regular` just where pressure is first felt, 0.4 kPa.
# Pulls: own choice; 10 N is the weight of about 1 kg spread over two straps.
# Shares of the tested stretch: worn strain is commonly 1/3 to 1/2 of the usable stretch
# (from memory), and half of the tested stretch counts as usable here.
AIMS: Final[Mapping[str, Aim]] = MappingProxyType(
    {
        "easy": Aim("easy", 0.20, 6.0, 1 / 6, 0.06),
        "regular": Aim("regular", 0.40, 10.0, 0.25, 0.09),
        "firm": Aim("firm", 0.60, 16.0, 0.33, 0.12),
    }
)

# Of elastane knits 0.2 to 0.6 (from memory); used, and said, where none was measured.
ASSUMED_CONTRACTION: Final = 0.3


#: Fields of the limits that nobody sets: what kind of garment it is.
SWITCHES: Final = ("over_head", "opens", "hangs", "passing", "held_at")


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """The limits of the window, as numbers.

    Attributes:
        usable_share: Share of the tested stretch that worn cloth may reach in movement.
        girth_move: Further strain round the body in movement.
        length_move: Further strain down the body in movement.
        least_pressure_kpa: Least mean pressure at the widest closed girth.
        most_side_pressure_kpa: Most pressure at the side of the tightest closed girth.
        least_pull_n: Least pull over both shoulders.
        most_pull_n: Most pull over both shoulders.
        over_head: Whether the garment is pulled on over head and shoulders instead of
            being stepped into.
        opens: Whether it has a zip or another opening, so that nothing is stretched on
            the way on.
        hangs: Whether it hangs from the shoulders. One that does not, such as a brief,
            keeps its length: only the strain round is decided.
        passing: The most that a part of it must pass on the way on, over the body's own
            girth there; one number, or one for each body. None: as a one-piece.
        held_at: Girths that it lies round as a closed loop, of bust, waist and hip; the
            pressure is aimed at on the first.
    """

    usable_share: float = 0.5
    girth_move: float = 0.15
    length_move: float = 0.15
    least_pressure_kpa: float = 0.05
    most_side_pressure_kpa: float = 1.3
    least_pull_n: float = 2.0
    most_pull_n: float = 30.0
    over_head: bool = False
    opens: bool = False
    hangs: bool = True
    passing: float | NDArray[np.float64] | None = None
    held_at: tuple[str, ...] = ("bust", "waist", "hip")

    def __post_init__(self) -> None:
        """Refuse limits that are no sensible number."""
        for item in fields(self):
            value = getattr(self, item.name)
            if item.name not in SWITCHES and not (isfinite(value) and value >= 0):
                message = f"the limit {item.name} must be 0 or more, not {value}"
                raise UsageError(message)
        if not 0 < self.usable_share <= 1:
            message = (
                f"usable_share must lie above 0 and up to 1, not {self.usable_share}"
            )
            raise UsageError(message)

        for name in ("girth_move", "length_move"):
            if getattr(self, name) > 1:
                message = f"the limit {name} is a strain: 1 or less, such as 0.15"
                raise UsageError(message)

    def usual(self) -> Allowed:
        """Return the limits as they are unless changed, for the same kind of garment."""
        return Allowed(**{name: getattr(self, name) for name in SWITCHES})

    def of_bodies(self, keep: NDArray[np.bool_]) -> Allowed:
        """Return the limits of those bodies of a batch that are kept."""
        if not isinstance(self.passing, np.ndarray):
            return self
        passing = np.broadcast_to(self.passing, keep.shape)
        return replace(self, passing=passing[keep])


def changed(
    aim: Aim, allowed: Allowed, numbers: Mapping[str, float]
) -> tuple[Aim, Allowed]:
    """Return an aim and limits with some of their numbers changed.

    Args:
        aim: The aim.
        allowed: The limits.
        numbers: New numbers by the names of the fields of both.

    Raises:
        UsageError: If a name is no such number, or a number is not possible.

    Examples:
        >>> aim, allowed = changed(AIMS["easy"], Allowed(), {"pull_n": 8.0})
        >>> aim.name, aim.pull_n
        ('easy, changed', 8.0)
    """
    in_aim = [item.name for item in fields(Aim) if item.name != "name"]
    in_allowed = [item.name for item in fields(Allowed) if item.name not in SWITCHES]
    known = [*in_aim, *in_allowed]
    for name in numbers:
        if name not in known:
            message = f"{name!r} is no aim or limit{nearest_text(name, known)}"
            raise UsageError(message, hint=f"known are {', '.join(known)}")
    new_aim = {name: value for name, value in numbers.items() if name in in_aim}
    new_limit: dict[str, Any] = {
        name: value for name, value in numbers.items() if name in in_allowed
    }
    if new_aim:
        aim = replace(aim, name=f"{aim.name}, changed", **new_aim)
    return aim, replace(allowed, **new_limit)


@dataclass(frozen=True, slots=True)
class Choice:
    """One number the tool works with, and why.

    Attributes:
        name: What it is.
        setting: Name of the field that holds it.
        value: The number with its unit, for reading.
        reason: Why this number, and where it comes from.
    """

    name: str
    setting: str
    value: str
    reason: str


# For each field of an aim and of the limits: what it is, and why this number. Source
# keys: pressure-groups, kirk-ibrahim-1966, chest-arm-lift, trunk-skin-strain.
_REASONS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "pressure_kpa": (
            "mean pressure at the bust",
            "own choice: local figures of worn swimwear are 0.98-1.96 kPa, 0.4-1.3 is "
            "comfortable all day and felt (pressure-groups, seen), and the side carries "
            "up to twice the mean",
        ),
        "pull_n": ("pull over both shoulders", "own choice, no source found"),
        "girth_share": (
            "worn strain round, share of the stretch",
            "rule of thumb without a load test; a third to a half of the usable "
            "stretch is common (from memory), and half of the tested stretch is usable",
        ),
        "length_share": (
            "pull strain down, share of the stretch",
            "rule of thumb without a load test, own choice: keeps the length of soft "
            "cloth near body length, as drafts commonly have it",
        ),
        "usable_share": (
            "usable share of the stretch",
            "own choice: a hand test pulls to the stop, and a knit thins out and turns "
            "sheer long before it",
        ),
        "girth_move": (
            "room to move round",
            "skin across the back stretches by 13-16 % with the arms forward "
            "(kirk-ibrahim-1966, from memory); men's chests grew by 7 % on a light arm "
            "lift (chest-arm-lift, seen)",
        ),
        "length_move": (
            "room to move down",
            "own choice, as round: skin stretches locally by 20-35 % below the shoulder "
            "blades (trunk-skin-strain, seen) and 25-30 % at the seat (kirk-ibrahim-1966, "
            "from memory); no figure was found for the whole loop",
        ),
        "least_pressure_kpa": (
            "least mean pressure",
            "own choice: below it cloth hangs rather than holds",
        ),
        "most_side_pressure_kpa": (
            "most pressure at the side",
            "upper end of comfortable all day (pressure-groups, seen)",
        ),
        "least_pull_n": (
            "least pull over both shoulders",
            "own choice, no source found",
        ),
        "most_pull_n": (
            "most pull over both shoulders",
            "own choice, no source found",
        ),
    }
)


def choices(allowed: Allowed | None = None) -> tuple[Choice, ...]:
    """Return every aim and limit with its value, reason and origin."""
    limit = allowed or Allowed()
    found = []
    for setting, (title, reason) in _REASONS.items():
        name = title
        if hasattr(limit, setting):
            value = _value(setting, [limit])
        else:
            name += f", {' / '.join(AIMS)}"
            value = _value(setting, AIMS.values())
        found.append(Choice(name, setting, value, reason))
    fixed = Choice(
        "contraction where none was measured",
        "(fixed)",
        f"{ASSUMED_CONTRACTION:g}",
        "elastane knits lie at 0.2 to 0.6 (from memory)",
    )
    return (*found, fixed)


# The unit of a setting by the ending of its name; what is shown in % is a fraction.
_UNITS: Final = {"kpa": "kPa", "n": "N", "share": "%", "move": "%"}


def _value(setting: str, holders: Iterable[Aim | Allowed]) -> str:
    """Return one field of several records with the unit that its name ends in."""
    unit = _UNITS[setting.rpartition("_")[2]]
    numbers = [getattr(one, setting) for one in holders]
    texts = [f"{100 * x:.0f}" if unit == "%" else f"{x:g}" for x in numbers]
    return f"{' / '.join(texts)} {unit}"
