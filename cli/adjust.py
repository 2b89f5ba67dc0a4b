"""``ease adjust``: a block for another fabric, with every change listed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .drawing_options import KnownOption, MapOption, UnitsInOption
from .options import (
    WANTED,
    BlockArgument,
    BodyOption,
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
    refuse_idle,
)
from .report import ReportOption, report_target
from .screen import Screen

if TYPE_CHECKING:
    from ease.block.pieces import Block
    from ease.block.plan import Factors
    from ease.body.measures import Body

    from .loading import Wanted

Pair = tuple[float, float]
_NO_FABRIC = (None, "body", "inferred")  # what --from takes besides a fabric


def adjust(
    ctx: typer.Context,
    block: BlockArgument,
    to: Annotated[
        str | None, typer.Option("--to", help="Fabric that it is to be cut in.")
    ] = None,
    from_: Annotated[
        str | None,
        typer.Option(
            "--from",
            help="What it was drafted for: a fabric, `body` (body size) or `inferred`; "
            "else what the block says.",
        ),
    ] = None,
    to_factors: Annotated[
        Pair | None,
        typer.Option(
            "--to-factors",
            metavar="GIRTH LENGTH",
            help="Girth and length factor, such as 0.83 0.98, instead of --to.",
        ),
    ] = None,
    from_factors: Annotated[
        Pair | None,
        typer.Option(
            "--from-factors",
            metavar="GIRTH LENGTH",
            help="Those of the block, instead of --from.",
        ),
    ] = None,
    body: BodyOption = None,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    by_level: Annotated[
        bool,
        typer.Option(
            "--by-level",
            help="Give each level what its loop can carry: less where it is cut open.",
        ),
    ] = False,
    by_toile: Annotated[
        bool,
        typer.Option(
            "--by-toile",
            help="Cut by what toiles of this cloth or block have shown, too.",
        ),
    ] = False,
    overlay: Annotated[
        Path | None,
        typer.Option("--overlay", help="Picture of both blocks: .png, .svg or .pdf."),
    ] = None,
    elastic: ElasticOption = 80.0,
    out: OutOption = None,
    report: ReportOption = None,
    drawing_map: MapOption = None,
    known_length: KnownOption = None,
    units_in: UnitsInOption = None,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
    force: ForceOption = False,
) -> None:
    """Adjust a block for another fabric and list every girth, length and seam.

    Example: ease adjust demo --from body --to firm-tricot --overlay both.png
    """
    from ease.block.refit import refit

    from .adjust_report import (
        adjust_json,
        adjust_tables,
        report_adjusted,
        write_adjusted,
    )
    from .loading import (
        DrawingHelp,
        person_for,
        read_drawn_block,
        read_wanted,
    )
    from .opening_tables import elastic_notes

    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    _check_files(screen, out, overlay, force=force)
    target = report_target(ctx, report)
    drawing = DrawingHelp(drawing_map, known_length, units_in)
    file = read_drawn_block(block, drawing, units)
    old_block = file.block
    person = person_for(old_block, body)
    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    if to_factors is not None and from_ in (None, "body", "inferred"):
        refuse_idle(ctx, WANTED, "factors given by hand stand as they are")
    choice = _Chooser(old_block, person, wanted, by_toile=by_toile)
    old = choice.old(from_, from_factors)
    result = refit(
        old_block,
        old,
        choice.new(to, to_factors, old),
        person,
        by_level=by_level,
    )
    screen.show(*adjust_tables(result, units, elastic))
    elastics = elastic_notes(result.block)
    notes = [*file.notes, *choice.notes, *result.notes, *elastics]
    notes = list(dict.fromkeys(notes))
    screen.notes(notes)
    if as_json:
        screen.document("adjust", {**adjust_json(result, elastic), "notes": notes})
    written = write_adjusted(result, out, overlay, units, force=force)
    target = target.about(
        ("block", block),
        ("body", body or (person.name if person else None)),
        *(("fabric", name) for name in (from_, to) if name not in _NO_FABRIC),
        ("file", drawing_map),
    )
    choices = wanted.aim, wanted.allowed
    screen.wrote([*written, *report_adjusted(target, result, units, notes, choices)])


def _check_files(
    screen: Screen, out: Path | None, overlay: Path | None, *, force: bool
) -> None:
    from ease.errors import UsageError

    from .loading import check_block_file

    screen.check([out], pictures=[overlay], force=force)
    check_block_file(out)
    if out is not None and out == overlay:
        message = f"{out}: --out and --overlay need a file each"
        raise UsageError(message)


class _Chooser:
    """Turns what was typed for old and new into factors, and gathers notes."""

    def __init__(
        self, block: Block, person: Body | None, wanted: Wanted, *, by_toile: bool
    ) -> None:
        from ease.block.garment import for_garment

        from .check_words import body_notes

        self.block, self.person = block, person
        bodies = [] if person is None else [person]
        garment = for_garment(wanted.allowed, block, bodies)
        self.wanted = wanted._replace(allowed=garment)
        self.by_toile = by_toile
        self.notes: list[str] = [] if person is None else body_notes(block, person)

    def old(self, named: str | None, pair: Pair | None) -> Factors:
        from ease.block.plan import (
            BODY_SIZE,
            Factors,
            factors_of_block,
            for_block,
            inferred_factors,
        )
        from ease.errors import UsageError

        if named is not None and pair is not None:
            message = "give --from or --from-factors, not both"
            raise UsageError(message)
        if pair is not None:
            return Factors(*pair, "as given")
        if named == "body":
            return BODY_SIZE
        if named == "inferred":
            return inferred_factors(self.block, self.person)
        if named is not None:
            # Nothing pulled it down then either: it was cut at its length.
            return for_block(self._fabric(named), self.block, BODY_SIZE)
        return factors_of_block(self.block, self.person)

    def new(self, named: str | None, pair: Pair | None, old: Factors) -> Factors:
        from ease.block.plan import Factors
        from ease.block.worn_otherwise import left_behind
        from ease.errors import UsageError

        if (named is None) == (pair is None):
            message = "give --to with a fabric, or --to-factors with two numbers"
            raise UsageError(message)
        if pair is None:
            factors = self._fabric(str(named))
            if not self.block.loop_path:
                factors = self._without_length(factors, old)
            return self._toiled(str(named), factors)
        if self.by_toile:
            message = (
                "--by-toile goes with --to; factors given by hand stand as they are"
            )
            raise UsageError(message)
        self.notes += filter(None, [left_behind(self.block.drafted_for)])
        self.notes.append(
            "factors given by hand keep to no limit; `ease check` with --body and "
            "--fabric tells whether the block can be worn"
        )
        return Factors(*pair, "as given")

    def _without_length(self, factors: Factors, old: Factors) -> Factors:
        """Say that a block keeps its length that nothing pulls at the shoulders."""
        from ease.block.plan import for_block

        self.notes.append(
            "the block has no torso loop, so nothing pulls it down from the shoulders: its "
            "length stays as it is; --to-factors changes it"
        )
        return for_block(factors, self.block, old)

    def _fabric(self, name: str) -> Factors:
        from .loading import factors_for_fabric

        factors, notes = factors_for_fabric(name, self.person, self.wanted)
        self.notes.extend(notes)
        return factors

    def _toiled(self, name: str, factors: Factors) -> Factors:
        """Say first of all where toiles ask for other factors, and take them if told."""
        from ease.block.worn_otherwise import cut_by_swatch, toile_moves, with_toiles
        from ease.fabric.evidence import evidence_notes
        from ease.fabric.store import load_fabric

        fabric = load_fabric(name)
        moves = toile_moves(self.block.drafted_for, fabric, factors.round_body)
        if not moves:
            if self.by_toile:
                self.notes.append(f"{name}: no toile asks for other factors here")
            return factors
        toiled = self.block.drafted_for.toiled
        corrected = (toiled.girth, toiled.length) != (1.0, 1.0)
        told = {f"{name}: {text}" for text in evidence_notes(fabric.evidence)}
        rest = [text for text in self.notes if text not in told]
        if self.by_toile:
            shown = "; ".join(move.text for move in moves)
            self.notes = [f"{name}: cut by toiles too: {shown}", *rest]
            return with_toiles(factors, moves)
        self.notes = [
            f"{name}: {cut_by_swatch(factors, moves, corrected=corrected)}",
            *rest,
        ]
        return factors
