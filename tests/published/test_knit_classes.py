"""Published classes of stretch; both tables are from memory, their books were seen."""

from __future__ import annotations

import pytest

from ease.fabric.classes import class_table, stretch_class


@pytest.mark.parametrize(
    ("pulled_in", "name"),
    [
        (5.5, "below stable"),
        (5.875, "stable"),  # 5 7/8 in is 17.5 %, printed as 18
        (6.0, "stable"),  # 20 %, between two printed figures
        (6.25, "moderate"),
        (7.45, "moderate"),  # 49 %
        (7.5, "stretchy"),
        (10.0, "super-stretch"),
        (12.0, "super-stretch"),
    ],
)
def test_five_inch_gauge(pulled_in: float, name: str) -> None:
    """Source key: armstrong-knits."""
    assert stretch_class(pulled_in / 5 - 1, class_table("gauge")) == name


@pytest.mark.parametrize(
    ("percent", "name"),
    [
        (0, "stable"),
        (25, "stable"),
        (25.4, "stable"),
        (25.5, "moderate"),
        (26, "moderate"),
        (50, "moderate"),
        (51, "stretchy"),
        (75, "stretchy"),
        (76, "super-stretch"),
        (100, "super-stretch"),
        (101, "rib"),
        (180, "rib"),
    ],
)
def test_ranges(percent: float, name: str) -> None:
    """Source key: richardson-2008. Between two printed per cents the nearer one holds."""
    assert stretch_class(percent / 100, class_table("ranges")) == name


def test_the_two_tables_disagree_at_fifty_percent() -> None:
    assert stretch_class(0.50, class_table("gauge")) == "stretchy"
    assert stretch_class(0.50, class_table("ranges")) == "moderate"


@pytest.mark.parametrize("name", ["gauge", "ranges"])
def test_each_table_says_its_source_and_rises(name: str) -> None:
    table = class_table(name)
    assert table.source
    assert list(table.starts) == sorted(table.starts)
    assert len(table.starts) == len(table.names)
