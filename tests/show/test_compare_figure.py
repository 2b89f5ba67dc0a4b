"""The overlay of several cuts, by what the artists hold."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.text import Text

from ease.block.adjust import adjust_block
from ease.block.pieces import Block
from ease.errors import UsageError
from ease.show.compare import LOOKS, SIZE_IN, draw_cuts

Tube = Callable[..., Block]
NAMES = ["soft-tricot", "firm-tricot", "recycled-polyamide", "power-net"]


@pytest.fixture
def blocks(make_tube: Tube) -> list[Block]:
    body = make_tube()
    cuts = ((0.79, 0.94), (0.83, 0.99), (0.81, 0.98), (0.91, 1.0))
    return [adjust_block(body, girth, length).after for girth, length in cuts]


def drawn(blocks: list[Block], names: list[str], units: str = "cm") -> Axes:
    figure = Figure(figsize=SIZE_IN)
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    draw_cuts(axes, blocks, names, units=units, title="cuts")
    figure.draw_without_rendering()
    return axes


def outlines(axes: Axes, piece: str) -> list[PathPatch]:
    return [
        one
        for one in axes.patches
        if isinstance(one, PathPatch) and one.get_gid() == piece
    ]


@pytest.mark.parametrize("count", [2, 3, 4])
def test_every_cut_of_every_piece_is_drawn_in_true_size(
    blocks: list[Block], count: int
) -> None:
    axes = drawn(blocks[:count], NAMES[:count])
    for piece in ("front", "back"):
        found = outlines(axes, piece)
        assert len(found) == count
        wide = [float(np.ptp(np.asarray(p.get_path().vertices)[:, 0])) for p in found]
        high = [float(np.ptp(np.asarray(p.get_path().vertices)[:, 1])) for p in found]
        # A quarter of the hip of 96, and 80 cm high, times the factors.
        girths = [0.79, 0.83, 0.81, 0.91][:count]
        assert wide == pytest.approx([24 * factor for factor in girths])
        lengths = [0.94, 0.99, 0.98, 1.0][:count]
        assert high == pytest.approx([80 * factor for factor in lengths])


def test_centre_lines_and_anchor_levels_lie_together(blocks: list[Block]) -> None:
    axes = drawn(blocks, NAMES)
    lefts = {
        round(float(np.asarray(one.get_path().vertices)[:, 0].min()), 9)
        for one in outlines(axes, "front")
    }
    assert lefts == {0.0}
    tops = [
        float(np.asarray(one.get_path().vertices)[:, 1].min())
        for one in outlines(axes, "front")
    ]
    # The waist lies 40 cm below the neck, times the length factor, in each.
    below = [40 * factor for factor in (0.94, 0.99, 0.98, 1.0)]
    assert np.ptp(np.array(tops) + below) == pytest.approx(0.0, abs=1e-9)


def test_told_apart_without_colour() -> None:
    assert len({str(look["linestyle"]) for look in LOOKS}) == len(LOOKS)
    assert len({look["linewidth"] for look in LOOKS}) >= 3
    for look in LOOKS:
        red, green, blue = to_rgb(look["edgecolor"])
        # Dark enough on white paper: relative luminance of sRGB, roughly.
        assert 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.5


def test_each_is_named_at_its_own_line(blocks: list[Block]) -> None:
    axes = drawn(blocks, NAMES)
    named: list[Any] = [one for one in axes.texts if one.get_text() in NAMES]
    assert sorted(one.get_text() for one in named) == sorted(NAMES * 2)
    dots = [one for one in axes.lines if one.get_marker() == "o"]
    assert len(dots) == len(named)
    front = {one.get_text(): one.xy for one in named if one.xy[0] < 30}
    wide = dict(zip(NAMES, (0.79, 0.83, 0.81, 0.91), strict=True))
    for name, (x, y) in front.items():
        # The side runs straight from a waist of 70 to a hip of 96, 20 cm lower.
        length = dict(zip(NAMES, (0.94, 0.99, 0.98, 1.0), strict=True))[name]
        waist = blocks[0].level("waist").y
        quarter = (70 + (96 - 70) * (y - waist) / (20 * length)) / 4
        assert x == pytest.approx(wide[name] * quarter)


def test_no_name_lies_over_another_or_off_the_page(blocks: list[Block]) -> None:
    axes = drawn(blocks, NAMES)
    figure = axes.figure
    assert figure is not None
    plain = [one for one in axes.texts if one.get_text() not in ("front", "back")]
    assert len(plain) == 8 + 4  # the names, three levels and the scale bar
    extents = [Text.get_window_extent(one) for one in plain]
    for i, box in enumerate(extents):
        assert box.x1 <= figure.bbox.x1
        for other in extents[i + 1 :]:
            assert not box.overlaps(other)


@pytest.mark.parametrize(("units", "waist"), [("cm", "55.3"), ("in", "21 3/4")])
def test_girths_of_every_cut_stand_at_the_level(
    blocks: list[Block], units: str, waist: str
) -> None:
    axes = drawn(blocks, NAMES, units)
    (said,) = [t.get_text() for t in axes.texts if t.get_text().startswith("waist")]
    rows = said.splitlines()
    assert rows[0] == f"waist ({units})"
    # 70 x 0.79.
    assert rows[1] == f"{waist}  soft-tricot"
    assert len(rows) == 5


def test_five_are_too_many(blocks: list[Block]) -> None:
    with pytest.raises(UsageError, match="at most 4 outlines"):
        drawn([*blocks, blocks[0]], [*NAMES, "more"])
