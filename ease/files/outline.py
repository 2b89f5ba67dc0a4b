"""From loose lines to a closed outline of named edges: chain, turn round, split, name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import reverse, signed_area
from ease.block.pieces import Edge
from ease.errors import RefusedError
from ease.files.drawing import JOIN_CM, Shape
from ease.sentence import Sentence, lengths

__all__ = [
    "CORNER_DEGREES",
    "Run",
    "chain",
    "clockwise",
    "named_edges",
    "parted_at_corners",
    "split_at_corners",
    "tangents",
]

FloatArray = NDArray[np.float64]
CORNER_DEGREES: Final = 20.0  # a curve drawn by hand bends less than this at a node
_LEAST_CM: Final = 1e-7


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A part of an outline, in walking order.

    Attributes:
        name: Name of the line it comes from, or empty.
        control: Its cubics, shape (k, 4, 2).
        straight: For each cubic, whether it is a line.
    """

    name: str
    control: FloatArray
    straight: tuple[bool, ...]

    def mirrored(self, x: float) -> Run:
        """Return the same line seen in a mirror, with an upright line put at x = 0."""
        return replace(self, control=self.control * [-1.0, 1.0] + [x, 0.0])

    def moved(self, x: float) -> Run:
        """Return the same line pushed sideways so that an upright line is at x = 0."""
        return replace(self, control=self.control - [x, 0.0])

    def reversed(self) -> Run:
        """Return the same line walked the other way."""
        return Run(self.name, reverse(self.control), self.straight[::-1])


def chain(shapes: Iterable[Shape]) -> list[Run]:
    """Put open lines in order round one closed outline, ends joined exactly.

    Ends that lie within ``JOIN_CM`` count as one point.

    Args:
        shapes: The lines, in any order and direction; one closed line is fine too.

    Raises:
        RefusedError: If they leave a gap or make up more than one outline.
    """
    runs = [Run(shape.name, shape.control, shape.straight) for shape in shapes]
    ends = np.array([[run.control[0, 0], run.control[-1, 3]] for run in runs])
    walked = [runs[0]]
    ends[0] = np.inf
    while len(walked) < len(runs):
        gaps = np.abs(ends - walked[-1].control[-1, 3]).max(axis=2)
        which, side = divmod(int(np.argmin(gaps)), 2)
        if gaps[which, side] > JOIN_CM:
            break
        ends[which] = np.inf
        walked.append(runs[which].reversed() if side else runs[which])
    gap = float(np.abs(walked[-1].control[-1, 3] - walked[0].control[0, 0]).max())
    if gap > JOIN_CM or len(walked) < len(runs):
        end = lengths(*walked[-1].control[-1, 3], digits=2)
        message = (
            Sentence("its lines do not close: the outline stops at {}, {}", *end)
            if gap > JOIN_CM
            else f"{len(runs) - len(walked)} of its lines are not part of one outline"
        )
        raise RefusedError(message)
    return _snapped(walked)


def _snapped(runs: Sequence[Run]) -> list[Run]:
    """Move the start of each run onto the end of the one before, handles with it."""
    snapped = []
    for before, run in zip([runs[-1], *runs[:-1]], runs, strict=True):
        control = run.control.copy()
        shift = before.control[-1, 3] - control[0, 0]
        control[0, 0] += shift
        control[0, 1] += shift
        snapped.append(replace(run, control=control))
    return [_without_dots(run) for run in snapped]


def _without_dots(run: Run) -> Run:
    """Drop segments of no length, which drawing programs leave behind."""
    size = np.abs(run.control - run.control[:, :1]).max(axis=(1, 2))
    keep = size > _LEAST_CM
    if keep.all() or not keep.any():
        return run
    straight = tuple(
        flag for flag, kept in zip(run.straight, keep, strict=True) if kept
    )
    control = run.control[keep].copy()
    control[1:, 0] = control[:-1, 3]
    return Run(run.name, control, straight)


def clockwise(runs: Sequence[Run]) -> list[Run]:
    """Return the outline walked clockwise as seen with y pointing down."""
    area = signed_area(np.concatenate([run.control for run in runs]))
    return list(runs) if area > 0 else [run.reversed() for run in reversed(runs)]


def tangents(control: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return unit directions at the start and end of each cubic, shape (k, 2) each.

    Where a handle has no length the next control point gives the direction.
    """
    return _heading(control), -_heading(control[:, ::-1])


def _heading(control: FloatArray) -> FloatArray:
    steps = control[:, 1:] - control[:, :1]
    length = np.linalg.norm(steps, axis=2)
    first = np.argmax(length > _LEAST_CM, axis=1)
    rows = np.arange(len(control))
    chosen = length[rows, first][:, None]
    found: FloatArray = steps[rows, first] / np.where(chosen > 0, chosen, 1.0)
    return found


def split_at_corners(run: Run) -> list[Run]:
    """Cut a closed run wherever it turns by more than ``CORNER_DEGREES``.

    The first part starts at the first corner; a run with fewer than two corners is
    cut at its highest and lowest node instead.
    """
    count = len(run.control)
    start, end = tangents(run.control)
    turn = np.sum(np.roll(end, 1, axis=0) * start, axis=1)
    cuts = np.flatnonzero(turn < np.cos(np.radians(CORNER_DEGREES)))
    if len(cuts) < 2:
        heights = run.control[:, 0, 1]
        extra = [int(np.argmin(heights)), int(np.argmax(heights))]
        cuts = np.unique([*cuts[:1], *extra])
    if len(cuts) < 2:
        message = "its outline is a single segment"
        raise RefusedError(message)
    parts = []
    for first, after in zip(cuts, [*cuts[1:], cuts[0] + count], strict=True):
        rows = np.arange(first, after) % count
        flags = tuple(run.straight[row] for row in rows)
        parts.append(Run("", run.control[rows].copy(), flags))
    return parts


def parted_at_corners(runs: Iterable[Run]) -> list[Run]:
    """Return open runs with each one that has no name cut at its corners.

    One polyline of a drawing may go round several edges, and along the fold.
    """
    parts: list[Run] = []
    for run in runs:
        start, end = tangents(run.control)
        turn = np.sum(end[:-1] * start[1:], axis=1)
        cuts = np.flatnonzero(turn < np.cos(np.radians(CORNER_DEGREES))) + 1
        if run.name or not len(cuts):
            parts.append(run)
            continue
        for first, after in pairwise([0, *cuts.tolist(), len(run.control)]):
            flags = run.straight[first:after]
            parts.append(Run("", run.control[first:after].copy(), flags))
    return parts


def named_edges(
    runs: Sequence[Run], edges: Mapping[str, str], points: Mapping[str, str]
) -> tuple[Edge, ...]:
    """Return the edges of an outline; each point is named after the two that meet there.

    Runs without a name, or with one that is taken, are called ``edge 1``, ``edge 2``
    by their place in the walk.

    Args:
        runs: The outline in walking order.
        edges: New names of edges by the names found.
        points: New names of points by the names found.

    Raises:
        RefusedError: If a name to be replaced is not there.
    """
    names: list[str] = []
    for number, run in enumerate(runs, start=1):
        name = run.name.replace(".", " ").strip()
        names.append(name if name and name not in names else f"edge {number}")
    names = _replaced(names, edges, "edge")
    count = len(runs)
    starts = [f"{names[i - 1]}-{names[i]}" for i in range(count)]
    if len(set(starts)) < count:
        starts = [f"point {i + 1}" for i in range(count)]
    starts = _replaced(starts, points, "point")
    return tuple(
        Edge(names[i], starts[i], starts[(i + 1) % count], run.control, run.straight)
        for i, run in enumerate(runs)
    )


def _replaced(names: list[str], new: Mapping[str, str], kind: str) -> list[str]:
    for name in new:
        if name not in names:
            message = f"the map names the {kind} {name!r}; found are {', '.join(names)}"
            raise RefusedError(message)
    return [new.get(name, name) for name in names]
