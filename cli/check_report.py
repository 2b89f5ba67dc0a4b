"""What ``ease check`` shows of one fabric: girths, pressure, pull, and the verdict."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ease.units import KPA_PER_MMHG

from .check_json import check_json
from .tables import make_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType
    from rich.table import Table

    from ease.block.check import LegOpening, WearCheck
    from ease.block.pieces import Block
    from ease.body.measures import Body
    from ease.fit.samples import Interval
    from ease.fit.wear import Loads
    from ease.show.report import ReportFigure

    from .loading import Wanted
    from .report import Target
    from .screen import Screen

PLOT_IN = (9.5, 6.0)
STATE_TITLES = {"now": "just put on", "after_hour": "after an hour", "wet": "wet"}
STATE_HEADINGS = {"after_hour": "1 h", "wet": "wet"}


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
        *_check_tables(result, units),
        *_verdict_lines(result, units),
    ]
    notes = [
        *hiding_notes([name]),
        *worn_notes(result),
        *body_notes(block, body),
        *length_notes(block, body),
        *(cut.text for cut in cut_levels(block)),
        *_check_notes(result),
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


def _check_tables(result: WearCheck, units: str) -> list[Table]:
    heads = ("worn (%)", "+-", "of stretch (%)", "reaches")
    size = make_table(
        f"In {result.fabric.name}, {result.round_body} round the body ({units})",
        ("level", "loop", "body", "block", *heads),
        [_size_row(result, index, units) for index in range(len(result.levels))],
        text_columns=(0, 1),
        caption=""
        if all(level.loop == "closed" for level in result.levels)
        else "Block, where the girth is cut open: as if the cloth ran on over the gap.",
    )
    return [size, *_load_tables(result)]


def _size_row(result: WearCheck, index: int, units: str) -> tuple[str, ...]:
    from ease.units import length_text, percent_text

    level, sizes, spread = result.levels[index], result.sizes, result.spread
    reached = "-"
    if level.loop == "closed":
        reached = length_text(result.reached[index], units)
    return (
        level.name,
        level.loop,
        length_text(sizes.body[index], units),
        length_text(sizes.block[index], units),
        percent_text(sizes.strain[index]),
        _half(spread.strain[index] if spread else None, 100, 1),
        percent_text(result.stretch_used[index], 0),
        reached,
    )


def _load_tables(result: WearCheck) -> list[Table]:
    if "now" not in result.states:
        return []
    now = result.states["now"][0]
    later = [state for state in result.states if state != "now"]
    rows = [
        (
            level.name,
            _range([now.tension[index]], 0),
            _mean(float(now.pressure[index])),
            _range([now.side[index]], 2),
            _side_half(result, index),
            *(_range([end.side[index] for end in result.states[s]], 2) for s in later),
            _band(now, index),
        )
        for index, level in enumerate(result.levels)
    ]
    columns = (
        "level",
        "N/m",
        "mean kPa (mmHg)",
        "side kPa",
        "+-",
        *(STATE_HEADINGS[state] for state in later),
        "band",
    )
    last = len(columns) - 1
    at = result.pull_index
    strain = float(result.sizes.held_strain[at])
    alone = result.fabric.power(result.round_body, strain)
    said = (
        ""
        if alone is None
        else "N/m: cloth held down the body as well; a strip by itself, as in the load "
        f"test, carries {alone:.0f} at the {result.levels[at].name}."
    )
    title = (
        "Tension and pressure: just put on; at the side also later, with its band (kPa)"
    )
    return [make_table(title, columns, rows, text_columns=(0, last), caption=said)]


def _mean(pressure: float) -> str:
    if pressure != pressure:
        return "past test"
    return f"{pressure:.2f} ({pressure / KPA_PER_MMHG:.1f})"


def _half(interval: Interval | None, scale: float, digits: int) -> str:
    """Half of a 95 % interval; a dash where it is not known."""
    if interval is None or interval.half != interval.half:
        return "-"
    return f"{scale * interval.half:.{digits}f}"


def _side_half(result: WearCheck, index: int) -> str:
    spread = result.spread
    return _half(spread.side[index] if spread and spread.side else None, 1, 2)


def _range(values: list[float], digits: int) -> str:
    """One value, or both ends where a state is known as a range."""
    texts = sorted({f"{value:.{digits}f}" for value in values}, key=float)
    return "-".join(texts).replace("nan", "past test")


def _band(loads: Loads, index: int) -> str:
    from ease.fit.pressure import band

    side = float(loads.side[index])
    return "past the test" if side != side else band(side).key


def _verdict_lines(result: WearCheck, units: str) -> list[str]:
    from ease.sentence import in_units
    from ease.units import length_text

    lines, pulls = [], []
    for state in result.states:
        pull = result.shoulder_pull(state)
        if pull is not None:
            both = _range(list(pull), 1)
            unit = "" if pull[0] != pull[0] else " N"
            pulls.append(f"{both}{unit} {STATE_TITLES[state]}")
    if pulls:
        sure = _half(result.spread.pull if result.spread else None, 1, 1)
        pulls[0] += f" +- {sure}" if sure != "-" else ""
        lines.append(f"Pull over both shoulders together: {', '.join(pulls)}.")
    if result.leg is not None:
        lines.append(_leg_line(result.leg, units))
    if result.states and not result.sizes.length_known:
        lines.append("Pull over both shoulders together: -; strain down: not known.")
    name, girth = result.passes
    way = "goes on" if result.goes_on else f"stops at the {result.stops_at}"
    lines.append(f"Over the {name} of {length_text(girth, units)} {units} it {way}.")
    lines += [f"{key}: {in_units(why, units)}." for key, why in result.faults.items()]
    left_out = ["round the body only"] * (not result.sizes.length_known)
    left_out += [f"without {', '.join(result.not_judged)}"] * bool(result.not_judged)
    round_only = f" ({'; '.join(left_out)})" if left_out else ""
    lines.append(f"Verdict: {result.headline}{round_only}.")
    return lines


def _leg_line(leg: LegOpening, units: str) -> str:
    from ease.units import length_text

    sizes = (leg.edge_cm, leg.thigh_cm, leg.worn_cm)
    edge, thigh, worn = (length_text(cm, units) for cm in sizes)
    size = f"Leg opening: edge {edge} {units} on a thigh of {thigh} {units}"
    if leg.above_thigh:
        size = (
            f"Leg opening: edge {edge} {units}, worn {worn} {units} over seat and hip"
        )
    if leg.strain < 0:
        return f"{size}: it stands off by {-100 * leg.strain:.0f} %."
    return f"{size}, stretched {100 * leg.strain:.0f} %."


def body_notes(block: Block, body: Body) -> list[str]:
    """Return the notes on a body; none on its torso loop for a block without one."""
    return [
        note
        for note in body.notes
        if block.loop_path or not note.startswith("THE TORSO LOOP")
    ]


def length_notes(block: Block, body: Body) -> list[str]:
    """Say what is not known where block or body has no torso loop."""
    from ease.block.on_body import missing_loop

    if not (missing := missing_loop(block, body)):
        return []
    return [
        f"the strain down is not known, as {missing}: pressure is told for cloth at "
        "body length, and the pull at the shoulders is not told"
    ]


def worn_notes(result: WearCheck) -> list[str]:
    """Say how far each level is worn by a toile that is kept with the fabric."""
    from ease.block.worn_otherwise import toile_moves, worn_otherwise

    told = worn_otherwise(result)
    moves = toile_moves(result.drafted_for, result.fabric, result.round_body)
    of_block = [
        f"{move.text}; the strains here go by swatch and body alone"
        for move in moves
        if move.way not in {one.way for one in told}
    ]
    return [*(one.text for one in told), *of_block]


def _check_notes(result: WearCheck) -> list[str]:
    return [*_not_judged(result), *_state_notes(result)]


def _not_judged(result: WearCheck) -> list[str]:
    """Name closed levels that the body has no girth for."""
    if not result.not_judged:
        return []
    names = ", ".join(result.not_judged)
    return [
        f"NOT JUDGED but for going on: {names}; the body has no girth round the trunk of "
        "that name: add it to the body, if it is one, and check again"
    ]


def _state_notes(result: WearCheck) -> list[str]:
    if result.understated:
        return [
            f"after an hour at {', '.join(result.understated)}: the load test turned far "
            "above the worn strain, so the lower figure is too low"
        ]
    if result.states:
        return []
    return [
        f"{result.fabric.name} has no load test both ways: tension, pressure and pull "
        "cannot be told"
    ]


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
