"""What a garment of given girths does on a body: strain, tension, pressure, pull.

All over arrays of levels. A level that is cut open carries only the share of its strain
that its loop can hold. Source keys: laplace-bandage, low-back-block.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.errors import RefusedError
from ease.fit.membrane import Membrane
from ease.fit.pressure import local_pressures, mean_pressure
from ease.fit.strip import State

__all__ = ["LATER", "Loads", "Sizes", "WearState", "loads", "reach", "wear_states"]

FloatArray = NDArray[np.float64]
WearState = Literal["now", "after_hour", "wet"]

# An hour of wear lies between the unloading curve and the loading curve from the
# grown length; where only one was tested it stands alone.
LATER: Final[Mapping[WearState, tuple[State, ...]]] = MappingProxyType(
    {"after_hour": ("unloading", "rested"), "wet": ("wet",)}
)
"""States of the cloth that a later state of wear lies between."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """A garment on a body, level by level; arrays of shape (levels,) or more.

    Samples stand in a second dimension, (levels, samples), with which the others
    broadcast.

    Attributes:
        body: Girth of the body, cm.
        block: Girth of the garment, cm.
        share: Share of its strain that each level's loop can hold, 0 to 1.
        depth_ratio: Depth over breadth of the body at each level.
        length_strain: Worn strain down the body that loads are worked out with.
        length_known: Whether that strain is known; else it is 0, cloth at body length.
    """

    body: FloatArray
    block: FloatArray
    share: FloatArray
    depth_ratio: FloatArray
    length_strain: float
    length_known: bool = True

    def __post_init__(self) -> None:
        """Refuse sizes that are not above 0."""
        if not ((self.body > 0).all() and (self.block > 0).all()):
            message = "girths of body and block must be above 0 cm"
            raise RefusedError(message)

    @property
    def strain(self) -> FloatArray:
        """Worn strain, body over block, less 1."""
        return self.body / self.block - 1.0

    @property
    def held_strain(self) -> FloatArray:
        """The part of the strain that the loop can hold; below 0 it hangs loose.

        A loop that is cut open holds its share of what the closed ones beside it hold:
        cut for no more than that, it holds all of its own.
        """
        strain = self.strain
        closed = self.share == 1.0
        if not closed.any():
            return self.share * strain
        beside = np.where(closed, strain, 0.0).sum(axis=0) / closed.sum(axis=0)
        return np.where(closed, strain, np.minimum(strain, self.share * beside))


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """Tension and pressure in one state of wear; nan past the load test.

    Attributes:
        tension: Round the body, N/m of relaxed width, shape (levels,).
        pressure: Mean pressure, kPa.
        side: Pressure at the side of the oval body, kPa.
        least_side: The same; past the load test what it is at least, by the tension at
            which the test ended.
        down: Tension down the body, N/m, shape (levels,).
    """

    tension: FloatArray
    pressure: FloatArray
    side: FloatArray
    least_side: FloatArray
    down: FloatArray

    def pull(self, index: int, block_girth_cm: float) -> float:
        """Return the pull at the shoulders, N: tension down times relaxed girth."""
        return float(max(self.down[index], 0.0) * block_girth_cm / 100.0)


def loads(
    membrane: Membrane, sizes: Sizes, length_strain: FloatArray | None = None
) -> Loads:
    """Return tension and pressure at every level in the membrane's state of wear.

    Args:
        membrane: The cloth in one state.
        sizes: The garment on the body.
        length_strain: Samples of the strain down, in place of the one of ``sizes``.
    """
    down = sizes.length_strain if length_strain is None else length_strain
    ev = np.broadcast_to(np.asarray(down, dtype=float), sizes.strain.shape)
    eh = _lying_strain(membrane, sizes, ev)
    around, down = _tensions(membrane, sizes, eh, ev)
    side, _ = local_pressures(around, sizes.body, sizes.depth_ratio, ev)
    return Loads(
        tension=around,
        pressure=mean_pressure(around, sizes.body, ev),
        side=side,
        least_side=_least_side(membrane, sizes, eh, ev, side),
        down=down,
    )


def _tensions(
    membrane: Membrane, sizes: Sizes, eh: FloatArray, ev: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the tension that presses round the body, and that down it, N/m."""
    around, down = membrane.tensions(eh, ev, outside="nan")
    return np.where(sizes.share > 0, np.maximum(around, 0.0), 0.0), down


def _least_side(
    membrane: Membrane, sizes: Sizes, eh: FloatArray, ev: FloatArray, side: FloatArray
) -> FloatArray:
    """Return the pressure at the side; past the load test the least that it can be.

    Tension round rises with both strains, so there it is no less than where they end.
    """
    past = np.isnan(side)
    if not past.any():
        return side
    tops = membrane.girth.last_strain, membrane.length.last_strain
    ends = (np.minimum(strain, top) for strain, top in zip((eh, ev), tops, strict=True))
    around, _ = _tensions(membrane, sizes, *ends)
    least, _ = local_pressures(around, sizes.body, sizes.depth_ratio, ev)
    return np.where(past, np.nan_to_num(least), side)


def _lying_strain(membrane: Membrane, sizes: Sizes, ev: FloatArray) -> FloatArray:
    """Return the strain round that the cloth takes up where its loop holds in part.

    Cloth that nothing holds round takes the width of a free strip pulled down; a loop
    moves it from there towards the body as far as it holds, and never pushes it
    narrower.
    """
    free = membrane.free_girth(ev)
    free = np.where(np.isnan(free), membrane.girth.rest, free)
    return np.where(sizes.share > 0, np.maximum(sizes.held_strain, free), free)


def wear_states(membrane: Membrane, sizes: Sizes) -> dict[WearState, tuple[Loads, ...]]:
    """Return the loads of each state of wear that was tested; two ends where a range.

    Args:
        membrane: The cloth just put on.
        sizes: The garment on the body.
    """
    known = membrane.states
    found = {
        state: tuple(
            loads(membrane.in_state(tested), sizes) for tested in of if tested in known
        )
        for state, of in (("now", ("now",)), *LATER.items())
    }
    return {state: ends for state, ends in found.items() if ends}


def reach(block: FloatArray, stretch: float) -> FloatArray:
    """Return the girth that a fully stretched garment reaches, cm.

    Args:
        block: Relaxed girths, cm.
        stretch: Tested stretch round.

    Examples:
        >>> float(reach(np.array([28.0]), 0.30)[0])
        36.4
    """
    return block * (1.0 + stretch)
