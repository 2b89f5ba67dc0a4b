"""Which of many statements do not fit.

A statement that is wrong draws others along, and two may hide each other, so that they
are not looked for one by one. Of all sets of statements that leave the rest within
``critical`` when they go out, the smallest count; and beside the best of these the sets as
small that leave hardly more misfit. What is in all is wrong, what is in some is unclear.
A statement of the last resort is in none of these where other unknowns do in its place.

Source key: baarda-1968
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.fit.weighing import SEEN, Fit, Statements, critical, rows_at, weigh

__all__ = ["APART", "AS_MUCH", "Search", "give_up", "search"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: Two sets are told apart where one explains this much more of the sum of squares:
#: two standard deviations, odds of about 7 to 1. Own choice.
APART: Final = 4.0
#: As much is explained by what leaves less than this more: one standard deviation.
AS_MUCH: Final = 1.0
MOST_SETS: Final = 200  # that are followed from one size to the next; own choice


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
        away: Size of w of each row, shape (n + p,): of the wrong and the unclear with the
            others of their case left out, of the rest in the best case; 0 of what is
            settled.
        critical: Size of w beyond which a row does not fit.
        statements: What was searched.
        last: Which rows are named only where no others explain as much, shape (n + p,).
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
    last: Bools
    cases: tuple[tuple[int, ...], ...]
    likely: tuple[int, ...] = ()


def search(statements: Statements) -> Search:
    """Return which rows do not fit.

    Args:
        statements: Readings and spreads.
    """
    looked = ~_rows(statements, statements.settled)
    last = _rows(statements, statements.last)
    first = weigh(statements)
    limit = critical(max(1, int((first.redundancy > SEEN).sum())))
    cases = _cases(statements, _smallest(statements, first, (looked, last), limit))
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
        last=last,
        cases=tuple(cases),
    )


def _rows(statements: Statements, unknowns: Bools | None) -> Bools:
    """Return which rows state some unknowns, none if None; shape (n + p,)."""
    rows = np.zeros(statements.count, dtype=bool)
    if unknowns is not None:
        rows[len(statements.values) :] = unknowns
    return rows


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


class _Look(NamedTuple):
    """Sets of rows left out: misfit, w of each row, and unknowns, one set a row."""

    misfit: Floats
    away: Floats
    unknowns: Floats


def _look(statements: Statements, first: Fit, use: Bools) -> _Look:
    """Return what is left where some rows go out, for many choices at once.

    Worked out along the slopes at the first fit.

    Args:
        statements: Readings and spreads.
        first: Fit of all rows.
        use: Which rows count, shape (sets, n + p).
    """
    apart, design = rows_at(statements, first.unknowns)
    keep = use.astype(float)
    inverse = np.linalg.inv(np.einsum("sn,np,nq->spq", keep, design, design))
    step = np.einsum("spq,sn,nq,n->sp", inverse, keep, design, apart, optimize=True)
    residuals = keep * (apart - step @ design.T)
    hat = np.einsum("np,spq,nq->sn", design, inverse, design, optimize=True)
    free = np.clip(1.0 - hat, 0.0, 1.0)
    seen = use & (free > SEEN)
    away = np.where(seen, np.abs(residuals) / np.sqrt(np.where(seen, free, 1.0)), 0.0)
    return _Look((residuals**2).sum(axis=1), away, first.unknowns + step)


def _smallest(
    statements: Statements, first: Fit, kinds: tuple[Bools, Bools], limit: float
) -> list[tuple[int, ...]]:
    """Return the smallest sets of rows without which the rest fits, the best first.

    Sets of one size come from those of the size before, by each row that lowers the
    misfit, until no row is left that others check.

    Args:
        statements: Readings and spreads.
        first: Fit of all rows.
        kinds: Which rows are looked at, and which of them as a last resort.
        limit: Size of w beyond which a row does not fit.
    """
    (looked, last), readings = kinds, len(statements.values)
    use = np.ones((1, statements.count), dtype=bool)
    while True:
        look = _look(statements, first, use)
        doubted = np.where(looked, look.away, 0.0)
        good = doubted.max(axis=1) <= limit
        if good.any() or not doubted.any():
            break
        use = _larger(use, look.misfit, doubted**2)
    # Where nothing else holds an unknown, giving up its statement leads anywhere.
    held = np.abs(look.unknowns).max(axis=1) < statements.farthest
    good = next((some for some in (good & held, good) if some.any()), ~good)
    close = look.misfit < look.misfit[good].min() + APART
    # As likely is a set that hardly fits worse and leaves too much elsewhere only.
    told = (~use[good & close]).any(axis=0)
    near = close & (good | (held & ~told[doubted.argmax(axis=1)]))
    near &= ~_needless(~use, np.where(near & good, look.misfit, np.inf), last, readings)
    order = np.lexsort((look.misfit, ~good))
    return [tuple(map(int, np.flatnonzero(~use[i]))) for i in order if near[i]]


def _needless(out: Bools, misfit: Floats, last: Bools, readings: int) -> Bools:
    """Return which sets name a last resort where another one explains as much without.

    One that names a reading instead does not count: a slip of the tape is as likely.

    Args:
        out: Rows that go out, shape (sets, n + p).
        misfit: What each set leaves, infinite where the rest is not in order, shape
            (sets,).
        last: Rows that are a last resort, shape (n + p,).
        readings: Number of readings n.
    """
    resorts = (out & last).sum(axis=1)
    needless = np.zeros(len(out), dtype=bool)
    for at in np.flatnonzero(np.isfinite(misfit) & (resorts < resorts.max(initial=0))):
        slips = (out[at, :readings] & ~out[:, :readings]).any(axis=1)
        as_much = misfit[at] < misfit + AS_MUCH
        needless |= (resorts > resorts[at]) & as_much & ~slips
    return needless


def _larger(use: Bools, misfit: Floats, gain: Floats) -> Bools:
    """Return the sets with one row more that leave the least misfit, each once."""
    left = np.where(gain > 0.0, misfit[:, None] - gain, np.inf)
    size = int((~use[0]).sum()) + 1  # in so many ways each set is come by
    order = np.argsort(left, axis=None, kind="stable")[: MOST_SETS * size]
    sets, rows = np.unravel_index(order[np.isfinite(left.ravel()[order])], left.shape)
    grown = use[sets]
    grown[np.arange(len(rows)), rows] = False
    return np.unique(grown, axis=0)


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
