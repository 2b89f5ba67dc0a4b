"""Graph of the lesson: pressure over girth at one tension, with the body's own girths."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ease.block.lesson import Lesson
from ease.show.lesson import INK, LINE, TYPE
from ease.show.places import Spot, place_words
from ease.units import CM_PER, length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ease.fit.lesson import Falling

__all__ = ["draw_falling"]


def draw_falling(axes: Axes, lesson: Lesson, *, units: str = "cm") -> Axes:
    """Draw mean pressure against girth at one tension, with the body's own girths.

    Args:
        axes: Where to draw.
        lesson: The lesson.
        units: ``cm`` or ``in``.
    """
    falling = lesson.falling
    scale = 1 / CM_PER[units]
    girth = np.linspace(0.55 * falling.girth[0], 1.1 * falling.girth[-1], 100)
    axes.plot(girth * scale, falling.at(girth), **LINE, gid="pressure")
    axes.plot(
        falling.girth * scale, falling.pressure, "o", color=INK, markersize=9, gid="at"
    )
    if falling.is_example:
        axes.text(
            0.97,
            0.95,
            f"example: {falling.tension:.0f} N/m",
            transform=axes.transAxes,
            ha="right",
            va="top",
            fontsize=TYPE,
        )
    axes.set_xlim(girth[0] * scale, 1.25 * girth[-1] * scale)
    axes.set_ylim(0.0, 1.05 * float(falling.at(girth[:1])[0]))
    axes.set_xlabel(f"girth ({units})", fontsize=TYPE)
    axes.set_ylabel("mean pressure (kPa)", fontsize=TYPE)
    # Named are the largest, below the line, the bust, above it, and the least where it lies
    # well to the left of them; the others would crowd them.
    last, bust = len(falling.names) - 1, falling.names.index("bust")
    spots = {last: _below, bust: _above}
    left, right = axes.get_xlim()
    if _dot(falling, bust, scale)[0] - _dot(falling, 0, scale)[0] > 0.2 * (
        right - left
    ):
        spots[0] = _over
    for at in dict.fromkeys((last, bust, *spots)):
        x, kpa = _dot(falling, at, scale)
        place_words(
            axes,
            f"{falling.names[at]} {length_text(falling.girth[at], units)}: {kpa:.2f}",
            spots[at](x, kpa),
            (x, kpa),
            fontsize=TYPE,
        )
    return axes


def _dot(falling: Falling, at: int, scale: float) -> tuple[float, float]:
    return float(falling.girth[at]) * scale, float(falling.pressure[at])


def _below(x: float, y: float) -> list[Spot]:
    """Return places below a point, to either side of it."""
    return [
        Spot(x, y, "center", "top", across, -down)
        for down in (10.0, 14.0, 20.0, 26.0)
        for across in (0.0, -15.0, 15.0, -30.0, 30.0, -45.0)
    ]


def _above(x: float, y: float) -> list[Spot]:
    """Return places above a point, to either side of it."""
    return [
        Spot(x, y, "center", "bottom", across, up)
        for up in np.arange(6.0, 90.0, 3.0).tolist()
        for across in (0.0, 10.0, 20.0, 30.0, 40.0, -10.0, -20.0, -30.0)
    ]


def _over(x: float, y: float) -> list[Spot]:
    """Return places over a point, its line running straight up."""
    return [Spot(x, y, "left", "bottom", 5.0, up) for up in range(6, 110, 3)]
