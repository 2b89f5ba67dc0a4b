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
from matplotlib.text import Annotation, Text
from pypdf import PdfReader

from ease.block.lesson import Lesson, make_lesson
from ease.block.pieces import Block
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS
from ease.fit.decide import decide
from ease.show.figure import figure_bytes
from ease.show.lesson import SHADE, TYPE, draw_shortening, draw_stretch, draw_two_cuts
from ease.show.lesson_falling import draw_falling
from ease.show.lesson_graphs import draw_sizes, draw_window
from ease.show.lesson_page import SIZE_IN, draw_page

Make = Callable[..., Fabric]
Tube = Callable[..., Block]
Without = Callable[[Fabric, tuple[str, ...]], Fabric]


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
    assert "pulled 7.087 in" in words(draw_stretch(panel(), lesson, units="in"))


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
        if legend := axes.get_legend():
            found += legend.get_texts()
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
Case = tuple[str, str, str, str, float]
CASES: list[Case] = [
    *((name, "demo", "regular", "cm", 4.0) for name in USABLE),
    *((name, "demo", "regular", "in", 4.0) for name in USABLE),
    ("soft-tricot", "en-140", "firm", "cm", 2.0),
    ("power-net", "en-140", "firm", "in", 6.0),
    ("power-net", "en-76-short", "easy", "cm", 4.0),
    ("firm-tricot", "us-1968-20", "regular", "in", 4.0),
    ("heavy-matt", "demo", "regular", "cm", 2.0),
    ("lining-mesh", "en-76-short", "regular", "cm", 8.0),
    ("recycled-polyamide", "demo", "easy", "in", 3.81),
    ("rib", "en-110", "easy", "cm", 6.0),
    *(
        (name, body, "regular", units, 4.0)
        for name in USABLE
        for body, units in (("en-128", "cm"), ("en-128", "in"), ("en-84", "in"))
    ),
]
# Which readings are left out, and of what cloth.
LEFT_OUT = [
    (name, body, left_out)
    for name in ("lining-mesh", "firm-tricot", "rib")
    for body in ("en-128", "demo")
    for left_out in (
        ("wet_growth",),
        ("growth", "wet_growth"),
        ("contraction",),
        ("growth", "wet_growth", "contraction", "tension"),
    )
]


def lesson_of(make_tube: Tube, case: Case) -> Lesson:
    name, body, hold, _, fixed_cm = case
    reduction = decide(load_fabric(name), load_body(body), aim=AIMS[hold])
    return make_lesson(make_tube(), reduction, fixed_cm)


@pytest.mark.parametrize("case", CASES, ids=lambda case: "-".join(map(str, case)))
def test_the_page_can_be_read(make_tube: Tube, case: Case) -> None:
    """Large type, inside the paper, and no word over another word or a line."""
    check_page(page(lesson_of(make_tube, case), case[3]))


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize(
    "girths",
    [(104, 86, 112, 64), (124, 120, 126, 60), (80, 79, 81, 77), (127, 100, 131, 80)],
    ids=str,
)
def test_the_page_can_be_read_whatever_the_girths(
    make_tube: Tube, girths: tuple[int, ...], units: str
) -> None:
    """Bust close to the hip, to the waist, and to the large bust that is set beside it."""
    names = ("bust", "waist", "hip", "thigh")
    values = dict(zip(names, map(float, girths), strict=True)) | {"torso_loop": 165.0}
    body = complete(Body(name="b", values=values))
    made = make_lesson(make_tube(), decide(load_fabric("firm-tricot"), body))
    check_page(page(made, units))


@pytest.mark.parametrize("case", LEFT_OUT, ids=lambda case: "-".join(map(str, case)))
def test_the_page_can_be_read_whatever_was_not_read(
    make_tube: Tube, without: Without, case: tuple[str, str, tuple[str, ...]]
) -> None:
    name, body, keys = case
    cloth = without(load_fabric(name), keys)
    check_page(page(make_lesson(make_tube(), decide(cloth, load_body(body))), "in"))


def check_page(figure: Figure) -> None:
    assert len(figure.axes) == 6
    edge = figure.bbox
    boxes = []
    for text in texts_of(figure):
        said = text.get_text()
        assert float(text.get_fontsize()) >= TYPE, said
        box = Text.get_window_extent(text)
        assert box.x0 >= edge.x0, said
        assert box.x1 <= edge.x1, said
        assert box.y0 >= edge.y0, said
        assert box.y1 <= edge.y1, said
        boxes.append((said, box))
    for i, (first, a) in enumerate(boxes):
        for second, b in boxes[i + 1 :]:
            assert not a.overlaps(b), (first, second)
    assert words_on_lines(figure) == []


def words_on_lines(figure: Figure) -> list[str]:
    """Words of the pictures that stand on ink, as the page without its words shows."""
    texts = [text for axes in figure.axes for text in axes.texts]
    texts = [text for text in texts if text.get_text().strip()]
    boxes = [(text.get_text(), Text.get_window_extent(text)) for text in texts]
    for axes in figure.axes:
        if legend := axes.get_legend():
            boxes.append(("legend", legend.get_window_extent()))
            legend.set_visible(False)
    for text in texts:
        text.set_visible(False)
    data = BytesIO()
    figure.savefig(data, format="rgba", dpi=figure.dpi)
    wide, high = (int(edge) for edge in figure.bbox.size)
    pixels = np.frombuffer(data.getvalue(), np.uint8).reshape(high, wide, 4)
    grey = pixels[::-1, :, :3].min(axis=2)
    shade = int(SHADE[1:3], 16)
    found = []
    for said, box in boxes:
        x0, y0, x1, y1 = (round(edge) for edge in box.extents)
        if grey[y0:y1, x0:x1].min() < shade - 8:
            found.append(said)
    return found


def test_the_arrow_of_the_shortening_ends_at_the_cloth(lesson: Lesson) -> None:
    axes = draw_shortening(panel(), lesson)
    tips = {note.xy for note in axes.texts if isinstance(note, Annotation)}
    wide = 1 + lesson.reduction.girth.strain
    assert tips == {(wide, 0.25), (0.6, lesson.reduction.free_length)}


def test_a_long_name_is_told_small_and_not_over_the_heading(
    make_tube: Tube, make_fabric: Make
) -> None:
    cloth = make_fabric({"stretch": 0.8}, name="a-cloth-with-a-name-" + "x" * 40)
    made = make_lesson(
        make_tube(name="block " + "y" * 80), decide(cloth, load_body("demo"))
    )
    figure = page(made)
    boxes = [Text.get_window_extent(text) for text in figure.texts]
    for i, a in enumerate(boxes):
        assert a.x0 >= figure.bbox.x0
        assert a.x1 <= figure.bbox.x1
        for b in boxes[i + 1 :]:
            assert not a.overlaps(b)


def test_the_heading_names_the_unit(lesson: Lesson) -> None:
    def heads(units: str) -> list[str]:
        return [text.get_text() for text in page(lesson, units).texts]

    assert "4  Fixed cm or a factor" in heads("cm")
    assert "4  Fixed inches or a factor" in heads("in")


def test_the_cautions_and_the_origin_stand_on_the_page(lesson: Lesson) -> None:
    said = "\n".join(text.get_text() for text in page(lesson).texts)
    assert "not medical advice" in said
    assert "not a flotation aid" in said
    assert "firm-tricot (invented)" in said
    assert "Cut (block now): bust 73.0 (88.0)" in said
    assert "cut = body × 0.829" in said


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
