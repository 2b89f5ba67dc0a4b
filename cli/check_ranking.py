"""What ``ease check`` shows without a fabric: all known ones ranked, and the need."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .check_json import check_json
from .check_words import body_notes, length_notes, untested_notes, worn_notes
from .tables import make_table

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from ease.block.check import WearCheck
    from ease.block.need import Need
    from ease.block.pieces import Block
    from ease.body.measures import Body
    from ease.fit.aims import Aim, Allowed
    from ease.fit.wear import Loads

    from .report import Target
    from .screen import Screen


def show_ranking(
    screen: Screen,
    subject: tuple[Block, Body],
    aim: Aim,
    allowed: Allowed,
    target: Target,
) -> None:
    """Rank all known fabrics for a block on a body, and say what one needs."""
    from ease.block.loop_ends import open_loop_notes
    from ease.block.need import fabric_need, rank_fabrics
    from ease.fabric.store import readable_fabrics
    from ease.fit.pressure import CAUTIONS

    block, body = subject
    need = fabric_need(block, body, aim, allowed)
    fabrics, left_out = readable_fabrics()
    ranking = rank_fabrics(block, body, fabrics, aim, allowed)
    parts: list[RenderableType] = [
        _ranking_table(ranking),
        *_need_lines(need, aim, body.title),
    ]
    screen.show(*parts)
    worn = [
        f"{one.fabric.name}: {note}"
        for one in ranking
        for note in (*untested_notes(one), *worn_notes(one), *one.remarks)
    ]
    notes = [
        *body_notes(block, body),
        *length_notes(block, body),
        *open_loop_notes(block),
        *worn,
        *left_out,
    ]
    cautions = [CAUTIONS[key] for key in ("comfort", "accuracy", "flotation")]
    screen.notes([*notes, *cautions])
    screen.document(
        "check-ranking",
        {
            "need": {
                "stretch": need.stretch,
                "stretch_for": need.stretch_for,
                "stretch_down": need.stretch_down,
                "level": need.level,
                "strain": need.strain,
                "tension_n_per_m": need.tension,
                "length_strain": need.length_strain,
            },
            "ranking": [check_json(result) for result in ranking],
        },
    )
    written = target.write(
        f"{block.name} on {body.name}: known fabrics, best first",
        parts,
        notes=notes,
        cautions=cautions,
        choices=(aim, allowed),
    )
    screen.wrote(written)


def _ranking_table(ranking: tuple[WearCheck, ...]) -> Table:
    from ease.block.on_body import aimed_level
    from ease.units import percent_text

    rows = []
    for result in ranking:
        at = aimed_level(result.levels)
        now = result.states.get("now")
        pull = result.shoulder_pull("now")
        rows.append(
            (
                result.fabric.name,
                f"{result.verdict}{' *' if result.remarks else ''}",
                percent_text(float(result.stretch_used.max()), 0),
                "-" if now is None else _known(now[0].pressure[at], 2),
                "-" if now is None else _most(now[0]),
                "-" if pull is None else _known(pull[0], 1),
            )
        )
    columns = (
        "fabric",
        "verdict",
        "used (%)",
        "mean (kPa)",
        "most (kPa)",
        "pull (N)",
    )
    return make_table(
        "Known fabrics, best first: stretch used, pressure, pull at the shoulders",
        columns,
        rows,
        text_columns=(0, 1),
        caption=(
            "verdict: the gravest, * with a remark; over, or a dash: worn further than\n"
            "the load test went, or no load test"
        ),
    )


def _most(loads: Loads) -> str:
    """The most at a side; where one lies past the test, what it is more than."""
    most = float(loads.side.max())
    return f"{most:.2f}" if most == most else f"over {loads.least_side.max():.2f}"


def _known(value: float, digits: int) -> str:
    """One figure, or a dash where it lies past the test."""
    return "-" if value != value else f"{value:.{digits}f}"


def _need_lines(need: Need, aim: Aim, body: str) -> list[str]:
    if not need.possible:
        return [need.impossible_text(body)]
    return [
        f"A fabric for this block as it is needs {need.stretch_text}, and about "
        f"{need.tension:.0f} N/m at {100 * need.strain:.0f} % strain "
        f"to press {aim.pressure_kpa:g} kPa at the {need.level} ({aim.name})."
    ]
