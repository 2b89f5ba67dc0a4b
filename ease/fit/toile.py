"""The strain that marks on a worn toile show, and why it is not the predicted one.

A mark round level i and a mark down the body are worn

    1 + e_i = 1 + s_i (B_i / G_i exp(b_i + c_round) - 1)
    1 + e_v = S(L exp(b_loop), mean of s_i (...)) exp(c_down)

times as long as drawn, with body girths B and block girths G, the share s that the loop
can hold, and S the stretch down at which the block's loop fits the body's (see
``ease.block.loop``). The unknowns are shares, 0 where all is as stated: ``b`` of a body
measure that was taken wrong, ``c`` of cloth that lies stretched further than block and
body say, as if the garment were smaller by that share. Of a girth that was read twice
``b`` is how the toile lies at that level alone, as sewn or as worn.
Their spreads are the tape's on the body and the swatch's; what is left over is the tape on
the marks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Self

import numpy as np
from numpy.typing import NDArray

from ease.fit.faults import Search, give_up, search
from ease.fit.wear import Sizes
from ease.fit.weighing import Fit, Statements, Sums

__all__ = [
    "LEAST_CHECK",
    "Marks",
    "ToileFit",
    "WornModel",
    "fit_toile",
    "spread_factor",
]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

STEPS: Final = 40
CLOSE: Final = 1e-14
FARTHEST: Final = 0.7  # a share as a log: twice or half as much; own choice
LEAST_CHECK: Final = 0.02  # of its error must show before a statement is looked at
NOISY: Final = 0.99  # repeats further apart than so many of 100 by chance: own choice


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornModel:
    """A garment on a body, whose measures and cloth may not be as stated.

    Unknowns are in the order of the levels' girths, the torso loop, the cloth round and
    the cloth down, p = levels + 3.

    Attributes:
        sizes: Girths at the levels.
        legs: Legs of the loop path on the relaxed block, cm, shape (m, 2); without any
            the length is taken as drafted.
        loop: Torso loop of the body, cm.
        origin: What is likely beforehand of measures and cloth, by earlier toiles, as the
            unknowns, shape (p,); these count from there.
    """

    sizes: Sizes
    legs: Floats
    loop: float
    origin: Floats

    @property
    def levels(self) -> int:
        """Number of levels."""
        return len(self.sizes.body)

    @property
    def unknowns(self) -> int:
        """Number of unknowns."""
        return self.levels + 3

    def stretches(self, unknowns: Floats) -> tuple[Floats, Floats]:
        """Return log(1 + strain) round each level and down the body, with slopes.

        Args:
            unknowns: Shape (p,).

        Returns:
            Shape (levels + 1,), and its derivatives, shape (levels + 1, p).
        """
        n, off = self.levels, self.origin + unknowns
        girth, loop, around, down = off[:n], off[n], off[n + 1], off[n + 2]
        closed = self.sizes.body / self.sizes.block * np.exp(girth + around)
        worn = 1.0 + self.sizes.share * (closed - 1.0)
        rise = self.sizes.share * closed  # of the held strain, by b_i or c_round
        slope = np.zeros((n + 1, self.unknowns))
        places = np.arange(n)
        slope[places, places] = slope[:n, n + 1] = rise / worn
        length, by_loop, by_round = self._length(np.exp(loop), worn.mean())
        slope[n, :n] = by_round * rise / n
        slope[n, n] = by_loop
        slope[n, n + 1] = by_round * rise.mean()
        slope[n, n + 2] = 1.0
        return np.append(np.log(worn), length + down), slope

    def _length(self, loop: float, around: float) -> tuple[float, float, float]:
        """Return log S and its slopes by log loop and by the mean stretch round."""
        across = np.abs(self.legs[:, 0]) * around
        drop = np.abs(self.legs[:, 1])
        if not len(self.legs):
            return 0.0, 0.0, 0.0
        target = self.loop * loop
        stretch = target / drop.sum()
        for _ in range(STEPS):
            lengths = np.hypot(across, drop * stretch)
            rise = (drop**2 * stretch / lengths).sum()
            step = (lengths.sum() - target) / rise
            stretch -= step
            if abs(step) < CLOSE:
                break
        lengths = np.hypot(across, drop * stretch)
        by_stretch = (drop**2 * stretch**2 / lengths).sum()  # of the loop, by log S
        by_round = (across**2 / lengths).sum() / around
        return float(np.log(stretch)), target / by_stretch, -by_round / by_stretch


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marks:
    """Marks as arrays of shape (n,).

    Attributes:
        row: Index of the level for a mark round; the number of levels for one down.
        group: Which marks are repeats of each other.
        stretch: log(worn / relaxed).
        sd: Spread of it for one mark.
    """

    row: Ints
    group: Ints
    stretch: Floats
    sd: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToileFit:
    """What the marks show.

    Attributes:
        model: The garment on the body.
        marks: The marks, their spread as used.
        prior_sd: Stated spread of the unknowns.
        widened: What the stated spread of the marks was multiplied by.
        found: Which statements do not fit, rows in the order marks, unknowns.
    """

    model: WornModel
    marks: Marks
    prior_sd: Floats
    widened: float
    found: Search

    @property
    def unknowns(self) -> Floats:
        """Shares by which measures and cloth are off, shape (p,)."""
        return self.found.fit.unknowns

    @property
    def predicted(self) -> tuple[Floats, Floats]:
        """log(1 + strain) as block and body say, and its sd, shape (levels + 1,)."""
        value, slope = self.model.stretches(np.zeros(self.model.unknowns))
        return value, np.sqrt((slope**2 * self.prior_sd**2).sum(axis=1))

    @property
    def worn(self) -> tuple[Floats, Floats]:
        """log(1 + strain) by all that is known, and its sd, shape (levels + 1,)."""
        return self.worn_by(self.found.fit)

    def giving_up(self, unknowns: Sequence[int]) -> Self:
        """Return the weighing without what was stated of some unknowns.

        Args:
            unknowns: Their places.
        """
        rows = [len(self.marks.row) + unknown for unknown in unknowns]
        return replace(self, found=give_up(self.found, rows))

    def by_marks(self, unknown: int) -> tuple[float, float]:
        """Return an unknown without what was stated of it, and its standard deviation.

        Of one that nothing else tells, as weighed with what was stated.

        Args:
            unknown: Its place.
        """
        row, found = len(self.marks.row) + unknown, self.found
        fit = found.alone.get(row, found.fit)
        given_up = row in (*found.wrong, *found.likely, *found.alone)
        if not given_up and found.fit.redundancy[row] > LEAST_CHECK:
            fit = give_up(found, [row]).fit
        return float(fit.unknowns[unknown]), float(fit.sd[unknown])

    def worn_by(self, fit: Fit) -> tuple[Floats, Floats]:
        """Return log(1 + strain) by a fit, and its sd, shape (levels + 1,).

        Args:
            fit: One that was found of these marks.
        """
        value, slope = self.model.stretches(fit.unknowns)
        return value, np.sqrt(np.diag(slope @ fit.covariance @ slope.T))


def fit_toile(
    model: WornModel,
    marks: Marks,
    prior_sd: Floats,
    settled: Bools | None = None,
    shown: Sums | None = None,
) -> ToileFit:
    """Weigh marks, body measures and swatch against each other.

    Args:
        model: The garment on the body.
        marks: The marks.
        prior_sd: Stated spread of the unknowns, shape (p,).
        settled: Unknowns that are not doubted, shape (p,); none if None.
        shown: What earlier toiles showed of body and cloth together; nothing if None.
    """
    widened = spread_factor(marks)
    used = Marks(
        row=marks.row,
        group=marks.group,
        stretch=marks.stretch,
        sd=marks.sd * widened,
    )

    def predict(unknowns: Floats) -> tuple[Floats, Floats]:
        value, slope = model.stretches(unknowns)
        return value[marks.row], slope[marks.row]

    stated = Statements(
        predict, marks.stretch, used.sd, prior_sd, settled, FARTHEST, shown
    )
    found = search(stated)
    return ToileFit(
        model=model, marks=used, prior_sd=prior_sd, widened=widened, found=found
    )


def spread_factor(marks: Marks) -> float:
    """Return what the stated spread must be multiplied by to hold the repeats.

    1 unless repeats lie further apart than chance allows in 99 of 100 toiles. The place
    whose repeats lie furthest apart is left aside: one slip is not the whole tape.

    Args:
        marks: The marks.
    """
    from scipy.special import chdtri

    weight = 1.0 / marks.sd**2
    total = np.bincount(marks.group, weight)
    mean = np.bincount(marks.group, weight * marks.stretch) / total
    apart = (marks.stretch - mean[marks.group]) ** 2 * weight
    sums = np.bincount(marks.group, apart)
    freedom = np.bincount(marks.group) - 1
    keep = np.arange(len(sums)) != int(sums.argmax())
    left = int(freedom[keep].sum())
    if left < 1:
        return 1.0
    misfit = float(sums[keep].sum())
    if misfit <= float(chdtri(left, 1.0 - NOISY)):
        return 1.0
    return float(np.sqrt(misfit / left))
