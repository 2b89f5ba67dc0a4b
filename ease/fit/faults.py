"""Which of many statements do not fit.

A statement that is wrong draws others along, and two may hide each other, so that they
are not looked for one by one but as sets (``ease.fit.fault_sets``). What is in all sets
that count is wrong, what is in some is unclear.

Source key: baarda-1968
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ease.fit.fault_sets import APART, smallest_sets
from ease.fit.weighing import SEEN, Fit, Statements, critical, weigh

__all__ = ["Search", "give_up", "search"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """Which rows do not fit.

    Attributes:
        first: Fit of all rows.
        kept: Fit without the rows that are wrong.
        fit: The same where one of each unclear group is wrong too, with even odds for
            each case: what all agree on is known as well as by any, what they differ in
            is not.
        alone: For each unclear row the fit where it is one that is wrong, with even odds
            for the cases in which it is.
        wrong: Rows told to be wrong.
        unclear: Where it cannot be told which rows are wrong: for each such doubt the
            sets of rows of which all of one are wrong.
        away: Size of w of each row, shape (m,): of the wrong and the unclear with the
            others of their case left out, of the rest in the best case; 0 of what is
            settled.
        critical: Size of w beyond which a row does not fit.
        statements: What was searched.
        cases: The sets of rows that may be the wrong ones, the best first.
        likely: Rows that are given up besides (:func:`give_up`).
    """

    first: Fit
    kept: Fit
    fit: Fit
    alone: Mapping[int, Fit]
    wrong: tuple[int, ...]
    unclear: tuple[tuple[tuple[int, ...], ...], ...]
    away: Floats
    critical: float
    statements: Statements
    cases: tuple[tuple[int, ...], ...]
    likely: tuple[int, ...] = ()


def search(statements: Statements) -> Search:
    """Return which rows do not fit.

    Args:
        statements: Readings and spreads.
    """
    looked = np.ones(statements.count, dtype=bool)
    looked[statements.doubted :] = False
    if statements.settled is not None:
        unknowns = slice(len(statements.values), statements.doubted)
        looked[unknowns] = ~statements.settled
    first = weigh(statements)
    limit = critical(max(1, int((first.redundancy > SEEN).sum())))
    cases = _cases(statements, smallest_sets(statements, first, looked, limit))
    named = [set(rows) for rows in cases]
    wrong = tuple(sorted(_common(named)))
    return Search(
        first=first,
        kept=weigh(statements, _without(statements.count, wrong)),
        fit=_mixed(list(cases.values())),
        alone=_alone(cases, wrong),
        wrong=wrong,
        unclear=_doubts(named),
        away=np.where(looked, _away(statements, cases), 0.0),
        critical=limit,
        statements=statements,
        cases=tuple(cases),
    )


def give_up(found: Search, rows: Sequence[int]) -> Search:
    """Return a search whose fits do without some rows more.

    Of a statement that is likely off the data alone then say how far: weighed with what
    was stated of it, it would lie between the two.

    Args:
        found: A search.
        rows: Rows that it leaves in.
    """
    count = found.statements.count
    cases = {
        one: weigh(found.statements, _without(count, [*one, *rows]))
        for one in found.cases
    }
    return replace(
        found,
        kept=weigh(found.statements, _without(count, [*found.wrong, *rows])),
        fit=_mixed(list(cases.values())),
        alone=_alone(cases, found.wrong),
        likely=tuple(rows),
    )


def _alone(
    cases: Mapping[tuple[int, ...], Fit], wrong: Sequence[int]
) -> dict[int, Fit]:
    unclear = sorted({row for rows in cases for row in rows} - set(wrong))
    return {
        row: _mixed([fit for rows, fit in cases.items() if row in rows])
        for row in unclear
    }


def _cases(
    statements: Statements, sets: Sequence[tuple[int, ...]]
) -> dict[tuple[int, ...], Fit]:
    """Return the sets that hold when worked out in full, the best first."""
    fits = {rows: weigh(statements, _without(statements.count, rows)) for rows in sets}
    held = {
        rows: fit
        for rows, fit in fits.items()
        if np.abs(fit.unknowns).max(initial=0.0) < statements.farthest
    } or fits
    most = next(iter(held.values())).misfit + APART
    return {rows: fit for rows, fit in held.items() if fit.misfit < most}


def _common(named: Sequence[set[int]]) -> set[int]:
    return named[0].intersection(*named)


def _doubts(named: Sequence[set[int]]) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Return the choices that the sets leave open, each by itself.

    Two rows of which no set names both belong to one choice.
    """
    common = _common(named)
    open_rows = sorted(set[int]().union(*named) - common)
    groups: list[set[int]] = []
    for row in open_rows:
        beside = set[int]().union(*(rows for rows in named if row in rows))
        mine = {row} | (set(open_rows) - beside)
        joined = [group for group in groups if group & mine]
        groups = [group for group in groups if not group & mine]
        groups.append(mine.union(*joined))
    choices = [{tuple(sorted(rows & group)) for rows in named} for group in groups]
    if int(np.prod([len(choice) for choice in choices])) != len(named):
        # What is chosen in one hangs on the others: all are one choice.
        choices = [{tuple(sorted(rows - common)) for rows in named}] if groups else []
    return tuple(tuple(sorted(choice)) for choice in choices)


def _away(statements: Statements, cases: Mapping[tuple[int, ...], Fit]) -> Floats:
    away = np.abs(next(iter(cases.values())).away)
    for rows in cases:
        for row in rows:
            others = [one for one in rows if one != row]
            fit = weigh(statements, _without(statements.count, others))
            away[row] = max(away[row], abs(fit.away[row]))
    return away


def _without(count: int, rows: Sequence[int]) -> Bools:
    use = np.ones(count, dtype=bool)
    use[list(rows)] = False
    return use


def _mixed(fits: Sequence[Fit]) -> Fit:
    """Return fits with even odds as one; residuals and hat are those of the first.

    The mean of their estimates, the mean of their covariances and the covariance of their
    estimates about the mean.
    """
    if len(fits) == 1:
        return fits[0]
    each = np.array([fit.unknowns for fit in fits])
    within = np.mean([fit.covariance for fit in fits], axis=0)
    apart = each - each.mean(axis=0)
    return replace(
        fits[0],
        unknowns=each.mean(axis=0),
        covariance=within + apart.T @ apart / len(fits),
    )
