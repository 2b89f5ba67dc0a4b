"""Many bodies in one fabric at once: what ``decide`` says of each, as arrays.

The same solver, so the same numbers; only the words are left to the caller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from ease.errors import RefusedError
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import Aim, Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.decide import Axis, Limit, clash_text, membrane_of
from ease.fit.holding import DEPTH_OVER_BREADTH
from ease.fit.membrane import Membrane
from ease.fit.notes import cloth_notes, pulled_twice
from ease.fit.pressure import REFUSED_FROM, local_pressures, mean_pressure
from ease.fit.slack import is_slack, pulls_later
from ease.fit.solve import Solution, solve
from ease.fit.window import AS_IT_IS, NOT_TESTED, Chosen

__all__ = ["Cloth", "Many", "decide_many"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cloth:
    """A fabric made ready for many bodies.

    Attributes:
        fabric: The fabric.
        round_body: Cloth direction that goes round the body.
        figures: Figures of its hand test.
        membrane: Its load tests; None where a direction has none.
        warnings: Names in ``notes.WARNINGS`` that hold for every body.
        notes: The same in whole sentences, as ``decide`` says them.
    """

    fabric: Fabric
    round_body: DirectionName
    figures: ClothArrays
    membrane: Membrane | None
    warnings: tuple[str, ...]
    notes: tuple[str, ...]

    @classmethod
    def of(cls, fabric: Fabric, round_body: DirectionName | None = None) -> Self:
        """Return a fabric made ready.

        Args:
            fabric: The fabric.
            round_body: Cloth direction round the body; the stretchier one if None.

        Raises:
            RefusedError: If the direction that goes round was not tested.
        """
        way = round_body or fabric.round_body
        membrane = membrane_of(fabric, way)
        notes = cloth_notes(fabric, way, membrane)
        return cls(
            fabric=fabric,
            round_body=way,
            figures=ClothArrays.from_fabric(fabric, way),
            membrane=membrane,
            warnings=tuple(dict.fromkeys(note.name for note in notes)),
            notes=tuple(note.text for note in notes),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Many:
    """Answers for many bodies in one fabric; arrays of shape (bodies,).

    Where a window is empty, ``answered`` is False and every figure is nan.

    Attributes:
        solution: The windows and what was chosen in them.
        answered: Where both windows hold a strain.
        girth_strain: Worn strain round.
        length_strain: Worn strain down; 0 where that direction was not tested.
        girth_bound: What binds round: a key of ``window.LIMITS``, or ``aim``.
        length_bound: The same down, ``not_tested``, or ``as_it_is`` of what does not
            hang.
        pressure: Mean pressure where it is aimed at, kPa; nan without a load test.
        side_pressure: Most pressure at the side of a girth that it lies round, kPa.
        pull: Pull over both shoulders together, N; nan where nothing hangs.
        slack_later: Where it pulls less than the least in a later state of wear.
    """

    solution: Solution
    answered: NDArray[np.bool_]
    girth_strain: FloatArray
    length_strain: FloatArray
    girth_bound: NDArray[np.str_]
    length_bound: NDArray[np.str_]
    pressure: FloatArray
    side_pressure: FloatArray
    pull: FloatArray
    slack_later: NDArray[np.bool_]

    @property
    def girth_factor(self) -> FloatArray:
        """Cut over body, round."""
        return 1.0 / (1.0 + self.girth_strain)

    @property
    def length_factor(self) -> FloatArray:
        """Cut over body, down."""
        return 1.0 / (1.0 + self.length_strain)

    @property
    def unsafe(self) -> NDArray[np.bool_]:
        """Where the pressure at the side is more than is safe."""
        return np.asarray(self.side_pressure >= REFUSED_FROM)

    @property
    def pulled_twice(self) -> NDArray[np.bool_]:
        """Where the length is pulled by contraction and by the shorter cut as well."""
        return pulled_twice(self.length_strain, self.solution.free_length)

    @property
    def warnings(self) -> dict[str, NDArray[np.bool_]]:
        """Where a body has a warning of ``notes.WARNINGS`` of its own, by its name."""
        return {
            "length_pulled_twice": self.pulled_twice,
            "straps_slack_later": self.slack_later,
            "unsafe_pressure": self.unsafe,
        }

    def clash(self, row: int) -> str:
        """Return why a body has no answer, in words; empty where it has one."""
        if self.answered[row]:
            return ""
        empty = bool(self._at(self.solution.girth.is_empty, row))
        chosen = self.solution.girth if empty else self.solution.length
        low_key = chosen.low_keys[int(self._at(chosen.low_index, row))]
        high_key = chosen.high_keys[int(self._at(chosen.high_index, row))]
        low = Limit(low_key, float(self._at(chosen.low, row)))
        high = Limit(high_key, float(self._at(chosen.high, row)))
        return clash_text("girth" if empty else "length", low, high)

    def window(self, axis: Axis, row: int) -> tuple[float, float] | None:
        """Return least and most worn strain of a body; None where none was decided."""
        chosen = self.solution.girth if axis == "girth" else self.solution.length
        low, high = (float(self._at(end, row)) for end in (chosen.low, chosen.high))
        if np.isnan(self._at(chosen.aim, row)) or low > high:
            return None
        return low, high

    def _at(self, values: NDArray[Any], row: int) -> Any:  # noqa: ANN401 - an element
        """Return a body's element, also of limits that are the same for all bodies."""
        return np.broadcast_to(values, self.answered.shape)[row]


def decide_many(
    cloth: Cloth, body: BodyArrays, aim: Aim, allowed: Allowed | None = None
) -> Many:
    """Decide for many bodies in one fabric.

    Args:
        cloth: The fabric.
        body: Girths, cm, each of shape (bodies,).
        aim: How firmly to hold.
        allowed: Numbers of the limits.

    Returns:
        The answers; an empty window is one of them.

    Raises:
        RefusedError: If it is pulled on over head and a shoulder girth is not known.
    """
    allowed = allowed or Allowed()
    if allowed.over_head and np.isnan(body.shoulder_girth).any():
        message = "over the head, every body needs a shoulder girth"
        raise RefusedError(message)
    solution = solve(cloth.figures, body, aim, allowed, cloth.membrane)
    one_way = np.isnan(solution.length.aim)
    empty = solution.girth.is_empty | (~one_way & solution.length.is_empty)
    girth = np.where(empty, np.nan, solution.girth.strain)
    length = np.where(one_way, 0.0, solution.length.strain)
    length = np.where(empty, np.nan, length)
    pressure, side, pull = _holding(cloth.membrane, body, (girth, length), allowed)
    return Many(
        solution=solution,
        answered=~empty,
        girth_strain=girth,
        length_strain=length,
        girth_bound=_bound(solution.girth, empty),
        length_bound=np.where(
            one_way & ~empty,
            NOT_TESTED if allowed.hangs else AS_IT_IS,
            _bound(solution.length, empty),
        ),
        pressure=pressure,
        side_pressure=side,
        pull=pull,
        slack_later=_slack_later(cloth.membrane, (girth, length), body, allowed),
    )


def _bound(chosen: Chosen, empty: NDArray[np.bool_]) -> Any:  # noqa: ANN401 - NDArray[np.str_]
    return np.where(empty, "", chosen.bound_by)


def _slack_later(
    membrane: Membrane | None,
    strains: tuple[FloatArray, FloatArray],
    body: BodyArrays,
    allowed: Allowed,
) -> NDArray[np.bool_]:
    slack = np.zeros(strains[0].shape, dtype=bool)
    if membrane is not None and allowed.hangs:
        for pull in pulls_later(membrane, *strains, body.waist).values():
            slack |= is_slack(pull, allowed.least_pull_n)
    return slack


def _holding(
    membrane: Membrane | None,
    body: BodyArrays,
    strains: tuple[FloatArray, FloatArray],
    allowed: Allowed,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return mean pressure where it is aimed at, most pressure at a side, and the pull."""
    girth, length = strains
    if membrane is None:
        nothing = np.full_like(girth, np.nan)
        return nothing, nothing, nothing
    around, down = membrane.tensions(girth, length, outside="nan")
    sides = [
        local_pressures(around, body.girths[name], DEPTH_OVER_BREADTH[name], length)[0]
        for name in allowed.held_at
    ]
    pull = np.maximum(down, 0.0) * body.waist / (1.0 + girth) / 100.0
    if not allowed.hangs:
        pull = np.full_like(pull, np.nan)
    most = np.max(sides, axis=0)
    return mean_pressure(around, body.girths[allowed.held_at[0]], length), most, pull
