"""The construction of a draft as a picture with numbered steps."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from ease.block.draft_steps import DRAFT_STEPS
from ease.sentence import in_units
from ease.show.figure import GUIDE
from ease.show.outlines import outline_path
from ease.show.scale_bar import draw_scale_bar
from ease.units import length_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ease.block.pieces import Block, Piece

__all__ = ["SIZE_IN", "draw_draft"]

SIZE_IN: Final = (11.0, 8.5)
GAP_CM: Final = 12.0
STEPS_CM: Final = 16.0  # right of the pieces, past the names of the levels
TEXT_CM: Final = 57.0
_TEXT_WIDTH: Final = 60
_NUMBER_CM: Final = 1.0  # between a step's number and its text


def draw_draft(axes: Axes, block: Block, *, units: str = "cm", title: str = "") -> Axes:
    """Draw a drafted block with its levels, torso loop and numbered steps.

    Args:
        axes: Where to draw; limits, aspect and ticks are set.
        block: A block as ``draft_block`` makes it.
        units: Units of the figures, ``cm`` or ``in``.
        title: Heading.
    """
    front, back = block.piece("front"), block.piece("back")
    offsets = {"front": 0.0, "back": _width(front) + GAP_CM}
    right = offsets["back"] + _width(back)
    _draw_levels(axes, block, right, units)
    for piece in (front, back):
        _draw_piece(axes, piece, offsets[piece.name])
    _draw_loop(axes, block, offsets)
    _draw_numbers(axes, block, offsets)
    corners = np.concatenate([edge.control for p in (front, back) for edge in p.edges])
    top, bottom = float(corners[..., 1].min()), float(corners[..., 1].max())
    _write_steps(axes, right + STEPS_CM, top, units)
    draw_scale_bar(axes, bottom + 4.0, units)
    axes.set_xlim(-6.0, right + STEPS_CM + TEXT_CM)
    axes.set_ylim(bottom + 6.0, top - 5.0)
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.set_title(title, loc="left", fontsize=10)
    return axes


def _width(piece: Piece) -> float:
    return max(float(edge.control[..., 0].max()) for edge in piece.edges)


def _draw_piece(axes: Axes, piece: Piece, offset: float) -> None:
    from matplotlib.patches import PathPatch

    path = outline_path(piece, offset)
    axes.add_patch(PathPatch(path, fill=False, linewidth=1.6, gid=piece.name))
    middle = piece.point("neck_centre") * 0.35 + piece.point("crotch_centre") * 0.65
    axes.text(
        offset + 1.0,
        float(middle[1]),
        f"{piece.name}, on fold",
        rotation=90,
        va="center",
    )


def _draw_levels(axes: Axes, block: Block, right: float, units: str) -> None:
    for level in block.levels:
        axes.plot(
            [-2.0, right + 2.0], [level.y] * 2, **GUIDE, gid=f"level {level.name}"
        )
        depth = length_text(level.y, units)
        axes.text(
            right + 2.5,
            level.y,
            f"{level.name}\n{depth} {units}\nbelow nape",
            va="center",
            fontsize=8,
        )


def _draw_loop(axes: Axes, block: Block, offsets: dict[str, float]) -> None:
    for run in block.loop_path:
        way = np.array(
            [block.point(ref) + np.array([offsets[ref.piece], 0.0]) for ref in run]
        )
        axes.plot(
            way[:, 0],
            way[:, 1],
            color="#444444",
            linestyle=(0, (6, 2, 1, 2)),
            linewidth=1.0,
            marker="+",
            markersize=8,
            gid="torso loop",
        )


def _draw_numbers(axes: Axes, block: Block, offsets: dict[str, float]) -> None:
    levels = {level.name: level.y for level in block.levels}
    for step in DRAFT_STEPS:
        name, point = step.at
        piece = block.piece(name)
        if point in levels:
            # Beside the side seam at that level.
            control = np.concatenate([edge.control for edge in piece.edges])[:, 0]
            near = control[
                np.argmin(np.abs(control[:, 1] - levels[point]) - control[:, 0] / 50)
            ]
            x, y = float(near[0]), levels[point]
        else:
            x, y = (float(value) for value in piece.point(point))
        axes.annotate(
            str(step.number),
            (offsets[name] + x, y),
            xytext=(9, -9),
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=8,
            fontweight="bold",
            bbox={
                "boxstyle": "circle,pad=0.25",
                "fc": "white",
                "ec": "black",
                "lw": 0.8,
            },
            gid=f"step {step.number}",
        )


def _write_steps(axes: Axes, x: float, top: float, units: str) -> None:
    """Write the steps, their numbers flush right in a column of their own."""
    rows, numbers = [], []
    for step in DRAFT_STEPS:
        what = in_units(step.what, units)
        text = f"{step.title}: {what}. Why: {step.why}."
        rows.append(fill(text, _TEXT_WIDTH))
        numbers.append(f"{step.number}" + "\n" * rows[-1].count("\n"))
    look: dict[str, Any] = {"va": "top", "fontsize": 7.5, "linespacing": 1.15}
    axes.text(x, top, "\n\n".join(rows), gid="steps", **look)
    at = x - _NUMBER_CM
    axes.text(at, top, "\n\n".join(numbers), ha="right", gid="numbers", **look)
