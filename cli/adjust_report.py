"""What ``ease adjust`` shows and writes: tables, JSON, block and overlay."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from .factors import down_tables
from .loading import write_block
from .opening_tables import openings_json, worn_opening_caption, worn_opening_table
from .tables import inch_note, make_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from rich.table import Table

    from ease.block.openings import Opening
    from ease.block.refit import Refit, SizeRow
    from ease.fit.aims import Aim, Allowed
    from ease.show.report import ReportFigure

    from .report import Target

OVERLAY_IN = (9.5, 8.0)
ELASTIC = 80.0  # per cent, what soft swim elastic bears; see block.openings

SURE = (
    "+-: 95 % of what the spread of the readings allows; the tape on the body, which "
    "`ease factors` adds, is left out. Worn: strain on the body."
)
LOOP = "The torso loop runs aslant, so it takes up a little of the strain round too."


def adjust_tables(
    result: Refit,
    units: str,
    elastic_stretch: float = ELASTIC,
    allowed: Allowed | None = None,
) -> list[Table]:
    """Return the tables of factors, sizes, seams, held distances and openings.

    ``allowed`` says how it is put on; stepped into, where it is left out.
    """
    from ease.units import length_text

    looped = any(row.name == "torso loop" for row in result.lengths)
    tables = [
        _factor_table(result),
        *down_tables(1.0 / result.new.length - 1.0, result.new.contraction_strain),
        _size_table("Girths", result.girths, units, SURE),
        _size_table("Lengths", result.lengths, units, LOOP if looped else ""),
    ]
    seams = [
        (
            " with ".join(seam.edges),
            length_text(seam.after.first_cm, units, 2),
            length_text(seam.after.second_cm, units, 2),
            *(f"{10 * abs(cm):.2f}" for cm in (seam.before_cm, seam.after_cm)),
        )
        for seam in result.adjustment.seams
    ]
    if seams:
        columns = ("seam", "first", "second", "before (mm)", "after (mm)")
        said = "mm: how far the two are apart, before adjusting and after."
        title = f"Seams after adjusting ({units})"
        tables.append(make_table(title, columns, seams, caption=said))
    held = [
        (
            row.name,
            length_text(row.before_cm, units, 2),
            length_text(row.after_cm, units, 2),
        )
        for row in result.adjustment.holds
    ]
    if held:
        headings = ("held", "before", "after")
        tables.append(make_table(f"Held distances ({units})", headings, held))
    if openings := _openings(result, elastic_stretch):
        share = elastic_stretch / 100
        told = worn_opening_caption(result, openings, units, share, allowed)
        tables.append(worn_opening_table(openings, units, told))
    return tables


def _openings(result: Refit, elastic_stretch: float) -> tuple[Opening, ...]:
    from ease.block.openings import block_openings

    return block_openings(
        result.block, result.body, elastic_stretch=elastic_stretch / 100
    )


def _factor_table(result: Refit) -> Table:
    rows = [
        (
            name,
            *(f"{value:.3f}" for value in (old, new)),
            f"{ratio:.4f}",
        )
        for name, old, new, ratio in (
            ("girth", result.old.girth, result.new.girth, result.ratios.girth),
            ("length", result.old.length, result.new.length, result.ratios.length),
        )
    ]
    return make_table(
        f"{result.adjustment.before.name}\n"
        f"from: {result.old.origin}\nto:   {result.new.origin}",
        ("", "factor before", "factor after", "block multiplied by"),
        rows,
    )


def _size_table(title: str, rows: Sequence[SizeRow], units: str, caption: str) -> Table:
    from ease.units import length_text

    def size(value: float | None) -> str:
        return "-" if value is None else length_text(value, units)

    cells = [
        (
            row.name,
            size(row.before_cm),
            size(row.after_cm),
            size(row.half_cm),
            size(row.change_cm),
            f"{round(100 * row.change, 1) + 0.0:+.1f}",
            size(row.body_cm),
            "-" if row.strain is None else f"{100 * row.strain:.1f}",
        )
        for row in rows
    ]
    columns = ("", "before", "after", "+-", "change", "(%)", "body", "worn (%)")
    said = f"{caption} {inch_note(units)}".strip()
    return make_table(f"{title} ({units})", columns, cells, caption=said)


def adjust_json(result: Refit, elastic_stretch: float = ELASTIC) -> dict[str, Any]:
    """Return the JSON body of an adjustment."""
    return {
        "block": result.adjustment.before.name,
        "from": {
            "origin": result.old.origin,
            "girth": result.old.girth,
            "length": result.old.length,
        },
        "to": {
            "origin": result.new.origin,
            "girth": result.new.girth,
            "length": result.new.length,
        },
        "ratio": {"girth": result.ratios.girth, "length": result.ratios.length},
        "level_ratio": result.ratios.levels and dict(result.ratios.levels),
        "girths": [_row_json(row) for row in result.girths],
        "lengths": [_row_json(row) for row in result.lengths],
        "seams": [
            {
                "edges": list(seam.edges),
                "before_cm": seam.before_cm,
                "before_truing_cm": seam.mapped_cm,
                "after_cm": seam.after_cm,
                "lengths_after_cm": [seam.after.first_cm, seam.after.second_cm],
            }
            for seam in result.adjustment.seams
        ],
        "holds": [
            {"name": row.name, "before_cm": row.before_cm, "after_cm": row.after_cm}
            for row in result.adjustment.holds
        ],
        "openings": openings_json(_openings(result, elastic_stretch)),
        "notes": list(result.notes),
    }


def _row_json(row: SizeRow) -> dict[str, Any]:
    return {
        "name": row.name,
        "before_cm": row.before_cm,
        "after_cm": row.after_cm,
        "after_half_cm": row.half_cm,
        "change_cm": row.change_cm,
        "change_pct": 100 * row.change,
        "body_cm": row.body_cm,
        "strain": row.strain,
    }


def write_adjusted(
    result: Refit, out: Path | None, overlay: Path | None, units: str, *, force: bool
) -> list[Path]:
    """Write the new block and the overlay where asked for; return what was written."""
    if out is not None:
        write_block(result.block, out, force=force)
    if overlay is not None:
        write_overlay(result, overlay, units, force=force)
    return [path for path in (out, overlay) if path is not None]


def report_adjusted(
    target: Target,
    result: Refit,
    units: str,
    notes: Sequence[str],
    choices: tuple[Aim, Allowed],
    elastic_stretch: float,
) -> list[Path]:
    """Write the page of an adjustment, if one is wanted; return it."""
    from ease.fit.pressure import CAUTIONS

    if target.path is None:
        return []
    return target.write(
        f"{result.adjustment.before.name}: {result.old.origin} to {result.new.origin}",
        [
            *adjust_tables(result, units, elastic_stretch, choices[1]),
            overlay_picture(result, units),
        ],
        notes=notes,
        cautions=[CAUTIONS[key] for key in ("comfort", "edges", "flotation")],
        choices=choices,
    )


def overlay_picture(result: Refit, units: str) -> ReportFigure:
    """Return the picture of the block before and after for a report."""
    from ease.units import length_text

    from .report import picture

    adjustment = result.adjustment
    pieces = ", ".join(piece.name for piece in adjustment.before.pieces)
    girths = "; ".join(
        f"{row.name} {length_text(row.before_cm, units)} to "
        f"{length_text(row.after_cm, units)} {units}"
        for row in result.girths
    )
    return picture(
        "Before (dashed) and after (solid)",
        lambda figure: _draw_overlay(result, figure.add_subplot(), units),
        OVERLAY_IN,
        f"Outlines of {pieces} before, dashed, and after, solid, with centre lines and "
        f"{adjustment.before.anchor} together. Girths: {girths}.",
    )


def _draw_overlay(result: Refit, axes: Axes, units: str) -> None:
    from ease.show.overlay import LevelLabel, draw_overlay

    labels = [
        LevelLabel(row.name, row.before_cm, row.after_cm) for row in result.girths
    ]
    adjustment = result.adjustment
    draw_overlay(axes, adjustment.before, adjustment.after, labels, units=units)


def write_overlay(result: Refit, path: Path, units: str, *, force: bool) -> None:
    """Write the picture of the block before and after."""
    from ease.show.figure import save_figure

    save_figure(
        path,
        lambda axes: _draw_overlay(result, axes, units),
        size_in=OVERLAY_IN,
        title=f"{result.adjustment.before.name} before and after adjusting",
        force=force,
    )
