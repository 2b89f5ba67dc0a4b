"""The lesson's pictures, by what the artists hold, and the page by what can be read."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from pypdf import PdfReader

from ease.block.lesson import Lesson, make_lesson
from ease.block.pieces import Block
from ease.body.load import load_body
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.decide import decide
from ease.show.figure import figure_bytes
from ease.show.lesson import TYPE, draw_shortening, draw_stretch, draw_two_cuts
from ease.show.lesson_graphs import draw_falling, draw_sizes, draw_window
from ease.show.lesson_page import SIZE_IN, draw_page

Make = Callable[..., Fabric]
Tube = Callable[..., Block]


@pytest.fixture(scope="module")
def lesson(make_tube: Tube) -> Lesson:
    return make_lesson(
        make_tube(), decide(load_fabric("firm-tricot"), load_body("demo"))
    )


@pytest.fixture
def bare(make_tube: Tube, make_fabric: Make) -> Lesson:
    return make_lesson(
        make_tube(), decide(make_fabric({"stretch": 0.8}), load_body("demo"))
    )


def panel() -> Axes:
    return Figure(figsize=(4, 3)).add_subplot()


def line(axes: Axes, gid: str) -> tuple[np.ndarray, np.ndarray]:
    (found,) = [one for one in axes.lines if one.get_gid() == gid]
    return np.asarray(found.get_xdata()), np.asarray(found.get_ydata())


def words(axes: Axes) -> str:
    return "\n".join(text.get_text() for text in axes.texts)


def bars(axes: Axes) -> dict[str, float]:
    return {
        patch.get_gid() or "": patch.get_width()
        for patch in axes.patches
        if isinstance(patch, Rectangle)
    }


def test_the_strip_is_as_long_as_it_was_read(lesson: Lesson) -> None:
    axes = draw_stretch(panel(), lesson)
    assert bars(axes) == pytest.approx({"relaxed": 10, "pulled": 18, "rested": 10.2})
    assert "(18.0 − 10.0) / 10.0 = 80 %" in words(axes)
    assert "came back 97.5 %" in words(axes)
    assert "pulled 7.1" in words(draw_stretch(panel(), lesson, units="in"))


def test_a_strip_that_was_not_rested_has_two_bars(bare: Lesson) -> None:
    assert list(bars(draw_stretch(panel(), bare))) == ["relaxed", "pulled"]


def test_the_wrong_cut_is_dashed_and_shortest(lesson: Lesson) -> None:
    axes = draw_two_cuts(panel(), lesson)
    assert bars(axes) == pytest.approx({"body": 88, "right": 70.4, "wrong": 66})
    looks = {patch.get_gid(): patch.get_linestyle() for patch in axes.patches}
    assert looks["wrong"] != looks["right"]
    assert "88.0 × 0.75: worn 33 %" in words(axes)


def test_body_size_lies_outside_the_window(lesson: Lesson) -> None:
    axes = draw_window(panel(), lesson)
    (window,) = [one for one in axes.patches if one.get_gid() == "window"]
    assert isinstance(window, Rectangle)
    low, high = window.get_x(), window.get_x() + window.get_width()
    girth = lesson.reduction.girth
    assert girth.low is not None
    assert girth.high is not None
    assert (low, high) == pytest.approx(
        (100 * girth.low.strain, 100 * girth.high.strain)
    )
    body, pull = line(axes, "body size")
    assert body.tolist() == pytest.approx([0.0, -100 * 2 / 102, -100 * 3 / 103])
    assert (body < low).all()
    assert (pull == 0).all()
    (at,), (height,) = line(axes, "decided")
    assert low <= at <= high
    strain, tension = line(axes, "tension")
    assert np.interp(at, strain, tension) == pytest.approx(height, rel=1e-3)
    # Every point is inside the picture.
    left, right = axes.get_xlim()
    assert left < body.min()
    assert right > high


def test_without_a_load_test_the_window_stands_alone(bare: Lesson) -> None:
    axes = draw_window(panel(), bare)
    assert not [one for one in axes.lines if one.get_gid() == "tension"]
    assert axes.get_ylabel() == ""


@pytest.mark.parametrize(("units", "scale"), [("cm", 1.0), ("in", 2.54)])
def test_fixed_falls_and_the_factor_stays(
    lesson: Lesson, units: str, scale: float
) -> None:
    axes = draw_sizes(panel(), lesson, units=units)
    bust, fixed = line(axes, "fixed")
    np.testing.assert_allclose(bust, lesson.sizes.bust / scale)
    np.testing.assert_allclose(fixed, 1600 / (lesson.sizes.bust - 16))
    _, same = line(axes, "factor")
    assert (same == same[0]).all()
    assert {"26.7 %", "14.3 %"} <= {
        text.get_text().partition(":")[0] for text in axes.texts
    }
    styles = {one.get_gid(): one.get_linestyle() for one in axes.lines}
    assert styles["fixed"] != styles["factor"]


def test_wider_is_shorter(lesson: Lesson) -> None:
    axes = draw_shortening(panel(), lesson)
    (cloth,) = [one for one in axes.patches if one.get_gid() == "stretched"]
    assert isinstance(cloth, Rectangle)
    assert cloth.get_width() == pytest.approx(1 + lesson.reduction.girth.strain)
    assert cloth.get_height() == pytest.approx(lesson.reduction.free_length)
    assert "+20.6 %" in words(axes)
    assert "−5.5 %" in words(axes)


def test_pressure_over_girth_is_a_hyperbola(lesson: Lesson) -> None:
    axes = draw_falling(panel(), lesson)
    girth, kpa = line(axes, "pressure")
    np.testing.assert_allclose(girth * kpa, girth[0] * kpa[0])
    assert "bust 88.0: 0.40" in words(axes)
    assert "example" not in words(axes)


def test_an_example_says_so(bare: Lesson) -> None:
    assert "example: 100 N/m" in words(draw_falling(panel(), bare))


def page(lesson: Lesson, units: str = "cm") -> Figure:
    figure = Figure(figsize=SIZE_IN)
    FigureCanvasAgg(figure)
    draw_page(figure, lesson, units=units)
    figure.draw_without_rendering()
    return figure


def texts_of(figure: Figure) -> list[Text]:
    found = list(figure.texts)
    for axes in figure.axes:
        found += axes.texts
        if not axes.axison:
            continue
        for axis in (axes.xaxis, axes.yaxis):
            found.append(axis.label)
            low, high = sorted(axis.get_view_interval())
            found += [
                tick.label1
                for tick in axis.get_major_ticks()
                if low <= tick.get_loc() <= high
            ]
    return [text for text in found if text.get_text().strip()]


USABLE = [name for name in fabric_names() if name != "one-way-stretch"]


@pytest.mark.parametrize(
    ("name", "units"), [*((name, "cm") for name in USABLE), ("firm-tricot", "in")]
)
def test_the_page_can_be_read(make_tube: Tube, name: str, units: str) -> None:
    """Large type, inside the paper, and no word over another of its picture."""
    made = make_lesson(make_tube(), decide(load_fabric(name), load_body("demo")))
    figure = page(made, units)
    edge = figure.bbox
    for text in texts_of(figure):
        small = text.get_text().startswith("Block ")
        assert float(text.get_fontsize()) >= (9 if small else TYPE), text.get_text()
        box = Text.get_window_extent(text)
        assert box.x0 >= edge.x0, text.get_text()
        assert box.x1 <= edge.x1, text.get_text()
        assert box.y0 >= edge.y0
        assert box.y1 <= edge.y1
    for axes in figure.axes:
        boxes = [(text.get_text(), Text.get_window_extent(text)) for text in axes.texts]
        for i, (first, a) in enumerate(boxes):
            for second, b in boxes[i + 1 :]:
                assert not (first.strip() and second.strip() and a.overlaps(b)), (
                    first,
                    second,
                )
    assert len(figure.axes) == 6


def test_the_cautions_and_the_origin_stand_on_the_page(lesson: Lesson) -> None:
    said = "\n".join(text.get_text() for text in page(lesson).texts)
    assert "not medical advice" in said
    assert "not a flotation aid" in said
    assert "firm-tricot (invented)" in said
    assert "bust 88.0 → 73.0" in said


def test_the_pdf_is_one_lying_a4_page_and_always_the_same(lesson: Lesson) -> None:
    def data() -> bytes:
        return figure_bytes(
            lambda figure: draw_page(figure, lesson), "pdf", size_in=SIZE_IN, title="t"
        )

    first = data()
    assert first == data()
    (only,) = PdfReader(BytesIO(first)).pages
    # 297 by 210 mm. Source key: iso-216.
    assert float(only.mediabox.width) == pytest.approx(841.89, abs=0.01)
    assert float(only.mediabox.height) == pytest.approx(595.28, abs=0.01)
