"""``ease convert``: a block from one kind of file to another, or to the cutting table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .drawing_options import (
    Dxf,
    Grain,
    KnownOption,
    MapOption,
    UnitsInOption,
    known_length_of,
    sheet_options,
)
from .options import ForceOption, JsonOption, QuietOption, Units, UnitsOption
from .screen import Screen

if TYPE_CHECKING:
    from ease.block.pieces import Block


def convert(
    source: Annotated[
        str,
        typer.Argument(
            metavar="IN", help="A block: .toml, .svg, .dxf, or a shipped one."
        ),
    ],
    target: Annotated[
        Path,
        typer.Argument(metavar="OUT", help="File to write: .toml, .svg, .dxf, .pdf."),
    ],
    map_path: MapOption = None,
    known_length: KnownOption = None,
    units_in: UnitsInOption = None,
    paper: Annotated[
        str,
        typer.Option(
            "--paper", help="a4, letter, a3, a2, a1, a0, or roll:914 (mm wide)."
        ),
    ] = "a4",
    margin: Annotated[
        str, typer.Option("--margin", help="Free edge of each sheet.")
    ] = "10 mm",
    overlap: Annotated[
        str, typer.Option("--overlap", help="Strip that two sheets share.")
    ] = "15 mm",
    seam_allowance: Annotated[
        list[str] | None,
        typer.Option(
            "--seam-allowance",
            metavar="WIDTH",
            help="Added to edges that are sewn to another, or EDGE=WIDTH to one.",
        ),
    ] = None,
    turning: Annotated[
        list[str] | None,
        typer.Option(
            "--turning",
            metavar="WIDTH",
            help="Added to openings for the elastic, or EDGE=WIDTH to one.",
        ),
    ] = None,
    grain: Annotated[
        Grain, typer.Option("--grain", help="Lay the pieces along or across the paper.")
    ] = Grain.DOWN,
    unfold: Annotated[
        bool, typer.Option("--unfold", help="Print half pieces whole.")
    ] = False,
    measured: Annotated[
        str | None,
        typer.Option(
            "--measured",
            metavar="MM[xMM]",
            help="What the 100 mm square of an earlier print measured, across x down.",
        ),
    ] = None,
    dxf: Annotated[
        Dxf, typer.Option("--dxf", help="r2000: exact curves; r12: polylines.")
    ] = Dxf.R2000,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Turn a block into another kind of file, or into a full-scale print.

    Allowances, paper and --unfold concern the print; other files hold the net outline.

    Example: ease convert demo suit.pdf --paper a4 --seam-allowance 0.6 --turning 1
    """
    from ease.demo import shipped_block
    from ease.errors import UsageError
    from ease.files.any_block import WRITABLE, block_bytes, file_kind, read_block_file
    from ease.write import check_writable, write_bytes

    kind = file_kind(target)
    if kind not in WRITABLE:
        message = f"{target}: the ending must be one of .{', .'.join(WRITABLE)}"
        raise UsageError(message)
    options = sheet_options(
        paper=paper,
        margin=margin,
        overlap=overlap,
        seam_allowance=seam_allowance or [],
        turning=turning or [],
        grain=grain,
        measured=measured,
        unfold=unfold,
        units=units,
    )
    check_writable(target, force=force)
    found = read_block_file(
        shipped_block(source) or Path(source),
        map_path=map_path,
        known=known_length_of(known_length, units),
        units_in=units_in.value if units_in else "",
    )
    screen = Screen(as_json, quiet)
    extra: dict[str, int] = {}
    if kind == "pdf":
        from ease.files.sheet import print_block

        made = print_block(found.block, options)
        extra = {"pages": made.pages, "sheets": len(made.layout.printed)}
        data = made.pdf
    else:
        data = block_bytes(found.block, kind, dxf_version=dxf.value)
    write_bytes(target, data, force=force)
    lines = size_lines(found.block, units)
    if extra:
        pages = "page" if extra["pages"] == 1 else "pages"
        lines.append(f"{extra['pages']} {pages}, {options.paper.title}")
    screen.show("\n".join(lines))
    screen.notes(found.notes)
    screen.wrote([target])
    screen.document("convert", {**document(found.block, found.notes), **extra})


def size_lines(block: Block, units: Units) -> list[str]:
    """Return the net size of each piece, so that a wrong unit shows at once."""
    from ease.files.drawing import piece_size_mm
    from ease.units import length_text

    lines = []
    for piece in block.pieces:
        width, height = piece_size_mm(piece)
        if units is Units.INCH:
            size = (
                f"{length_text(width / 10, 'in')} x {length_text(height / 10, 'in')} in"
            )
        else:
            size = f"{width:.0f} x {height:.0f} mm"
        half = ", half on the fold" * piece.on_fold
        lines.append(f"{piece.name}: net {size}{half}")
    return lines


def document(block: Block, notes: tuple[str, ...]) -> dict[str, Any]:
    """Return what was read, for JSON."""
    from ease.files.drawing import piece_size_mm

    sizes = [piece_size_mm(piece) for piece in block.pieces]
    return {
        "block": block.name,
        "pieces": [
            {
                "name": piece.name,
                "width_mm": width,
                "height_mm": height,
                "on_fold": piece.on_fold,
                "edges": [edge.name for edge in piece.edges],
                "points": [edge.start for edge in piece.edges],
            }
            for piece, (width, height) in zip(block.pieces, sizes, strict=True)
        ],
        "levels": [
            {"name": level.name, "y_cm": level.y, "loop": level.loop}
            for level in block.levels
        ],
        "seams": [[seam.first, seam.second] for seam in block.seams],
        "holds": [hold.name for hold in block.holds],
        "notes": list(notes),
    }
