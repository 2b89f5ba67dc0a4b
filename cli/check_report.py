"""What ``ease check`` shows of one fabric: girths, pressure, pull, and the verdict."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from .check_json import check_json
from .check_tables import check_tables
from .check_words import (
    body_notes,
    check_notes,
    length_notes,
    verdict_lines,
    worn_notes,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from ease.block.check import WearCheck
    from ease.block.pieces import Block
    from ease.body.measures import Body
    from ease.show.report import ReportFigure

    from .loading import Wanted
    from .report import Target
    from .screen import Screen

PLOT_IN = (9.5, 6.0)


def show_check(
    screen: Screen,
    subject: tuple[Block, Body],
    cloth: tuple[str, Wanted],
    units: str,
    target: Target,
    *,
    accept_pressure: bool,
    picture: Path | None,
    force: bool,
) -> bool:
    """Check one fabric, show it, and return whether the garment can be worn."""
    from ease.block.check import check_wear
    from ease.block.cut_levels import cut_levels
    from ease.block.loop_ends import open_loop_notes
    from ease.block.sewing_notes import sewing_notes
    from ease.block.way_round import turned_note
    from ease.errors import RefusedError
    from ease.fabric.store import hiding_notes, load_fabric
    from ease.fit.pressure import CAUTIONS

    block, body = subject
    name, wanted = cloth
    result = check_wear(
        block,
        body,
        load_fabric(name),
        allowed=wanted.allowed,
        round_body=wanted.round_body,
    )
    if "unsafe" in result.faults and not accept_pressure:
        message = f"refused as unsafe: {result.faults['unsafe']}"
        hint = "cut it larger or take a softer fabric; --accept-pressure shows the rest"
        raise RefusedError(message, hint=hint)
    parts: list[RenderableType] = [
        *check_tables(result, units),
        *verdict_lines(result, units),
    ]
    turned = turned_note(block, result.fabric, wanted.round_body)
    notes = [
        *hiding_notes([name]),
        *filter(None, [turned]),
        *worn_notes(result),
        *body_notes(block, body),
        *length_notes(block, body),
        *(cut.text for cut in cut_levels(block)),
        *sewing_notes(block),
        *open_loop_notes(block),
        *check_notes(result),
    ]
    cautions = [CAUTIONS[key] for key in ("comfort", "accuracy", "flotation")]
    screen.show(*parts)
    screen.document("check", check_json(result))
    screen.notes([*notes, *cautions])
    if picture is not None:
        _write_picture(result, picture, force=force)
        screen.wrote([picture])
    if target.path is not None:
        written = target.write(
            f"{block.name} on {body.name} in {result.fabric.name}: {result.headline}",
            [*parts, _wear_picture(result)],
            notes=notes,
            cautions=cautions,
            choices=(wanted.aim, wanted.allowed),
        )
        screen.wrote(written)
    return result.can_be_worn


def _write_picture(result: WearCheck, path: Path, *, force: bool) -> None:
    from ease.show.figure import save_panels
    from ease.show.wear import draw_pressure, draw_strain

    save_panels(
        path,
        [
            lambda axes: draw_strain(axes, result),
            lambda axes: draw_pressure(axes, result),
        ],
        size_in=PLOT_IN,
        title=f"Wear of the block in {result.fabric.name}",
        force=force,
    )


def _wear_picture(result: WearCheck) -> ReportFigure:
    """Return strain and pressure by level for a report."""
    from ease.show.wear import draw_pressure, draw_strain, wear_alt

    from .report import picture

    def draw(figure: Figure) -> None:
        draw_strain(figure.add_subplot(1, 2, 1), result)
        draw_pressure(figure.add_subplot(1, 2, 2), result)

    return picture("Strain and pressure by level", draw, PLOT_IN, wear_alt(result))
