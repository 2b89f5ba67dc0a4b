"""The lesson on one A4 page, lying: six pictures, the block, and the cautions."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Final

from ease.block.lesson import Lesson
from ease.block.lesson_words import factor_text, shortens
from ease.show.lesson import TYPE, draw_shortening, draw_stretch, draw_two_cuts
from ease.show.lesson_falling import draw_falling
from ease.show.lesson_graphs import draw_sizes, draw_window
from ease.units import CM_PER, length_text, percent_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

__all__ = ["SIZE_IN", "draw_page"]

# A4 lying: 297 by 210 mm. Source key: iso-216.
SIZE_IN: Final = (29.7 / CM_PER["in"], 21.0 / CM_PER["in"])
LEFTS: Final = (0.028, 0.362, 0.696)
WIDTH: Final = 0.285
ROWS: Final = ((0.525, 0.325), (0.115, 0.325))  # foot and height of each row
INDENT: Final = (0.045, 0.065)  # room for the scales of a graph, beside and below
FOOT: Final = 1 - 2 * LEFTS[0]  # the words at the foot, a share of the page
GAP: Final = 0.02  # between heading and what the sheet is about


def draw_page(figure: Figure, lesson: Lesson, *, units: str = "cm") -> Figure:
    """Draw the whole lesson on a figure of ``SIZE_IN``.

    Args:
        figure: An empty figure.
        lesson: The lesson.
        units: ``cm`` or ``in``.
    """
    figure.set_layout_engine("none")
    _head(figure, lesson)
    long_unit = "inches" if units == "in" else "cm"
    steps: tuple[tuple[str, bool, Callable[..., Axes]], ...] = (
        (_stretch_title(lesson), False, partial(draw_stretch, units=units)),
        ("2  25 % is not 25 %", False, partial(draw_two_cuts, units=units)),
        ("3  Body size: no hold", True, draw_window),
        (f"4  Fixed {long_unit} or a factor", True, partial(draw_sizes, units=units)),
        (_shortening_title(lesson), False, partial(draw_shortening, units=units)),
        ("6  More girth, less hold", True, partial(draw_falling, units=units)),
    )
    for place, (title, is_graph, draw) in enumerate(steps):
        foot, height = ROWS[place // 3]
        left = LEFTS[place % 3]
        figure.text(left, foot + height + 0.016, title, fontsize=17, weight="bold")
        x, y = INDENT if is_graph else (0.0, 0.0)
        axes = figure.add_axes((left + x, foot + y, WIDTH - x, height - y))
        draw(axes, lesson)
        _enlarge(axes)
    _foot(figure, lesson, units)
    return figure


def _stretch_title(lesson: Lesson) -> str:
    return f"1  Pull: {percent_text(lesson.pulled[0].reading.stretch, 0)} % stretch"


def _shortening_title(lesson: Lesson) -> str:
    return f"5  Wider{' means' if shortens(lesson) else ', not'} shorter"


def _enlarge(axes: Axes) -> None:
    """Give every word the type of the page, and the frame its weight."""
    for text in axes.texts:
        text.set_fontsize(max(TYPE, float(text.get_fontsize())))
    axes.tick_params(labelsize=TYPE, width=1.5, length=5)
    axes.locator_params(nbins=5)
    for spine in axes.spines.values():
        spine.set_linewidth(1.5)


def _head(figure: Figure, lesson: Lesson) -> None:
    fabric, body = lesson.reduction.fabric, lesson.reduction.body
    title = figure.text(
        LEFTS[0],
        0.935,
        "Why swimwear is cut below body size",
        fontsize=24,
        weight="bold",
    )
    about = figure.text(
        1 - LEFTS[0],
        0.945,
        f"{fabric.name} ({fabric.origin})\non {body.name} ({body.origin})\n"
        f"block {lesson.block.name}",
        fontsize=TYPE,
        ha="right",
        va="center",
    )
    used = title.get_window_extent().x1 / figure.bbox.x1
    _fit(figure, about, 1 - LEFTS[0] - used - GAP)


def _fit(figure: Figure, words: Text, share: float) -> None:
    """Make words smaller until they are no wider than a share of the page."""
    wide = share * figure.bbox.width
    # Letters of another size are not exactly in step with it.
    while (now := words.get_window_extent().width) > wide:
        words.set_fontsize(float(words.get_fontsize()) * min(wide / now, 0.99))


def _foot(figure: Figure, lesson: Lesson, units: str) -> None:
    cuts = [
        f"{row.name} {length_text(row.cut_cm, units)} "
        f"({length_text(row.block_cm, units)})"
        for row in lesson.levels[:4]
    ]
    said = (
        f"7  Cut (block now): {', '.join(cuts)} {units}; cut = body × "
        f"{factor_text(lesson)}"
    )
    caution = (
        "Pressure figures are comfort estimates, not medical advice. "
        "A swimsuit is not a flotation aid."
    )
    _fit(figure, figure.text(LEFTS[0], 0.055, said, fontsize=17, weight="bold"), FOOT)
    figure.text(LEFTS[0], 0.018, caution, fontsize=TYPE)
