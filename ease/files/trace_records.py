"""What is read of a traced paper block, and what becomes of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block, Cut

__all__ = ["EdgeFit", "Traced", "TracedEdge", "TracedPiece"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class TracedEdge:
    """One edge as read off the paper.

    Attributes:
        name: Name of the edge.
        start: Name of its first point.
        points: Its points, without the first of the next edge, cm, shape (n, 2).
        curve: Whether it is a curve through its points, or straight from each to the next.
        corners: Which of its points are corners, where the curve breaks.
        free: Whether it may meet the fold at any angle.
        told: Whether it was called a curve, rather than taken for one.
        place: Where in the file it begins, such as ``line 8``.
    """

    name: str
    start: str
    points: FloatArray
    curve: bool
    corners: tuple[int, ...] = ()
    free: bool = False
    told: bool = False
    place: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class TracedPiece:
    """One piece as read off the paper.

    Attributes:
        name: Name of the piece.
        edges: Its edges in walking order; the last ends where the first starts.
        fold: Where the fold lies across the board, cm; None without one.
        cut: How it is cut; None where nothing is said of it, which is taken for once.
        in_girth: Whether its width counts in girths.
    """

    name: str
    edges: tuple[TracedEdge, ...]
    fold: float | None = 0.0
    cut: Cut | None = "fold"
    in_girth: bool = True


@dataclass(frozen=True, slots=True)
class EdgeFit:
    """How well a curve lies on the points of an edge.

    Attributes:
        edge: ``piece.edge``.
        points: Number of points, both ends with them.
        cubics: Number of cubics.
        deviation_cm: Largest distance of a point from the curve.
    """

    edge: str
    points: int
    cubics: int
    deviation_cm: float


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """A traced block with what was found while tracing.

    Attributes:
        block: The block.
        fits: One for each edge.
        points: The points of each piece in the frame of the block, cm, shape (n, 2).
        boards: Of each piece, where the frame's x = 0 lies across the board, cm, and 1
            or, of a piece that was turned over, -1.
        notes: What should be looked at again.
    """

    block: Block
    fits: tuple[EdgeFit, ...]
    points: Mapping[str, FloatArray]
    boards: Mapping[str, tuple[float, float]]
    notes: tuple[str, ...]
