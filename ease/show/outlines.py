"""Outlines of pieces as paths, laid beside each other for a picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ease.block.crossings import level_crossings
from ease.block.measure import outline
from ease.block.pieces import Piece

__all__ = ["corners", "laid_out", "outline_path", "right_edge"]

FloatArray = NDArray[np.float64]


def outline_path(piece: Piece, offset_x: float = 0.0) -> Any:  # noqa: ANN401 - matplotlib stays unimported
    """Return a piece's outline as a matplotlib path of true cubics.

    Args:
        piece: The piece.
        offset_x: Shift to the right, cm.
    """
    from matplotlib.path import Path

    control = np.concatenate([edge.control for edge in piece.edges])
    vertices = np.concatenate([control[:1, 0], control[:, 1:].reshape(-1, 2)])
    codes = [Path.MOVETO] + [Path.CURVE4] * (len(vertices) - 1)
    return Path(vertices + np.array([offset_x, 0.0]), codes)


def corners(piece: Piece) -> FloatArray:
    """Return the control points of a piece, cm, shape (n, 2); the outline lies within."""
    return np.concatenate([edge.control for edge in piece.edges]).reshape(-1, 2)


def laid_out(
    versions: Sequence[Sequence[Piece]], gap_cm: float
) -> tuple[list[float], list[float]]:
    """Lay pieces beside each other, all versions of one over each other at x = 0.

    Args:
        versions: The versions of each piece.
        gap_cm: Room between one piece and the next.

    Returns:
        Where x = 0 of each piece lies, cm, and where each ends at the right.
    """
    zeros, rights, left = list[float](), list[float](), 0.0
    for same in versions:
        across = np.concatenate([corners(piece)[:, 0] for piece in same])
        zeros.append(left - float(across.min()))
        rights.append(zeros[-1] + float(across.max()))
        left = rights[-1] + gap_cm
    return zeros, rights


def right_edge(piece: Piece, y: float) -> float | None:
    """Return how far to the right a piece reaches at a height, cm; None beside it."""
    x, _ = level_crossings(outline(piece), np.array([y]))
    return None if np.isnan(x).all() else float(np.nanmax(x))
