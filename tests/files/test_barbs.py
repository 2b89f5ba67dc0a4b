"""Loops of an outline are cut out at their crossing."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ease.files.barbs import without_barbs


def circle(count: int) -> np.ndarray:
    turn = 2 * np.pi * np.arange(count) / count
    return np.stack([10 * np.cos(turn), 10 * np.sin(turn)], axis=1)


def test_what_crosses_nowhere_stays() -> None:
    points = circle(60)
    found, kept = without_barbs(points)
    assert (found == points).all()
    assert kept.all()


@pytest.mark.parametrize("start", [0, 30, 57])
def test_a_loop_gives_way_to_its_crossing(start: int) -> None:
    """Two legs of a square cross: from (9, 1) to (11, -1) and back from (11, 1)."""
    loop = np.array([[9.0, 1.0], [11.0, -1.0], [11.0, 1.0], [9.0, -1.0]])
    square = np.array([[-9.0, -9.0], [-9.0, 9.0], [9.0, 9.0]])
    corner = np.array([[9.0, -9.0]])
    points = np.roll(np.concatenate([square, loop, corner]), start % 8, axis=0)
    assert not shapely.Polygon(points).is_valid
    found, kept = without_barbs(points)
    assert shapely.Polygon(found).is_valid
    assert len(found) == kept.sum() == 7
    assert np.abs(found - [10.0, 0.0]).sum(axis=1).min() == pytest.approx(0.0)
