"""The command ``ease body``: show, check and complete a body."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ease.errors import UsageError

from .options import JsonOption, QuietOption, Units, UnitsOption
from .screen import Screen
from .tables import make_table

if TYPE_CHECKING:
    from rich.table import Table

    from ease.body.checks import Finding
    from ease.body.measures import Body


def body(
    name: Annotated[
        str | None,
        typer.Argument(metavar="BODY", help="A file, or the name of a shipped body."),
    ] = None,
    how: Annotated[
        bool, typer.Option("--how", help="What each measure is and how to take it.")
    ] = False,
    list_all: Annotated[
        bool, typer.Option("--list", help="Name the bodies that are shipped.")
    ] = False,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Check a body and fill in what was not measured.

    A file holds a line for each measure, such as `bust;92,5` or `hip,39 1/8 in`, with the
    names that --how lists; bust, waist and hip are needed. A line `# units = in` above
    them makes inches of bare numbers.

    Example: ease body me.csv
    """
    screen = Screen(as_json, quiet, units)
    if how + list_all + (name is not None) != 1:
        message = "name one BODY, or ask for --how or --list"
        raise UsageError(message)
    if how:
        _show_how(screen)
    elif list_all:
        _show_list(screen)
    else:
        _show_body(screen, name or "", units)


def _show_how(screen: Screen) -> None:
    from ease.body.dictionary import MEASURES, WAIST_LINE

    screen.show(f"Waist line: {WAIST_LINE}.\n")
    for measure in MEASURES.values():
        screen.show(f"{measure.key} - {measure.title}: {measure.definition}")
        screen.show(f"    how: {measure.how}\n")
    rows = [
        {"key": m.key, "title": m.title, "definition": m.definition, "how": m.how}
        for m in MEASURES.values()
    ]
    screen.document("body-measures", {"waist_line": WAIST_LINE, "measures": rows})


def _show_list(screen: Screen) -> None:
    from ease.body.shipped import shipped_body, shipped_names

    bodies = [shipped_body(name) for name in shipped_names()]
    keys = ("bust", "waist", "hip", "stature")
    lines = [
        [b.name, b.origin, *(f"{b[key]:g}" if key in b else "" for key in keys)]
        for b in bodies
    ]
    heads = ["name", "origin", "bust (cm)", "waist", "hip", "height"]
    told: dict[str, list[str]] = {}
    for body in bodies:
        for note in body.notes:
            told.setdefault(note, []).append(body.name)
    caption = "\n".join(
        f"{names[0]} to {names[-1]}: {note}" for note, names in told.items()
    )
    columns = (0, 1)
    table = make_table(
        "Shipped bodies", heads, lines, text_columns=columns, caption=caption
    )
    screen.show(table)
    rows = [
        {
            "name": b.name,
            "title": b.title,
            "origin": b.origin,
            "source": b.source,
            "notes": list(b.notes),
        }
        for b in bodies
    ]
    screen.document("bodies", {"bodies": rows})


def _show_body(screen: Screen, name: str, units: Units) -> None:
    from ease.body.checks import check_body
    from ease.body.dictionary import WAIST_LINE
    from ease.body.fill_in import complete
    from ease.body.load import load_body

    measured = load_body(name)
    whole = complete(measured)
    findings = check_body(whole)
    screen.show(_body_table(whole, units), f"Waist line: {WAIST_LINE}.")
    screen.notes([*(finding.text for finding in findings), *whole.notes])
    screen.document("completed-body", _document(whole, findings))
    if any(finding.impossible for finding in findings):
        raise typer.Exit(1)


def _body_table(whole: Body, units: Units) -> Table:
    from ease.body.checks import percentile
    from ease.body.dictionary import MEASURES
    from ease.body.survey import OF_WHOM
    from ease.units import length_text

    lines: list[list[str]] = []
    for key, value in whole.values.items():
        filled = whole.filled.get(key)
        weight = MEASURES[key].kind == "weight"
        shown = f"{value:.1f} kg" if weight else length_text(value, units.value)
        spread = length_text(filled.half, units.value) if filled else ""
        rank = percentile(key, value)
        place = "" if rank is None or filled else f"{rank:.0f}"
        origin = (
            "filled in from " + filled.basis.replace("_", " ") if filled else "given"
        )
        lines.append([MEASURES[key].title, shown, spread, place, origin])
    heads = ["measure", units.value, "+-", "percentile", "where from"]
    source = f"Source: {whole.source}\n" if whole.source else ""
    by = ", ".join(dict.fromkeys(each.source for each in whole.filled.values()))
    equations = f"Equations that fill in: from {by}.\n" if by else ""
    return make_table(
        f"{whole.title} - {whole.origin}",
        heads,
        lines,
        text_columns=(0, 4),
        caption=f"{source}+-: 95 of 100 bodies lie within it of a filled-in measure.\n"
        f"{equations}"
        f"Percentile: {OF_WHOM}.",
    )


def _document(whole: Body, findings: tuple[Finding, ...]) -> dict[str, Any]:
    from ease.body.checks import percentile
    from ease.body.dictionary import WAIST_LINE
    from ease.body.survey import OF_WHOM

    measures = {}
    for key, value in whole.values.items():
        filled = whole.filled.get(key)
        measures[key] = {
            "kg" if key == "weight_kg" else "cm": value,
            "filled_in": filled is not None,
            "sd_cm": filled.sd if filled else None,
            "ci95_cm": [value - filled.half, value + filled.half] if filled else None,
            "basis": filled.basis if filled else None,
            "source": filled.source if filled else None,
            "percentile": None if filled else percentile(key, value),
        }
    return {
        "name": whole.name,
        "title": whole.title,
        "origin": whole.origin,
        "source": whole.source,
        "waist_line": WAIST_LINE,
        "measures": measures,
        "percentile_of": OF_WHOM,
        "findings": [
            {"kind": f.kind, "keys": f.keys, "text": f.text, "impossible": f.impossible}
            for f in findings
        ],
        "notes": whole.notes,
    }
