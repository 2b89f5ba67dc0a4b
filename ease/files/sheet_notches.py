"""Notches: where levels meet a seam, at one distance along every edge that is sewn there.

Front and back reach a level by curves of different length. Each notch therefore stands at
the mean of the distances of all edges that meet in the seam, as a share of its length.
Which ends meet only the way down the body tells: an edge that hardly goes down, such as
that of a band, and edges that reach a level at places far apart get no notch.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import level_crossings
from ease.block.curves import flatten, split
from ease.block.lengths import arc_length
from ease.block.pieces import Block, Edge
from ease.block.sewing_notes import goes_down
from ease.block.sewn import sewn_times
from ease.files.outline import tangents

__all__ = ["INNER_NOTCH_MM", "notch_shares", "notch_ticks"]

FloatArray = NDArray[np.float64]
Meeting = tuple[float, int]  # height of a level, and which of its meetings
INNER_NOTCH_MM: Final = 4.0  #: where there is no allowance to notch into
_FOLD_MM: Final = 1e-5
_CLEAR_OF_ENDS_CM: Final = 0.3  # nearer, the tick of the seam's end stands there
_FARTHEST_CM: Final = 1.0  # from the drawn level line; own choice
_FLAT_MM: Final = 0.01


def notch_shares(block: Block) -> dict[str, FloatArray]:
    """Return where the notches of every sewn edge stand, by ``piece.edge``.

    Args:
        block: The block.

    Returns:
        Shares of the length of the edge from its start, each shape (n,), rising.
    """
    shares = {}
    heights = sorted({level.y for level in block.levels})
    for names in _sewn_together(block):
        edges = [block.edge(name) for name in names]
        if len(edges) > 1 and not all(map(goes_down, edges)):
            continue
        met = [_met_from_top(edge, heights) for edge in edges]
        keys = sorted(set[Meeting](met[0]).intersection(*met))
        ways = np.array([[one[key] for key in keys] for one in met])
        walked, length = ways.mean(axis=0), min(map(_length, edges))
        near = (np.abs(ways - walked) * length <= _FARTHEST_CM).all(axis=0)
        clear = np.minimum(walked, 1 - walked) * length >= _CLEAR_OF_ENDS_CM
        own = walked[near & clear]
        for name, edge in zip(names, edges, strict=True):
            shares[name] = np.sort(own if _from_top(edge) else 1 - own)
    return shares


def _sewn_together(block: Block) -> list[list[str]]:
    """Return the edges that lie in one seam, edge to edge along their whole length.

    One edge of a pair can meet both sides of a whole piece. A half edge sewn to a whole
    one is left out.
    """
    groups: list[list[str]] = []
    for seam in block.seams:
        if sewn_times(block, seam) != (1, 1):
            continue
        mates = {seam.first, seam.second}
        met = [group for group in groups if mates & set(group)]
        groups = [group for group in groups if group not in met]
        together = [*(name for group in met for name in group), seam.first, seam.second]
        groups.append(list(dict.fromkeys(together)))
    return groups


def _from_top(edge: Edge) -> bool:
    return bool(edge.first[1] <= edge.last[1])


def _length(edge: Edge) -> float:
    return float(arc_length(edge.control).sum())


def _met_from_top(edge: Edge, heights: Sequence[float]) -> dict[Meeting, float]:
    """Return the share of an edge down to its nth meeting with each level."""
    if not heights:
        return {}
    _, t = level_crossings(edge.control, heights)
    before = np.concatenate([[0.0], np.cumsum(arc_length(edge.control))])
    found: dict[float, list[float]] = {}
    for row, column in np.argwhere(np.isfinite(t)):
        cubic = column // 3
        part, _ = split(edge.control[cubic], t[row, column])
        share = float((before[cubic] + arc_length(part)) / before[-1])
        found.setdefault(heights[row], []).append(
            share if _from_top(edge) else 1 - share
        )
    return {
        (y, n): share
        for y, some in found.items()
        for n, share in enumerate(sorted(some))
    }


def notch_ticks(
    controls: Sequence[FloatArray],
    widths: Sequence[float],
    sewn: Sequence[bool],
    shares: Sequence[FloatArray],
) -> FloatArray:
    """Return ticks where seams begin and end, and at the notches between.

    Args:
        controls: Cubics of the edges of a piece, shapes (k, 4, 2), mm.
        widths: Allowance of each edge, mm; without one, ticks point inwards.
        sewn: Whether each edge lies in a seam.
        shares: Where its notches stand, as shares of its length.

    Returns:
        Ends of the ticks, mm, shape (n, 2, 2).
    """
    ticks: list[FloatArray] = []
    for control, width, seam, places in zip(
        controls, widths, sewn, shares, strict=True
    ):
        if not seam:
            continue
        starts, ends = tangents(control)
        ends_at = ((control[0, 0], starts[0]), (control[-1, 3], ends[-1]))
        for at, along in ends_at if width > 0 else ():
            if abs(at[0]) > _FOLD_MM:  # the fold line itself marks the other ends
                ticks.append(_tick(at, along, width))
        ticks += [_tick(at, along, width) for at, along in _walked(control, places)]
    return np.array(ticks).reshape(-1, 2, 2)


def _walked(
    control: FloatArray, shares: FloatArray
) -> list[tuple[FloatArray, FloatArray]]:
    """Return points at shares of the length of a chain, and the direction there."""
    points = flatten(control, _FLAT_MM)
    legs = np.diff(points, axis=0)
    moved = np.hypot(*legs.T) > 0
    points, legs = np.concatenate([points[:1], points[1:][moved]]), legs[moved]
    walked = np.concatenate([[0.0], np.cumsum(np.hypot(*legs.T))])
    aims = np.asarray(shares) * walked[-1]
    at = np.stack([np.interp(aims, walked, axis) for axis in points.T], axis=-1)
    leg = np.clip(np.searchsorted(walked, aims) - 1, 0, len(legs) - 1)
    return list(zip(at, legs[leg], strict=True))


def _tick(at: FloatArray, along: FloatArray, width: float) -> FloatArray:
    """Return a tick from the net line out to the cut line, or inwards without one."""
    out = np.array([along[1], -along[0]]) / max(float(np.hypot(*along)), 1e-12)
    return np.stack([at, at + out * (width if width > 0 else -INNER_NOTCH_MM)])
