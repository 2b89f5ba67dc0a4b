"""Pictures of tension curves: what is drawn, not how it looks."""

from pathlib import Path

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ease.fabric.load_readings import read_load_test
from ease.fabric.store import load_fabric
from ease.show.cloth import draw_curves, draw_load_test

TEXT = """# gauge = 10 cm
# strip_width = 5 cm
direction,repeat,branch,load,length
across,1,up,0,10
across,1,up,1,12
across,1,up,2,14
across,1,down,0,10.4
across,2,up,0,10
across,2,up,1,12.4
across,2,up,2,14.6
across,2,down,0,10.5
"""


@pytest.fixture
def axes() -> Axes:
    return Figure().add_subplot()


def test_points_band_and_both_branches(axes: Axes, tmp_path: Path) -> None:
    path = tmp_path / "weights.csv"
    path.write_text(TEXT, encoding="utf-8")
    result = read_load_test(path).across
    assert result is not None
    assert draw_load_test(axes, result) is axes
    lines = {line.get_gid(): line for line in axes.lines}
    up = lines["loading"]
    x, y = (np.asarray(data) for data in up.get_data())
    assert x[-1] == pytest.approx(100 * result.curve.last_strain)
    assert y[-1] == pytest.approx(result.curve.loading.last_tension)
    # Told apart by dash and by filled or open marks, not by colour alone.
    assert lines["unloading"].get_linestyle() != up.get_linestyle()
    assert lines["points across 1, unloading"].get_markerfacecolor() == "white"
    assert lines["points across 1, loading"].get_marker() != (
        lines["points across 2, loading"].get_marker()
    )
    assert len(axes.collections) == 2
    assert {text.get_text() for text in axes.texts} == {"loading", "unloading"}


def test_a_profile_and_one_without_a_load_test(axes: Axes) -> None:
    fabric = load_fabric("soft-tricot")
    draw_curves(axes, fabric)
    words = " ".join(text.get_text() for text in axes.texts)
    assert "across" in words
    assert "along" in words
    assert "invented" in axes.get_title(loc="left")
