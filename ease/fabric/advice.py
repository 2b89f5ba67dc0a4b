"""What a tested swatch means for cutting, in plain sentences."""

from __future__ import annotations

from ease.fabric.classes import CLASS_TABLES, ClassTable, stretch_class
from ease.fabric.statistics import interval
from ease.fabric.swatch import (
    MOST_REPEATS,
    TARGET_HALF_WIDTH,
    DirectionSummary,
    SwatchSummary,
)

__all__ = ["advice"]

FEW = 2  # repeats whose t quantile alone, 12.7, makes an interval wide


def advice(
    summary: SwatchSummary, table: ClassTable = CLASS_TABLES[0]
) -> tuple[str, ...]:
    """Return which way to lay the cloth, its class, and which repeats to do.

    Args:
        summary: The tested swatch.
        table: The table of trade classes to go by.
    """
    lines = [_round_body(summary)]
    lines += [_class(one, table) for one in summary.directions]
    lines += [_repeats(one) for one in summary.directions]
    lines += [
        f"{out.direction} {out.repeat}: {out.figure} {100 * out.value:.1f} % stands out "
        f"(Grubbs G {out.statistic:.2f}, limit {out.critical:.2f}); "
        + ("left out of the means" if out.dropped else "kept; look at that strip again")
        for out in summary.outliers
    ]
    return tuple(lines)


def _round_body(summary: SwatchSummary) -> str:
    if summary.across is None or summary.along is None:
        only = summary.directions[0].name
        return (
            f"Round the body: only {only} was tested; the greater stretch goes round."
        )
    less, more = sorted(100 * one.stretch.mean for one in summary.directions)
    name = summary.round_body
    both = f"{more:.1f} against {less:.1f} %"
    if summary.round_body_sure:
        return f"Round the body: {name}, which stretches more ({both})."
    unsure = "too close to call"
    why = "the 95 % intervals overlap"
    if FEW in (summary.across.stretch.n, summary.along.stretch.n):
        unsure = "not settled by two repeats"
        why = f"so few leave wide 95 % intervals, which overlap; do {FEW} more"
    if None in (interval(summary.across.stretch), interval(summary.along.stretch)):
        unsure, why = "not sure", "a single repeat gives no 95 % interval"
    return f"Round the body: {unsure} ({both}): {why}. {name.capitalize()} is taken."


def _class(one: DirectionSummary, table: ClassTable) -> str:
    name = stretch_class(one.stretch.mean, table)
    return f"Class {one.name}: {name} (table {table.name}: {table.title})."


def _repeats(one: DirectionSummary) -> str:
    ends = interval(one.stretch)
    target = f"{100 * TARGET_HALF_WIDTH:g} points"
    if ends is None or one.more_repeats is None:
        return (
            f"Repeats {one.name}: one says nothing of the spread; do two more at least."
        )
    half = 50 * (ends[1] - ends[0])
    known = f"Repeats {one.name}: stretch is known to +- {half:.1f} points; "
    if one.more_repeats == 0:
        return known + "no more are worth doing."
    if one.stretch.n + one.more_repeats > MOST_REPEATS:
        return known + (
            f"more than {MOST_REPEATS} in all would be needed for +- {target}: "
            "find out why the readings differ instead."
        )
    return known + f"about {one.more_repeats} more would bring it to +- {target}."
