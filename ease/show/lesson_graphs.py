"""Graphs of the lesson: the window, and a fixed amount over sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.block.lesson import Lesson
from ease.block.lesson_words import factor_text, percents
from ease.fit.decide import Decision, membrane_of
from ease.show.lesson import DASHED, INK, LINE, SHADE, TYPE
from ease.show.places import Spot, place_words
from ease.units import CM_PER, length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ease.fit.size_run import SizeRun

__all__ = ["draw_sizes", "draw_window"]

FloatArray = NDArray[np.float64]
_SIDES: Final[tuple[tuple[Literal["left", "center", "right"], float], ...]] = (
    ("right", -9),
    ("left", 9),
    ("center", 0),
)
WORDS_SHARE: Final = 0.5  # of the picture of the window: room for what body size does
NUMBER_SHARE: Final = 0.3  # of it: room for the strain that was decided


def draw_window(axes: Axes, lesson: Lesson) -> Axes:
    """Draw the window of worn strain, and where body size lies.

    Where the cloth has a load test, its tension stands over the strain.

    Args:
        axes: Where to draw.
        lesson: The lesson.
    """
    girth = lesson.reduction.girth
    decided = 100 * girth.strain
    high = 100 * girth.high.strain if girth.high else decided
    low = 100 * girth.low.strain if girth.low else 0.0
    worn = [100 * state.strain for state in lesson.grown]
    left, right = _ends(min(worn), low, max(high, decided), 1.25)
    if max(decided - low, right - decided) < NUMBER_SHARE * (right - left):
        # The number fits neither into the window nor beside it.
        left, right = _ends(min(worn), low, max(high, decided), 1.55)
    top, height = _draw_tension(axes, lesson, right)
    axes.set_xlim(left, right)
    axes.set_ylim(0.0, top)
    axes.set_xlabel("worn strain (%)", fontsize=TYPE)
    axes.plot(decided, height, "o", color=INK, markersize=11, gid="decided")
    _draw_span(axes, girth)
    _draw_body_size(axes, lesson, worn, (left + 0.02 * right, 0.3 * top))
    _name_window(axes, girth, top)
    spots = _round_decided(decided, height, 0.5 * (low + high))
    text = f"{decided:.1f} %"
    place_words(axes, text, spots, fontsize=TYPE, fontweight="bold")
    return axes


def _round_decided(x: float, y: float, middle: float) -> list[Spot]:
    """Return places for a number: at its point, in the window, and further away."""
    return [
        Spot(x, y, "right", "bottom", -9, 6),
        Spot(x, y, "left", "top", 9, -6),
        Spot(x, y, "left", "bottom", 9, 6),
        Spot(x, y, "left", "top", -8, -18),
        Spot(x, y, "left", "top", -20, -26),
        *(Spot(middle, y, "center", "bottom", 0, dy) for dy in (14, 26, 38)),
        *(Spot(x, y, h, "bottom", dx, dy) for dy in (20, 34, 48) for h, dx in _SIDES),
        *(Spot(x, y, h, "top", dx, -dy) for dy in (6, 20, 34, 48) for h, dx in _SIDES),
    ]


def _ends(least: float, low: float, high: float, beyond: float) -> tuple[float, float]:
    """Return the ends of the scale: left of the window is room for words."""
    right = beyond * high
    share = WORDS_SHARE
    return min(least - 0.05 * right, (low - share * right) / (1 - share)), right


def _draw_body_size(
    axes: Axes, lesson: Lesson, worn: list[float], place: tuple[float, float]
) -> None:
    """Mark the suit at body size, new, grown and wet, and say at a place what it is."""
    axes.plot(
        worn,
        np.zeros(len(worn)),
        "o",
        color=INK,
        markerfacecolor="white",
        markeredgewidth=2.2,
        markersize=9,
        clip_on=False,
        gid="body size",
    )
    said = "body size\n0: no hold"
    if percents(worn[-1] / 100) != 0:
        sign = "−" if worn[-1] < 0 else "+"
        said += f"\n{lesson.grown[-1].state}: {sign}{abs(worn[-1]):.1f} %"
    x, y = place
    axes.plot([0.5 * (x + worn[0]), worn[0]], [0.95 * y, 0.06 * y], color=INK, lw=1.5)
    axes.text(*place, said, va="bottom", fontsize=TYPE)


def _draw_tension(axes: Axes, lesson: Lesson, right: float) -> tuple[float, float]:
    """Draw tension over strain; return the top of the scale and the decided tension."""
    reduction = lesson.reduction
    membrane = membrane_of(reduction.fabric, reduction.round_body)
    if membrane is None:
        axes.set_yticks([])
        return 1.0, 0.0
    last = min(0.01 * right, float(membrane.girth.last_strain))
    strains = np.append(np.linspace(0.0, last, 80), reduction.girth.strain)
    down = reduction.length.strain
    pull, _ = membrane.tensions(strains, down, outside="nan")
    axes.plot(100 * strains[:-1], pull[:-1], **LINE, gid="tension")
    axes.set_ylabel("tension (N/m)", fontsize=TYPE)
    return 1.75 * float(np.nanmax(pull)), float(pull[-1])


def _draw_span(axes: Axes, girth: Decision) -> None:
    """Shade the window."""
    if girth.low is None or girth.high is None:
        return
    low, high = 100 * girth.low.strain, 100 * girth.high.strain
    axes.axvspan(
        low,
        high,
        facecolor=SHADE,
        edgecolor=INK,
        linewidth=1.5,
        zorder=0,
        gid="window",
    )


def _name_window(axes: Axes, girth: Decision, top: float) -> None:
    """Write the ends of the window into it, or beside it."""
    if girth.low is None or girth.high is None:
        return
    low, high = 100 * girth.low.strain, 100 * girth.high.strain
    place_words(
        axes,
        f"window\n{low:.1f} to\n{high:.1f} %",
        [
            Spot(0.5 * (low + high), 0.98 * top, "center", "top"),
            Spot(low, 0.98 * top, "right", "top", -5),
            Spot(high, 0.98 * top, "left", "top", 5),
        ],
        fontsize=TYPE,
    )


def draw_sizes(axes: Axes, lesson: Lesson, *, units: str = "cm") -> Axes:
    """Draw worn strain against bust, for the fixed amount and for the factor.

    Args:
        axes: Where to draw.
        lesson: The lesson.
        units: ``cm`` or ``in``.
    """
    run = lesson.sizes
    bust = run.bust / CM_PER[units]
    fixed, same = 100 * run.fixed_strain, 100 * run.factor_strain
    axes.fill_between(
        bust,
        100 * run.low,
        100 * run.high,
        facecolor=SHADE,
        edgecolor=INK,
        linewidth=1.0,
        gid="window",
    )
    amount = length_text(run.fixed_cm, units).removesuffix(".0")
    axes.plot(bust, fixed, **LINE, gid="fixed", label=f"{amount} {units} a quarter")
    axes.plot(
        bust,
        np.full(bust.shape, same),
        **DASHED,
        gid="factor",
        label=f"factor {factor_text(lesson)}",
    )
    top = max(float(fixed.max()), same, 100 * float(run.high.max()))
    axes.set_ylim(0.0, 1.62 * top)  # above are two lines of the legend and a number
    axes.set_xlim(bust[0], bust[-1])
    axes.set_xlabel(f"bust ({units})", fontsize=TYPE)
    axes.set_ylabel("worn strain (%)", fontsize=TYPE)
    axes.legend(
        loc="upper left",
        frameon=False,
        fontsize=TYPE,
        **{"borderpad": 0, "labelspacing": 0.2, "handlelength": 2.2},
    )
    _name_sizes(axes, run, bust)
    return axes


def _name_sizes(axes: Axes, run: SizeRun, bust: FloatArray) -> None:
    """Write the strains of the first and the last size at their line, and the window."""
    fixed = 100 * run.fixed_strain
    # The line falls: below it a word hangs at its right end, above it at its left one.
    inner = (0.7 * bust[0] + 0.3 * bust[-1], 0.3 * bust[0] + 0.7 * bust[-1])
    at = [float(np.interp(x, bust, fixed)) for x in inner]
    ends = (
        (
            Spot(bust[0], fixed[0], "left", "bottom", 6, 4),
            Spot(inner[0], at[0], "right", "top", -2, -5),
        ),
        (
            Spot(bust[-1], fixed[-1], "right", "top", -4, -5),
            Spot(inner[1], at[1], "left", "bottom", 2, 4),
        ),
    )
    for value, spots in zip((fixed[0], fixed[-1]), ends, strict=True):
        place_words(axes, f"{value:.1f} %", spots, fontsize=TYPE, fontweight="bold")
    places = np.linspace(bust[0], bust[-1], 9)[1:-1]
    low, high = (100 * np.interp(places, bust, x) for x in (run.low, run.high))
    middles = [
        Spot(x, bottom + up * (roof - bottom), "center", "center")
        for up in (0.5, 0.3, 0.7, 0.15, 0.85)
        for x, bottom, roof in zip(places, low, high, strict=True)
    ]
    place_words(axes, "window", middles, fontsize=TYPE)
