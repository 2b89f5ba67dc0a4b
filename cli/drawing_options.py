"""Options of drawings and prints that commands share, and what they mean."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .options import Units, length_of

if TYPE_CHECKING:
    from ease.files.drawing import KnownLength
    from ease.files.sheet_paper import PrinterReading, SheetOptions

# 6 meant as mm and taken as cm is the usual slip.
WIDEST_BARE_MM = 40.0
MARGIN, OVERLAP = "10 mm", "15 mm"


class Grain(StrEnum):
    """Which way the lengthwise direction of the pieces runs on the paper."""

    DOWN = "down"
    ACROSS = "across"


class Dxf(StrEnum):
    """Kinds of DXF that are written."""

    R2000 = "r2000"
    R12 = "r12"


class FileUnit(StrEnum):
    """Units that a DXF file may be drawn in."""

    MM = "mm"
    CM = "cm"
    M = "m"
    IN = "in"
    FT = "ft"


MapOption = Annotated[
    Path | None,
    typer.Option(
        "--map",
        help="TOML file that names the levels, pieces, folds, edges, seams and held "
        "distances of a drawing; the README shows one.",
    ),
]
KnownOption = Annotated[
    str | None,
    typer.Option(
        "--known-length",
        metavar="NAME=LENGTH",
        help="A line of the drawing and its true length, such as waist=310mm, "
        "where the file has no size.",
    ),
]
UnitsInOption = Annotated[
    FileUnit | None,
    typer.Option("--units-in", help="Unit of a DXF that does not say its own."),
]
PaperOption = Annotated[
    str,
    typer.Option("--paper", help="a4, letter, a3, a2, a1, a0, or roll:914 (mm wide)."),
]
SeamAllowanceOption = Annotated[
    list[str] | None,
    typer.Option(
        "--seam-allowance",
        metavar="WIDTH",
        help="Added in print to edges sewn to another, or EDGE=WIDTH to one.",
    ),
]
TurningOption = Annotated[
    list[str] | None,
    typer.Option(
        "--turning",
        metavar="WIDTH",
        help="Added in print to openings for the elastic, or EDGE=WIDTH to one.",
    ),
]


def known_length_of(text: str | None, units: Units) -> KnownLength | None:
    """Return the line and length written ``NAME=LENGTH``.

    Raises:
        UsageError: If it is written otherwise or is no length.
    """
    if text is None:
        return None
    from ease.errors import RefusedError, UsageError
    from ease.files.drawing import KnownLength
    from ease.sentence import Sentence

    name, equals, length = text.rpartition("=")
    if not equals or not name.strip():
        message = f"--known-length {text!r}: write NAME=LENGTH, such as waist=310mm"
        raise UsageError(message)
    length_cm = length_of("--known-length", length, units.value)
    try:
        return KnownLength(name.strip(), length_cm)
    except RefusedError as error:
        message = Sentence("--known-length: {}", error.message)
        raise UsageError(message) from error


def _widths(
    option: str, texts: Sequence[str], units: Units
) -> tuple[float, dict[str, float]]:
    """Return the common width and those of single edges, mm."""
    from ease.errors import UsageError
    from ease.sentence import Length, Sentence

    common, single = 0.0, {}
    for text in texts:
        edge, _, width = text.rpartition("=")
        value = length_of(f"{option} {text}", width, units.value) * 10
        if value > WIDEST_BARE_MM and not any(sign.isalpha() for sign in width):
            bare = width.strip()
            message = Sentence(
                "{} {}: {} is wide; write its unit, {}mm or {}{}",
                *(option, text, Length(value / 10, None), bare, bare, units.value),
            )
            raise UsageError(message)
        if edge.strip():
            single[edge.strip()] = value
        else:
            common = value
    return common, single


def _printer_reading(text: str | None) -> PrinterReading:
    """Return a reading written ``99.4`` or ``99.4x100.2``, mm."""
    from ease.errors import UsageError
    from ease.files.sheet_paper import PrinterReading

    if text is None:
        return PrinterReading()
    across, two, down = text.lower().partition("x")
    parts = (across, down if two else across)
    if not all(part.strip() for part in parts):
        message = f"--measured {text}: write 99.4, or across and down, 99.4x100.2"
        raise UsageError(message)
    values = [length_of("--measured", part, "mm") * 10 for part in parts]
    return PrinterReading(*values)


def sheet_options(
    *,
    paper: str,
    seam_allowance: Sequence[str] | None,
    turning: Sequence[str] | None,
    units: Units,
    margin: str = MARGIN,
    overlap: str = OVERLAP,
    grain: Grain = Grain.DOWN,
    measured: str | None = None,
    unfold: bool = False,
) -> SheetOptions:
    """Return the wishes for a print.

    Raises:
        UsageError: If one cannot be met, or a length cannot be read.
    """
    from ease.files.sheet_paper import SheetOptions, paper_named

    seams, seam_edges = _widths("--seam-allowance", seam_allowance or (), units)
    turnings, turning_edges = _widths("--turning", turning or (), units)
    return SheetOptions(
        paper=paper_named(paper),
        margin=length_of("--margin", margin, "mm") * 10,
        overlap=length_of("--overlap", overlap, "mm") * 10,
        seam_allowance=seams,
        turning=turnings,
        edge_allowances={**seam_edges, **turning_edges},
        grain=grain.value,
        unfold=unfold,
        printer=_printer_reading(measured),
        units=units.value,
    )
