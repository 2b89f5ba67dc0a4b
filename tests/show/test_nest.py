"""The nested picture: every size drawn once, together at centre and anchor, named."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.text import Annotation

from ease.block.grade import Grading, grade
from ease.body.sizes import load_size_run
from ease.files.size_dashes import size_dashes
from ease.fit.aims import AIMS
from ease.show.figure import figure_bytes
from ease.show.nest import LABEL_CM, draw_nest, nest_size


@pytest.fixture(scope="module")
def graded() -> Grading:
    return grade(load_size_run("astm-95").bodies, None, AIMS["regular"])


@pytest.fixture
def figure(graded: Grading) -> Figure:
    figure = Figure(figsize=nest_size(graded.blocks))
    FigureCanvasAgg(figure)
    draw_nest(figure.add_subplot(), graded.blocks, labels_of(graded), title="All")
    figure.canvas.draw()
    return figure


def named(figure: Figure) -> list[Annotation]:
    return [
        text
        for text in figure.axes[0].texts
        if isinstance(text, Annotation) and str(text.get_gid()).startswith("size")
    ]


def labels_of(graded: Grading) -> list[str]:
    return [size.label for size in graded.made]


def test_each_size_of_each_piece_is_drawn_once(graded: Grading, figure: Figure) -> None:
    drawn = [
        patch.get_gid()
        for patch in figure.axes[0].patches
        if isinstance(patch, PathPatch)
    ]
    assert drawn == [
        f"{piece} {row}"
        for piece in ("front", "back")
        for row in range(len(graded.made))
    ]


def test_centre_lines_and_anchors_lie_together(graded: Grading, figure: Figure) -> None:
    (guide,) = [
        line for line in figure.axes[0].lines if line.get_gid() == "level waist"
    ]
    y = float(np.asarray(guide.get_ydata())[0])
    fronts = [p for p in figure.axes[0].patches if str(p.get_gid()).startswith("front")]
    for patch, size in zip(fronts, graded.made, strict=True):
        block = size.block
        assert block is not None
        points = np.asarray(patch.get_path().vertices, dtype=float)
        assert points[:, 0].min() == pytest.approx(0.0, abs=1e-9)
        own = np.concatenate([edge.control for edge in block.piece("front").edges])
        top = own.reshape(-1, 2)[:, 1].min() - block.level("waist").y
        assert points[:, 1].min() - y == pytest.approx(top, abs=1e-9)


def test_every_size_is_named_at_every_piece(graded: Grading, figure: Figure) -> None:
    texts = named(figure)
    names = [text.get_text() for text in texts]
    assert sorted(names) == sorted(2 * labels_of(graded))
    for piece in (texts[: len(names) // 2], texts[len(names) // 2 :]):
        heights = sorted(float(text.xyann[1]) for text in piece)
        assert np.diff(heights).min() >= LABEL_CM - 1e-9


def test_labels_do_not_overlap(figure: Figure) -> None:
    boxes = [text.get_window_extent() for text in named(figure)]
    for place, box in enumerate(boxes):
        for other in boxes[place + 1 :]:
            both = min(box.y1, other.y1) - max(box.y0, other.y0)
            beside = min(box.x1, other.x1) - max(box.x0, other.x0)
            assert both < 2.0 or beside <= 0  # pixels: a hair of line spacing


def test_nothing_is_told_by_colour(figure: Figure) -> None:
    patches = [p for p in figure.axes[0].patches if isinstance(p, PathPatch)]
    assert {p.get_edgecolor() for p in patches} == {(0.0, 0.0, 0.0, 1.0)}


def test_dashes_are_those_of_the_print(graded: Grading, figure: Figure) -> None:
    patches = [p for p in figure.axes[0].patches if isinstance(p, PathPatch)]
    drawn = [p.get_linestyle() for p in patches[: len(graded.made)]]
    assert drawn[-1] == "solid"
    told = [() if line == "solid" else tuple(line[1]) for line in drawn]
    assert told == size_dashes(len(graded.made))


def test_the_picture_is_the_same_each_time(graded: Grading) -> None:
    def draw(figure: Figure) -> object:
        return draw_nest(figure.add_subplot(), graded.blocks, labels_of(graded))

    size = nest_size(graded.blocks)
    first, second = (
        figure_bytes(draw, "svg", size_in=size, title="t") for _ in range(2)
    )
    assert first == second
    assert BytesIO(first).read(5) == b"<?xml"


def test_one_size_alone_can_be_drawn(graded: Grading) -> None:
    figure = Figure()
    draw_nest(figure.add_subplot(), graded.blocks[:1], ["2"])
    names = [text.get_text() for text in figure.axes[0].texts]
    assert names.count("2") == 2
