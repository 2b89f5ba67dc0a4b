"""What ``ease toile`` shows: strains, causes, factors, block and remarks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .tables import inch_note, make_table
from .toile_words import cause_name, cause_size, toile_sentences

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from ease.block.toile import Toile
    from ease.block.toile_correct import Correction, Move


def toile_parts(result: Correction, units: str) -> list[RenderableType]:
    """Return the tables and sentences."""
    toile = result.toile
    parts: list[RenderableType] = [
        _strain_table(toile),
        _cause_table(result, units),
        *toile_sentences(result, units),
        _factor_table(result),
        _rule(result),
    ]
    if result.result is not None:
        parts.append(_girth_table(result, units))
    if toile.remarks:
        parts.append(_remark_table(toile))
    return parts


def _strain_table(toile: Toile) -> Table:
    rows = [
        (
            row.place,
            row.direction,
            str(row.n),
            *(
                f"{100 * value:.1f}"
                for value in (
                    row.measured,
                    row.measured_half,
                    row.predicted,
                    row.predicted_half,
                    row.worn,
                    row.worn_half,
                )
            ),
        )
        for row in toile.rows
    ]
    return make_table(
        f"Toile of {toile.block.name} on {toile.body.name}\n"
        f"in {toile.fabric.name}, {toile.round_body} round the body: strain (%)",
        ("place", "way", "n", "marks", "+-", "predicted", "+-", "weighed", "+-"),
        rows,
        text_columns=(0, 1),
        caption=(
            "marks: worn / relaxed - 1; predicted: "
            f"block on body{', by an earlier toile too' * toile.has_earlier}\n"
            "weighed: both, by their spreads; +- holds 95 % if these are right"
        ),
    )


def _cause_table(result: Correction, units: str) -> Table:
    toile = result.toile
    shown = [
        cause
        for cause in toile.causes
        if cause.kind != "tape" or cause.verdict != "fits"
    ]
    rows = [
        (
            f"{cause.kind}: {cause_name(cause)}",
            cause_size(cause, cause.stated, units),
            cause_size(cause, cause.off, units, sign=True),
            cause_size(cause, cause.sd, units),
            f"{cause.away:.1f}",
            f"{100 * cause.explains:.0f}",
            cause.verdict,
        )
        for cause in shown
    ]
    sound = [c for c in toile.causes if c.kind == "tape" and c.verdict == "fits"]
    if sound:
        most = max(sound, key=lambda cause: cause.away)
        stated = cause_size(most, most.stated, units)
        name = f"tape: {len(sound)} marks"
        rows.append((name, stated, "", "", f"{most.away:.1f}", "", "fits"))
    verdicts = {cause.verdict for cause in toile.causes}
    unclear = "\nunclear: off by as much, if it is off; below stands what else may be"
    likely = f"\nlikely: as far off by itself, beyond {result.limit:.1f}"
    return make_table(
        "Which statement does not fit",
        ("", "stated sd", "off by", "sd", "away", "explains (%)", ""),
        rows,
        text_columns=(0, 6),
        caption=(
            "sd: standard deviation; away: how far from all the\n"
            f"rest, in its own spread (beyond {toile.limit:.1f} it does not fit);\n"
            "explains: share of the misfit that goes with it; the fewest causes\n"
            "that explain the marks are taken"
            + unclear * ("unclear" in verdicts)
            + likely * ("likely" in verdicts)
        ),
    )


def _factor_table(result: Correction) -> Table:
    rows = [
        (
            _move_name(move),
            f"{move.old:.3f}",
            f"{move.found:.3f}",
            f"{move.half:.3f}",
            "-" if move.kept == 1.0 else f"{move.kept:.3f}",
            f"{move.new:.3f}" if move.kept != 1.0 else "unchanged",
        )
        for move in result.moves
    ]
    return make_table(
        f"Factors (cut / body as {'found' if result.toile.measures_found else 'taped'})",
        ("", "before", "weighed x", "+-", "kept x", "after"),
        rows,
        caption=(
            "girth: for any garment in this cloth\n"
            "levels: for this block and body alone"
        ),
    )


def _move_name(move: Move) -> str:
    return move.name if move.name in ("girth", "length") else f"  {move.name}"


def _rule(result: Correction) -> str:
    limit = f"{result.limit:.1f}"
    rule = (
        f"A factor moves only where the marks put it more than {limit} standard "
        "deviations from where it is, and no mark that stands out explains as much. "
        "Where body and cloth are exactly as stated, at least 95 of 100 toiles change "
        "nothing."
    )
    if result.moved:
        return rule
    return f"No factor moves: the block stays as it is. {rule}"


def _girth_table(result: Correction, units: str) -> Table:
    from ease.units import length_text

    refit = result.result
    rows = []
    if refit is not None:
        loops = [row for row in refit.lengths if row.name == "torso loop"]
        rows = [
            (
                row.name,
                length_text(row.before_cm, units),
                length_text(row.after_cm, units),
                length_text(row.change_cm, units),
                f"{round(100 * row.change, 1) + 0.0:+.1f}",
            )
            for row in (*refit.girths, *loops)
        ]
    return make_table(
        f"Corrected block ({units})",
        ("", "before", "after", "change", "(%)"),
        rows,
        caption=inch_note(units),
    )


def _remark_table(toile: Toile) -> Table:
    rows = [
        (remark.place, remark.text, _what_marks_say(toile, remark.place, remark.kind))
        for remark in toile.remarks
    ]
    return make_table(
        "Remarks",
        ("place", "on the wearer", "the marks there"),
        rows,
        text_columns=(0, 1, 2),
    )


def _what_marks_say(toile: Toile, place: str, kind: str) -> str:
    rows = [row for row in toile.rows if row.place == place]
    texts = [
        f"{row.direction} {round(100 * (row.measured - row.predicted), 1) + 0.0:+.1f}"
        for row in rows
    ]
    if not texts:
        aside = any(mark.place == place for mark in toile.aside)
        return "not judged" if aside else "none"
    said = f"{', '.join(texts)} points"
    if not kind:
        return said
    sign = 1.0 if kind == "pulls" else -1.0
    # Beyond its spread, in the way of the remark where positive.
    beyond = [
        sign
        * (row.measured - row.predicted)
        / (row.measured_half**2 + row.predicted_half**2) ** 0.5
        for row in rows
    ]
    if max(beyond) > 1.0:
        return f"{said}: they show it"
    return f"{said}: {'the opposite' if min(beyond) < -1.0 else 'not shown'}"
