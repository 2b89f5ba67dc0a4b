"""Exact arc length of chains of cubics."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["LENGTH_TOLERANCE_CM", "arc_length", "chain_lengths"]

FloatArray = NDArray[np.float64]
LENGTH_TOLERANCE_CM: Final = 1e-11
_HALVINGS: Final = 48
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def arc_length(control: ArrayLike) -> FloatArray:
    """Return the length of each cubic, cm, shape (...).

    Gauss-Legendre quadrature of the speed with 16 nodes between the places where the
    speed is least or greatest, so that a cusp lies at an end, where the speed is
    smooth; an interval is halved until both halves together agree with the whole.
    Within 1e-9 cm for garments; a cubic of four equal points has length 0.

    Examples:
        >>> float(arc_length([[0, 0], [1, 0], [2, 0], [3, 0]]))
        3.0
    """
    p = np.asarray(control, dtype=float)
    legs = 3 * np.diff(p.reshape(-1, 4, 2), axis=1)
    allowed = np.maximum(
        LENGTH_TOLERANCE_CM, 1e-14 * np.hypot(legs[..., 0], legs[..., 1]).sum(axis=1)
    )
    total = np.zeros(len(legs))
    which, low, width = _speed_intervals(legs)
    whole = _speed_integral(legs[which], low, width)
    for halving in range(_HALVINGS):
        half = width / 2
        first = _speed_integral(legs[which], low, half)
        second = _speed_integral(legs[which], low + half, half)
        done = np.abs(first + second - whole) <= allowed[which]
        if halving == _HALVINGS - 1:
            done[:] = True
        np.add.at(total, which[done], (first + second)[done])
        if done.all():
            break
        more = ~done
        which = np.concatenate([which[more], which[more]])
        low = np.concatenate([low[more], (low + half)[more]])
        width = np.concatenate([half[more], half[more]])
        whole = np.concatenate([first[more], second[more]])
    return total.reshape(p.shape[:-2])


def chain_lengths(chains: Sequence[FloatArray]) -> FloatArray:
    """Return the length of each of several chains, cm, all measured in one pass.

    Args:
        chains: Cubics, each of shape (k, 4, 2) with its own k of at least 1.

    Returns:
        Lengths, shape (n,).

    Examples:
        >>> side = np.array([[[0, 0], [1, 0], [2, 0], [3, 0]]])
        >>> chain_lengths([side, np.concatenate([side, side + [3, 0]])])
        array([3., 6.])
    """
    if not chains:
        return np.zeros(0)
    starts = np.cumsum([0, *(len(chain) for chain in chains[:-1])])
    return np.asarray(np.add.reduceat(arc_length(np.concatenate(chains)), starts))


def _speed_intervals(
    legs: FloatArray,
) -> tuple[NDArray[np.intp], FloatArray, FloatArray]:
    """Cut each cubic where its speed turns: number of the cubic, start and width.

    The roots of ``B' . B''``, a cubic in t, by the eigenvalues of its companion matrix.
    """
    # The roots are those of a cubic of any size; products of a tiny one would vanish.
    size = np.abs(legs).max(axis=(1, 2), keepdims=True, initial=0.0)
    legs = legs / np.where(size > 0, size, 1.0)
    p2, p1, p0 = (
        legs[:, 0] - 2 * legs[:, 1] + legs[:, 2],
        legs[:, 1] - legs[:, 0],
        legs[:, 0],
    )
    pairs = ((p2, p2, 1.0), (p2, p1, 3.0), (p1, p1, 2.0), (p2, p0, 1.0), (p1, p0, 1.0))
    c3, c2, c1a, c1b, c0 = (factor * (a * b).sum(axis=1) for a, b, factor in pairs)
    c1 = c1a + c1b
    scale = np.max(np.abs([c3, c2, c1, c0]), axis=0)
    # Where the leading term vanishes one root runs far away, and is left out below.
    c3 = np.where(np.abs(c3) > 1e-14 * scale, c3, 1e-14 * scale + (scale == 0))
    companion = np.zeros((len(legs), 3, 3))
    companion[:, 1, 0] = companion[:, 2, 1] = 1.0
    companion[:, 0, 2], companion[:, 1, 2], companion[:, 2, 2] = (
        -c0 / c3,
        -c1 / c3,
        -c2 / c3,
    )
    roots = np.linalg.eigvals(companion)
    inside = (np.abs(roots.imag) < 1e-6) & (roots.real > 0) & (roots.real < 1)
    cuts = np.sort(np.where(inside, roots.real, 1.0), axis=1)
    ends = np.concatenate(
        [np.zeros((len(legs), 1)), cuts, np.ones((len(legs), 1))], axis=1
    )
    low, width = ends[:, :-1], np.diff(ends, axis=1)
    keep = width > 0
    return np.nonzero(keep)[0], low[keep], width[keep]


def _speed_integral(legs: FloatArray, low: FloatArray, width: FloatArray) -> FloatArray:
    """Integrate the speed of cubics with derivative points ``legs`` (n, 3, 2)."""
    u = (low + width / 2)[:, None] + (width / 2)[:, None] * _NODES
    basis = np.stack([(1 - u) ** 2, 2 * u * (1 - u), u**2], axis=-1)
    along = basis @ legs
    speed = np.hypot(along[..., 0], along[..., 1])
    return np.asarray(speed @ _WEIGHTS * (width / 2))
