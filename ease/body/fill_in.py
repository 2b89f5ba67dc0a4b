"""Fill in the measures that were not taken, and say how sure each one is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ease.body.dictionary import NEEDED
from ease.body.equations import EQUATIONS, FITTED_RANGE, Equation
from ease.body.measures import Body, Filled
from ease.errors import RefusedError
from ease.sentence import Length, Sentence, lengths

__all__ = ["FilledColumns", "complete", "fill_in"]

FloatArray = NDArray[np.float64]
LOOP_NOTE: Final = (
    "THE TORSO LOOP WAS NOT MEASURED. It was filled in as {} +- {} ({:.1f} % of it; this "
    "holds 95 of 100 bodies), as much as a length factor takes off: measure it before "
    "cutting"
)


@dataclass(frozen=True, slots=True, eq=False)
class FilledColumns:
    """Completed measures of many bodies.

    Attributes:
        values: Column of each measure, cm, shape (n,), without gaps.
        sd: Spread of each value, cm; 0 where it was given.
        used: For each filled target, the equation of each row, as an index into
            ``EQUATIONS``, -1 where the value was given.
    """

    values: Mapping[str, FloatArray]
    sd: Mapping[str, FloatArray]
    used: Mapping[str, NDArray[np.int64]]


def fill_in(columns: Mapping[str, ArrayLike]) -> FilledColumns:
    """Complete many bodies at once by the regressions of ``EQUATIONS``.

    For each row the first equation is used whose inputs were all measured; failing
    that, the last one, with filled-in inputs. Their spread is carried on:
    ``sd^2 = sd_equation^2 + sum (coefficient * sd_input)^2``. Source key: ansur-2012.

    Args:
        columns: Known measures by key, cm, each of shape (n,), NaN where not measured.

    Raises:
        RefusedError: If bust, waist or hip is missing anywhere.
    """
    given = {
        key: np.array(value, dtype=float, ndmin=1) for key, value in columns.items()
    }
    for key in NEEDED:
        if key not in given or np.isnan(given[key]).any():
            message = f"{key} is missing; bust, waist and hip are never filled in"
            raise RefusedError(message)
    count = len(given["bust"])
    known = {key: ~np.isnan(value) for key, value in given.items()}
    sd = {key: np.where(known[key], 0.0, np.nan) for key in given}
    used: dict[str, NDArray[np.int64]] = {}
    for target in dict.fromkeys(equation.target for equation in EQUATIONS):
        value = given.setdefault(target, np.full(count, np.nan))
        spread = sd.setdefault(target, np.full(count, np.nan))
        chosen = _choose(target, value, known)
        used[target] = chosen
        for index, equation in enumerate(EQUATIONS):
            rows = chosen == index
            if rows.any():
                value[rows], spread[rows] = _apply(equation, given, sd, rows)
    return FilledColumns(given, sd, used)


def _choose(
    target: str, value: FloatArray, known: Mapping[str, NDArray[np.bool_]]
) -> NDArray[np.int64]:
    """Return the equation for each row, -1 where the value is known."""
    choices = [i for i, equation in enumerate(EQUATIONS) if equation.target == target]
    nothing = np.zeros(len(value), dtype=bool)
    chosen = np.full(len(value), choices[-1], dtype=np.int64)
    for index in reversed(choices):
        ready = np.all(
            [known.get(key, nothing) for key in EQUATIONS[index].inputs], axis=0
        )
        chosen[ready] = index
    chosen[~np.isnan(value)] = -1
    return chosen


def _apply(
    equation: Equation,
    values: Mapping[str, FloatArray],
    sd: Mapping[str, FloatArray],
    rows: NDArray[np.bool_],
) -> tuple[FloatArray, FloatArray]:
    total = np.full(int(rows.sum()), equation.constant)
    variance = np.full(int(rows.sum()), equation.sd**2)
    for key, factor in equation.terms:
        total = total + factor * values[key][rows]
        variance = variance + (factor * sd[key][rows]) ** 2
    return total, np.sqrt(variance)


def complete(body: Body) -> Body:
    """Return the body with every missing measure filled in and marked.

    High bust, underbust and weight stay out where they were not given: nothing is
    drafted from them, and no published equation gives them.

    Args:
        body: At least bust, waist and hip.

    Returns:
        The same body, completed; ``filled`` names each measure that was filled in, and
        ``notes`` says loudly where the torso loop was among them.

    Examples:
        >>> from ease.body.measures import Body
        >>> whole = complete(Body(name="b", values={"bust": 92, "waist": 76, "hip": 100}))
        >>> round(whole["thigh"], 1), whole.filled["thigh"].sd
        (60.2, 1.95)
    """
    filled = fill_in({key: [value] for key, value in body.values.items()})
    values, marks = dict(body.values), dict(body.filled)
    for target, chosen in filled.used.items():
        index = int(chosen[0])
        if index < 0:
            continue
        equation = EQUATIONS[index]
        values[target] = float(filled.values[target][0])
        sd = round(float(filled.sd[target][0]), 2)
        marks[target] = Filled(sd, ", ".join(equation.inputs), equation.source)
    notes = [*body.notes, *_notes(values, marks)]
    return replace(body, values=values, filled=marks, notes=tuple(dict.fromkeys(notes)))


def _notes(values: Mapping[str, float], marks: Mapping[str, Filled]) -> list[str]:
    notes: list[str] = []
    if "torso_loop" in marks:
        value, half = values["torso_loop"], marks["torso_loop"].half
        share = 100 * half / value
        notes.append(Sentence(LOOP_NOTE, *lengths(value, half), share))
    if not marks:
        return notes
    for key, (low, high) in FITTED_RANGE.items():
        if not low <= values[key] <= high:
            notes.append(
                Sentence(
                    "{} {} lies outside {} to {}, where the fill-in equations were fitted: "
                    "trust the filled-in measures less",
                    *(key, Length(values[key]), *lengths(low, high)),
                )
            )
    return notes
