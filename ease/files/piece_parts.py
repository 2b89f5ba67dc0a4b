"""What a drawing says of each piece, before it is checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Cut, Edge, Piece
from ease.errors import BlockError
from ease.files.drawing import Drawing, Shape, Spot

__all__ = ["PieceParts", "parts_from_drawing", "placed_piece"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class PieceParts:
    """What a file says of one piece, before it is checked.

    Attributes:
        name: Name of the piece.
        cut: How it is cut from the cloth.
        in_girth: Whether its width counts in girths.
        edges: Its edges in order round the outline, in its own frame, cm.
        marks: Its marks in the same frame.
        level_y: Height at which each level is drawn on it.
    """

    name: str
    cut: Cut = "fold"
    in_girth: bool = True
    edges: tuple[Edge, ...] = ()
    marks: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    level_y: Mapping[str, float] = field(default_factory=dict)

    def moved(self, shift: FloatArray) -> PieceParts:
        """Return the same parts moved by a vector, shape (2,)."""
        dx, dy = float(shift[0]), float(shift[1])
        return replace(
            self,
            edges=tuple(
                Edge(e.name, e.start, e.end, e.control + shift, e.straight)
                for e in self.edges
            ),
            marks={name: (x + dx, y + dy) for name, (x, y) in self.marks.items()},
            level_y={name: y + dy for name, y in self.level_y.items()},
        )


def placed_piece(parts: PieceParts, anchor: str, anchor_y: float) -> Piece:
    """Return a piece moved so that its anchor level and its fold lie where they should.

    Args:
        parts: What the file says of it.
        anchor: Name of the level that all pieces share.
        anchor_y: Height of that level, cm.

    Raises:
        RefusedError: If the parts make up no piece.
    """
    shift = np.zeros(2)
    if anchor in parts.level_y:
        shift[1] = anchor_y - parts.level_y[anchor]
    if parts.cut == "fold" and parts.edges:
        shift[0] = -min(float(e.control[..., 0].min()) for e in parts.edges)
    shift[np.abs(shift) < 1e-6] = 0.0
    moved = parts.moved(shift) if shift.any() else parts
    return Piece(moved.name, moved.edges, moved.marks, moved.cut, moved.in_girth)


def parts_from_drawing(drawing: Drawing) -> list[PieceParts]:
    """Return the pieces of an own drawing, each in the frame of its group.

    Raises:
        BlockError: If an edge or a piece has lost a name it needs.
    """
    origins = {s.group: np.array(s.at) for s in drawing.spots if s.kind == "origin"}
    edges: dict[str, list[Edge]] = {}
    flags: dict[str, Mapping[str, str]] = {}
    heights: dict[str, dict[str, float]] = {}
    for shape in drawing.shapes:
        said = shape.fields
        if said.get("is") not in ("edge", "level"):
            continue
        piece, name = said.get("piece", ""), said.get("name", "")
        if piece not in origins or not name:
            message = f"a line of {piece or 'a piece'} has lost its name or its group"
            raise BlockError(drawing.source, message)
        control = shape.control - origins[piece]
        flags.setdefault(piece, said)
        if said["is"] == "level":
            heights.setdefault(piece, {})[name] = float(control[0, 0, 1])
            continue
        ends = said.get("start", ""), said.get("end", "")
        edges.setdefault(piece, []).append(Edge(name, *ends, control, _flags(shape)))
    marks = [spot for spot in drawing.spots if spot.kind == "mark"]
    return [
        PieceParts(
            name,
            _cut(flags[name]),
            flags[name].get("girth") != "0",
            tuple(found),
            {s.name: _within(s, origins[name]) for s in marks if s.group == name},
            heights.get(name, {}),
        )
        for name, found in edges.items()
    ]


def _cut(said: Mapping[str, str]) -> Cut:
    """Return how a piece is cut; older files tell only whether it lies on the fold."""
    older = "pair" if said.get("fold") == "0" else "fold"
    return cast("Cut", said.get("cut", older))


def _flags(shape: Shape) -> tuple[bool, ...]:
    """Return the recorded straight flags, unless segments were added or lost since."""
    text = shape.fields.get("straight", "")
    recorded = tuple(flag == "1" for flag in text)
    return recorded if len(recorded) == len(shape.straight) else shape.straight


def _within(spot: Spot, origin: FloatArray) -> tuple[float, float]:
    return float(spot.at[0] - origin[0]), float(spot.at[1] - origin[1])
