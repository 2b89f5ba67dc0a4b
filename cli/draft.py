"""``ease draft``: a one-piece body block from a tape measure."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import ForceOption, JsonOption, OutOption, QuietOption, Units, UnitsOption
from .screen import Screen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ease.block.draft_report import DraftReport
    from ease.block.styles import Style

_Cm = str | None


def draft(
    body: Annotated[str, typer.Argument(help="A body: a file, or a shipped one.")],
    out: OutOption = None,
    figure: Annotated[
        Path | None,
        typer.Option(
            "--figure", help="Picture of the construction: .png, .svg or .pdf."
        ),
    ] = None,
    neck_front: Annotated[
        _Cm, typer.Option(help="Front neckline below the pit of the neck [8 cm].")
    ] = None,
    neck_back: Annotated[
        _Cm, typer.Option(help="Back neckline below the nape [10 cm].")
    ] = None,
    back_scoop: Annotated[
        _Cm, typer.Option(help="How much deeper the back is scooped out [0].")
    ] = None,
    strap_width: Annotated[_Cm, typer.Option(help="Width of the strap [4 cm].")] = None,
    strap_place: Annotated[
        float,
        typer.Option(help="Middle of the strap: 0 at the neck, 1 at the shoulder tip."),
    ] = 0.45,
    leg_height: Annotated[
        _Cm, typer.Option(help="Leg line at the side above the hip level [-1 cm].")
    ] = None,
    crotch_width: Annotated[
        _Cm, typer.Option(help="Width of the crotch seam [7 cm].")
    ] = None,
    side_height: Annotated[
        _Cm,
        typer.Option(
            help="Top of the side seam above the bust level [by armhole depth]."
        ),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Draft a one-piece block at body size, without ease, and check it.

    Lengths are in the units shown, or carry their own: --leg-height 8, "3 1/8 in".

    Example: ease draft demo --leg-height 8 --out block.toml --figure draft.png
    """
    from ease.block.draft import draft_block
    from ease.block.draft_report import report_draft
    from ease.write import check_writable

    from .loading import read_person

    for path in (out, figure):
        if path is not None:
            check_writable(path, force=force)
    choices = {
        "neck_front": neck_front,
        "neck_back": neck_back,
        "back_scoop": back_scoop,
        "strap_width": strap_width,
        "leg_height": leg_height,
        "crotch_width": crotch_width,
        "side_height": side_height,
    }
    style = _style(choices, strap_place, units)
    person = read_person(body)
    block = draft_block(person, style)
    report = report_draft(block, person)
    written = _write(report, out, figure, units, force)
    screen = Screen(as_json, quiet)
    _show(screen, report, units)
    screen.notes([*person.notes, *report.notes(units.value)])
    screen.document("draft", _document(report, style))
    screen.wrote(written)
    if not report.passed:
        raise typer.Exit(1)


def _style(choices: dict[str, _Cm], strap_place: float, units: Units) -> Style:
    from ease.block.styles import Style
    from ease.errors import UnitError, UsageError
    from ease.units import parse_length

    given: dict[str, Any] = {"strap_place": strap_place}
    for name, text in choices.items():
        if text is None:
            continue
        try:
            given[name] = parse_length(text, units.value)
        except UnitError as error:
            message = f"--{name.replace('_', '-')}: {error}"
            raise UsageError(message) from None
    return Style(**given)


def _write(
    report: DraftReport,
    out: Path | None,
    figure: Path | None,
    units: Units,
    force: bool,
) -> Sequence[Path]:
    written = []
    if out is not None:
        from ease.files.block_toml import save_block

        save_block(report.block, out, force=force)
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


def _show(screen: Screen, report: DraftReport, units: Units) -> None:
    from ease.units import length_text, percent_text

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
    screen.show(make_table(report.block.name, heads, rows, text_columns=(0, 3)), "")
    lines = []
    for opening in report.openings:
        lines += [
            [
                part.name,
                length_text(part.cut_cm, unit),
                length_text(part.elastic_cm, unit),
                percent_text(part.ratio, 0),
                part.source,
            ]
            for part in opening.sections
        ]
        both = [
            length_text(opening.cut_cm, unit),
            length_text(opening.elastic_cm, unit),
        ]
        lines.append([f"{opening.name}, all round", *both, "", "with overlap"])
    heads = ["opening", f"edge ({unit})", f"elastic ({unit})", "%", "ratio from"]
    screen.show(make_table("Openings", heads, lines, text_columns=(0, 4)))


def _document(report: DraftReport, style: Style) -> dict[str, Any]:
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
        "openings": [
            {
                "name": opening.name,
                "edge_cm": opening.cut_cm,
                "elastic_with_overlap_cm": opening.elastic_cm,
                "sections": [
                    {**asdict(part), "elastic_cm": part.elastic_cm}
                    for part in opening.sections
                ],
            }
            for opening in report.openings
        ],
        "thigh": {
            "thigh_cm": report.thigh_cm,
            "leg_opening_cm": report.leg_opening_cm,
            "stretch_to_pass": report.leg_stretch,
        },
        "notes": report.notes(),
    }
