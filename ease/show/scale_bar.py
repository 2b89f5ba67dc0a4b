"""A bar of known length under a picture of a block."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from ease.units import CM_PER

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["draw_scale_bar"]

# Nearly the same length: a round number on either ruler.
_LENGTHS: Final = {"cm": 10, "in": 4}


def draw_scale_bar(axes: Axes, y: float, units: str) -> None:
    """Draw a bar of 10 cm, or of 4 in, from x = 0, and say how long it is.

    Args:
        axes: Axes in cm.
        y: Its height on them.
        units: ``cm`` or ``in``.
    """
    length = _LENGTHS[units]
    end = length * CM_PER[units]
    axes.plot([0.0, end], [y, y], color="black", linewidth=1.5, gid="scale bar")
    axes.annotate(
        f"{length} {units} (not to scale for cutting)",
        (end, y),
        xytext=(4, 0),
        textcoords="offset points",
        va="center",
    )
