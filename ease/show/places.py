"""Where a word may stand in a picture: inside it, and clear of lines and other words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.legend import Legend
    from matplotlib.text import Annotation, Text

__all__ = ["Spot", "clearance", "place_words"]

FloatArray = NDArray[np.float64]
Dot = tuple[float, float]
CLEAR_PT: Final = 3.0  # so far from a line a word is easily told from it
APART_PT: Final = 7.0  # beyond it the eye wants a line from a word to its point
_STEP: Final = 2.0  # a line is looked at every so many dots
_POINTS_PER_INCH: Final = 72.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for a word.

    Attributes:
        x: Where its corner or edge stands, in the units of the picture.
        y: The same upwards.
        ha: Which part of the word stands there.
        va: The same upwards.
        dx: How far it is moved from there to the right, points.
        dy: The same upwards.
    """

    x: float
    y: float
    ha: Literal["left", "center", "right"] = "left"
    va: Literal["bottom", "center", "top"] = "bottom"
    dx: float = 0.0
    dy: float = 0.0


def place_words(
    axes: Axes,
    words: str,
    spots: Sequence[Spot],
    point: Dot | None = None,
    **style: Any,  # noqa: ANN401 - as the library takes it
) -> Annotation:
    """Write words at the first spot that is clear, or else at the clearest.

    Limits must be set and lines drawn before.

    Args:
        axes: Where to write.
        words: What to write.
        spots: Places to try, the best first.
        point: What they name, in the units of the picture: a thin line leads there from
            words that do not stand beside it.
        **style: Font and colour.
    """
    note = axes.annotate(
        words, (0, 0), xytext=(0, 0), textcoords="offset points", **style
    )
    found = []
    for spot in spots:
        _move(note, spot)
        found.append(min(clearance(axes, note), _lead_clearance(axes, note, point)))
        if found[-1] >= CLEAR_PT:
            break
    _move(note, spots[int(np.argmax(found))])
    lead = _lead(axes, note, point)
    if len(lead):
        ends = axes.transData.inverted().transform(lead[[0, -1]])
        axes.plot(*ends.T, color=note.get_color(), linewidth=0.8, gid="leader")
    return note


def _lead_clearance(axes: Axes, note: Annotation, point: Dot | None) -> float:
    """Return how far the line to a point stands from other words, points."""
    lead = _lead(axes, note, point)
    near = [
        float(_to_points(box, lead).min()) for box in _words_of(axes, note) if len(lead)
    ]
    return min(near, default=np.inf) * _POINTS_PER_INCH / float(axes.figure.dpi)


def _lead(axes: Axes, words: Annotation, point: Dot | None) -> FloatArray:
    """Return dots of a line from a point to its words, none where they stand close."""
    if point is None:
        return np.empty((0, 2))
    box, at = _box(words), axes.transData.transform(point)
    near = np.clip(at, box[:2], box[2:])
    apart, inch = float(np.hypot(*(near - at))), float(axes.figure.dpi)
    if apart * _POINTS_PER_INCH / inch <= APART_PT:
        return np.empty((0, 2))
    short = 1.0 - CLEAR_PT * inch / _POINTS_PER_INCH / apart
    return _dense(np.array([at, at + short * (near - at)]))


def _move(note: Annotation, spot: Spot) -> None:
    note.xy = (spot.x, spot.y)
    note.set_position((spot.dx, spot.dy))
    note.set_horizontalalignment(spot.ha)
    note.set_verticalalignment(spot.va)


def clearance(axes: Axes, words: Annotation) -> float:
    """Return how far words stand from what is drawn, from other words and the edge.

    Args:
        axes: The picture.
        words: Words of it.

    Returns:
        The least distance, points; 0 where they touch, below 0 outside the picture.
    """
    box = _box(words)
    edge = axes.get_window_extent().extents
    inside = float(min(*(box[:2] - edge[:2]), *(edge[2:] - box[2:])))
    near = [inside]
    near += [
        float(_to_points(box, ink).min()) - half for ink, half in _ink(axes) if len(ink)
    ]
    near += [_to_box(box, other) for other in _words_of(axes, words)]
    # The figure knows how many dots its inch has.
    return min(near) * _POINTS_PER_INCH / float(axes.figure.dpi)


def _box(drawn: Text | Legend) -> FloatArray:
    """Return left, foot, right and top of what is drawn, dots of the page."""
    return np.asarray(drawn.get_window_extent().extents)


def _words_of(axes: Axes, but: Annotation) -> Iterator[FloatArray]:
    for text in axes.texts:
        if text is not but and text.get_text().strip():
            yield _box(text)
    legend = axes.get_legend()
    if legend is not None:
        yield _box(legend)


def _ink(axes: Axes) -> Iterator[tuple[FloatArray, float]]:
    """Yield lines, and marks with their half width, in dots of the page."""
    point = float(axes.figure.dpi) / _POINTS_PER_INCH
    for line in axes.lines:
        at = line.get_transform().transform(line.get_xydata())
        if line.get_linestyle() != "None":
            yield _dense(at), 0.0
        if line.get_marker() not in ("None", None):
            yield at, 0.5 * line.get_markersize() * point
    for patch in axes.patches:
        path = patch.get_transform().transform_path(patch.get_path())
        for polygon in path.to_polygons(closed_only=False):
            yield _dense(np.asarray(polygon)), 0.0
    for area in axes.collections:
        for path in area.get_paths():
            yield _dense(area.get_transform().transform(path.vertices)), 0.0


def _dense(corners: Any) -> FloatArray:  # noqa: ANN401 - array of dots, shape (n, 2)
    """Return dots along a line through corners, closer than the eye minds."""
    kept: FloatArray = np.asarray(corners, dtype=float)
    kept = kept[np.isfinite(kept).all(axis=1)]
    if len(kept) < 2:
        return kept
    along = np.concatenate([[0.0], np.hypot(*np.diff(kept, axis=0).T).cumsum()])
    at = np.arange(0.0, along[-1] + _STEP, _STEP)
    return np.column_stack([np.interp(at, along, kept[:, axis]) for axis in (0, 1)])


def _to_points(box: FloatArray, points: FloatArray) -> FloatArray:
    away = np.maximum(np.maximum(box[:2] - points, points - box[2:]), 0.0)
    return np.asarray(np.hypot(*away.T))


def _to_box(box: FloatArray, other: FloatArray) -> float:
    away = np.maximum(np.maximum(box[:2] - other[2:], other[:2] - box[2:]), 0.0)
    return float(np.hypot(*away))
