"""The smallest sets of statements without which the rest fits.

Of all sets of statements that leave the rest within ``critical`` when they go out, the
smallest count; and beside the best of these the sets as small that leave hardly more
misfit. Sets of one row more count instead where they explain as much more as one wrong row
must.

Source key: baarda-1968
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.fit.weighing import SEEN, Fit, Statements, rows_at

__all__ = ["APART", "smallest_sets"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: Two sets are told apart where one explains this much more of the sum of squares:
#: two standard deviations, odds of about 7 to 1. Own choice.
APART: Final = 4.0
MOST_SETS: Final = 200  # that are followed from one size to the next; own choice


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
        use: Which rows count, shape (sets, m).
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


def smallest_sets(
    statements: Statements, first: Fit, looked: Bools, limit: float
) -> list[tuple[int, ...]]:
    """Return the smallest sets of rows without which the rest fits, the best first.

    Sets of one size come from those of the size before, by each row that lowers the
    misfit, until no row is left that others check.

    Args:
        statements: Readings and spreads.
        first: Fit of all rows.
        looked: Which rows are looked at.
        limit: Size of w beyond which a row does not fit.
    """
    best = None
    use = np.ones((1, statements.count), dtype=bool)
    while True:
        now = _sets(statements, first, looked, limit, use)
        if best is not None and now.least + limit**2 > best.least:
            break
        if now.good.any() or not now.doubted.any():
            best = now
        if (use.all() and now.good.any()) or not now.doubted.any():
            break
        use = _larger(use, now.look.misfit, now.doubted**2)
    return _near(best or now, first)


class _Sets(NamedTuple):
    """Sets of one size: rows that count, what they leave, and which leave all in order."""

    use: Bools
    look: _Look
    doubted: Floats
    held: Bools
    good: Bools

    @property
    def least(self) -> float:
        """Least misfit of those that leave all in order."""
        return float(self.look.misfit[self.good].min(initial=np.inf))


def _sets(
    statements: Statements, first: Fit, looked: Bools, limit: float, use: Bools
) -> _Sets:
    look = _look(statements, first, use)
    doubted = np.where(looked, look.away, 0.0)
    good = doubted.max(axis=1) <= limit
    # Where nothing else holds an unknown, giving up its statement leads anywhere.
    held = np.abs(look.unknowns).max(axis=1) < statements.farthest
    return _Sets(use, look, doubted, held, good & held if (good & held).any() else good)


def _near(sets: _Sets, first: Fit) -> list[tuple[int, ...]]:
    """Return the sets that leave hardly more misfit than the best one, the best first."""
    use, look = sets.use, sets.look
    out, good = ~use, sets.good if sets.good.any() else np.ones(len(use), dtype=bool)
    close = look.misfit < look.misfit[good].min() + APART
    # As likely is a set that hardly fits worse and leaves too much elsewhere only, but
    # not one that explains next to nothing.
    told = out[good & close].any(axis=0)
    explains = first.misfit - look.misfit > APART * out.sum(axis=1)
    elsewhere = ~told[sets.doubted.argmax(axis=1)]
    near = close & (good | (sets.held & elsewhere & explains))
    order = np.lexsort((look.misfit, ~good))
    return [tuple(map(int, np.flatnonzero(out[i]))) for i in order if near[i]]


def _larger(use: Bools, misfit: Floats, gain: Floats) -> Bools:
    """Return the sets with one row more that leave the least misfit, each once."""
    left = np.where(gain > 0.0, misfit[:, None] - gain, np.inf)
    size = int((~use[0]).sum()) + 1  # in so many ways each set is come by
    order = np.argsort(left, axis=None, kind="stable")[: MOST_SETS * size]
    sets, rows = np.unravel_index(order[np.isfinite(left.ravel()[order])], left.shape)
    grown = use[sets]
    grown[np.arange(len(rows)), rows] = False
    return np.unique(grown, axis=0)
