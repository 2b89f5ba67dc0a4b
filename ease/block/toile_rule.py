"""Which corrections the marks of a toile justify.

The rule: a correction is kept only where it lies further from nothing than a limit in
its own standard deviations, and where no mark that stands out, as by a slip of the tape,
explains as much. Else the factor stays as it is. The limit is 2, or more where many
corrections are looked at: such that, with body and cloth exactly as stated, the spread of
the marks alone leaves every factor and measure as it is in 95 of 100 toiles.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.toile import Toile
from ease.fit.fault_sets import APART
from ease.fit.weighing import critical
from ease.units import NORMAL_95

__all__ = ["Judge"]

FloatArray = NDArray[np.float64]
LEAST_SD: Final = 2.0
# As much is explained by what leaves less than this more: one standard deviation.
AS_MUCH: Final = 1.0
DRAWS: Final = 10_000
SEED: Final = 20260101


class Judge:
    """Keeps what lies beyond the limit, and knows what the marks cannot tell.

    Attributes:
        n: Number of levels; unknowns are in the order of ``ease.fit.toile``.
        p: Number of unknowns.
        x: The unknowns as fitted, shape (p,).
        by_loop: Change of the log length by that of the loop.
        limit: Standard deviations that a correction must exceed.
        unclear: Unknowns of which the marks cannot tell whether they are off.
        open_rows: Places, by index, that may move by body and cloth together.
        shown_rows: Levels, by index, of which an earlier toile showed how they lay.
    """

    def __init__(self, toile: Toile, limit: float | None = None) -> None:
        """Work out the limit for the marks there are, where none is given."""
        found, model = toile.fit.found, toile.fit.model
        self.x, self.covariance = found.fit.unknowns, found.fit.covariance
        self.n, self.p = model.levels, model.unknowns
        # Of log S down the body, by the loop as measured, at the strain round as meant.
        self.by_loop = float(model.stretches(np.zeros(self.p))[1][self.n, self.n])
        rows = len(toile.marks)
        self.limit = self._limit(toile) if limit is None else limit
        unclear = set(found.alone)
        away = found.away[rows : rows + self.p] ** 2
        wrong = {row - rows for row in (*found.wrong, *found.likely)}
        slip = self._slips(toile)
        # Unknowns that explain as much as another one: also those that, looked at among
        # many, are not far enough away for either to be called off.
        self.unclear = {row - rows for row in unclear if row >= rows}
        self.alike = self.unclear | {
            at
            for at in range(self.p)
            if at not in wrong
            and (
                bool(np.delete(away > away[at] - APART, at).any())
                or (slip[at] and slip[at] > away[at] - AS_MUCH)
            )
        }
        marked_rows = toile.fit.marks.row
        slips = {int(marked_rows[row]) for row in unclear if row < rows}
        most = np.append(
            np.maximum(away[: self.n], away[self.n + 1]), away[self.n :: 2].max()
        )
        told = slip[: self.n + 1]
        slips |= set(np.flatnonzero((told > 0.0) & (told > most - AS_MUCH)).tolist())
        # Where a slip of the tape would explain as much, and where no mark lies, only
        # what is told of the cloth moves a factor.
        self.open_rows = {int(row) for row in marked_rows} - slips
        self.by_row = self._by_row(toile)
        known = found.statements.sums
        columns = () if known is None else np.nonzero(known.weights)[1].tolist()
        self.shown_rows = {column for column in columns if column < self.n}

    @staticmethod
    def _by_row(toile: Toile) -> dict[int, tuple[float, float]]:
        """Return what the marks of each place alone say beyond what is predicted.

        As a log with its standard deviation; what was left out does not count.
        """
        marks, wrong = toile.fit.marks, toile.fit.found.wrong
        use = np.ones(len(marks.row), dtype=bool)
        use[[row for row in wrong if row < len(use)]] = False
        weight = use / marks.sd**2
        predicted, _ = toile.fit.predicted
        beyond = np.bincount(marks.row, weight * (marks.stretch - predicted[marks.row]))
        total = np.bincount(marks.row, weight)
        return {
            int(row): (float(beyond[row] / total[row]), float(total[row] ** -0.5))
            for row in np.flatnonzero(total)
        }

    def _slips(self, toile: Toile) -> FloatArray:
        """Return the most that one mark explains of what each unknown bears on.

        Shape (p,): at a level, down the body, at all levels, and down again. Only a mark
        counts that stands out from as many marks as lie there; 0 where none does.
        """
        found, row = toile.fit.found, toile.fit.marks.row
        each = found.away[: len(row)] ** 2
        each[[one for one in found.wrong if one < len(row)]] = 0.0
        beside = np.array([critical(count) for count in np.bincount(row)[row]])
        each[each <= beside**2] = 0.0
        most = np.zeros(self.n + 1)
        np.maximum.at(most, row, each)
        return np.concatenate([most, [most[: self.n].max(initial=0.0), most[self.n]]])

    def _limit(self, toile: Toile) -> float:
        """Return what the largest correction exceeds by chance in 5 of 100 toiles.

        With ``x = P A' y`` the marks alone spread x by ``P - P T P``, where T holds
        what was known of the unknowns: less than P, in which that counts as well.
        """
        fit, first = toile.fit, len(toile.marks)
        stated = 1.0 / fit.prior_sd**2
        stated[[row - first for row in fit.found.wrong if row >= first]] = 0.0
        known = np.diag(stated)
        if (shown := fit.found.statements.sums) is not None:
            known += (shown.weights / shown.sd[:, None] ** 2).T @ shown.weights
        covariance = fit.found.kept.covariance
        spread = covariance - covariance @ known @ covariance
        looked = self._looked(toile)
        sd = np.sqrt(np.einsum("ij,jk,ik->i", looked, covariance, looked))
        values, vectors = np.linalg.eigh(spread)
        root = looked @ vectors * np.sqrt(np.clip(values, 0.0, None))
        noise = np.random.default_rng(SEED).standard_normal((DRAWS, self.p))
        largest = np.abs(noise @ (root / sd[:, None]).T).max(axis=1)
        return max(LEAST_SD, float(np.quantile(largest, 0.95)))

    def _looked(self, toile: Toile) -> FloatArray:
        """Return every correction that is looked at, as weights of the unknowns."""
        loop, around, down = self.n, self.n + 1, self.n + 2
        names = [level.name for level in toile.levels]
        marked = dict.fromkeys(m.place for m in toile.marks if m.direction == "round")
        found: list[dict[int, float]] = []
        for at in map(names.index, marked):
            found += [{at: 1.0}, {at: 1.0, around: 1.0}]
        if marked:
            found.append({around: 1.0})
        if toile.count("down"):
            found += [{loop: 1.0}, {down: 1.0}, {loop: self.by_loop, down: 1.0}]
        return np.array([self.weights(parts) for parts in found])

    def found(self, weights: FloatArray) -> tuple[float, float]:
        """Return a combination of unknowns and its standard deviation."""
        variance = float(weights @ self.covariance @ weights)
        return float(weights @ self.x), float(np.sqrt(max(variance, 0.0)))

    def beyond(self, weights: FloatArray) -> bool:
        """Whether a combination lies beyond the limit."""
        value, sd = self.found(weights)
        return abs(value) > self.limit * sd and value != 0.0

    def told(self, unknown: int) -> bool:
        """Whether one unknown lies beyond the limit and is no other's doing."""
        return unknown not in self.alike and self.beyond(self.weights({unknown: 1.0}))

    def likely(self, toile: Toile) -> list[int]:
        """Return the unknowns that are told, but by fewer than all rows looked at.

        Args:
            toile: The toile.
        """
        wrong = {row - len(toile.marks) for row in toile.fit.found.wrong}
        return [at for at in range(self.p) if at not in wrong and self.told(at)]

    def kept(
        self, parts: dict[int, float], at: int | None = None, beyond: float = 0.0
    ) -> tuple[float, tuple[int, ...]]:
        """Return the log ratio to apply and the unknowns that make it up.

        These are the parts that are told, or their sum where one is open; none where the
        marks ask for little, or fit what was meant, and what is known beforehand lies off
        that.

        Args:
            parts: Weight by unknown.
            at: Place by whose marks parts that are told only together may move it too.
            beyond: How far it is likely to lie from what was meant, as a log.
        """
        weights = self.weights(parts)
        value, sd = self.found(weights)
        seen = [(value, sd), *([self.by_row[at]] if at in self.by_row else [])]
        if beyond and any(abs(one + beyond) <= self.limit * by for one, by in seen):
            return 0.0, ()
        told = [unknown for unknown in parts if self.told(unknown)]
        # What an earlier toile showed of a level holds, whatever is told now of a part.
        as_sum = at in (self.open_rows | self.shown_rows if told else self.open_rows)
        asked = self.beyond(weights)
        by_marks = bool(told) or asked or abs(value) > abs(beyond)
        moved = sum(parts[unknown] * float(self.x[unknown]) for unknown in told)
        # Beside what is told may stand what is open: their sum is known better than either,
        # and what is told alone may not lie outside of it.
        doubted = bool(self.unclear & (set(parts) - set(told)))
        doubted |= abs(moved - value) > NORMAL_95 * sd
        if as_sum and (doubted if told else beyond or (asked and self._asks(at))):
            told, moved = list(parts), value
        if not told:
            return 0.0, ()
        return beyond + moved, tuple(told) if by_marks else ()

    def _asks(self, at: int | None) -> bool:
        """Whether the marks of a place themselves lie off what is predicted."""
        if at not in self.by_row:
            return False
        value, sd = self.by_row[at]
        return abs(value) > sd

    def weights(self, parts: dict[int, float]) -> FloatArray:
        """Return parts as a vector over the unknowns."""
        vector = np.zeros(self.p)
        vector[list(parts)] = list(parts.values())
        return vector
