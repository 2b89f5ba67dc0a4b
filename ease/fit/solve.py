"""From cloths and bodies to worn strains, both directions, on arrays."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from ease.fit.aims import Aim, Allowed
from ease.fit.cases import BodyArrays, ClothArrays
from ease.fit.coupled import Pair
from ease.fit.holding import aimed_girth, girth_holding, length_holding
from ease.fit.limits import girth_bounds, pull_bounds
from ease.fit.membrane import Membrane
from ease.fit.pull import carried_pull, pull_tension
from ease.fit.window import Chosen, Strains, choose

__all__ = ["Solution", "solve"]

FloatArray = NDArray[np.float64]
_Arrays = TypeVar("_Arrays", ClothArrays, BodyArrays)
_ROUNDS: Final = 40  # three to five are enough on every cloth seen
_SAME_PULL_N: Final = 1e-10


@dataclass(frozen=True, slots=True)
class Solution:
    """Worn strains with their windows, over arrays of one shape.

    Attributes:
        girth: Strain chosen round the body.
        length: Worn strain chosen down the body; nan where that direction was not
            tested, or the garment does not hang.
        free_length: Length of the cloth over its cut length when it is stretched round
            and left free down: below 1 by contraction.
    """

    girth: Chosen
    length: Chosen
    free_length: FloatArray


def solve(
    cloth: ClothArrays,
    body: BodyArrays,
    aim: Aim,
    allowed: Allowed,
    membrane: Membrane | None = None,
) -> Solution:
    """Choose worn strains inside the window.

    With a membrane the aim is a pressure and a pull; without one it is a share of the
    stretch, a rule of thumb. An aim that lies past the load test is held at its end.

    Args:
        cloth: Figures of the hand test.
        body: Girths, cm.
        aim: What is aimed at.
        allowed: Numbers of the limits.
        membrane: The cloth's load tests, or a batch of them.
    """
    if membrane is None:
        return _by_share(cloth, body, aim, allowed)
    if not allowed.hangs:
        return _with_pull(cloth, body, aim, allowed, membrane, None)
    return _by_pressure(cloth, body, aim, allowed, membrane)


def _by_share(
    cloth: ClothArrays, body: BodyArrays, aim: Aim, allowed: Allowed
) -> Solution:
    girth = choose(
        np.asarray(aim.girth_share * cloth.stretch_girth),
        girth_bounds(cloth, body, allowed),
    )
    free = 1.0 - cloth.contraction * girth.strain
    worn = Strains(free)
    share = aim.length_share if allowed.hangs else np.nan
    length = choose(
        worn(np.asarray(share * cloth.stretch_length)),
        pull_bounds(cloth, allowed, girth.strain, free).mapped(worn),
    )
    return Solution(girth, length, free)


def _by_pressure(
    cloth: ClothArrays,
    body: BodyArrays,
    aim: Aim,
    allowed: Allowed,
    membrane: Membrane,
) -> Solution:
    """Choose by pressure and pull.

    How hard the cloth presses depends on how far it is pulled down. Where a limit moves
    that length, the pull is another than the aim, and the strain round is chosen anew
    with the pull that is then worn, until both agree. A round takes up only those that
    do not agree yet: they are few, and no answer depends on its neighbours.
    """
    pull = np.asarray(aim.pull_n, dtype=np.float64)
    whole = solution = _with_pull(cloth, body, aim, allowed, membrane, pull)
    places = np.ones(solution.girth.strain.shape, dtype=bool)
    last: tuple[FloatArray, FloatArray] | None = None
    for _ in range(_ROUNDS):
        girth, length = solution.girth.strain, solution.length.strain
        carried = carried_pull(membrane, girth, length, body.waist)
        gap = np.asarray(carried - pull)
        moving = np.abs(gap) > _SAME_PULL_N  # never where it is nan
        if not moving.any():
            break
        places[places] = moving.ravel()
        fresh = carried if last is None else _nearer(pull, gap, carried, *last)
        last = np.broadcast_to(pull, gap.shape)[moving], gap[moving]
        pull = fresh[moving]
        cloth, body = _taken(cloth, moving), _taken(body, moving)
        allowed = allowed.of_bodies(moving)
        strips = Pair(membrane.girth, membrane.length, membrane.coupling)
        membrane = Membrane(*strips.take(moving))
        solution = _with_pull(cloth, body, aim, allowed, membrane, pull)
        whole = _put(whole, places, solution)
    return whole


def _nearer(
    pull: FloatArray,
    gap: FloatArray,
    carried: FloatArray,
    last_pull: FloatArray,
    last_gap: FloatArray,
) -> FloatArray:
    """Return the pull at which a line through two rounds leaves no gap.

    Where the gap has not shrunk to a half, the pull that is carried goes on.
    """
    shrinks = np.abs(gap) < 0.5 * np.abs(last_gap)
    slope = np.where(shrinks, gap - last_gap, 1.0)
    return np.where(shrinks, pull - gap * (pull - last_pull) / slope, carried)


def _taken(arrays: _Arrays, keep: NDArray[np.bool_]) -> _Arrays:
    """Return the elements of cloths or bodies that are kept, flat."""
    taken: dict[str, Any] = {
        item.name: np.broadcast_to(getattr(arrays, item.name), keep.shape)[keep]
        for item in fields(arrays)
    }
    return replace(arrays, **taken)


def _put(whole: Solution, places: NDArray[np.bool_], part: Solution) -> Solution:
    """Return a solution with other answers at some places."""

    def joined(old: Chosen, new: Chosen) -> Chosen:
        columns = {
            item.name: _filled(getattr(old, item.name), places, getattr(new, item.name))
            for item in fields(Chosen)
            if item.name not in ("low_keys", "high_keys")
        }
        return replace(old, **columns)

    return Solution(
        joined(whole.girth, part.girth),
        joined(whole.length, part.length),
        _filled(whole.free_length, places, part.free_length),
    )


def _filled(old: FloatArray, places: NDArray[np.bool_], new: FloatArray) -> Any:  # noqa: ANN401 - an array of the kind it was
    filled = np.array(old)
    filled[..., places] = new
    return filled


def _with_pull(
    cloth: ClothArrays,
    body: BodyArrays,
    aim: Aim,
    allowed: Allowed,
    membrane: Membrane,
    pull: FloatArray | None,
) -> Solution:
    """Choose the strain round as worn with a pull, and the strain down for the aim.

    Without a pull it does not hang: worn at body length, no strain down is chosen.
    """
    girth = choose(
        _held_at(
            aimed_girth(membrane, body, aim.pressure_kpa, pull, allowed.held_at[0]),
            membrane.girth.last_strain,
        ),
        girth_bounds(cloth, body, allowed).joined(
            *girth_holding(membrane, body, pull, allowed)
        ),
    )
    free = 1.0 + membrane.length_strain(girth.strain, outside="nan")
    down = pull_tension(aim.pull_n, girth.strain, body.waist)
    aimed = _held_at(
        membrane.length_strain(girth.strain, down, outside="nan"),
        membrane.length.last_strain,
    )
    length = choose(
        aimed if pull is not None else np.full_like(aimed, np.nan),
        pull_bounds(cloth, allowed, girth.strain, free)
        .mapped(Strains(free))
        .joined(*length_holding(membrane, girth.strain, body.waist, allowed)),
    )
    return Solution(girth, length, free)


def _held_at(aim: FloatArray, last: FloatArray) -> FloatArray:
    """Return the aim, or just past the last tested strain where no test reaches it."""
    return np.where(np.isnan(aim), np.nextafter(last, np.inf), aim)
