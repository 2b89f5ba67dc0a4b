"""Dashes of nested sizes: neighbours differ, the largest is a full line."""

from __future__ import annotations

from itertools import pairwise

import pytest

from ease.files.sheet_pen import LINES
from ease.files.size_dashes import SIZE_DASHES, size_dashes


@pytest.mark.parametrize("count", [1, 2, 4, 5, 14])
def test_neighbours_differ_and_the_largest_is_full(count: int) -> None:
    dashes = size_dashes(count)
    assert len(dashes) == count
    assert dashes[-1] == ()
    assert all(a != b for a, b in pairwise(dashes))


def test_no_size_looks_like_a_fold_a_level_or_a_stitch_line() -> None:
    others = {LINES[kind].dash for kind in ("fold", "level", "stitch")}
    assert not others & set(SIZE_DASHES)
