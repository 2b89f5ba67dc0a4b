"""``ease draft``: a one-piece body block from a tape measure."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import (
    WANTED,
    ElasticOption,
    ForceOption,
    Hold,
    HoldOption,
    JsonOption,
    OpensOption,
    OutOption,
    OverHeadOption,
    QuietOption,
    RoundOption,
    SetOption,
    Units,
    UnitsOption,
    length_of,
    refuse_idle,
)
from .screen import Screen

if TYPE_CHECKING:
    from ease.block.pieces import Block
    from ease.block.refit import Refit
    from ease.block.styles import Style
    from ease.body.measures import Body

    from .loading import Wanted

_Cm = str | None


def draft(
    ctx: typer.Context,
    body: Annotated[str, typer.Argument(help="A body: a file, or a shipped one.")],
    out: OutOption = None,
    picture: Annotated[
        Path | None,
        typer.Option(
            "--picture", help="Picture of the construction: .png, .svg or .pdf."
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
    elastic: ElasticOption = 80.0,
    fabric: Annotated[
        str | None,
        typer.Option("--fabric", help="Adjust the draft for a fabric in one go."),
    ] = None,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    by_level: Annotated[
        bool,
        typer.Option("--by-level", help="With --fabric: less where a level is open."),
    ] = False,
    overlay: Annotated[
        Path | None,
        typer.Option("--overlay", help="With --fabric: body size against cut size."),
    ] = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Draft a one-piece block at body size, without ease, and check it.

    Lengths are in the units shown, or carry their own: --leg-height 8, "3 1/8 in".
    With --fabric, --out writes the block cut for the fabric.

    Example: ease draft demo --leg-height 8 --out block.toml --picture draft.png
    """
    from ease.block.draft import draft_block
    from ease.block.draft_report import report_draft

    from .adjust_report import adjust_json, adjust_tables, write_adjusted
    from .draft_report import draft_json, draft_tables, write_draft
    from .loading import check_block_file, read_person, read_wanted

    screen = Screen(as_json, quiet, units)
    screen.check([out], pictures=[picture, overlay], force=force)
    check_block_file(out)
    if fabric is None:
        _refuse_without_fabric(ctx)
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    lengths = {
        "neck_front": neck_front,
        "neck_back": neck_back,
        "back_scoop": back_scoop,
        "strap_width": strap_width,
        "leg_height": leg_height,
        "crotch_width": crotch_width,
        "side_height": side_height,
    }
    style = _style(lengths, strap_place, units)
    person = read_person(body)
    block = draft_block(person, style)
    report = report_draft(block, person, elastic / 100)
    cut = fabric and _cut_for(fabric, block, person, wanted, by_level=by_level)
    written = write_draft(report, None if fabric else out, picture, units, force)
    tables = draft_tables(report, units)
    notes = [*person.notes]
    document = draft_json(report, style)
    if cut:
        result, said = cut
        written += write_adjusted(result, out, overlay, units, force=force)
        tables = [tables[0], *adjust_tables(result, units, elastic, wanted.allowed)]
        after = report_draft(result.block, person, elastic / 100)
        notes += [*after.notes(units.value), *said]
        document["adjusted"] = adjust_json(result, elastic)
    else:
        notes += report.notes(units.value)
    screen.show(*tables)
    screen.notes(dict.fromkeys(notes))
    screen.document("draft", document)
    screen.wrote(written)
    if not report.passed:
        raise typer.Exit(1)


def _refuse_without_fabric(ctx: typer.Context) -> None:
    cut = {**WANTED, "by_level": "--by-level", "overlay": "--overlay"}
    needs = "about cutting for a fabric; give --fabric with it"
    refuse_idle(ctx, cut, needs)


def _cut_for(
    fabric: str, block: Block, person: Body, wanted: Wanted, *, by_level: bool
) -> tuple[Refit, list[str]]:
    """Return the draft cut for a fabric, with the notes on it."""
    from ease.block.cut_stops import stops_note
    from ease.block.garment import for_garment
    from ease.block.plan import BODY_SIZE
    from ease.block.refit import refit
    from ease.fabric.store import load_fabric

    from .loading import factors_for_fabric

    garment = for_garment(wanted.allowed, block, [person])
    factors, said = factors_for_fabric(fabric, person, wanted._replace(allowed=garment))
    result = refit(block, BODY_SIZE, factors, person, by_level=by_level)
    cloth = load_fabric(fabric)
    stops = stops_note(result.block, person, cloth, garment, wanted.round_body)
    return result, [*filter(None, [stops]), *said, *result.notes]


def _style(lengths: dict[str, _Cm], strap_place: float, units: Units) -> Style:
    from ease.block.styles import Style

    given: dict[str, Any] = {"strap_place": strap_place}
    for name, text in lengths.items():
        if text is not None:
            option = f"--{name.replace('_', '-')}"
            given[name] = length_of(option, text, units.value)
    return Style(**given)
