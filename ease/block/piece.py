"""One piece of a block: a closed outline of named edges, checked at birth.

x runs outwards from the centre line, y downwards, cm. Edges meet in named points; each
is a chain of lines and cubic Beziers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from ease.errors import RefusedError
from ease.sentence import Length, Sentence

__all__ = ["CUT_WORDS", "FOLD_CM", "Cut", "Edge", "Piece", "line"]

FloatArray = NDArray[np.float64]
JOIN_TOLERANCE_CM: Final = 1e-6
FOLD_CM: Final = 1e-6


def line(start: tuple[float, float], end: tuple[float, float]) -> FloatArray:
    """Return a straight segment as a cubic with control points at its thirds, (4, 2)."""
    t = np.linspace(0, 1, 4)[:, None]
    # In this form both ends come out exactly as given.
    return np.asarray((1 - t) * np.array(start, float) + t * np.array(end, float))


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """A named part of an outline from one named point to another.

    Attributes:
        name: Name within its piece, such as ``side`` or ``neckline``.
        start: Name of the point where it begins.
        end: Name of the point where it ends.
        control: Control points of its cubics in order, cm, shape (k, 4, 2); the last
            point of one is the first of the next.
        straight: For each of the k segments, whether it is a line.
    """

    name: str
    start: str
    end: str
    control: FloatArray
    straight: tuple[bool, ...]

    def __post_init__(self) -> None:
        """Refuse a chain that is empty, broken or not finite; freeze the array."""
        control = np.array(self.control, dtype=float)
        if control.ndim != 3 or control.shape[1:] != (4, 2) or not len(control):
            message = f"edge {self.name}: control points must have shape (k, 4, 2)"
            raise RefusedError(message)
        if not np.isfinite(control).all():
            message = f"edge {self.name}: a coordinate is not a finite number"
            raise RefusedError(message)
        if len(self.straight) != len(control):
            message = f"edge {self.name}: one straight flag a segment is needed"
            raise RefusedError(message)
        gaps = np.abs(control[1:, 0] - control[:-1, 3]).max(initial=0.0)
        if gaps > JOIN_TOLERANCE_CM:
            gap = Length(float(gaps), 3)
            message = Sentence("edge {}: its segments do not join ({})", self.name, gap)
            raise RefusedError(message)
        control.setflags(write=False)
        object.__setattr__(self, "control", control)

    @property
    def first(self) -> FloatArray:
        """Coordinates of the start, shape (2,)."""
        return np.asarray(self.control[0, 0])

    @property
    def last(self) -> FloatArray:
        """Coordinates of the end, shape (2,)."""
        return np.asarray(self.control[-1, 3])


Cut = Literal["fold", "pair", "once"]
CUT_WORDS: Final[dict[Cut, str]] = {
    "fold": "cut 1 on fold",
    "pair": "cut 1 pair, mirrored",
    "once": "cut 1",
}


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A closed outline; where it lies on the fold, one half of a symmetrical piece.

    Attributes:
        name: Such as ``front``.
        edges: In order round the outline, each starting where the one before ended.
        marks: Named points inside or on the outline, such as the bust point, cm.
        cut: How it is cut from the cloth: with x = 0 on the ``fold``, as a ``pair`` of
            which one mirrors the other, or ``once``.
        in_girth: Whether its width counts when a girth is measured, as that of a lining
            does not; see also ``Block.girth_pieces``.
    """

    name: str
    edges: tuple[Edge, ...]
    marks: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    cut: Cut = "fold"
    in_girth: bool = True

    def __post_init__(self) -> None:
        """Refuse an open outline and names used twice."""
        if self.cut not in get_args(Cut):
            ways = ", ".join(get_args(Cut))
            message = f"piece {self.name}: cut {self.cut!r} is none of {ways}"
            raise RefusedError(message)
        if len(self.edges) < 2:
            message = f"piece {self.name}: an outline needs two edges or more"
            raise RefusedError(message)
        names = [edge.name for edge in self.edges]
        points = [edge.start for edge in self.edges]
        for label, values in (("edge", names), ("point", [*points, *self.marks])):
            twice = sorted({value for value in values if values.count(value) > 1})
            if twice:
                message = f"piece {self.name}: {label} {twice[0]!r} is named twice"
                raise RefusedError(message)
        for edge, after in zip(
            self.edges, (*self.edges[1:], self.edges[0]), strict=True
        ):
            gap = float(np.abs(edge.last - after.first).max())
            if edge.end != after.start or gap > JOIN_TOLERANCE_CM:
                message = Sentence(
                    "piece {}: edge {!r} ends at {!r}, edge {!r} starts at {!r}, {} away",
                    *(self.name, edge.name, edge.end, after.name, after.start),
                    Length(gap, 3),
                )
                raise RefusedError(message)
        past = [e.name for e in self.edges if e.control[..., 0].min() < -FOLD_CM]
        if self.on_fold and past:
            message = f"piece {self.name}: edge {past[0]!r} runs past its fold, x = 0"
            raise RefusedError(message)
        if self.on_fold and not any(map(self.is_fold, self.edges)):
            message = (
                f"piece {self.name}: it is cut on the fold, but no edge lies on x = 0"
            )
            raise RefusedError(message)

    @property
    def on_fold(self) -> bool:
        """Whether x = 0 is a fold, so that the outline is half of what is cut."""
        return self.cut == "fold"

    def is_fold(self, edge: Edge) -> bool:
        """Return whether an edge of it lies on its fold."""
        return self.on_fold and bool(np.abs(edge.control[..., 0]).max() <= FOLD_CM)

    @property
    def times_round(self) -> int:
        """How many times its width lies round the body: once only if cut once."""
        return 1 if self.cut == "once" else 2

    def edge(self, name: str) -> Edge:
        """Return an edge by name.

        Raises:
            RefusedError: If the piece has none of that name.
        """
        for edge in self.edges:
            if edge.name == name:
                return edge
        have = ", ".join(edge.name for edge in self.edges)
        message = f"piece {self.name} has no edge {name!r}; it has {have}"
        raise RefusedError(message)

    def point(self, name: str) -> FloatArray:
        """Return a named point, shape (2,).

        Raises:
            RefusedError: If the piece has none of that name.
        """
        for edge in self.edges:
            if edge.start == name:
                return edge.first
        if name in self.marks:
            return np.array(self.marks[name], dtype=float)
        have = ", ".join([*(edge.start for edge in self.edges), *self.marks])
        message = f"piece {self.name} has no point {name!r}; it has {have}"
        raise RefusedError(message)
