"""Strain and pressure against height, by what the artists hold."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from ease.block.check import WearCheck, check_wear
from ease.block.pieces import Block
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.pressure import BANDS
from ease.fit.wear import WearState
from ease.show.figure import save_panels
from ease.show.wear import SHADES, draw_pressure, draw_strain

Tube = Callable[..., Block]
Make = Callable[..., Fabric]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 168},
)
DOWN = ([0.05, 1.0], [0.0, 400.0])
FULL: dict[str, Any] = {
    "stretch": 1.0,
    "load": 400.0,
    "contraction": 0.0,
    "growth": 0.04,
    "wet_growth": 0.06,
    "down": DOWN,
}


@pytest.fixture
def check(make_tube: Tube, make_fabric: Make) -> WearCheck:
    block = make_tube(70.4, 60.0, 80.0, loops=("closed", "closed", "open"))
    return check_wear(block, MARIT, make_fabric(FULL, FULL), round_body="along")


def panel() -> Axes:
    return Figure(figsize=(5, 6)).add_subplot()


def curves(axes: Axes, gid: str) -> list[tuple[np.ndarray, np.ndarray]]:
    return [
        (np.asarray(line.get_xdata()), np.asarray(line.get_ydata()))
        for line in axes.lines
        if line.get_gid() == gid
    ]


def texts(axes: Axes) -> list[str]:
    return [text.get_text() for text in axes.texts]


def test_strain_at_each_height_with_its_number(check: WearCheck) -> None:
    axes = draw_strain(panel(), check)
    ((x, y),) = curves(axes, "strain")
    # The open hip counts as cut like bust and waist together, 130.4 for 158 cm.
    open_hip = 100 * (158 / 130.4 - 1)
    assert x.tolist() == pytest.approx([25.0, 100 / 6, open_hip])
    assert y.tolist() == [20, 40, 60]
    assert {"25.0 %", "16.7 %", "21.2 %"} <= set(texts(axes))
    assert axes.get_xlabel() == "worn strain round the body (%)"
    assert axes.get_title(loc="left") == "Strain in test-cloth"


def test_the_full_stretch_is_marked_and_inside(check: WearCheck) -> None:
    axes = draw_strain(panel(), check)
    marks = [
        np.asarray(line.get_xdata())
        for line in axes.lines
        if line.get_gid() != "strain"
    ]
    assert any((mark == 100.0).all() for mark in marks)
    assert "full stretch" in texts(axes)
    left, right = axes.get_xlim()
    assert left <= 0
    assert right > 100


def test_heights_run_down_and_open_levels_say_so(check: WearCheck) -> None:
    for draw in (draw_strain, draw_pressure):
        axes = draw(panel(), check)
        bottom, top = axes.get_ylim()
        assert bottom > 60 > 20 > top
        labels = [label.get_text() for label in axes.get_yticklabels()]
        assert labels == ["bust", "waist", "hip\n(cut open)"]


def test_negative_strain_is_shown(make_tube: Tube, make_fabric: Make) -> None:
    loose = check_wear(make_tube(100.0, 80.0, 110.0), MARIT, make_fabric(FULL, FULL))
    axes = draw_strain(panel(), loose)
    assert axes.get_xlim()[0] < 100 * float(loose.sizes.strain.min()) < 0


def test_pressure_of_every_state_and_both_ends_of_a_range(check: WearCheck) -> None:
    axes = draw_pressure(panel(), check)
    ends: dict[WearState, int] = {"now": 1, "after_hour": 2, "wet": 1}
    for state, count in ends.items():
        drawn = curves(axes, state)
        assert len(drawn) == count
        for (x, y), end in zip(drawn, check.states[state], strict=True):
            np.testing.assert_allclose(x, end.side)
            assert y.tolist() == [20, 40, 60]
    for name in ("just put on", "after an hour, a range", "wet"):
        assert name in texts(axes)
    assert axes.get_xlim()[1] > max(
        float(end.side.max()) for ends in check.states.values() for end in ends
    )


def test_states_differ_without_colour(check: WearCheck) -> None:
    axes = draw_pressure(panel(), check)
    looks = {
        line.get_gid(): (line.get_linestyle(), line.get_marker())
        for line in axes.lines
        if line.get_gid() in ("now", "after_hour", "wet")
    }
    assert len(set(looks.values())) == 3
    assert len({style for style, _ in looks.values()}) == 3


def spans(axes: Axes) -> list[Rectangle]:
    return [patch for patch in axes.patches if isinstance(patch, Rectangle)]


def test_bands_are_shaded_where_they_are_published(check: WearCheck) -> None:
    axes = draw_pressure(panel(), check)
    right = axes.get_xlim()[1]
    shown = [band for band in BANDS if band.low < right]
    edges = [(span.get_x(), span.get_x() + span.get_width()) for span in spans(axes)]
    expected = [(band.low, min(band.high, right)) for band in shown]
    np.testing.assert_allclose(edges, expected)
    greys = [sum(to_rgb(span.get_facecolor())) for span in spans(axes)]
    assert greys == sorted(greys, reverse=True)
    assert len(set(greys)) == len(greys)
    for band in shown:
        assert band.title in [text.replace("\n", " ") for text in texts(axes)]


def test_the_range_after_an_hour_is_shaded_between_its_ends(check: WearCheck) -> None:
    axes = draw_pressure(panel(), check)
    (shade,) = axes.collections
    assert shade.get_gid() == "range after_hour"
    across = np.asarray(shade.get_paths()[0].vertices)[:, 0]
    ends = [end.side for end in check.states["after_hour"]]
    assert across.min() == pytest.approx(np.min(ends))
    assert across.max() == pytest.approx(np.max(ends))


def test_words_can_be_read_on_every_band_in_grey_print(check: WearCheck) -> None:
    """Black words, 7 to 1 or more on grey. WCAG 2.1, contrast (from memory)."""
    axes = draw_pressure(panel(), check)
    assert {to_rgb(text.get_color()) for text in axes.texts} == {(0.0, 0.0, 0.0)}
    for shade in SHADES:
        level = to_rgb(shade)[0]
        luminance = ((level + 0.055) / 1.055) ** 2.4
        assert (luminance + 0.05) / 0.05 >= 7


def test_without_a_load_test_the_panel_says_so(
    make_tube: Tube, make_fabric: Make
) -> None:
    bare = check_wear(make_tube(70.4, 60.0, 80.0), MARIT, make_fabric({"stretch": 0.8}))
    axes = draw_pressure(panel(), bare)
    assert texts(axes) == ["no load test:\npressure cannot be told"]
    assert not axes.lines


def test_past_the_test_the_rest_is_still_drawn(
    make_tube: Tube, make_fabric: Make
) -> None:
    short = {**FULL, "tested": 0.2}
    del short["down"]
    past = check_wear(
        make_tube(40.0, 60.0, 84.0), MARIT, make_fabric(short, FULL), round_body="along"
    )
    axes = draw_pressure(panel(), past)
    ((x, _),) = curves(axes, "now")
    assert np.isnan(x).tolist() == [True, False, False]
    assert np.isfinite(axes.get_xlim()).all()


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_the_same_check_is_the_same_file(
    check: WearCheck, tmp_path: Path, ending: str
) -> None:
    paths = [tmp_path / f"{name}.{ending}" for name in "ab"]
    for path in paths:
        save_panels(
            path,
            [
                lambda axes: draw_strain(axes, check),
                lambda axes: draw_pressure(axes, check),
            ],
            size_in=(9.5, 6),
            title="wear",
        )
    first, second = (path.read_bytes() for path in paths)
    assert first == second
    assert len(first) > 5000


def test_one_level_is_enough(make_tube: Tube, make_fabric: Make) -> None:
    body = Body(name="b", values={**MARIT.values})
    block = make_tube(70.4, 60.0, 80.0)
    only = check_wear(
        make_tube(levels=block.levels[1:2]), body, make_fabric(FULL, FULL)
    )
    bottom, top = draw_strain(panel(), only).get_ylim()
    assert bottom > 40 > top


def test_a_state_is_named_where_it_is_known(make_tube: Tube, make_fabric: Make) -> None:
    """The lowest level lies past the load test: the name goes to the last known one."""
    short = {**FULL, "tested": 0.2}
    del short["down"]
    past = check_wear(
        make_tube(84.0, 60.0, 50.0), MARIT, make_fabric(short, FULL), round_body="along"
    )
    axes = draw_pressure(panel(), past)
    places = {text.get_text(): text.xy for text in axes.texts if hasattr(text, "xy")}
    assert np.isfinite(places["just put on"]).all()
    assert places["just put on"][1] == 40
