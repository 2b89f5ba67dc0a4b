"""Tension against strain as a picture: a load test with its spread, or a profile."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from ease.fabric.load_test import Band, LoadResult
from ease.fabric.profile import DIRECTIONS, DirectionName, Fabric
from ease.fabric.sweep_line import FEW
from ease.fabric.tension import Branch

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["SIZE_IN", "draw_curves", "draw_load_test"]


SIZE_IN: Final = (6.2, 4.6)
MOST_POINTS: Final = 20  # of one way; a tester's thousands would hide the lines
MARKS: Final = "os^Dv"
LOADING: Final[dict[str, Any]] = {
    "color": "#000000",
    "linestyle": "-",
    "linewidth": 1.8,
}
UNLOADING: Final[dict[str, Any]] = {
    "color": "#0072B2",
    "linestyle": (0, (5, 2)),
    "linewidth": 1.8,
}
FIRST: Final[dict[str, Any]] = {
    "color": "#767676",
    "linestyle": (0, (1, 2)),
    "linewidth": 1.2,
}
TWO: Final[dict[DirectionName, str]] = {"across": "#000000", "along": "#0072B2"}


def draw_load_test(axes: Axes, result: LoadResult) -> Axes:
    """Draw the points, the band between repeats and both branches of one direction.

    Args:
        axes: Where to draw.
        result: One direction of a load test.
    """
    if result.repeats > 1:
        for band in (result.loading, result.unloading):
            if band is not None:
                _draw_band(axes, band)
    for sweep in result.points:
        few = sweep.strain.size <= FEW
        step = 1 if few else sweep.strain.size // MOST_POINTS
        up = sweep.branch == "loading"
        ink = LOADING["color"] if up else UNLOADING["color"]
        axes.plot(
            100 * sweep.strain[::step],
            sweep.tension[::step],
            linestyle="none",
            marker=MARKS[(sweep.repeat - 1) % len(MARKS)],
            markersize=4 if few else 3,
            markeredgewidth=0.8,
            color=ink,
            markerfacecolor=ink if up else "white",
            gid=f"points {sweep.name}",
        )
    curve = result.curve
    _draw_branch(axes, curve.loading, LOADING, "loading")
    _label(axes, curve.loading, 0.62, "loading", LOADING["color"], above=True)
    if curve.unloading is not None:
        _draw_branch(axes, curve.unloading, UNLOADING, "unloading")
        _label(
            axes, curve.unloading, 0.55, "unloading", UNLOADING["color"], above=False
        )
    if result.first is not None:
        _draw_branch(axes, result.first, FIRST, "first cycle")
        _label(axes, result.first, 0.4, "first cycle", "#5a5a5a", above=True)
    highest = [curve.loading.last_tension, float(result.loading.most[-1])]
    if result.first is not None:
        highest.append(result.first.last_tension)
    _finish(axes, curve.last_strain, max(highest))
    repeats = f"{result.repeats} repeat{'s' * (result.repeats > 1)}"
    axes.set_title(f"Pulled {result.direction}, {repeats}", loc="left")
    return axes


def draw_curves(axes: Axes, fabric: Fabric) -> Axes:
    """Draw the tension curves of a fabric, both directions, loading and unloading.

    Args:
        axes: Where to draw.
        fabric: A fabric; without a load test the panel says so.
    """
    drawn: list[Branch] = []
    for name in DIRECTIONS:
        cloth = fabric.direction(name)
        if cloth is None or cloth.tension is None:
            continue
        ink = {"color": TWO[name]}
        up = cloth.tension.loading
        _draw_branch(axes, up, LOADING | ink, f"{name}, loading")
        axes.annotate(
            name,
            (100 * up.last_strain, up.last_tension),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            color=TWO[name],
        )
        if (back := cloth.tension.unloading) is not None:
            _draw_branch(axes, back, UNLOADING | ink, f"{name}, unloading")
        drawn.append(up)
    if not drawn:
        axes.text(0.5, 0.5, "no load test", transform=axes.transAxes, ha="center")
        axes.set_axis_off()
        return axes
    _finish(
        axes,
        max(branch.last_strain for branch in drawn),
        max(branch.last_tension for branch in drawn),
    )
    axes.set_title(f"{fabric.title} ({fabric.origin})", loc="left")
    axes.text(
        0.02,
        0.97,
        "solid: loading\ndashed: unloading",
        transform=axes.transAxes,
        va="top",
        fontsize="small",
    )
    return axes


def _draw_band(axes: Axes, band: Band) -> None:
    axes.fill_between(
        100 * band.strain,
        band.least,
        band.most,
        color="#d9d9d9",
        linewidth=0,
        zorder=0,
        gid="band between repeats",
    )


def _draw_branch(axes: Axes, branch: Branch, look: dict[str, Any], gid: str) -> None:
    strain = np.union1d(
        branch.strain, np.linspace(branch.strain[0], branch.last_strain, 200)
    )
    axes.plot(100 * strain, branch.tension_at(strain), gid=gid, **look)


def _label(
    axes: Axes, branch: Branch, share: float, text: str, ink: str, *, above: bool
) -> None:
    """Write a line's name beside it, clear of the line."""
    strain = branch.strain[0] + share * (branch.last_strain - branch.strain[0])
    axes.annotate(
        text,
        (100 * strain, float(branch.tension_at(strain))),
        xytext=(-8, 8) if above else (8, -8),
        textcoords="offset points",
        ha="right" if above else "left",
        va="bottom" if above else "top",
        color=ink,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
    )


def _finish(axes: Axes, strain: float, tension: float) -> None:
    axes.set_xlim(0, 112 * strain)
    axes.set_ylim(0, 1.08 * tension)
    axes.set_xlabel("strain (% of relaxed length)")
    axes.set_ylabel("tension of one layer (N per metre of width)")
