"""Wear of a block: strain and pressure against height, with the bands shaded."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from ease.block.check import WearCheck
from ease.fit.pressure import BANDS
from ease.fit.wear import Loads, WearState
from ease.units import percent_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["draw_pressure", "draw_strain", "wear_alt"]

_ROOM: Final = 0.66  # of the width; right of it no name of a state fits
# Lightest to darkest, so that the order survives black-and-white print.
SHADES: Final = ("#ffffff", "#f3f3f3", "#e6e6e6", "#d8d8d8", "#c9c9c9", "#b9b9b9")
_LABEL_WIDTH: Final = 21  # signs of a line of a band's name
#: White below words, which else stand on grey or on a line.
PAPER: Final = {"boxstyle": "square,pad=0.1", "fc": "white", "ec": "none"}
LINES: Final[dict[WearState, dict[str, Any]]] = {
    "now": {"color": "#000000", "linestyle": "-", "marker": "o"},
    "after_hour": {"color": "#0072B2", "linestyle": "--", "marker": "s"},
    "wet": {"color": "#D55E00", "linestyle": ":", "marker": "^"},
}
NAMES: Final[dict[WearState, str]] = {
    "now": "just put on",
    "after_hour": "after an hour",
    "wet": "wet",
}


def wear_alt(check: WearCheck) -> str:
    """Return what both panels show, in words with their numbers."""
    strains = "; ".join(
        f"{level.name} {100 * strain:.1f} %"
        for level, strain in zip(check.levels, check.sizes.strain, strict=True)
    )
    told = [
        f"Worn strain round the body by level in {check.fabric.name}, against a tested "
        f"stretch of {100 * check.stretch:.0f} %: {strains}."
    ]
    for state, ends in check.states.items():
        sides = "; ".join(
            f"{level.name} {' to '.join(_side_text(end, row) for end in ends)} kPa"
            for row, level in enumerate(check.levels)
        )
        told.append(f"Pressure at the side of the body, {NAMES[state]}: {sides}.")
    if not check.states:
        told.append("No load test: pressure cannot be told.")
    return " ".join(told)


def _side_text(end: Loads, row: int) -> str:
    past = bool(np.isnan(end.side[row]))
    return f"{'over ' * past}{end.least_side[row]:.2f}"


def _heights(axes: Axes, check: WearCheck) -> list[float]:
    heights = [level.y for level in check.levels]
    span = max(heights) - min(heights) or 10.0
    # Room for the names of the states below, and of the bands above.
    axes.set_ylim(max(heights) + 0.30 * span, min(heights) - 0.45 * span)
    labels = [
        level.name if level.loop == "closed" else f"{level.name}\n(cut {level.loop})"
        for level in check.levels
    ]
    axes.set_yticks(heights, labels)
    return heights


def draw_strain(axes: Axes, check: WearCheck) -> Axes:
    """Draw worn strain at each level beside the tested stretch.

    Args:
        axes: Where to draw.
        check: The wear check.
    """
    heights = _heights(axes, check)
    strain = 100 * check.sizes.strain
    axes.plot(strain, heights, color="black", marker="o", gid="strain")
    axes.axvline(100 * check.stretch, color="black", linestyle=(0, (5, 3)))
    axes.annotate(
        "full stretch",
        (100 * check.stretch, axes.get_ylim()[1]),
        xytext=(-4, -3),
        textcoords="offset points",
        rotation=90,
        ha="right",
        va="top",
    )
    for value, y in zip(strain, heights, strict=True):
        # To the left where the line of full stretch would run through it.
        left = _ROOM < value / (100 * check.stretch) < 1.0
        axes.annotate(
            f"{percent_text(value / 100)} %",
            (value, y),
            xytext=(-6 if left else 6, 5),
            textcoords="offset points",
            ha="right" if left else "left",
        )
    right = max(108 * check.stretch, 1.15 * float(strain.max()))
    axes.set_xlim(min(0.0, float(strain.min()) - 5), right)
    axes.set_xlabel("worn strain round the body (%)")
    axes.set_title(f"Strain in {check.fabric.name}", loc="left")
    return axes


def draw_pressure(axes: Axes, check: WearCheck) -> Axes:
    """Draw pressure at the side of the body in each state, over the shaded bands.

    Args:
        axes: Where to draw.
        check: The wear check; without a load test the panel says so.
    """
    heights = _heights(axes, check)
    if not check.states:
        axes.annotate(
            "no load test:\npressure cannot be told",
            (0.5, 0.5),
            xycoords="axes fraction",
            ha="center",
        )
        axes.set_xticks([])
        return axes
    most = max(
        float(end.least_side.max()) for ends in check.states.values() for end in ends
    )
    right = max(1.5, 1.15 * most)
    _shade_bands(axes, right)
    for state, ends in check.states.items():
        for end in ends:
            axes.plot(end.side, heights, **LINES[state], markersize=4, gid=state)
        if len(ends) > 1:
            axes.fill_betweenx(
                heights,
                ends[0].side,
                ends[-1].side,
                color=LINES[state]["color"],
                alpha=0.25,
                linewidth=0,
                gid=f"range {state}",
            )
    axes.set_xlim(0.0, right)
    _point_past(axes, check.states["now"][0], heights)
    _name_states(axes, check, heights)
    axes.set_xlabel("pressure at the side of the body (kPa)")
    axes.set_title("Pressure at the side", loc="left")
    return axes


def _point_past(axes: Axes, now: Loads, heights: list[float]) -> None:
    """Point on from where the load test ends, at levels that are stretched past it."""
    past = np.flatnonzero(np.isnan(now.side))
    least = now.least_side[past]
    at = [heights[row] for row in past]
    axes.plot(
        least, at, color="black", marker=">", linestyle="none", gid="past the test"
    )
    for value, y in zip(least, at, strict=True):
        right = value < _ROOM * axes.get_xlim()[1]
        axes.annotate(
            f"over {value:.2f}: past\nthe load test",
            (value, y),
            xytext=(8 if right else -8, 0),
            textcoords="offset points",
            ha="left" if right else "right",
            va="center",
            bbox=PAPER,
        )


def _name_states(axes: Axes, check: WearCheck, heights: list[float]) -> None:
    """Name each line below its lowest known level, in one column so that none cross."""
    from matplotlib.transforms import offset_copy

    places = {}
    for state, ends in check.states.items():
        known = np.flatnonzero(np.isfinite(ends[0].side))
        if len(known):
            last = int(known[-1])
            places[state] = (float(ends[0].side[last]), heights[last])
    across = [x for x, _ in places.values()] or [0.0]
    # To the left of the lines where there is no room to the right of them.
    left = max(across) > _ROOM * axes.get_xlim()[1]
    column, away, end = (min(across), -22, 1.0) if left else (max(across), 22, 0.0)
    for row, (state, place) in enumerate(
        sorted(places.items(), key=lambda item: (1 if left else -1) * item[1][0])
    ):
        colour = LINES[state]["color"]
        axes.annotate(
            NAMES[state] + ", a range" * (len(check.states[state]) > 1),
            place,
            xytext=(column, max(heights)),
            textcoords=offset_copy(
                axes.transData,
                axes.get_figure(root=True),
                away,
                -12 - 13 * row,
                units="points",
            ),
            va="center",
            ha="right" if left else "left",
            bbox=PAPER,
            arrowprops={
                "arrowstyle": "-",
                "color": colour,
                "linewidth": 0.6,
                "relpos": (end, 0.5),
            },
        )


def _shade_bands(axes: Axes, right: float) -> None:
    top = axes.get_ylim()[1]
    for band, shade in zip(BANDS, SHADES, strict=True):
        if band.low >= right:
            break
        end = min(band.high, right)
        axes.axvspan(band.low, end, facecolor=shade, edgecolor="none", zorder=0)
        axes.annotate(
            fill(band.title, _LABEL_WIDTH),
            (band.low, top),
            xytext=(4, -3),
            textcoords="offset points",
            rotation=90,
            ha="left",
            va="top",
            fontsize=8,
        )
