"""``ease factors``: how much smaller to cut for a fabric and a body, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import (
    Hold,
    HoldOption,
    JsonOption,
    OneBodyOption,
    OpensOption,
    OverHeadOption,
    QuietOption,
    RoundOption,
    SetOption,
    Units,
    UnitsOption,
)
from .screen import Screen
from .tables import inch_note, make_table

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from ease.fit.aims import Allowed
    from ease.fit.decide import Decision, Limit, Reduction
    from ease.fit.spread import Interval, Spread


def factors(
    fabric: Annotated[str, typer.Argument(help="A fabric's name, or a profile file.")],
    body: OneBodyOption,
    hold: HoldOption = Hold.REGULAR,
    numbers: SetOption = None,
    round_body: RoundOption = None,
    over_head: OverHeadOption = False,
    opens: OpensOption = False,
    why: Annotated[
        bool,
        typer.Option("--why", help="Add every aim and limit with its reason."),
    ] = False,
    units: UnitsOption = Units.CM,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Say how much smaller to cut, round and down, and which limit decides.

    Pressure figures are comfort estimates, not medical advice.

    Example: ease factors soft-tricot --body demo --hold firm
    """
    from ease.fit.explain import explain
    from ease.fit.spread import spread_of

    from .loading import read_person, read_reduction, read_wanted

    wanted = read_wanted(hold, numbers, round_body, over_head=over_head, opens=opens)
    reduction = read_reduction(fabric, read_person(body), wanted)
    spread = spread_of(reduction)
    screen = Screen(as_json=as_json, quiet=quiet, units=units)
    parts: list[RenderableType] = [
        *factor_tables(reduction, spread, units),
        *explain(reduction),
    ]
    if why:
        parts.append(choice_table(wanted.allowed))
    screen.show(*parts)
    notes = [*reduction.body.notes, *reduction.notes, *spread.advice(units)]
    screen.notes([*notes, *pressure_cautions(reduction)])
    if as_json:
        screen.document("factors", reduction_json(reduction, spread))


def pressure_cautions(reduction: Reduction) -> list[str]:
    """Return what to be careful about where pressure is told."""
    from ease.fit.pressure import CAUTIONS

    return [CAUTIONS["comfort"]] if reduction.basis == "pressure" else []


def factor_tables(reduction: Reduction, spread: Spread, units: str) -> list[Table]:
    """Return the two factors, the limits they lie between, and the sizes to cut."""
    return [
        _factor_table(reduction, spread),
        *down_tables(reduction.length.strain, reduction.contraction_strain),
        _limit_table(reduction),
        _sizes_table(reduction, spread, units),
    ]


def choice_table(allowed: Allowed) -> Table:
    """Return every aim and limit with its value, name for --set, and reason."""
    from ease.fit.aims import choices

    rows = [
        (choice.setting, f"{choice.name}: {choice.value}. {choice.reason}")
        for choice in choices(allowed)
    ]
    columns = ("--set", "value and reason")
    return make_table("Aims and limits", columns, rows, text_columns=(0, 1))


def _factor_table(reduction: Reduction, spread: Spread) -> Table:
    from ease.fit.cases import other_direction
    from ease.units import percent_text

    rows = [
        (
            f"{way} ({cloth})",
            f"{decision.factor:.3f}",
            "-" if sure is None else f"{sure.half:.3f}",
            percent_text(decision.reduction),
            percent_text(decision.strain),
            _window(decision),
            decision.bound_title,
        )
        for way, cloth, decision, sure in (
            ("round", reduction.round_body, reduction.girth, spread.girth),
            (
                "down",
                other_direction(reduction.round_body),
                reduction.length,
                spread.length,
            ),
        )
    ]
    return make_table(
        f"{reduction.fabric.name} on {reduction.body.name}, hold {reduction.aim.name}",
        ("", "factor", "+-", "off (%)", "worn (%)", "window (%)", "decided by"),
        rows,
        text_columns=(0, 6),
    )


def _window(decision: Decision) -> str:
    from ease.units import percent_text

    if decision.low is None or decision.high is None:
        return "-"
    return " to ".join(
        percent_text(end.strain) for end in (decision.low, decision.high)
    )


def down_tables(cut: float, contraction: float | None) -> list[Table]:
    """Return where the strain down the body comes from: contraction and the cut.

    Args:
        cut: Worn strain from the cut, body over cut, less 1.
        contraction: Worn strain from contraction at body length; None if not known.
    """
    from ease.units import percent_text

    if contraction is None:
        return []
    both = (1.0 + contraction) * (1.0 + cut) - 1.0
    row = [percent_text(value) for value in (contraction, cut, both)]
    columns = ("", "from contraction", "from the cut", "together")
    return [make_table("Strain down the body (%)", columns, [("pull", *row)])]


def _limit_table(reduction: Reduction) -> Table:
    from ease.fit.window import LIMITS

    sides = (reduction.girth, reduction.length)
    rows = [
        (
            kind.title,
            "at least" if kind.side == "low" else "at most",
            *(_strain(side, key) for side in sides),
            kind.why,
        )
        for key, kind in LIMITS.items()
        if any(key in side.strains for side in sides)
    ]
    return make_table(
        "Limits of the worn strain",
        ("limit", "", "round (%)", "down (%)", "beyond it"),
        rows,
        text_columns=(0, 1, 4),
        caption="* decides; [] the ends of the window.",
    )


def _strain(side: Decision, key: str) -> str:
    """Strain at a limit, marked where it decides or is an end of the window."""
    from ease.units import percent_text

    if key not in side.strains:
        return "-  "
    text = percent_text(side.strains[key])
    if key == side.bound_by:
        return f"{text} *"
    ends = [end.key for end in (side.low, side.high) if end is not None]
    return f"[{text}] " if key in ends else f"{text}  "


def _sizes_table(reduction: Reduction, spread: Spread, units: str) -> Table:
    from ease.units import length_text

    body = reduction.body
    names = [
        name for name in ("bust", "waist", "hip", "torso_loop") if name in body.values
    ]
    rows = []
    for name in names:
        size, cut = body[name], reduction.cut(name)
        filled = " (filled in)" if name in body.filled else ""
        label = name.replace("_", " ") + filled
        sure = length_text(spread.sizes[name].half, units)
        sizes = (length_text(v, units) for v in (size, cut, size - cut))
        most = spread.shares[name][0][0] if spread.shares[name] else "-"
        rows.append((label, *sizes, sure, most))
    return make_table(
        f"Sizes to cut where the girth is a closed loop ({units})",
        ("", "body", "cut", "negative ease", "+-", "largest part from"),
        rows,
        text_columns=(0, 5),
        caption="+- holds 95 % of what the spread of readings and tape allows. The loop "
        "of the block itself runs aslant and comes out a little shorter."
        + (f"\n{inch_note(units)}" if units == "in" else ""),
    )


def reduction_json(reduction: Reduction, spread: Spread) -> dict[str, Any]:
    """Return the JSON body of a reduction."""
    from ease.fit.notes import LOOP_TO_CUT

    body = reduction.body
    loop = [LOOP_TO_CUT] if "torso_loop" in body.values else []
    return {
        "fabric": reduction.fabric.name,
        "body": body.name,
        "round_body": reduction.round_body,
        "hold": reduction.aim.name,
        "basis": reduction.basis,
        "girth": _decision_json(reduction.girth, spread.girth),
        "length": _decision_json(reduction.length, spread.length),
        "contraction_strain": reduction.contraction_strain,
        "pull_strain": reduction.pull_strain,
        "sizes": [
            {
                "name": name,
                "body_cm": body[name],
                "cut_cm": reduction.cut(name),
                "negative_ease_cm": body[name] - reduction.cut(name),
                "cut_ci95_cm": [spread.sizes[name].low, spread.sizes[name].high],
                "filled_in": name in body.filled,
            }
            for name in ("bust", "waist", "hip", "torso_loop")
            if name in body.values
        ],
        "most_of_the_spread": {
            name: shares[0][0] for name, shares in spread.shares.items() if shares
        },
        "notes": [*body.notes, *reduction.notes, *spread.advice(), *loop],
    }


def _decision_json(decision: Decision, sure: Interval | None) -> dict[str, Any]:
    def end(limit: Limit | None) -> dict[str, Any] | None:
        return None if limit is None else {"strain": limit.strain, "limit": limit.key}

    return {
        "factor": decision.factor,
        "factor_ci95": None if sure is None else [sure.low, sure.high],
        "strain": decision.strain,
        "reduction": decision.reduction,
        "aim": None if decision.aim_beyond_test else decision.aim,
        "aim_beyond_test": decision.aim_beyond_test,
        "low": end(decision.low),
        "high": end(decision.high),
        "bound_by": decision.bound_by,
    }
