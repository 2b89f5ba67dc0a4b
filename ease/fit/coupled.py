"""Solve the coupled membrane over arrays: Newton steps, safeguarded, in short runs.

All strains here are beyond rest, see ``ease.fit.strip``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ease.fit.strip import Strip, flat

__all__ = [
    "Pair",
    "convexity",
    "in_runs",
    "slopes",
    "solve_both",
    "solve_one",
    "stored",
    "tensions",
]

Floats = NDArray[np.float64]

RUN: Final = 16384  # elements at a time, so that a run stays in the processor's cache
PLAIN_STEPS: Final = 8
NEWTON_STEPS: Final = 60
SETTLED: Final = 1e-8  # after so small a Newton step the miss is its square
CLOSE: Final = 1e-13  # a step in strain that moves no reading


class Pair(NamedTuple):
    """Two strips and their coupling; fields are flat arrays or of shape ``()``."""

    girth: Strip
    length: Strip
    coupling: Floats

    def take(self, keep: NDArray[np.bool_]) -> Pair:
        """Return the cloths of some elements, flat."""
        return self.part(keep.shape, keep.reshape(-1))

    def part(self, shape: tuple[int, ...], where: slice | NDArray[np.bool_]) -> Pair:
        """Return the cloths that belong to some elements of a flattened shape."""
        k = self.coupling
        return Pair(
            self.girth.part(shape, where),
            self.length.part(shape, where),
            flat(k, shape)[where] if k.ndim else k,
        )


def in_runs(
    pair: Pair, values: list[Floats], work: Callable[..., tuple[Floats, ...]]
) -> tuple[Floats, ...]:
    """Broadcast values against the cloths and work through them run by run.

    Args:
        pair: One cloth or a batch.
        values: Arrays that broadcast with the batch.
        work: Called with a pair and flat arrays; returns flat arrays.
    """
    shape = np.broadcast_shapes(
        *(value.shape for value in values),
        *pair.girth.shapes,
        *pair.length.shapes,
        pair.coupling.shape,
    )
    rows = [flat(value, shape) for value in values]
    parts = []
    for start in range(0, max(rows[0].size, 1), RUN):
        where = slice(start, start + RUN)
        parts.append(work(pair.part(shape, where), *(row[where] for row in rows)))
    return tuple(
        np.concatenate(column).reshape(shape) for column in zip(*parts, strict=True)
    )


def response(strip: Strip, coupling: Floats, strain: Floats) -> tuple[Floats, Floats]:
    """Return phi and its slope: a strip's own tension in the coupled cloth, N/m."""
    lift = coupling * strip.ratio
    tension, slope = strip.pull(np.maximum(strain, 0.0))
    tension, slope = tension + lift * strain, slope + lift
    shorter = strain < 0
    if shorter.any():
        firm = strip.modulus + lift
        tension = np.where(shorter, firm * strain, tension)
        slope = np.where(shorter, firm, slope)
    return tension, slope


def tensions(pair: Pair, eh: Floats, ev: Floats) -> tuple[Floats, Floats]:
    """Return the tensions round and down at strains, N/m."""
    fh, _ = response(pair.girth, pair.coupling, eh)
    fv, _ = response(pair.length, pair.coupling, ev)
    return fh + pair.coupling * ev, fv + pair.coupling * eh


def slopes(pair: Pair, eh: Floats, ev: Floats) -> tuple[Floats, Floats]:
    """Return the slopes ``phi_h'`` and ``phi_v'``, N/m per unit strain."""
    _, a = response(pair.girth, pair.coupling, eh)
    _, b = response(pair.length, pair.coupling, ev)
    return a, b


def convexity(pair: Pair, eh: Floats, ev: Floats) -> tuple[Floats]:
    """Return ``phi_h' phi_v' - k^2``: above 0 where the energy is convex."""
    a, b = slopes(pair, eh, ev)
    return (a * b - pair.coupling**2,)


def stored(strip: Strip, coupling: Floats, strain: Floats) -> Floats:
    """Return the integral of phi: a strip's own share of the energy, N/m.

    For ``Membrane.energy`` alone, by which tensions are checked.
    """
    lift = coupling * strip.ratio
    pulled = strip.energy(np.maximum(strain, 0.0)) + 0.5 * lift * strain**2
    pressed = 0.5 * (strip.modulus + lift) * strain**2
    return np.where(strain >= 0, pulled, pressed)


def solve_one(strip: Strip, coupling: Floats, target: Floats) -> Floats:
    """Return the strain at which phi is a target; NaN where the test ends before it.

    Args:
        strip: The strip, its fields flat or of shape ().
        coupling: k, N/m.
        target: Tension less what the other direction's strain brings, N/m, flat.
    """
    top = np.broadcast_to(strip.last, target.shape)
    most, _ = response(strip, coupling, top)
    firm = strip.modulus + coupling * strip.ratio
    wanted = np.clip(target, 0.0, most)
    low, high = np.zeros_like(target), top.copy()
    e = np.clip(strip.first_guess(wanted), low, high)
    for _ in range(80):
        value, slope = response(strip, coupling, e)
        miss = value - wanted
        low, high = np.where(miss < 0, e, low), np.where(miss >= 0, e, high)
        step = np.divide(miss, slope, out=np.full_like(e, np.inf), where=slope > 0)
        fresh = e - step
        inside = (fresh > low) & (fresh < high)
        fresh = np.where(inside, fresh, 0.5 * (low + high))
        fresh = np.where(miss == 0, e, fresh)
        moved = np.max(np.abs(fresh - e), initial=0.0)
        e = fresh
        if moved < CLOSE:
            break
    e = np.where(target < 0, target / firm, e)
    return np.where(target <= most, e, np.nan)


def solve_both(pair: Pair, around: Floats, down: Floats) -> tuple[Floats, Floats]:
    """Return both strains under two tensions; they may lie past the test, or be NaN.

    Plain Newton steps from the strips' own answers settle nearly all; the others take
    shortened steps, and what has still not settled is bracketed.

    Args:
        pair: The cloths.
        around: Tension round the body, N/m, flat.
        down: Tension down the body, N/m, flat.
    """
    alone_h = pair.girth.first_guess(np.maximum(around, 0.0))
    alone_v = pair.length.first_guess(np.maximum(down, 0.0))
    eh = np.maximum(alone_h - pair.length.ratio * alone_v, -0.9)
    ev = np.maximum(alone_v - pair.girth.ratio * alone_h, -0.9)
    size = np.full_like(eh, np.inf)
    for _ in range(PLAIN_STEPS):
        dx, dy, _ = _steps(pair, around, down, eh, ev)
        eh, ev = eh - dx, ev - dy
        size = np.maximum(np.abs(dx), np.abs(dy))
        if (size < SETTLED).all():
            return eh, ev
    rest = ~(size < SETTLED)
    eh[rest], ev[rest] = _shortened(pair.take(rest), around[rest], down[rest])
    return eh, ev


def _shortened(pair: Pair, around: Floats, down: Floats) -> tuple[Floats, Floats]:
    """Newton steps from rest, halved until they bring the tensions closer."""
    x, y, share = np.zeros_like(around), np.zeros_like(around), np.ones_like(around)
    now = _steps(pair, around, down, x, y)
    settled = np.zeros(around.shape, dtype=bool)
    for _ in range(NEWTON_STEPS):
        tx, ty = x - share * now[0], y - share * now[1]
        new = _steps(pair, around, down, tx, ty)
        settled |= np.maximum(np.abs(now[0]), np.abs(now[1])) < SETTLED
        better = settled | (new[2] < now[2])
        x, y = np.where(better, tx, x), np.where(better, ty, y)
        now = tuple(np.where(better, a, b) for a, b in zip(new, now, strict=True))
        share = np.where(better, 1.0, 0.5 * share)
        if settled.all():
            return x, y
    rest = ~settled
    x[rest], y[rest] = _bracketed(pair.take(rest), around[rest], down[rest])
    return x, y


def _steps(
    pair: Pair, around: Floats, down: Floats, eh: Floats, ev: Floats
) -> tuple[Floats, ...]:
    """Return the Newton step in both strains, and the size of the miss.

    The step is NaN where the cloth has no stiffness at all.
    """
    k = pair.coupling
    fh, a = response(pair.girth, k, eh)
    fv, b = response(pair.length, k, ev)
    fh, fv = fh + k * ev - around, fv + k * eh - down
    det = a * b - k * k
    weak = det <= 1e-9 * a * b
    if weak.any():
        # Where the energy is not convex, stiffen the diagonal: the step stays downhill.
        a, b = np.where(weak, a + k, a), np.where(weak, b + k, b)
        det = a * b - k * k
        det = np.where(det > 0, det, np.nan)
    miss = fh * fh / pair.girth.modulus + fv * fv / pair.length.modulus
    return (b * fh - k * fv) / det, (a * fv - k * fh) / det, miss


def _bracketed(pair: Pair, around: Floats, down: Floats) -> tuple[Floats, Floats]:
    """Halve a bracket of the strain down the body; NaN where no tested strain fits."""
    k = pair.coupling
    top = np.broadcast_to(pair.length.last, down.shape)
    low, high = np.full_like(down, -1.0), top.copy()

    def miss(ev: Floats) -> tuple[Floats, Floats]:
        eh = solve_one(pair.girth, k, around - k * ev)
        value, _ = response(pair.length, k, ev)
        # NaN: round the body the test ends before it, so more length is needed.
        return eh, np.where(np.isnan(eh), -np.inf, value + k * eh - down)

    for _ in range(60):
        middle = 0.5 * (low + high)
        _, gap = miss(middle)
        low, high = np.where(gap < 0, middle, low), np.where(gap < 0, high, middle)
    eh, gap = miss(high)
    fits = np.abs(gap) <= 1e-9 * (pair.length.modulus + np.abs(down))
    return np.where(fits, eh, np.nan), np.where(fits, high, np.nan)
