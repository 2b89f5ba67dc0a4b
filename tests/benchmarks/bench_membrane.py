"""Rate of the membrane solver: a million pairs of body and fabric in one call.

Run with ``python tests/benchmarks/bench_membrane.py``. The other side of the ratio is a
loop over ``scipy.optimize.root`` on the first pairs of the same work: once with SciPy's
own interpolator for the curves, once with the cubics written out for plain numbers,
which is about as lean as such a loop can be.
"""

from __future__ import annotations

import argparse
import time
from bisect import bisect_right
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import root

from ease.fabric.store import load_fabric
from ease.fit.membrane import Membrane
from ease.fit.strip import Strip

Floats = NDArray[np.float64]
Curve = Callable[[float], float]


def pairs(membrane: Membrane, count: int) -> tuple[Membrane, Floats, Floats]:
    """Return a batch of cloths, one for each body, and the tensions asked of each."""
    random = np.random.default_rng(1)
    batch = membrane.batch(
        girth_scale=random.uniform(0.8, 1.25, count),
        length_scale=random.uniform(0.8, 1.25, count),
        girth_ratio=random.uniform(0.15, 0.4, count),
        length_ratio=random.uniform(0.15, 0.4, count),
    )
    eh = random.uniform(0.05, 0.8 * float(membrane.girth.last_strain), count)
    ev = random.uniform(0.0, 0.5 * float(membrane.length.last_strain), count)
    th, tv = batch.tensions(eh, ev)
    return batch, th, tv


class PlainStrip:
    """A strip curve for one plain number at a time: the fair form for a loop."""

    def __init__(self, strip: Strip) -> None:
        up = strip.curve.loading
        h, d0, d1 = np.diff(up.strain), up.slope[:-1], up.slope[1:]
        secant = np.diff(up.tension) / h
        self.knots = up.strain.tolist()
        self.cubics = np.stack(
            [(d0 + d1 - 2 * secant) / h**2, (3 * secant - 2 * d0 - d1) / h, d0],
            axis=1,
        ).tolist()
        self.start = up.tension.tolist()

    def tension(self, strain: float) -> float:
        i = min(bisect_right(self.knots, strain) - 1, len(self.cubics) - 1)
        x = strain - self.knots[i]
        c3, c2, c1 = self.cubics[i]
        return float(((c3 * x + c2) * x + c1) * x + self.start[i])


def scipy_curve(strip: Strip) -> Curve:
    up = strip.curve.loading
    interpolator = PchipInterpolator(up.strain, up.tension)
    return lambda strain: float(interpolator(strain))


def loop(
    batch: Membrane,
    pulls: tuple[Floats, Floats],
    count: int,
    curve: Callable[[Strip], Curve],
) -> float:
    """Return solves a second of a root-finding loop, where it agrees with the batch."""
    th, tv = pulls
    found = batch.strains(th, tv, outside="nan")
    girth, length = curve(batch.girth), curve(batch.length)
    columns = [
        np.broadcast_to(values, th.shape)[:count].tolist()
        for values in (
            batch.girth.scale,
            batch.length.scale,
            batch.girth.modulus,
            batch.length.modulus,
            batch.girth.ratio,
            batch.length.ratio,
            batch.coupling,
        )
    ]
    start = time.perf_counter()
    worst = 0.0
    for i, figures in enumerate(zip(*columns, strict=True)):
        _, _, firm_h, firm_v, *_ = figures
        around, down = float(th[i]), float(tv[i])

        def miss(
            x: list[float],
            own: tuple[float, ...] = figures,
            pulls: tuple[float, float] = (around, down),
        ) -> tuple[float, float]:
            scale_h, scale_v, firm_h, firm_v, ratio_h, ratio_v, k = own
            eh, ev = x
            h = scale_h * girth(eh) if eh >= 0 else firm_h * eh
            v = scale_v * length(ev) if ev >= 0 else firm_v * ev
            return (
                h + k * ratio_h * eh + k * ev - pulls[0],
                v + k * ratio_v * ev + k * eh - pulls[1],
            )

        guess = [around / firm_h, down / firm_v]
        answer = root(miss, guess, tol=1e-10)
        if answer.success:
            apart = abs(answer.x[0] - found[0][i]), abs(answer.x[1] - found[1][i])
            worst = max(worst, *apart)
    seconds = time.perf_counter() - start
    assert worst < 1e-5, worst
    return count / seconds


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pairs", type=int, default=1_000_000)
    parser.add_argument("--loop", type=int, default=2_000)
    parser.add_argument("--fabric", default="soft-tricot")
    given = parser.parse_args()
    membrane = Membrane.from_fabric(load_fabric(given.fabric))
    batch, th, tv = pairs(membrane, given.pairs)
    runs = []
    for _ in range(7):  # the shortest counts: what else the machine does only adds
        start = time.perf_counter()
        eh, _ = batch.strains(th, tv, outside="nan")
        runs.append(time.perf_counter() - start)
    seconds = min(runs)
    rate = given.pairs / seconds
    solved = 100 * float(np.isfinite(eh).mean())
    print(f"{given.pairs:,} pairs in {seconds:.2f} s: {rate:,.0f} a second")
    print(f"answered inside the load tests: {solved:.1f} %")
    loops: dict[str, Callable[[Strip], Curve]] = {
        "with scipy's PchipInterpolator": scipy_curve,
        "with plain numbers": lambda strip: PlainStrip(strip).tension,
    }
    for name, curve in loops.items():
        print(f"scipy.optimize.root in a loop, {name}:")
        slow = max(loop(batch, (th, tv), given.loop, curve) for _ in range(3))
        print(f"  {slow:,.0f} a second; ratio {rate / slow:,.0f}")


if __name__ == "__main__":
    main()
