"""Time the curve arithmetic against general-purpose libraries on the same work.

Run from the top of the checkout: ``python tests/benchmarks/bench_curves.py``. It prints
how many times longer the library takes, and the largest difference of the results.
"""

from collections.abc import Callable
from itertools import pairwise
from time import perf_counter

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad
from shapely import LineString, Polygon

from ease.block.crossings import inside_width
from ease.block.curves import derivative, flatten
from ease.block.lengths import arc_length
from ease.block.pieces import line

Result = NDArray[np.float64]


def timed(work: Callable[[], Result]) -> tuple[float, Result]:
    """Return the best of three times, and the result."""
    times = []
    for _ in range(3):
        start = perf_counter()
        result = work()
        times.append(perf_counter() - start)
    return min(times), np.asarray(result)


def quadrature(cubics: Result) -> Result:
    def speed(t: float, cubic: Result) -> float:
        return float(np.hypot(*derivative(cubic, t)))

    return np.array([quad(speed, 0, 1, args=(cubic,))[0] for cubic in cubics])


def petals() -> Result:
    """A closed outline of eight cubics, well away from straight."""
    angle = np.linspace(0, 2 * np.pi, 9)
    corners = np.stack([20 * np.cos(angle), 30 * np.sin(angle)], axis=1)
    bows = [line(tuple(a), tuple(b)) for a, b in pairwise(corners)]
    chain = np.array(bows)
    chain[:, 1:3] *= 1.2
    chain[-1, 3] = chain[0, 0]
    return chain


def shapely_widths(chain: Result, levels: Result) -> Result:
    ring = Polygon(flatten(chain, 1e-4))
    rows = (LineString([(-99, y), (99, y)]) for y in levels)
    return np.array([ring.intersection(row).length for row in rows])


def main() -> None:
    """Print one row for each piece of work."""
    cubics = np.random.default_rng(1).normal(scale=20, size=(300, 4, 2))
    chain, levels = petals(), np.linspace(-29, 29, 1000)
    rows = {
        "arc length, 300 cubics, against scipy quad": (
            lambda: arc_length(cubics),
            lambda: quadrature(cubics),
        ),
        "girth, 1000 levels, against shapely": (
            lambda: inside_width(chain, levels),
            lambda: shapely_widths(chain, levels),
        ),
    }
    for label, (own, library) in rows.items():
        mine, here = timed(own)
        theirs, there = timed(library)
        gap = np.abs(here - there).max()
        print(
            f"{label}: {1000 * mine:.1f} ms, {theirs / mine:.0f} times as fast; "
            f"differs by at most {gap:.1e} cm"
        )


if __name__ == "__main__":
    main()
