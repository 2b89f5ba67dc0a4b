"""Decide for one fabric and one body: how much smaller to cut, and which limit says so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import Literal

import numpy as np

from ease.body.measures import Body
from ease.errors import EmptyWindowError
from ease.fabric.profile import DirectionName, Fabric
from ease.fit.aims import AIMS, ASSUMED_CONTRACTION, Aim, Allowed
from ease.fit.cases import BodyArrays, ClothArrays, directions
from ease.fit.membrane import Membrane
from ease.fit.notes import cloth_notes, garment_notes
from ease.fit.slack import pulls_later, slack_note
from ease.fit.solve import Solution, solve
from ease.fit.ways_out import Asked, ways_out
from ease.fit.window import AS_IT_IS, LIMITS, NOT_TESTED, Chosen

__all__ = [
    "Decision",
    "Limit",
    "Reduction",
    "clash_text",
    "decide",
    "membrane_of",
]

Axis = Literal["girth", "length"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One end of a window.

    Attributes:
        key: Key of the limit in ``window.LIMITS``.
        strain: Worn strain at which it stands.
    """

    key: str
    strain: float

    @property
    def title(self) -> str:
        """Name of the limit for tables."""
        return LIMITS[self.key].title


@dataclass(frozen=True, slots=True)
class Decision:
    """How much to cut in one direction, and why.

    Attributes:
        axis: ``girth`` or ``length``.
        strain: Worn strain.
        aim: Worn strain aimed at, just past the load test where none of it gives what is
            aimed at; None where the direction was not tested.
        low: Low end of the window; None where the direction was not tested.
        high: High end of the window.
        bound_by: Key of the limit that binds, ``aim``, ``not_tested``, or ``as_it_is``
            for the length of what does not hang.
        limits: Every limit that was looked at, the two ends among them.
    """

    axis: Axis
    strain: float
    aim: float | None
    low: Limit | None
    high: Limit | None
    bound_by: str
    limits: tuple[Limit, ...] = ()

    @property
    def factor(self) -> float:
        """Cut over body, ``1 / (1 + strain)``."""
        return 1.0 / (1.0 + self.strain)

    @property
    def reduction(self) -> float:
        """Share of the body taken off, ``1 - factor``."""
        return 1.0 - self.factor

    @property
    def strains(self) -> dict[str, float]:
        """Worn strain of every limit by its key."""
        return {limit.key: limit.strain for limit in self.limits}

    @property
    def aim_beyond_test(self) -> bool:
        """Whether the load test ends before the pressure or pull that is aimed at."""
        return self.aim is not None and self.aim > self.strains.get("test_range", inf)

    @property
    def bound_title(self) -> str:
        """What binds, for tables."""
        if self.bound_by in LIMITS:
            return LIMITS[self.bound_by].title
        return {"aim": "the aim", AS_IT_IS: "as it is"}.get(self.bound_by, "not tested")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reduction:
    """The two factors for a fabric on a body.

    Attributes:
        fabric: The fabric.
        body: The body.
        round_body: Cloth direction that goes round the body.
        aim: How firmly it should hold.
        allowed: The limits it was decided under.
        basis: ``share`` of the stretch (a rule of thumb) or ``pressure`` and pull.
        girth: Round the body.
        length: Down the body.
        free_length: Length of the cloth over its cut length when stretched round.
        notes: What the user should know about these numbers.
    """

    fabric: Fabric
    body: Body
    round_body: DirectionName
    aim: Aim
    allowed: Allowed
    basis: Literal["share", "pressure"]
    girth: Decision
    length: Decision
    free_length: float
    notes: tuple[str, ...]

    @property
    def contraction_strain(self) -> float:
        """Worn strain down the body at body length, from contraction alone."""
        return 1.0 / self.free_length - 1.0

    @property
    def pull_strain(self) -> float:
        """Strain down the body over and above the contracted length."""
        return (1.0 + self.length.strain) / self.free_length - 1.0

    def cut(self, measure: str) -> float:
        """Return the size to cut for a girth or the torso loop of the body, cm."""
        factor = self.length if measure == "torso_loop" else self.girth
        return self.body[measure] * factor.factor


def decide(
    fabric: Fabric,
    body: Body,
    *,
    aim: Aim | None = None,
    allowed: Allowed | None = None,
    round_body: DirectionName | None = None,
) -> Reduction:
    """Return the two factors for a fabric on a body, and what decides them.

    Args:
        fabric: The fabric; without a load test the aim is a share of its stretch.
        body: The body; bust, waist and hip are used.
        aim: How firmly to hold; ``regular`` if not given.
        allowed: Numbers of the limits.
        round_body: Cloth direction round the body; the one that stretches more if not
            given.

    Raises:
        EmptyWindowError: If two limits clash.
        RefusedError: If the cloth was not tested in the direction round the body.
    """
    aim, allowed = aim or AIMS["regular"], allowed or Allowed()
    way = round_body or fabric.round_body
    cloth = ClothArrays.from_fabric(fabric, way)
    membrane = membrane_of(fabric, way)
    girths = BodyArrays.from_body(body)
    if allowed.over_head:
        body["shoulder_girth"]  # refused here if it is not known
    solution = solve(cloth, girths, aim, allowed, membrane)
    try:
        girth, length = _decision("girth", solution.girth), _length(solution, allowed)
    except EmptyWindowError as error:
        asked = Asked(
            cloth=cloth, body=girths, aim=aim, allowed=allowed, membrane=membrane
        )
        raise _with_ways_out(error, asked, fabric, way) from None
    free = float(solution.free_length)
    unsure = allowed.over_head and "shoulder_girth" in body.filled
    notes = (
        *cloth_notes(fabric, way, membrane),
        *garment_notes(
            length.strain,
            free,
            _slack_later(fabric, membrane, (girth, length), body, allowed),
            shoulders_filled_in=unsure,
        ),
    )
    return Reduction(
        fabric=fabric,
        body=body,
        round_body=way,
        aim=aim,
        allowed=allowed,
        basis="share" if membrane is None else "pressure",
        girth=girth,
        length=length,
        free_length=free,
        notes=tuple(note.text for note in notes),
    )


def _slack_later(
    fabric: Fabric,
    membrane: Membrane | None,
    chosen: tuple[Decision, Decision],
    body: Body,
    allowed: Allowed,
) -> str:
    """Say in which later states the straps hang slack, and what to do; or nothing."""
    girth, length = chosen
    if membrane is None or length.high is None:
        return ""
    now, shortest = (
        pulls_later(membrane, girth.strain, strain, body["waist"])
        for strain in (length.strain, length.high.strain)
    )
    down = membrane.length.cloth, length.bound_by, length.high.key
    return slack_note(fabric.evidence, now, shortest, down, allowed.least_pull_n)


def membrane_of(fabric: Fabric, way: DirectionName) -> Membrane | None:
    """Return the fabric's membrane; None where a direction has no load test."""
    girth, length = directions(fabric, way)
    if girth.tension is None or length is None or length.tension is None:
        return None
    # An assumed ratio must be possible beside the other: nu_h < sqrt(E_h / E_v).
    root = float(np.sqrt(girth.tension.modulus / length.tension.modulus))
    assumed = min(ASSUMED_CONTRACTION, 0.9 * root)
    return Membrane.from_fabric(fabric, way, contraction=assumed)


def _length(solution: Solution, allowed: Allowed) -> Decision:
    if np.isnan(solution.length.aim):
        why = NOT_TESTED if allowed.hangs else AS_IT_IS
        return Decision("length", 0.0, None, None, None, why)
    return _decision("length", solution.length)


def _decision(axis: Axis, chosen: Chosen) -> Decision:
    low = Limit(chosen.low_keys[int(chosen.low_index)], float(chosen.low))
    high = Limit(chosen.high_keys[int(chosen.high_index)], float(chosen.high))
    if chosen.is_empty:
        raise EmptyWindowError(clash_text(axis, low, high), clash=(low.key, high.key))
    return Decision(
        axis,
        float(chosen.strain),
        float(chosen.aim),
        low,
        high,
        str(chosen.bound_by),
        _limits(chosen),
    )


def _limits(chosen: Chosen) -> tuple[Limit, ...]:
    keys = (*chosen.low_keys, *chosen.high_keys)
    strains = np.concatenate([chosen.all_low, chosen.all_high])
    return tuple(
        Limit(key, float(strain))
        for key, strain in zip(keys, strains, strict=True)
        if np.isfinite(strain)
    )


def clash_text(axis: Axis, low: Limit, high: Limit) -> str:
    """Return which two limits leave no strain between them, and by how much."""
    way = "round" if axis == "girth" else "down"
    gap = 100 * (low.strain - high.strain)
    return (
        f"no strain {way} meets both limits: {low.title} asks for at least "
        f"{100 * low.strain:.1f} %, {high.title} for at most {100 * high.strain:.1f} %; "
        f"they clash by {gap:.1f} points"
    )


def _with_ways_out(
    error: EmptyWindowError, asked: Asked, fabric: Fabric, way: DirectionName
) -> EmptyWindowError:
    """Return a refusal with what would leave a strain."""
    other: DirectionName = "along" if way == "across" else "across"
    turned = None
    if fabric.direction(other) is not None:
        cloth = ClothArrays.from_fabric(fabric, other)
        membrane = membrane_of(fabric, other)
        turned = other, replace(asked, cloth=cloth, membrane=membrane)
    hint = ways_out(asked, turned, error.clash)
    return EmptyWindowError(str(error), hint=hint, clash=error.clash)
