"""Cloths and bodies as plain arrays, for many questions in one call."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fabric.profile import ClothDirection, DirectionName, Estimate, Fabric
from ease.fit.aims import ASSUMED_CONTRACTION

__all__ = ["BodyArrays", "ClothArrays", "other_direction"]

FloatArray = NDArray[np.float64]


def other_direction(name: DirectionName) -> DirectionName:
    """Return ``along`` for ``across`` and the reverse."""
    return "along" if name == "across" else "across"


def _mean(estimate: Estimate | None, absent: float) -> FloatArray:
    return np.asarray(absent if estimate is None else estimate.mean, dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothArrays:
    """What the window needs of the cloth; arrays that broadcast together.

    ``girth`` is the cloth direction that goes round the body, ``length`` the one that
    runs down it. nan stands for what was not measured.

    Attributes:
        stretch_girth: Tested stretch round.
        stretch_length: Tested stretch down; nan if that direction was not tested.
        growth_girth: Growth round, 0 if not read.
        growth_length: Growth down, 0 if not read.
        wet_growth_girth: Growth of wet cloth round; nan if not read.
        wet_growth_length: Growth of wet cloth down; nan if not read.
        contraction: Shrinkage down over strain round, with free sides.
    """

    stretch_girth: FloatArray
    stretch_length: FloatArray
    growth_girth: FloatArray
    growth_length: FloatArray
    wet_growth_girth: FloatArray
    wet_growth_length: FloatArray
    contraction: FloatArray

    @classmethod
    def from_fabric(cls, fabric: Fabric, round_body: DirectionName) -> ClothArrays:
        """Return the means of a fabric's readings, each of shape ().

        Raises:
            RefusedError: If the direction that goes round the body was not tested.
        """
        girth, length = directions(fabric, round_body)
        nan = float("nan")
        return cls(
            stretch_girth=_mean(girth.stretch, nan),
            stretch_length=_mean(length.stretch if length else None, nan),
            growth_girth=_mean(girth.growth, 0.0),
            growth_length=_mean(length.growth if length else None, 0.0),
            wet_growth_girth=_mean(girth.wet_growth, nan),
            wet_growth_length=_mean(length.wet_growth if length else None, nan),
            contraction=_mean(girth.contraction, ASSUMED_CONTRACTION),
        )


def directions(
    fabric: Fabric, round_body: DirectionName
) -> tuple[ClothDirection, ClothDirection | None]:
    """Return the direction round the body and, if tested, the one down it.

    Raises:
        RefusedError: If the direction that goes round the body was not tested.
    """
    girth = fabric.direction(round_body)
    if girth is None:
        message = (
            f"fabric {fabric.name}: not tested {round_body}, so it cannot go round"
        )
        raise RefusedError(message)
    return girth, fabric.direction(other_direction(round_body))


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyArrays:
    """What the window needs of the body, cm; arrays that broadcast together.

    Attributes:
        bust: Bust girth, where the pressure aim is set.
        waist: Waist girth, whose relaxed cloth carries the pull.
        hip: Hip girth.
        shoulder_girth: Girth over both shoulders; nan if not known.
    """

    bust: FloatArray
    waist: FloatArray
    hip: FloatArray
    shoulder_girth: FloatArray

    @classmethod
    def from_body(cls, body: Body) -> BodyArrays:
        """Return one body's girths, each of shape ().

        Raises:
            RefusedError: If bust, waist or hip is missing.
        """
        missing = [key for key in ("bust", "waist", "hip") if key not in body.values]
        if missing:
            message = f"body {body.name}: {', '.join(missing)} must be given"
            raise RefusedError(message)
        values = {
            key: np.asarray(body.values.get(key, np.nan), dtype=float)
            for key in ("bust", "waist", "hip", "shoulder_girth")
        }
        return cls(**values)

    @property
    def girths(self) -> dict[str, FloatArray]:
        """Bust, waist and hip by name."""
        return {"bust": self.bust, "waist": self.waist, "hip": self.hip}

    def widest(self, names: Iterable[str]) -> FloatArray:
        """Return the largest of some of bust, waist and hip."""
        girths = np.broadcast_arrays(*(self.girths[name] for name in names))
        return np.asarray(np.stack(girths).max(axis=0))

    def passing_ratio(self, *, over_head: bool) -> FloatArray:
        """Return the most that a part of the garment must pass, over its own girth.

        Stepped into, the waist comes up over the hips and the bust over hips and waist;
        pulled on over head, each part comes down over the shoulders and what lies above.
        """
        way = [self.shoulder_girth, self.bust, self.waist, self.hip]
        if not over_head:
            way = [self.hip, self.waist, self.bust]
        ratios, widest = [], way[0]
        for own in way[1:]:
            ratios.append(widest / own)
            widest = np.maximum(widest, own)
        return np.asarray(np.stack(np.broadcast_arrays(*ratios)).max(axis=0))
