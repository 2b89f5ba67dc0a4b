"""Pressure and pull as worn strains: aims and limits of cloths with a load test.

Round the body ``T_h = P (1 + ev) R`` (Laplace on relaxed width); down the body the pull
``F`` is carried by the relaxed girth at the waist, ``T_v = F (1 + eh) / waist``. All on
arrays. Where the load test ends first, a highest strain is nan (the end of the test
stands for it) and a least one lies just past the test, so that nothing meets it.
Source key: laplace-bandage.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.fit.aims import Allowed
from ease.fit.cases import BodyArrays
from ease.fit.membrane import Membrane
from ease.fit.pressure import ellipse_radii, tension_for_pressure

__all__ = [
    "DEPTH_OVER_BREADTH",
    "aimed_girth",
    "carried_pull",
    "girth_holding",
    "length_holding",
    "pull_tension",
    "side_over_mean",
]

FloatArray = NDArray[np.float64]
STEPS: Final = 60
CLOSE: Final = 1e-11

# Medians of a survey of 993 women; waist at the navel. Source key: ansur-2012.
DEPTH_OVER_BREADTH: Final[Mapping[str, float]] = MappingProxyType(
    {"bust": 0.915, "waist": 0.703, "hip": 0.653}
)


def side_over_mean(depth_ratio: ArrayLike) -> FloatArray:
    """Return the pressure at the side of an oval body over the mean round it.

    Args:
        depth_ratio: Depth over breadth of the section.

    Examples:
        >>> round(float(side_over_mean(0.653)), 2)
        1.96
    """
    side, _ = ellipse_radii(1.0, depth_ratio)
    return np.asarray(1.0 / (2.0 * np.pi) / side)


def pull_tension(
    pull_n: ArrayLike, girth_strain: FloatArray, waist: FloatArray
) -> FloatArray:
    """Return the tension down the body that carries a pull, N/m of relaxed width.

    Args:
        pull_n: Pull over both shoulders together, N.
        girth_strain: Worn strain round the body.
        waist: Waist girth of the body, cm.
    """
    return np.asarray(pull_n) * (1.0 + girth_strain) / (np.asarray(waist) / 100.0)


def _settle(
    membrane: Membrane, around: FloatArray, pull_n: ArrayLike, waist: FloatArray
) -> FloatArray:
    """Return the strain round where tension and both strains agree.

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
    return np.where(lost, _held_down(membrane, around, pull_n, waist), eh)


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


def _beyond(strain: FloatArray, last: FloatArray) -> FloatArray:
    """Return a least strain, or just past the test where no tested strain does."""
    return np.where(np.isnan(strain), np.nextafter(last, np.inf), strain)


def aimed_girth(
    membrane: Membrane, body: BodyArrays, pressure_kpa: float, pull_n: ArrayLike
) -> FloatArray:
    """Return the worn strain round that gives the aimed pressure at the bust.

    Args:
        membrane: The cloth, or a batch.
        body: Girths, cm.
        pressure_kpa: Pressure aimed at, kPa.
        pull_n: Pull over both shoulders with which it is worn, N.
    """
    around = tension_for_pressure(pressure_kpa, body.bust)
    return _settle(membrane, around, pull_n, body.waist)


def carried_pull(
    membrane: Membrane, girth: FloatArray, length: FloatArray, waist: FloatArray
) -> FloatArray:
    """Return the pull over both shoulders at worn strains, N; the mate of pull_tension.

    Slack cloth pulls nothing. NaN past the load test.

    Args:
        membrane: The cloth, or a batch.
        girth: Worn strain round the body.
        length: Worn strain down the body.
        waist: Waist girth of the body, cm.
    """
    _, down = membrane.tensions(girth, length, outside="nan")
    return np.asarray(np.maximum(down, 0.0) * (waist / 100.0) / (1.0 + girth))


def girth_holding(
    membrane: Membrane, body: BodyArrays, pull_n: ArrayLike, allowed: Allowed
) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    """Return the low and the high limits round that pressure sets.

    Least mean pressure at the widest girth; most pressure at the side of whichever
    girth presses most; the end of the load test.

    Args:
        membrane: The cloth, or a batch.
        body: Girths, cm.
        pull_n: Pull over both shoulders at which the limits are read, N.
        allowed: Numbers of the limits.
    """
    least = tension_for_pressure(allowed.least_pressure_kpa, body.widest)
    most = allowed.most_side_pressure_kpa / np.stack(
        np.broadcast_arrays(
            *(
                side_over_mean(DEPTH_OVER_BREADTH[name])
                / tension_for_pressure(1.0, girth)
                for name, girth in body.girths.items()
            )
        )
    ).max(axis=0)
    least_strain = _settle(membrane, least, pull_n, body.waist)
    low = {"least_pressure": _beyond(least_strain, membrane.girth.last_strain)}
    high = {
        "most_pressure": _settle(membrane, most, pull_n, body.waist),
        "test_range": membrane.girth.last_strain,
    }
    return low, high


def length_holding(
    membrane: Membrane, girth_strain: FloatArray, waist: FloatArray, allowed: Allowed
) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
    """Return the low and the high limits of the worn strain down that pull sets.

    Args:
        membrane: The cloth, or a batch.
        girth_strain: Worn strain round that was chosen.
        waist: Waist girth, cm.
        allowed: Numbers of the limits.
    """
    least, most = (
        membrane.length_strain(
            girth_strain, pull_tension(pull, girth_strain, waist), outside="nan"
        )
        for pull in (allowed.least_pull_n, allowed.most_pull_n)
    )
    return {"least_pull": _beyond(least, membrane.length.last_strain)}, {
        "most_pull": most,
        "test_range": membrane.length.last_strain,
    }
