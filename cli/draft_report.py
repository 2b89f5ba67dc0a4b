"""What ``ease draft`` shows and writes: checks, openings, JSON, block and figure."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from .loading import write_block
from .opening_tables import opening_table, openings_json

if TYPE_CHECKING:
    from rich.table import Table

    from ease.block.draft_report import DraftReport
    from ease.block.styles import Style

    from .options import Units


def write_draft(
    report: DraftReport,
    out: Path | None,
    figure: Path | None,
    units: Units,
    force: bool,
) -> list[Path]:
    """Write the block and the construction figure where asked for; return both."""
    written = []
    if out is not None:
        write_block(report.block, out, force=force)
        written.append(out)
    if figure is not None:
        from ease.show.draft_figure import SIZE_IN, draw_draft
        from ease.show.figure import save_figure

        title = f"{report.block.name}, at body size"
        save_figure(
            figure,
            lambda axes: draw_draft(axes, report.block, units=units.value, title=title),
            size_in=SIZE_IN,
            title=title,
            force=force,
        )
        written.append(figure)
    return written


def draft_tables(report: DraftReport, units: Units) -> list[Table]:
    """Return the checks of a draft, and its openings with their elastic."""
    from ease.units import length_text

    from .tables import make_table

    unit = units.value
    rows = [
        [
            check.name,
            length_text(check.wanted_cm, unit),
            length_text(check.drafted_cm, unit),
            check.verdict,
        ]
        for check in report.checks
    ]
    heads = ["check", f"wanted ({unit})", f"drafted ({unit})", "verdict"]
    return [
        make_table(report.block.name, heads, rows, text_columns=(0, 3)),
        opening_table(report.openings, unit),
    ]


def draft_json(report: DraftReport, style: Style) -> dict[str, Any]:
    """Return the JSON body of a draft."""
    from dataclasses import asdict

    return {
        "block": report.block.name,
        "body": report.block.drafted_for.body,
        "style": asdict(style),
        "passed": report.passed,
        "checks": [
            {
                "name": check.name,
                "wanted_cm": check.wanted_cm,
                "drafted_cm": check.drafted_cm,
                "passed": check.passed,
            }
            for check in report.checks
        ],
        "levels": [
            {"name": level.name, "y_cm": level.y, "loop": level.loop}
            for level in report.block.levels
        ],
        "openings": openings_json(report.openings),
        "thigh": {
            "thigh_cm": report.thigh_cm,
            "leg_opening_cm": report.leg_opening_cm,
            "stretch_to_pass": report.leg_stretch,
        },
        "notes": report.notes(),
    }
