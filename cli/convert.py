"""``ease convert``: a block from one kind of file to another, or to the cutting table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .drawing_options import (
    MARGIN,
    OVERLAP,
    Dxf,
    Grain,
    KnownOption,
    MapOption,
    PaperOption,
    SeamAllowanceOption,
    TurningOption,
    UnitsInOption,
    sheet_options,
)
from .loading import DrawingHelp, check_block_file, read_drawn_block, write_block
from .options import ForceOption, JsonOption, QuietOption, Units, UnitsOption
from .screen import Screen

if TYPE_CHECKING:
    from ease.block.pieces import Block
    from ease.files.sheet import Print
    from ease.files.sheet_paper import SheetOptions


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
    paper: PaperOption = "a4",
    margin: Annotated[
        str, typer.Option("--margin", help="Free edge of each sheet.")
    ] = MARGIN,
    overlap: Annotated[
        str, typer.Option("--overlap", help="Strip that two sheets share.")
    ] = OVERLAP,
    seam_allowance: SeamAllowanceOption = None,
    turning: TurningOption = None,
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
    from ease.block.sewing_notes import sewing_notes
    from ease.endings import file_kind

    check_block_file(target)
    options = sheet_options(
        paper=paper,
        margin=margin,
        overlap=overlap,
        seam_allowance=seam_allowance,
        turning=turning,
        grain=grain,
        measured=measured,
        unfold=unfold,
        units=units,
    )
    screen = Screen(as_json, quiet, units)
    screen.check([target], force=force)
    drawing = DrawingHelp(map_path, known_length, units_in)
    found = read_drawn_block(source, drawing, units)
    on_paper = file_kind(target) == "pdf"
    lines = size_lines(found.block, units, unfold=unfold and on_paper)
    printed = {}
    if on_paper:
        made = _print(found.block, target, options, force=force)
        printed = {"pages": made.pages, "sheets": len(made.layout.printed)}
        pages = "page" if made.pages == 1 else "pages"
        lines += _allowance_lines(found.block, options)
        lines.append(f"{made.pages} {pages}, {options.paper.title}")
    else:
        write_block(found.block, target, dxf=dxf.value, force=force)
    screen.show("\n".join(lines))
    notes = tuple(dict.fromkeys([*found.notes, *sewing_notes(found.block)]))
    screen.notes(notes)
    screen.wrote([target])
    screen.document("convert", {**document(found.block, notes), **printed})


def _print(block: Block, path: Path, options: SheetOptions, *, force: bool) -> Print:
    from ease.files.sheet import print_block
    from ease.write import write_bytes

    made = print_block(block, options)
    write_bytes(path, made.pdf, force=force)
    return made


def _allowance_lines(block: Block, options: SheetOptions) -> list[str]:
    """Return which edges got which allowance: one named otherwise shows at once."""
    from ease.files.sheet_edges import allowances_by_edge

    said = {p.name: allowances_by_edge(block, p, options) for p in block.pieces}
    return [f"{name}: with {text}" for name, text in said.items() if text]


def size_lines(block: Block, units: Units, *, unfold: bool = False) -> list[str]:
    """Return the net size of each piece, so that a wrong unit shows at once."""
    from ease.block.pieces import CUT_WORDS
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
        whole = ", printed whole" if unfold and piece.on_fold else ""
        lines.append(f"{piece.name}: net {size}, {CUT_WORDS[piece.cut]}{whole}")
    return lines


def document(block: Block, notes: tuple[str, ...]) -> dict[str, Any]:
    """Return what was read, for JSON."""
    from ease.block.measure import piece_area
    from ease.files.drawing import piece_size_mm

    sizes = [piece_size_mm(piece) for piece in block.pieces]
    return {
        "block": block.name,
        "pieces": [
            {
                "name": piece.name,
                "width_mm": width,
                "height_mm": height,
                "area_cm2": piece_area(piece),
                "cut": piece.cut,
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
