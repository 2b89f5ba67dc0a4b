"""Tables of ``ease check``: sizes and strain by level, tension and pressure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ease.units import KPA_PER_MMHG

from .tables import make_table

if TYPE_CHECKING:
    from rich.table import Table

    from ease.block.check import WearCheck
    from ease.fit.samples import Interval
    from ease.fit.wear import Loads

STATE_HEADINGS = {"after_hour": "1 h", "wet": "wet"}


def check_tables(result: WearCheck, units: str) -> list[Table]:
    """Return sizes by level, and tension and pressure where they are known."""
    heads = ("worn (%)", "+-", "of stretch (%)", "reaches")
    size = make_table(
        f"In {result.fabric.name}, {result.round_body} round the body ({units})",
        ("level", "loop", "body", "block", *heads),
        [_size_row(result, index, units) for index in range(len(result.levels))],
        text_columns=(0, 1),
        caption=_open_caption(result),
    )
    return [size, *_load_tables(result)]


def _open_caption(result: WearCheck) -> str:
    opened = [level.name for level in result.levels if level.loop != "closed"]
    if not opened:
        return ""
    own = {name for name, _ in result.drafted_for.level_factors}
    of = "the block for its level" if own & set(opened) else "the closed levels"
    return (
        "In brackets, where the girth is cut open: not measured, but as cut by\n"
        f"the factor of {of}; how it lies there is not judged."
    )


def _size_row(result: WearCheck, index: int, units: str) -> tuple[str, ...]:
    from ease.units import length_text, percent_text

    level, sizes, spread = result.levels[index], result.sizes, result.spread
    reached, girth = "-", length_text(sizes.block[index], units)
    if level.loop == "closed":
        reached = length_text(result.reached[index], units)
    else:
        girth = f"({girth})"
    return (
        level.name,
        level.loop,
        length_text(sizes.body[index], units),
        girth,
        percent_text(sizes.strain[index]),
        half_text(spread.strain[index] if spread else None, 100, 1),
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
            range_text([now.tension[index]], 0),
            _mean(float(now.pressure[index])),
            _side(now, index),
            _side_half(result, index),
            *(
                range_text([end.side[index] for end in result.states[s]], 2)
                for s in later
            ),
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
    said = []
    if alone is not None:
        said.append(
            "N/m: cloth held down the body as well; a strip by itself, as in the load "
            f"test, carries {alone:.0f} at the {result.levels[at].name}."
        )
    if any(side != side for side in now.side):
        said.append("past, over: the load test ended before that strain.")
    title = (
        "Tension and pressure: just put on; at the side also later, with its band (kPa)"
    )
    caption = "\n".join(said)
    return [make_table(title, columns, rows, text_columns=(0, last), caption=caption)]


def _mean(pressure: float) -> str:
    if pressure != pressure:
        return "past"
    return f"{pressure:.2f} ({pressure / KPA_PER_MMHG:.1f})"


def _side_half(result: WearCheck, index: int) -> str:
    spread = result.spread
    return half_text(spread.side[index] if spread and spread.side else None, 1, 2)


def _side(loads: Loads, index: int) -> str:
    """Pressure at the side; past the test what it is more than."""
    side = float(loads.side[index])
    if side != side:
        return f"over {loads.least_side[index]:.2f}"
    return f"{side:.2f}"


def _band(loads: Loads, index: int) -> str:
    """The band; past the test only where no higher one follows."""
    from ease.fit.pressure import BANDS, band

    found = band(float(loads.least_side[index]))
    known = loads.side[index] == loads.side[index] or found is BANDS[-1]
    return found.key if known else "past"


def half_text(interval: Interval | None, scale: float, digits: int) -> str:
    """Half of a 95 % interval; a dash where it is not known."""
    if interval is None or interval.half != interval.half:
        return "-"
    return f"{scale * interval.half:.{digits}f}"


def range_text(values: list[float], digits: int) -> str:
    """One value, or both ends where a state is known as a range."""
    texts = sorted({f"{value:.{digits}f}" for value in values}, key=float)
    return "-".join(texts).replace("nan", "past")
