"""What ``ease grade`` shows: factors, girths and lengths by size, and the changes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .tables import inch_note, make_table

_SIDE_BY_SIDE = 4  # measures with their steps that a line takes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.table import Table

    from ease.block.grade import Grading


def grade_tables(result: Grading, units: str) -> list[Table]:
    """Return the factors of each size, its girths with steps, and the lengths."""
    return [
        *([] if result.cloth is None else [_factor_table(result)]),
        *_girth_tables(result, units),
        _length_table(result, units),
    ]


def title_of(result: Grading) -> str:
    """Return what the run is, in words."""
    labels = [size.label for size in result.made]
    span = labels[0] if len(labels) == 1 else f"{labels[0]} to {labels[-1]}"
    cut = "body size"
    if result.cloth is not None:
        cut = f"{result.cloth.fabric.name}, hold {result.aim.name}"
    return f"Sizes {span}, {cut}"


def _factor_table(result: Grading) -> Table:
    rows = [
        (
            size.label,
            "-" if size.factors is None else f"{size.factors.girth:.3f}",
            "-" if size.factors is None else f"{size.factors.length:.3f}",
            *(_bound(key) for key in size.bound_by),
        )
        for size in result.sizes
    ]
    columns = ("size", "round", "down", "decided by, round", "down")
    title = f"{title_of(result)}: cut over body"
    caption = (
        "As decided: where the block is off its factors, every size is off as much."
    )
    return make_table(
        title,
        columns,
        rows,
        text_columns=(0, 3, 4),
        caption=caption if result.of_block else "",
    )


def _bound(key: str) -> str:
    from ease.fit.window import LIMITS

    if key in LIMITS:
        return LIMITS[key].title
    other = {"aim": "the aim", "not_tested": "not tested", "as_it_is": "as it is"}
    return other.get(key, "no strain fits")


def _girth_tables(result: Grading, units: str) -> list[Table]:
    """Girths and torso loop of each size, as many side by side as a line takes."""
    first = result.made[0]
    loop = ["torso loop"] if "torso loop" in first.lengths else []
    columns = [*first.girths, *loop]
    title = f"{title_of(result)}: girths{' and loop' if loop else ''} to cut ({units})"
    return [
        _girth_table(result, columns[at : at + _SIDE_BY_SIDE], title, units)
        for at in range(0, len(columns), _SIDE_BY_SIDE)
    ]


def _girth_table(result: Grading, columns: list[str], title: str, units: str) -> Table:
    """Girths of each size, each with its change from the size before."""
    rows, before = [], None
    for size in result.made:
        own = size.girths | size.lengths
        cells = [size.label]
        for name in columns:
            cells.append(_length(own[name], units))
            cells.append(
                "" if before is None else _step(own[name] - before[name], units)
            )
        rows.append(cells)
        before = own
    heads = ["size"]
    for name in columns:
        heads += [name.removeprefix("torso "), "step"]
    return make_table(title, heads, rows, caption=inch_note(units))


def _length_table(result: Grading, units: str) -> Table:
    made, steps = result.made, result.steps("lengths")
    first, last = made[0].lengths, made[-1].lengths
    rows = [
        (
            name,
            _length(first[name], units),
            _length(last[name], units),
            *((_step(min(own), units), _step(max(own), units)) if own else ("", "")),
        )
        for name, own in steps.items()
    ]
    columns = (
        "length of the block",
        f"size {made[0].label}",
        f"size {made[-1].label}",
        "least step",
        "most step",
    )
    title = f"Lengths and their steps ({units})"
    return make_table(title, columns, rows, caption=inch_note(units))


def _length(value: float, units: str) -> str:
    from ease.units import length_text

    return length_text(value, units)


def _step(value: float, units: str) -> str:
    """A step in cm with two decimals: half a millimetre on a seam shows."""
    from ease.units import length_text

    text = length_text(value, units, 2)
    return text if text.startswith("-") or text.strip("0.") == "" else f"+{text}"


def grade_json(result: Grading) -> dict[str, Any]:
    """Return the JSON body of a graded run."""
    from .grade_notes import grade_notes

    return {
        "fabric": None if result.cloth is None else result.cloth.fabric.name,
        "round_body": None if result.cloth is None else result.cloth.round_body,
        "hold": result.aim.name,
        "sizes": [
            {
                "size": size.label,
                "body": size.body.name,
                "girth_factor": None if size.factors is None else size.factors.girth,
                "length_factor": None if size.factors is None else size.factors.length,
                "bound_by": list(size.bound_by),
                "girths_cm": size.girths,
                "lengths_cm": size.lengths,
                "fault": size.fault or None,
                "warnings": list(size.warnings),
                "stops": size.stops or None,
                "outside_window": [
                    {"way": way, "worn": worn, "window": list(window)}
                    for way, worn, window in size.beyond
                ],
            }
            for size in result.sizes
        ],
        "steps": {
            "sizes": [size.label for size in result.made],
            "girths_cm": result.steps("girths"),
            "lengths_cm": result.steps("lengths"),
        },
        "notes": grade_notes(result),
    }


def grade_rows(result: Grading) -> tuple[list[str], list[Sequence[Any]]]:
    """Return the header and the rows of the table file: every measure of every size."""
    girths, lengths = list(result.steps("girths")), list(result.steps("lengths"))
    header = ["size", "girth_factor", "length_factor"]
    header += [f"{name.replace(' ', '_')}_cm" for name in (*girths, *lengths)]
    rows: list[Sequence[Any]] = []
    for size in result.made:
        if size.factors is not None:
            factors = [size.factors.girth, size.factors.length]
            own = size.girths | size.lengths
            rows.append([size.label, *factors, *(own[n] for n in (*girths, *lengths))])
    return header, rows
