"""``ease trace``: points read off a paper block become a block."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .convert import document, size_lines
from .loading import check_block_file, write_block
from .options import (
    ForceOption,
    JsonOption,
    OutOption,
    QuietOption,
    Units,
    UnitsOption,
    length_of,
)
from .screen import Screen
from .tables import make_table

if TYPE_CHECKING:
    from rich.table import Table

    from ease.files.trace_records import Traced


def trace(
    points: Annotated[
        Path, typer.Argument(help="Points across and down, by edge: .csv or .toml.")
    ],
    tolerance: Annotated[
        str | None,
        typer.Option(
            "--tolerance",
            help="Largest distance of a point from its curve, such as 0.5mm.",
        ),
    ] = None,
    out: OutOption = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", help="Points and curves: .png, .svg or .pdf."),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Trace a paper block by numbers and check it while reading.

    Lay the block on a squared board and read points along each edge. CSV columns are
    piece, edge, point, across, down, hint. Edges follow one another round the piece, the
    fold too; each begins where the one before ends. `point` names the first point of an
    edge, each with a name of its own on its piece; the others need none. Hints are line,
    curve, corner and free; a curve meets the fold square unless it is free.

    Above the columns stand lines such as `# units = cm`, `# fold front = 0` (where the
    fold lies across the board; `none` for a whole piece, cut once, `pair` for one that
    is cut twice, mirrored), `# girth lining = no` (its width counts in no girth),
    `# level waist = 41`, with `partly` or `open` behind it where the girth is cut open,
    `# seam side = front.side, back.side` for edges sewn together,
    `# hold strap = front.neck, front.arm` for two points that keep their distance,
    `# loop front = front.arm, front.crotch` for the way of the torso loop over a piece,
    from shoulder seam to crotch seam,
    `# anchor = waist`, `# tolerance = 0.05`, `# name` and `# note`.

    `ease demo` leaves an example, trace.csv.

    Example: ease trace ease-demo/trace.csv --out block.toml --picture block.png
    """
    from ease.files.trace_file import load_trace

    screen = Screen(as_json, quiet, units)
    screen.check([out], pictures=[picture], force=force)
    check_block_file(out)
    allowed = None
    if tolerance is not None:
        allowed = length_of("--tolerance", tolerance, units.value)
    traced = load_trace(points, tolerance_cm=allowed)
    if out is not None:
        write_block(traced.block, out, force=force)
    if picture is not None:
        _draw(traced, picture, units, force=force)
    screen.show("\n".join(size_lines(traced.block, units)), _curves(traced, units))
    screen.notes(traced.notes)
    screen.wrote([path for path in (out, picture) if path is not None])
    screen.document("trace", _json(traced))


def _draw(traced: Traced, path: Path, units: str, *, force: bool) -> None:
    from ease.show.figure import save_figure
    from ease.show.trace_figure import SIZE_IN, draw_trace

    save_figure(
        path,
        lambda axes: draw_trace(axes, traced, units=units),
        size_in=SIZE_IN,
        title=f"{traced.block.name}, traced by numbers",
        force=force,
    )


def _curves(traced: Traced, units: Units) -> Table:
    from ease.block.measure import edge_length
    from ease.units import length_text

    rows = [
        (
            fit.edge,
            length_text(edge_length(traced.block.edge(fit.edge)), units.value),
            str(fit.points),
            str(fit.cubics),
            f"{fit.deviation_cm * 10:.2f}",
        )
        for fit in traced.fits
    ]
    columns = ("edge", f"length ({units.value})", "points", "cubics", "off by (mm)")
    return make_table("Curves through the points", columns, rows)


def _json(traced: Traced) -> dict[str, Any]:
    from ease.block.measure import edge_length

    fits = [
        {
            "edge": fit.edge,
            "length_cm": edge_length(traced.block.edge(fit.edge)),
            "points": fit.points,
            "cubics": fit.cubics,
            "deviation_cm": fit.deviation_cm,
        }
        for fit in traced.fits
    ]
    return {**document(traced.block, traced.notes), "fits": fits}
