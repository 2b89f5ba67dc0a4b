"""Papers and the wishes for a full-scale print, all in millimetres."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from ease.errors import UsageError
from ease.sentence import Length
from ease.units import CM_PER, length_text

__all__ = [
    "MM_PER_INCH",
    "MM_PER_POINT",
    "PAPERS",
    "Grain",
    "Paper",
    "PrinterReading",
    "SheetOptions",
    "paper_named",
]

Grain = Literal["down", "across"]
MM_PER_INCH: Final = 10 * CM_PER["in"]
MM_PER_POINT: Final = MM_PER_INCH / 72
# A PDF page may be 14 400 units long. Source key: pdf-page-limit.
LONGEST_MM: Final = 14_400 * MM_PER_POINT
LARGEST_CORRECTION: Final = 0.03
# Width and height in mm, upright. Source keys: iso-216, ansi-y14-1 (8.5 x 11 inch).
PAPERS: Final[Mapping[str, tuple[float, float]]] = {
    "a4": (210.0, 297.0),
    "letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
    "a3": (297.0, 420.0),
    "a2": (420.0, 594.0),
    "a1": (594.0, 841.0),
    "a0": (841.0, 1189.0),
}


@dataclass(frozen=True, slots=True)
class Paper:
    """A kind of paper.

    Attributes:
        name: Such as ``a4`` or ``roll:914``.
        width: Width, mm.
        height: Height, mm; of a roll, the longest that can be printed.
        roll: Whether the height is cut to what is needed.
    """

    name: str
    width: float
    height: float
    roll: bool = False

    @property
    def title(self) -> str:
        """Its name for reading.

        Examples:
            >>> paper_named("roll:914").title, paper_named("a4").title
            ('roll of 914 mm', 'A4')
        """
        return f"roll of {self.width:g} mm" if self.roll else self.name.capitalize()

    @property
    def large(self) -> bool:
        """Whether the test squares and the key find room beside the pieces."""
        return min(self.width, self.height) >= 400


def paper_named(name: str) -> Paper:
    """Return a paper by name, or a roll by its width in mm.

    Raises:
        UsageError: If there is none of that name.

    Examples:
        >>> paper_named("roll:914").width
        914.0
    """
    key = name.strip().lower()
    if key in PAPERS:
        return Paper(key, *PAPERS[key])
    roll = re.fullmatch(r"roll:(\d+(?:\.\d+)?)(?:\s*mm)?", key)
    if roll and 200 <= float(roll[1]) <= 3000:
        return Paper(key, float(roll[1]), LONGEST_MM, roll=True)
    accepted = f"{', '.join(PAPERS)}, or roll:914 (width in mm, 200 to 3000)"
    message = f"there is no paper {name!r}; accepted are {accepted}"
    raise UsageError(message)


@dataclass(frozen=True, slots=True)
class PrinterReading:
    """What the 100 mm square of an earlier print measured.

    Attributes:
        across: Its width on paper, mm.
        down: Its height on paper, mm.
    """

    across: float = 100.0
    down: float = 100.0

    def __post_init__(self) -> None:
        """Refuse a reading that no printer set to actual size gives."""
        for value in (self.across, self.down):
            if not abs(self.factor(value) - 1) <= LARGEST_CORRECTION + 1e-12:
                message = (
                    f"the 100 mm square measured {value:g} mm: more than 3 % off is a "
                    "print setting; print at 100 %, not fitted to the page"
                )
                raise UsageError(message)

    @staticmethod
    def factor(value: float) -> float:
        """Return by how much a print must be enlarged."""
        return 100.0 / value if value > 0 else math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOptions:
    """How a block is to be printed.

    Attributes:
        paper: The paper.
        margin: Space left free at each edge of a sheet, mm.
        overlap: Strip that neighbouring sheets share, mm.
        seam_allowance: Added outside edges that are sewn to another edge, mm.
        turning: Added outside openings and hems, mm.
        edge_allowances: Own widths of single edges, ``piece.edge`` or ``edge``, mm.
        grain: Whether the lengthwise direction of the pieces runs down the paper or
            across it.
        unfold: Whether half pieces are printed whole.
        printer: What the 100 mm square of an earlier print measured.
        units: Units of the sizes that are written on it: ``cm`` (shown in mm) or ``in``.
    """

    paper: Paper
    margin: float = 10.0
    overlap: float = 15.0
    seam_allowance: float = 0.0
    turning: float = 0.0
    edge_allowances: Mapping[str, float] = field(default_factory=dict)
    grain: Grain = "down"
    unfold: bool = False
    printer: PrinterReading = PrinterReading()
    units: Literal["cm", "in"] = "cm"

    def __post_init__(self) -> None:
        """Refuse measures that leave no room to print or join."""
        widths = {
            "seam allowance": self.seam_allowance,
            "turning": self.turning,
            **{f"allowance of {key}": v for key, v in self.edge_allowances.items()},
        }
        for name, width in widths.items():
            if not 0 <= width <= 100:
                message = f"{name}: {width / 10:g} cm is not between 0 and 10 cm"
                raise UsageError(message)
        if not 0 <= self.margin <= 50:
            message = f"a margin of {self.margin:g} mm is not between 0 and 50 mm"
            raise UsageError(message)
        if not 0 <= self.overlap <= 50:
            message = f"an overlap of {self.overlap:g} mm is not between 0 and 50 mm"
            raise UsageError(message)

    def size_text(self, width: float, height: float) -> str:
        """Return a width and a height, mm, in the units of the print.

        Examples:
            >>> SheetOptions(paper=paper_named("a4"), units="in").size_text(95.25, 254)
            '3 3/4 x 10 in'
        """
        if self.units == "in":
            sides = (length_text(side / 10, "in") for side in (width, height))
            return f"{' x '.join(sides)} in"
        return f"{width:.0f} x {height:.0f} mm"

    def width_text(self, width: float) -> str:
        """Return the width of an allowance, mm, in the units of the print.

        Inches in sixteenths where they come out even, else in decimals.
        """
        if self.units == "in":
            return Length(width / 10, None).text("in")
        return f"{width:g} mm"

    @property
    def correction(self) -> tuple[float, float]:
        """By how much the print is enlarged across and down."""
        reading = self.printer
        return reading.factor(reading.across), reading.factor(reading.down)

    @property
    def usable(self) -> tuple[float, float]:
        """Width and height of true-size drawing that one sheet holds, mm."""
        across, down = self.correction
        return (
            (self.paper.width - 2 * self.margin) / max(across, 1.0),
            (self.paper.height - 2 * self.margin) / max(down, 1.0),
        )
