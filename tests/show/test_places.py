"""Words stand clear of lines and of each other, and inside the picture."""

from __future__ import annotations

import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation

from ease.show.places import CLEAR_PT, Spot, clearance, place_words


@pytest.fixture
def axes() -> Axes:
    """A picture of 288 by 216 points, one point a unit."""
    axes = Figure(figsize=(4, 3)).add_axes((0, 0, 1, 1))
    axes.set_xlim(0, 288)
    axes.set_ylim(0, 216)
    return axes


def left_foot(note: Annotation, axes: Axes) -> tuple[float, float]:
    x, y = axes.transData.inverted().transform(note.get_window_extent().min)
    return float(x), float(y)


def test_the_first_spot_is_taken_where_it_is_clear(axes: Axes) -> None:
    note = place_words(axes, "bust", [Spot(50, 50, dx=5, dy=6), Spot(150, 150)])
    x, y = left_foot(note, axes)
    assert x == pytest.approx(55, abs=1.5)
    assert 50 < y <= 57  # the box holds room for a g or a y below


def test_a_line_drives_words_away(axes: Axes) -> None:
    axes.plot([0, 288], [55, 55])
    spots = [Spot(50, 50), Spot(150, 150)]
    note = place_words(axes, "bust", spots)
    assert note.xy == (150, 150)
    # A line far off does not.
    axes.lines[0].set_ydata([200, 200])
    assert place_words(axes, "hip", spots).xy == (50, 50)


def test_words_drive_words_away(axes: Axes) -> None:
    axes.text(40, 50, "window")
    assert place_words(axes, "bust", [Spot(50, 50), Spot(9, 9)]).xy == (9, 9)


def test_the_edge_of_a_field_counts_as_a_line(axes: Axes) -> None:
    axes.axvspan(60, 120)
    assert place_words(axes, "a long word", [Spot(50, 50), Spot(140, 50)]).xy[0] == 140


def test_words_stay_in_the_picture(axes: Axes) -> None:
    assert place_words(axes, "bust", [Spot(280, 50), Spot(9, 9)]).xy == (9, 9)


def test_where_none_is_clear_the_clearest_is_taken(axes: Axes) -> None:
    axes.plot([0, 288], [52, 52])
    axes.plot([0, 288], [152, 152])
    spots = [Spot(50, 50), Spot(50, 153), Spot(280, 100)]
    note = place_words(axes, "bust", spots)
    assert note.xy == (50, 153)
    assert 0 <= clearance(axes, note) < CLEAR_PT


def test_distance_is_told_in_points(axes: Axes) -> None:
    axes.plot([0, 288], [40, 40])
    note = place_words(axes, "bust", [Spot(100, 50)])
    foot = left_foot(note, axes)[1]
    # Dots of a line stand less than a point and a half apart.
    assert clearance(axes, note) == pytest.approx(foot - 40, abs=0.1)
