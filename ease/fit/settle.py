"""Where tension round the body, pull down it and both strains agree. On arrays."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fit.coupled import Pair
from ease.fit.membrane import Membrane
from ease.fit.pull import pull_tension

__all__ = ["settle"]

FloatArray = NDArray[np.float64]
STEPS: Final = 60
CLOSE: Final = 1e-11
LOWEST: Final = -0.5  # strain round from which a search begins
SEARCHED: Final = 65  # strains of a search


def settle(
    membrane: Membrane, around: FloatArray, pull_n: ArrayLike, waist: FloatArray
) -> FloatArray:
    """Return the strain round where tension and both strains agree; nan without one.

    The tension asked for grows with the strain down, and the pull per width with the
    strain round. Putting the answer back in converges, slowly on soft cloth; a Newton
    step from it settles in a few rounds, so that no answer depends on the others that
    are solved with it. Where such a step leads past the test, plain steps go on.
    """
    eh = np.zeros(np.broadcast_shapes(*map(np.shape, (around, pull_n, waist))))
    ev = np.zeros_like(eh)
    last_eh, last_ev, plain = eh, ev, np.zeros(eh.shape, dtype=bool)
    for _ in range(STEPS):
        down = pull_tension(pull_n, eh, waist)
        new_eh, new_ev = membrane.strains(around * (1.0 + ev), down, outside="nan")
        lost = np.isnan(new_eh)
        plain = plain | lost
        # How each tension asked for grows with the strain in the other direction.
        growth = around, pull_tension(pull_n, np.zeros_like(eh), waist)
        step = _newton(membrane, (new_eh, new_ev), (new_eh - eh, new_ev - ev), growth)
        next_eh = np.where(lost, last_eh, np.where(plain, new_eh, eh + step[0]))
        next_ev = np.where(lost, last_ev, np.where(plain, new_ev, ev + step[1]))
        moved = np.max(np.abs(next_eh - eh), initial=0.0)
        last_eh = np.where(lost, last_eh, new_eh)
        last_ev = np.where(lost, last_ev, new_ev)
        eh, ev = next_eh, next_ev
        if moved < CLOSE:
            break
    if not lost.any():
        return eh
    eh = np.array(np.broadcast_to(eh, lost.shape))
    eh[lost] = _searched(*_taken(membrane, lost, around, pull_n, waist))
    lost = np.isnan(eh)
    return np.where(lost, _held_down(membrane, around, pull_n, waist), eh)


def _taken(
    membrane: Membrane, keep: NDArray[np.bool_], *values: ArrayLike
) -> tuple[Membrane, FloatArray, FloatArray, FloatArray]:
    """Return cloths and three values at some places, flat."""
    around, pull_n, waist = (
        np.broadcast_to(np.asarray(value, dtype=np.float64), keep.shape)[keep]
        for value in values
    )
    strips = Pair(membrane.girth, membrane.length, membrane.coupling).take(keep)
    return Membrane(*strips), around, pull_n, waist


def _searched(
    membrane: Membrane, around: FloatArray, pull_n: FloatArray, waist: FloatArray
) -> FloatArray:
    """Return the least strain round that holds; nan where no tested one does."""
    found = np.full(around.shape, np.nan)
    last = np.broadcast_to(membrane.girth.last_strain, around.shape)
    # Where even the end of the test gives too little tension, nothing is searched.
    ask = ~(_gap(membrane, last, around, pull_n, waist) < 0)
    if ask.any():
        found[ask] = _halved(*_taken(membrane, ask, around, pull_n, waist))
    return found


def _gap(
    membrane: Membrane,
    eh: FloatArray,
    around: FloatArray,
    pull_n: FloatArray,
    waist: FloatArray,
) -> FloatArray:
    """Return tension had less tension asked for, with the length settled by the pull."""
    ev = membrane.length_strain(eh, pull_tension(pull_n, eh, waist), outside="nan")
    had, _ = membrane.tensions(eh, ev, outside="nan")
    return np.asarray(had - around * (1.0 + ev))


def _halved(
    membrane: Membrane, around: FloatArray, pull_n: FloatArray, waist: FloatArray
) -> FloatArray:
    """Search a grid for the first strain that is enough, and halve the cell before it."""
    asked = around, pull_n, waist
    last = np.broadcast_to(membrane.girth.last_strain, around.shape)
    grid = LOWEST + np.linspace(0.0, 1.0, SEARCHED)[:, None] * (last - LOWEST)
    short = _gap(membrane, grid, *asked) < 0
    # Not short any more, or past the test down: both end a cell.
    turns = short[:-1] & ~short[1:]
    first, columns = turns.argmax(axis=0), np.arange(around.size)
    low, high = grid[first, columns], grid[first + 1, columns]
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        lacks = _gap(membrane, middle, *asked) < 0
        low, high = np.where(lacks, middle, low), np.where(lacks, high, middle)
    holds = turns.any(axis=0) & (_gap(membrane, high, *asked) >= 0)
    return np.where(holds, high, np.nan)


def _newton(
    membrane: Membrane,
    strains: tuple[FloatArray, FloatArray],
    gap: tuple[FloatArray, FloatArray],
    growth: tuple[FloatArray, FloatArray],
) -> tuple[FloatArray, FloatArray]:
    """Return the step that closes a gap at once if all curves were straight.

    Args:
        membrane: The cloth, or a batch.
        strains: Answer to the tensions asked for.
        gap: That answer less the strains that were put in.
        growth: Slope of each tension asked for by the strain in the other direction.
    """
    slopes = membrane.tangent(*strains)
    a, k, b = slopes[..., 0, 0], slopes[..., 0, 1], slopes[..., 1, 1]
    round_gap, down_gap = a * gap[0] + k * gap[1], k * gap[0] + b * gap[1]
    upper, lower = k - growth[0], k - growth[1]
    det = a * b - upper * lower
    stands = det > 1e-9 * a * b
    safe = np.where(stands, det, 1.0)
    step = (
        (b * round_gap - upper * down_gap) / safe,
        (a * down_gap - lower * round_gap) / safe,
    )
    return np.where(stands, step[0], gap[0]), np.where(stands, step[1], gap[1])


def _held_down(
    membrane: Membrane, around: FloatArray, pull_n: ArrayLike, waist: FloatArray
) -> FloatArray:
    """Return the strain round where the test down ends before it carries the pull.

    The strain down is then held at its end; nan where it is not that test that ends.
    """
    ev = membrane.length.last_strain
    eh = membrane.girth_strain(around * (1.0 + ev), ev, outside="nan")
    _, carried = membrane.tensions(eh, ev, outside="nan")
    short = carried < pull_tension(pull_n, eh, waist)
    return np.where(short, eh, np.nan)
