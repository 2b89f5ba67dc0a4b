"""``ease fabrics``: the known fabrics, or one of them in detail."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import ForceOption, JsonOption, QuietOption
from .screen import Screen
from .tables import make_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.table import Table

    from ease.fabric.profile import ClothDirection, Estimate, Fabric

SHOWN_STRAINS = (0.2, 0.4)
FIGURES = {
    "stretch": "stretch (%)",
    "growth": "growth (%)",
    "wet_growth": "wet growth (%)",
    "recovery": "recovery (% of extension)",
    "contraction": "contraction (% of extension)",
}


def fabrics(
    name: Annotated[
        str | None, typer.Argument(help="A fabric's name, or a profile file.")
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", "--plot", help="Tension curves: .png, .svg or .pdf."),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """List the known fabrics, shipped and own, or show one in detail.

    Example: ease fabrics soft-tricot
    """
    from ease.errors import UsageError
    from ease.fabric.store import (
        hiding_notes,
        load_fabric,
        own_folder,
        readable_fabrics,
    )

    from .fabrics_json import fabric_json

    screen = Screen(as_json=as_json, quiet=quiet)
    screen.check(pictures=[picture], force=force)
    if picture is not None and name is None:
        message = "--picture shows one fabric: name it"
        raise UsageError(message)
    if name is not None:
        fabric = load_fabric(name)
        if picture is not None:
            _write_picture(fabric, picture, force=force)
            screen.wrote([picture])
        screen.show(*_detail(fabric))
        screen.notes(hiding_notes([name]))
        screen.document("fabric-report", fabric_json(fabric))
        return
    known, left_out = readable_fabrics()
    screen.show(_list_table(known))
    if any(fabric.origin == "invented" for fabric in known):
        screen.notes(["invented fabrics are for trying out; test the cloth you cut"])
    try:
        place = f"own fabrics are kept in {own_folder()}"
    except UsageError as error:
        place = f"{error}: {error.hint}"
    screen.notes([place, *left_out])
    screen.document("fabrics", {"fabrics": [fabric_json(fabric) for fabric in known]})


def _write_picture(fabric: Fabric, path: Path, *, force: bool) -> None:
    from ease.show.cloth import draw_curves
    from ease.show.figure import save_figure

    save_figure(
        path,
        lambda axes: draw_curves(axes, fabric),
        size_in=(8.0, 5.5),
        title=f"Tension curves of {fabric.name}",
        force=force,
    )


def _list_table(known: Sequence[Fabric]) -> Table:
    rows = []
    for fabric in known:
        way = fabric.round_body
        round_, down = fabric.direction(way), fabric.direction(_other(way))
        stretches = (_percent(cloth, "stretch", 0) for cloth in (round_, down))
        powers = (_power(round_, strain) for strain in SHOWN_STRAINS)
        growth = _percent(round_, "growth", 1)
        cells = (way, " / ".join(stretches), growth, " / ".join(powers))
        rows.append((fabric.name, fabric.origin, *cells))
    columns = (
        *("name", "origin", "goes\nround"),
        *("stretch (%)\nround / down", "growth\nround (%)", "N/m round\nat 20/40 %"),
    )
    return make_table(
        "Fabrics",
        columns,
        rows,
        text_columns=(0, 1, 2),
        caption=(
            "N/m round: tension of one layer at 20 and 40 % strain, loading; a dash: "
            "not tested"
        ),
    )


def _other(direction: str) -> Any:  # noqa: ANN401 - a direction's name
    return "along" if direction == "across" else "across"


def _percent(cloth: ClothDirection | None, key: str, digits: int) -> str:
    figure: Estimate | None = None if cloth is None else getattr(cloth, key)
    return "-" if figure is None else f"{100 * figure.mean:.{digits}f}"


def _power(cloth: ClothDirection | None, strain: float) -> str:
    tension = None if cloth is None else power_at(cloth, strain)
    return "-" if tension is None else f"{tension:.0f}"


def power_at(
    cloth: ClothDirection, strain: float, branch: str = "loading"
) -> float | None:
    """Return the tension at a strain in N/m; None where it was not tested."""
    curve = None if cloth.tension is None else getattr(cloth.tension, branch)
    return None if curve is None else curve.reached(strain)


def _detail(fabric: Fabric) -> list[Table | str]:
    from ease.fabric.classes import CLASS_TABLES, stretch_class

    lines = [
        f"{fabric.name}: {fabric.title}",
        f"origin: {fabric.origin} ({fabric.source})",
    ]
    if fabric.note:
        lines.append(f"note: {fabric.note}")
    if fabric.mass_gsm is not None:
        lines.append(f"mass: {fabric.mass_gsm:g} g/m2")
    lines.append(f"round the body: {fabric.round_body}")
    for table in CLASS_TABLES:
        classes = [
            f"{way} {stretch_class(cloth.stretch.mean, table)}"
            for way, cloth in cloths_of(fabric)
        ]
        lines.append(f"class (table {table.name}): {', '.join(classes)}")
    lines += [f"{_tested_words(key)}: {said}" for key, said in fabric.tested.items()]
    tables: list[Table | str] = ["\n".join(lines), _figure_table(fabric)]
    if any(cloth.tension is not None for _, cloth in cloths_of(fabric)):
        tables.append(_tension_table(fabric))
    if fabric.evidence:
        tables.append(_evidence_table(fabric))
    return tables


def _tested_words(key: str) -> str:
    """Return what a topic of ``tested`` is called in the trade."""
    first, _, rest = key.partition("_")
    if key in ("across", "along"):
        return f"hand test {key}"
    if first == "load" and rest in ("across", "along"):
        return f"load test {rest}"
    if first == "outlier":
        return f"outlier, {rest.replace('_', ' ')}"
    return "tested by" if key == "method" else f"tested, {key.replace('_', ' ')}"


def cloths_of(fabric: Fabric) -> list[tuple[str, ClothDirection]]:
    """Return the tested directions of a fabric with their names."""
    pairs = (("across", fabric.across), ("along", fabric.along))
    return [(way, cloth) for way, cloth in pairs if cloth is not None]


def _figure_table(fabric: Fabric) -> Table:
    rows = []
    for way, cloth in cloths_of(fabric):
        for key, label in FIGURES.items():
            figure = getattr(cloth, key)
            if figure is not None:
                sd = "-" if figure.sd is None else f"{100 * figure.sd:.1f}"
                rows.append((way, label, f"{100 * figure.mean:.1f}", sd, str(figure.n)))
        if cloth.rest_minutes is not None:
            rows.append((way, "rest (min)", f"{cloth.rest_minutes:g}", "", ""))
    columns = ("", "figure", "mean", "sd", "n")
    return make_table("Figures", columns, rows, text_columns=(0, 1))


def _tension_table(fabric: Fabric) -> Table:
    curves = [
        (way, cloth) for way, cloth in cloths_of(fabric) if cloth.tension is not None
    ]
    strains = [place / 10 for place in range(1, 11)]
    rows = []
    for strain in strains:
        cells = [
            power_at(cloth, strain, branch)
            for _, cloth in curves
            for branch in ("loading", "unloading")
        ]
        if any(cell is not None for cell in cells):
            shown = ("-" if cell is None else f"{cell:.1f}" for cell in cells)
            rows.append((f"{100 * strain:.0f}", *shown))
    heads = [
        f"{way}\n{branch}" for way, _ in curves for branch in ("loading", "unloading")
    ]
    return make_table(
        "Tension of one layer (N per metre of relaxed width)",
        ("strain (%)", *heads),
        rows,
        text_columns=(),
        caption="loading: pulled out; unloading: let back; a dash lies past the test",
    )


def _evidence_table(fabric: Fabric) -> Table:
    rows = [
        (
            f"{one.day} {way}",
            f"{one.kind}, {one.block}",
            f"{ratio.ratio:.3f}",
            f"{ratio.sd:.3f}",
            str(ratio.n),
            "yes" if ratio.clear else "no",
        )
        for one in fabric.evidence
        for way, ratio in (("across", one.across), ("along", one.along))
        if ratio is not None
    ]
    return make_table(
        "Worn in this cloth: length over the length predicted",
        ("", "what", "ratio", "sd", "n", "clear"),
        rows,
        text_columns=(0, 1, 5),
        caption=(
            "n: marks; clear: further from 1 than the spread of the readings explains,\n"
            "or unlike an earlier one that was clear; the newest clear one counts"
        ),
    )
