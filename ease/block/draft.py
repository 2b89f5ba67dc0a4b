"""Draft a one-piece body block at body size, one body or many at once.

The construction is the tool's own; its steps and their reasons stand in
``draft_points`` (1 to 7) and ``draft_curves`` (8 to 11).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.block.draft_curves import EDGES, draw_edges
from ease.block.draft_limits import draft_faults
from ease.block.draft_points import DraftPoints, place_points
from ease.block.pieces import (
    Block,
    DraftedFor,
    Edge,
    Hold,
    Level,
    Loop,
    Piece,
    PointRef,
    Seam,
)
from ease.block.styles import Style
from ease.body.fill_in import complete, fill_in
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.sentence import joined

__all__ = ["Drafts", "draft_block", "draft_blocks"]

FloatArray = NDArray[np.float64]

# Corner where each edge starts, in the order of EDGES.
CORNERS: Final = (
    "neck_centre",
    "strap_neck",
    "strap_arm",
    "underarm",
    "leg_side",
    "crotch_side",
    "crotch_centre",
)
_SEAMS: Final = tuple(
    Seam(f"front.{edge}", f"back.{edge}") for edge in ("strap", "side", "crotch")
)
_LOOP: Final = (
    (
        PointRef("front", "strap_middle"),
        PointRef("front", "bust_point"),
        PointRef("front", "crotch_centre"),
    ),
    (
        PointRef("back", "crotch_centre"),
        PointRef("back", "seat_point"),
        PointRef("back", "strap_middle"),
    ),
)


@dataclass(frozen=True, slots=True, eq=False)
class Drafts:
    """Drafts of many bodies, as arrays.

    Attributes:
        points: Points of all drafts.
        edges: For ``front`` and ``back`` the edges by name, each (n, k, 4, 2).
        faults: For each body why it cannot be drafted; empty where it can.
    """

    points: DraftPoints
    edges: Mapping[str, Mapping[str, FloatArray]]
    faults: tuple[tuple[str, ...], ...]

    def __len__(self) -> int:
        """Number of bodies."""
        return len(self.faults)

    def block(self, row: int, name: str = "one-piece body", body: str = "") -> Block:
        """Return one draft as a block.

        Args:
            row: Number of the body.
            name: Name of the block.
            body: Name of the body it is drafted for.

        Raises:
            RefusedError: If this body cannot be drafted; every reason is named.
        """
        if self.faults[row]:
            raise RefusedError(joined("\n", self.faults[row]))
        pieces = tuple(self._piece(row, side) for side in ("front", "back"))
        return Block(
            name=name,
            pieces=pieces,
            levels=self._levels(row),
            seams=_SEAMS,
            holds=_holds(),
            loop_path=_LOOP,
            anchor="waist",
            drafted_for=DraftedFor(girth_factor=1.0, length_factor=1.0, body=body),
            note="body size, no ease, no allowances; half pieces on folds",
        )

    def _piece(self, row: int, side: str) -> Piece:
        edges = []
        for index, name in enumerate(EDGES):
            control = self.edges[side][name][row]
            edges.append(
                Edge(
                    name=f"centre_{side}" if name == "centre" else name,
                    start=CORNERS[index],
                    end=CORNERS[(index + 1) % len(CORNERS)],
                    control=control,
                    straight=_straight(name, control),
                )
            )
        points = getattr(self.points, side)
        inner = {"front": "bust_point", "back": "seat_point"}[side]
        marks = {}
        for name in ("strap_middle", inner):
            x, y = points[name][row]
            marks[name] = (float(x), float(y))
        return Piece(name=side, edges=tuple(edges), marks=marks)

    def _levels(self, row: int) -> tuple[Level, ...]:
        leg = float(self.points.leg_side[row])
        cuts = {
            side: float(getattr(self.points, side)["neck_centre"][row, 1])
            for side in ("front", "back")
        }
        return tuple(
            Level(name, float(y[row]), _loop(float(y[row]), leg, cuts))
            for name, y in self.points.level.items()
        )


def _straight(name: str, control: FloatArray) -> tuple[bool, ...]:
    if name in ("strap", "crotch", "centre"):
        return (True,)
    # Below the hip level the side seam is a line.
    upright = np.ptp(control[..., 0], axis=-1) < 1e-12
    return (
        tuple(bool(flag) for flag in upright)
        if name == "side"
        else (False,) * len(control)
    )


def _loop(y: float, leg_side: float, necks: Mapping[str, float]) -> Loop:
    """Return whether cloth runs all round at a height.

    A leg line above the level cuts front and back at both sides: open. A neckline that
    reaches below it cuts one piece at the fold: partly open; both: open.
    """
    if leg_side <= y:
        return "open"
    cut = sum(neck >= y for neck in necks.values())
    loops: tuple[Loop, Loop, Loop] = ("closed", "partly", "open")
    return loops[cut]


def _holds() -> tuple[Hold, ...]:
    holds = []
    for side in ("front", "back"):
        for name, first, second in (
            ("strap width", "strap_neck", "strap_arm"),
            ("crotch width", "crotch_side", "crotch_centre"),
        ):
            ends = PointRef(side, first), PointRef(side, second)
            holds.append(Hold(f"{side} {name}", *ends))
    return tuple(holds)


def draft_blocks(
    columns: Mapping[str, ArrayLike], style: Style | None = None
) -> Drafts:
    """Draft many bodies at once, with the same style.

    Args:
        columns: Known measures by key, cm, each of shape (n,), NaN where not measured;
            bust, waist and hip at least. What is missing is filled in.
        style: The choices; a plain body block where there are none.

    Returns:
        The drafts; a body that cannot be drafted has its reasons in ``faults``.

    Raises:
        RefusedError: If bust, waist or hip is missing anywhere.
    """
    style = style or Style()
    body = fill_in(columns).values
    points = place_points(body, style)
    faults = draft_faults(body, points, style)
    return Drafts(points, draw_edges(points), faults)


def draft_block(body: Body, style: Style | None = None) -> Block:
    """Draft a one-piece body block at body size.

    Half front and half back on folds, without ease: the widths at bust, waist and hip
    are the girths, the loop path is the torso loop, mates have the same length.

    Args:
        body: At least bust, waist and hip; what is missing is filled in.
        style: The choices; a plain body block where there are none.

    Raises:
        RefusedError: If the body or the style makes the block impossible; every reason
            is named.

    Examples:
        >>> from ease.body.measures import Body
        >>> girths = {"bust": 92, "waist": 76, "hip": 100, "stature": 168}
        >>> block = draft_block(Body(name="b", values=girths))
        >>> [piece.name for piece in block.pieces]
        ['front', 'back']
    """
    whole = complete(body)
    drafts = draft_blocks({key: [value] for key, value in whole.values.items()}, style)
    return drafts.block(0, name=f"one-piece body, {body.name}", body=body.name)
