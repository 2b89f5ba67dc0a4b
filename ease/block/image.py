"""The map that adjusts a block: x by a ratio that may change with height, y by another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.block.curves import derivative, evaluate, split
from ease.block.pieces import line

__all__ = ["BlockMap"]

FloatArray = NDArray[np.float64]
DEVIATION_CM: Final = 0.01
_MAX_SPLITS: Final = 8


@dataclass(frozen=True, slots=True, eq=False)
class BlockMap:
    """x' = x g(y), y' = anchor + r (y - anchor); below the crotch by a ratio of its own.

    g runs smoothly through the ratios given at some heights, rises or falls only where
    they do, and is constant beyond the outer two. With one height it is a plain
    affine map.

    Attributes:
        anchor_y: Height that stays, cm.
        length_ratio: r.
        heights: Heights with a ratio of their own, cm, rising, shape (n,).
        ratios: g at those heights, shape (n,).
        crotch_y: Height below which legs have a ratio of their own, cm; inf without.
        leg_ratio: That ratio.

    Source key: fritsch-butland-1984
    """

    anchor_y: float
    length_ratio: float
    heights: FloatArray
    ratios: FloatArray
    crotch_y: float = inf
    leg_ratio: float = 1.0

    @property
    def _one_girth(self) -> bool:
        return bool((self.ratios == self.ratios[0]).all())

    @property
    def affine(self) -> bool:
        """Whether both ratios are the same at every height."""
        legs = self.crotch_y < inf and self.leg_ratio != self.length_ratio
        return self._one_girth and not legs

    def girth_ratio(self, y: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Return g and its slope by y at any heights, in their shape."""
        heights = np.asarray(y, dtype=float)
        if self._one_girth:
            return np.full(heights.shape, self.ratios[0]), np.zeros(heights.shape)
        h = np.diff(self.heights)
        slope = self._slopes(np.diff(self.ratios) / h, h)
        inside = np.clip(heights, self.heights[0], self.heights[-1])
        i = np.clip(np.searchsorted(self.heights, inside, "right") - 1, 0, len(h) - 1)
        u, d = (inside - self.heights[i]) / h[i], self.ratios[i + 1] - self.ratios[i]
        left, right = slope[i] * h[i], slope[i + 1] * h[i]
        bend, twist = 3 * d - 2 * left - right, left + right - 2 * d
        value = self.ratios[i] + u * (left + u * (bend + u * twist))
        rise = (left + u * (2 * bend + 3 * u * twist)) / h[i]
        return value, np.where(inside == heights, rise, 0.0)

    @staticmethod
    def _slopes(secants: FloatArray, h: FloatArray) -> FloatArray:
        """Return slopes at the heights: harmonic means, 0 at turns and at both ends."""
        a, b = secants[:-1], secants[1:]
        w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
        same = a * b > 0
        safe_a, safe_b = np.where(same, a, 1.0), np.where(same, b, 1.0)
        inner = np.where(same, (w1 + w2) / (w1 / safe_a + w2 / safe_b), 0.0)
        return np.concatenate([[0.0], inner, [0.0]])

    def heights_after(self, y: ArrayLike) -> FloatArray:
        """Return y' in the shape of y."""
        heights = np.asarray(y, dtype=float)
        after = self.anchor_y + self.length_ratio * (heights - self.anchor_y)
        if self.crotch_y < inf:
            below = np.maximum(heights - self.crotch_y, 0.0)
            after = after + (self.leg_ratio - self.length_ratio) * below
        return np.asarray(after)

    def points(self, xy: ArrayLike) -> FloatArray:
        """Return the images of points, shape (..., 2)."""
        p = np.asarray(xy, dtype=float)
        g, _ = self.girth_ratio(p[..., 1])
        return np.stack([p[..., 0] * g, self.heights_after(p[..., 1])], axis=-1)

    def chain(
        self, control: FloatArray, straight: Sequence[bool]
    ) -> tuple[FloatArray, tuple[bool, ...], FloatArray]:
        """Return the image of a chain.

        The affine map is exact. Otherwise ends are mapped exactly and handles by the
        derivative of the map, and a cubic is halved until its image is met within
        ``DEVIATION_CM``; a line whose image bends by no more than that stays a line.

        Args:
            control: The chain, cm, shape (k, 4, 2).
            straight: For each cubic, whether it is a line.

        Returns:
            The image (m, 4, 2), m >= k, its straight flags, and the chain before cut
            into the same m cubics.
        """
        if self.affine:
            return self.points(control), tuple(straight), control
        parts = [
            part
            for cubic, flat in zip(control, straight, strict=True)
            for part in self._cut(cubic, flat, _MAX_SPLITS)
        ]
        image = np.stack([part[0] for part in parts])
        image[1:, 0] = image[:-1, 3]
        before = np.stack([part[2] for part in parts])
        return image, tuple(part[1] for part in parts), before

    def _cut(
        self, cubic: FloatArray, flat: bool, splits: int
    ) -> list[tuple[FloatArray, bool, FloatArray]]:
        t = np.linspace(0.0, 1.0, 17)
        true = self.points(evaluate(cubic, t))
        if flat:
            chord = true[-1] - true[0]
            size = np.hypot(*chord)
            off = (true - true[0]) @ np.array([-chord[1], chord[0]])
            if np.abs(off).max() <= DEVIATION_CM * size:
                return [(line(tuple(true[0]), tuple(true[-1])), True, cubic)]
        fitted = self._hermite(cubic)
        miss = np.abs(evaluate(fitted, t) - true).max()
        if miss <= DEVIATION_CM or splits == 0:
            return [(fitted, False, cubic)]
        left, right = split(cubic, 0.5)
        return [
            part
            for half in (left, right)
            for part in self._cut(half, False, splits - 1)
        ]

    def _down(self, cubic: FloatArray) -> FloatArray:
        """Return the slope of y' at both ends, as it is inside the cubic."""
        middle = 0.5 * (cubic[[0, 3], 1] + cubic[:, 1].mean())
        return np.where(middle > self.crotch_y, self.leg_ratio, self.length_ratio)

    def _hermite(self, cubic: FloatArray) -> FloatArray:
        """Return the cubic with mapped ends and tangents mapped by the derivative."""
        ends = cubic[[0, 3]]
        g, rise = self.girth_ratio(ends[:, 1])
        tangent = derivative(cubic, np.array([0.0, 1.0]))
        mapped = np.stack(
            [
                g * tangent[:, 0] + ends[:, 0] * rise * tangent[:, 1],
                self._down(cubic) * tangent[:, 1],
            ],
            axis=1,
        )
        start, end = self.points(ends)
        return np.stack([start, start + mapped[0] / 3, end - mapped[1] / 3, end])
