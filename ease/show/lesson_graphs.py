"""Graphs of the lesson: the window, a fixed amount over sizes, pressure over girth."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ease.block.lesson import Lesson
from ease.fit.decide import Decision, membrane_of
from ease.show.lesson import BLUE, DASHED, INK, LINE, SHADE, TYPE
from ease.units import CM_PER, length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ease.fit.size_run import SizeRun

__all__ = ["draw_falling", "draw_sizes", "draw_window"]


def draw_window(axes: Axes, lesson: Lesson) -> Axes:
    """Draw the window of worn strain with body size outside it.

    Where the cloth has a load test, its tension stands over the strain.

    Args:
        axes: Where to draw.
        lesson: The lesson.
    """
    girth = lesson.reduction.girth
    high = 100 * girth.high.strain if girth.high else 100 * girth.strain
    right = 1.2 * max(high, 100 * girth.strain)
    worn = [100 * state.strain for state in lesson.grown]
    left = min(worn) - 0.48 * right
    top, height = _draw_tension(axes, lesson, right)
    _draw_span(axes, girth, top)
    axes.plot(100 * girth.strain, height, "o", color=INK, markersize=11, gid="decided")
    axes.annotate(
        f"{100 * girth.strain:.1f} %",
        (100 * girth.strain, height),
        xytext=(-9, 6),
        textcoords="offset points",
        ha="right",
        fontweight="bold",
    )
    _draw_body_size(axes, lesson, worn, (left + 0.02 * right, 0.3 * top))
    axes.set_xlim(left, right)
    axes.set_ylim(0.0, top)
    axes.set_xlabel("worn strain (%)", fontsize=TYPE)
    return axes


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
    said = "body size\n0: no pull"
    if len(worn) > 1:
        said += f"\n{lesson.grown[-1].state}: −{abs(worn[-1]):.1f} %"
    axes.annotate(
        said,
        (worn[0], 0.0),
        xytext=place,
        arrowprops={"arrowstyle": "-", "linewidth": 1.5},
        va="bottom",
    )


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
    axes.set_ylabel("pull (N/m)", fontsize=TYPE)
    return 1.5 * float(np.nanmax(pull)), float(pull[-1])


def _draw_span(axes: Axes, girth: Decision, top: float) -> None:
    """Shade the window and write its ends into it."""
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
    axes.text(
        0.5 * (low + high),
        0.97 * top,
        f"window\n{low:.1f} to {high:.1f} %",
        ha="center",
        va="top",
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
    axes.plot(bust, fixed, **LINE, gid="fixed")
    axes.plot(bust, np.full(bust.shape, same), **DASHED, gid="factor")
    _name_sizes(axes, run, bust, units)
    low, high = 100 * float(run.low[0]), 100 * float(run.high[0])
    up = 0.1 if fixed[0] > 0.5 * (low + high) else 0.6
    axes.text(bust[0] + 0.05 * (bust[-1] - bust[0]), low + up * (high - low), "window")
    top = max(float(fixed.max()), same, 100 * float(run.high.max()))
    axes.set_ylim(0.0, 1.22 * top)
    axes.set_xlim(bust[0], bust[-1])
    axes.set_xlabel(f"bust ({units})", fontsize=TYPE)
    axes.set_ylabel("worn strain (%)", fontsize=TYPE)
    return axes


def _name_sizes(axes: Axes, run: SizeRun, bust: Any, units: str) -> None:  # noqa: ANN401 - array of floats
    """Write each line's name beside it, on the side that is free."""
    fixed, same = 100 * run.fixed_strain, 100 * run.factor_strain
    amount = length_text(run.fixed_cm, units).removesuffix(".0")
    above, below = bool(fixed[-1] > same), bool(fixed[0] > same)
    labels = (
        (f"{fixed[0]:.1f} %: {amount} {units} a quarter", 0, fixed[0], True, INK),
        (f"{fixed[-1]:.1f} %", -1, fixed[-1], above, INK),
        (f"factor {run.factor:.3f}", 0, same, not below, BLUE),
    )
    for text, at, y, over, ink in labels:
        axes.annotate(
            text,
            (bust[at], y),
            xytext=(-4 if at else 7, 9 if over else -8),
            textcoords="offset points",
            ha="right" if at else "left",
            va="bottom" if over else "top",
            color=ink,
            fontweight="bold" if ink == INK else "normal",
        )


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
    # Named are the least, the bust, and the largest; the others would crowd them.
    for at in (0, falling.names.index("bust"), -1):
        cm, kpa, last = falling.girth[at], falling.pressure[at], at == -1
        axes.annotate(
            f"{falling.names[at]} {length_text(cm, units)}: {kpa:.2f}",
            (cm * scale, kpa),
            xytext=(8 if last else 5, -14 if last else 6),
            textcoords="offset points",
            ha="right" if last else "left",
            va="top" if last else "bottom",
        )
    if falling.is_example:
        axes.text(
            0.97,
            0.95,
            f"example: {falling.tension:.0f} N/m",
            transform=axes.transAxes,
            ha="right",
            va="top",
        )
    axes.set_xlim(girth[0] * scale, 1.12 * girth[-1] * scale)
    axes.set_ylim(0.0, 1.05 * float(falling.at(girth[:1])[0]))
    axes.set_xlabel(f"girth ({units})", fontsize=TYPE)
    axes.set_ylabel("mean pressure (kPa)", fontsize=TYPE)
    return axes
