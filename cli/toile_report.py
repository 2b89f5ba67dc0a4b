"""What ``ease toile`` shows: strains, causes, factors, block and remarks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .tables import make_table

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from ease.block.toile import Cause, Toile
    from ease.block.toile_correct import Correction, Move

_LEAST_MARKED = 2  # levels, before body and cloth can be told apart


def toile_parts(result: Correction, units: str) -> list[RenderableType]:
    """Return the tables and sentences."""
    toile = result.toile
    parts: list[RenderableType] = [
        _strain_table(toile),
        _cause_table(toile, units),
        *_sentences(result, units),
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
            "marks: worn / relaxed - 1; predicted: block on body\n"
            "weighed: both, by their spreads; +- holds 95 %"
        ),
    )


def _cause_table(toile: Toile, units: str) -> Table:
    shown = [
        cause
        for cause in toile.causes
        if cause.kind != "tape" or cause.verdict != "fits"
    ]
    rows = [
        (
            f"{cause.kind}: {_name(cause)}",
            _size(cause, cause.stated, units),
            _size(cause, cause.off, units, sign=True),
            _size(cause, cause.sd, units),
            f"{cause.away:.1f}",
            f"{100 * cause.explains:.0f}",
            cause.verdict,
        )
        for cause in shown
    ]
    sound = [c for c in toile.causes if c.kind == "tape" and c.verdict == "fits"]
    if sound:
        most = max(sound, key=lambda cause: cause.away)
        stated = _size(most, most.stated, units)
        name = f"tape: {len(sound)} marks"
        rows.append((name, stated, "", "", f"{most.away:.1f}", "", "fits"))
    return make_table(
        "Which statement does not fit",
        ("", "stated sd", "off by", "sd", "away", "explains (%)", ""),
        rows,
        text_columns=(0, 6),
        caption=(
            "sd: standard deviation; away: how far from all the\n"
            f"rest, in its own spread (beyond {toile.limit:.1f} it does not fit);\n"
            "explains: share of the misfit that goes if it alone is given up"
        ),
    )


def _name(cause: Cause) -> str:
    return cause.name.replace("_", " ")


def _size(cause: Cause, value: float, units: str, *, sign: bool = False) -> str:
    plus = "+" if sign else ""
    if cause.kind == "cloth":
        return f"{round(100 * value, 1) + 0.0:{plus}.1f} %"
    from ease.units import CM_PER

    # Eighths of an inch are too coarse for what a tape is off by.
    number = value / CM_PER[units]
    digits = 2 if units == "in" or cause.kind == "tape" else 1
    return f"{round(number, digits) + 0.0:{plus}.{digits}f} {units}"


def _sentences(result: Correction, units: str) -> list[str]:
    from ease.units import length_text

    toile = result.toile
    found = [
        f"The {change.key.replace('_', ' ')} was taken as "
        f"{length_text(change.taped, units)} {units}; the marks say "
        f"{length_text(change.found, units)} +- {length_text(change.half, units)} "
        f"{units}: measure again."
        for change in result.body
    ]
    for cause in toile.causes:
        if cause.verdict != "off":
            continue
        if cause.kind == "tape":
            way = "long" if cause.off > 0 else "short"
            size = _size(cause, abs(cause.off), units)
            found.append(
                f"The mark {cause.name} was read {size} too {way}: read it again. It is "
                "left out."
            )
        elif cause.kind == "cloth":
            found.append(
                f"The cloth is unlike the swatch: {cause.name} it lies "
                f"{100 * abs(cause.off):.1f} % {'longer' if cause.off > 0 else 'shorter'} "
                "than block and body say, at every level alike."
            )
    found += _unclear(toile)
    if not found and result.moved:
        found.append(
            "Nothing is off beyond its stated spread; the marks only tell more closely "
            "where within it body and cloth lie."
        )
    elif not found:
        found.append("Marks, body and swatch agree within their spreads.")
    return found


def _unclear(toile: Toile) -> list[str]:
    doubtful = [cause for cause in toile.causes if cause.verdict == "unclear"]
    if not doubtful:
        return []
    kinds = {"tape": "the mark", "body": "the body's", "cloth": "the cloth"}
    names = [f"{kinds[cause.kind]} {_name(cause)}" for cause in doubtful]
    told = f"These marks cannot tell which is off: {', '.join(names)}."
    levels = {mark.place for mark in toile.marks if mark.direction == "round"}
    if len(levels) < _LEAST_MARKED:
        return [f"{told} Mark another level too, and repeat each mark."]
    return [f"{told} Read those marks again, add repeats, take the measure again."]


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
        "Factors (cut / body as taped)",
        ("", "before", "marks say x", "+-", "kept x", "after"),
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
        "deviations from where it is and a slip of the tape does not explain as much; "
        "so at least 95 of 100 toiles that fit change nothing."
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
        f"Corrected block ({units})", ("", "before", "after", "change", "(%)"), rows
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
        f"{row.direction} {100 * (row.measured - row.predicted):+.1f}" for row in rows
    ]
    if not texts:
        return "none"
    said = f"{', '.join(texts)} points"
    if not kind:
        return said
    sign = 1.0 if kind == "pulls" else -1.0
    shown = any(
        sign * (row.measured - row.predicted)
        > (row.measured_half**2 + row.predicted_half**2) ** 0.5
        for row in rows
    )
    return f"{said}: {'they show it' if shown else 'not shown'}"


def toile_notes(result: Correction) -> list[str]:
    """Return what the user should know about these numbers."""
    toile = result.toile
    notes = []
    if toile.fit.widened > 1.0:
        notes.append(
            f"repeats lie {toile.fit.widened:.1f} times as far apart as the stated spread "
            "of the tape allows; every mark counts that much less"
        )
    if not toile.has_loop:
        notes.append(
            "block or body has no torso loop: marks down are compared with no strain"
        )
    if all(mark.direction == "round" for mark in toile.marks):
        notes.append("no mark runs down: the length factor was not looked at")
    if result.result is not None:
        notes.append(_then_check(result))
        notes += [note for note in result.result.notes if "--by-level" not in note]
    return notes


def _then_check(result: Correction) -> str:
    """Say what to do with the corrected block, and what will be seen."""
    check = "check the corrected block: `ease check`, with the body as found"
    if not any(result.cloth_told):
        return check
    return (
        f"{check}; its figures go by the swatch, and in a fabric kept by --save a note "
        "adds how far each level is worn by this toile"
    )
