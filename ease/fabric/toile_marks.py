"""What is read on a worn toile: a mark and its two lengths, a remark and its kind."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal

from ease.errors import RefusedError

__all__ = ["WAYS", "Mark", "Remark", "Way"]

Way = Literal["round", "down"]
WAYS: Final[tuple[Way, Way]] = ("round", "down")
# How a remark may begin; the words of makers, common practice, no source.
_PULLS: Final = (
    *("pull ", "pulls ", "pulling ", "tight ", "tightly "),
    *("digs in", "digging in", "dig in", "cuts in", "cutting in", "cut in"),
)
_GAPES: Final = (
    *("gape ", "gapes ", "gaping ", "loose ", "loosely "),
    *("sag ", "sags ", "sagging ", "fold ", "folds "),
    *("stands off", "stand off", "standing off", "stands away"),
)
_FILLERS: Final = frozenset(
    {
        *("a", "an", "bit", "far", "fits", "is", "it", "little", "looks", "much"),
        *("quite", "rather", "seems", "sits", "slightly", "so", "somewhat", "too"),
        "very",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A mark of known length on the relaxed toile, measured again on the wearer.

    Attributes:
        place: Name of the level that it lies at.
        direction: ``round`` the body or ``down`` it.
        repeat: Number of the mark at its place, from 1.
        relaxed: Length on the relaxed toile, cm.
        worn: Length on the wearer, cm.
        where: Where it stands in its file, such as ``line 3``.
    """

    place: str
    direction: Way
    repeat: int
    relaxed: float
    worn: float
    where: str = ""

    def __post_init__(self) -> None:
        """Refuse lengths that no cloth has."""
        for name, value in (("relaxed", self.relaxed), ("worn", self.worn)):
            if not (isfinite(value) and value > 0):
                message = f"{name} must be above 0, not {value:g}"
                raise RefusedError(message)

    @property
    def strain(self) -> float:
        """Strain really worn, ``worn / relaxed - 1``."""
        return self.worn / self.relaxed - 1.0


@dataclass(frozen=True, slots=True)
class Remark:
    """What was seen on the wearer at a place.

    Attributes:
        place: Name of the level.
        text: As written.
    """

    place: str
    text: str

    @property
    def kind(self) -> Literal["pulls", "gapes", ""]:
        """``pulls`` or ``gapes`` by how it begins; empty for anything else.

        Wrinkles are neither: they come of cloth to spare, and of a pull on one point.
        """
        words = re.findall(r"[a-z]+", self.text.lower())
        while words and words[0] in _FILLERS:
            words = words[1:]
        said = " ".join(words) + " "
        if said.startswith(_PULLS):
            return "pulls"
        return "gapes" if said.startswith(_GAPES) else ""
