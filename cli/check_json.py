"""The JSON of a wear check; figures past the load test are null."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from ease.block.check import WearCheck
    from ease.block.worn_otherwise import WornOtherwise
    from ease.fit.samples import Interval
    from ease.fit.wear import Loads
    from ease.fit.wear_spread import WearSpread

    FloatArray = NDArray[np.float64]


def check_json(result: WearCheck) -> dict[str, Any]:
    """Return the JSON body of a wear check; ``levels`` is the state just put on."""
    from ease.block.worn_otherwise import worn_otherwise

    known = result.sizes.length_known
    waist = float(result.sizes.block[result.pull_index])
    states = {
        name: {
            "levels": [_level_json(result, end, i) for i in range(len(result.levels))],
            "shoulder_pull_n": _number(end.pull(result.pull_index, waist))
            if known
            else None,
        }
        for state, ends in result.states.items()
        for name, end in _named_ends(state, ends)
    }
    now = result.shoulder_pull("now")
    return {
        "fabric": result.fabric.name,
        "round_body": result.round_body,
        "levels": [
            _level_json(result, result.states["now"][0] if result.states else None, i)
            for i in range(len(result.levels))
        ],
        "states": states,
        "length_strain": result.sizes.length_strain if known else None,
        "goes_on": result.goes_on,
        "opens": result.opens,
        "stops_at": result.stops_at,
        "judged_round": result.judged_round,
        "judged_down": result.judged_down,
        "not_judged": list(result.not_judged),
        "shoulder_pull_n": None if now is None else _number(now[0]),
        "ci95": _spread_json(result.spread),
        "leg_opening": None
        if result.leg is None
        else {
            "name": result.leg.name,
            "edge_cm": result.leg.edge_cm,
            "worn_cm": result.leg.worn_cm,
            "thigh_cm": result.leg.thigh_cm,
            "strain": result.leg.strain,
        },
        "leg_levels": [
            {
                "name": level.name,
                "both_legs_cm": level.both_cm,
                "leg_cm": level.leg_cm,
                "thigh_cm": level.thigh_cm,
                "strain": level.strain,
            }
            for level in result.leg_levels
        ],
        "worn_by_toile": [_worn_json(one) for one in worn_otherwise(result)],
        "understated_after_hour": list(result.understated),
        "remarks": list(result.remarks),
        "faults": dict(result.faults),
        "verdict": result.verdict,
    }


def _worn_json(one: WornOtherwise) -> dict[str, Any]:
    """Return strains by a worn garment; those of ``levels`` are by the swatch."""
    ratio = one.ratio
    return {
        "date": one.evidence.day.isoformat(),
        "kind": one.evidence.kind,
        "cloth": one.cloth,
        "way": one.way,
        "ratio": ratio.ratio,
        "ratio_ci95": [ratio.ratio - ratio.half, ratio.ratio + ratio.half],
        "strain_by_swatch": dict(one.by_swatch),
        "strain": dict(one.by_toile),
    }


def _named_ends(state: str, ends: tuple[Loads, ...]) -> list[tuple[str, Loads]]:
    import numpy as np

    if len(ends) == 1:
        return [(state, ends[0])]
    return [
        (f"{state}_low", _each(np.minimum, ends)),
        (f"{state}_high", _each(np.maximum, ends)),
    ]


def _each(choose: np.ufunc, ends: tuple[Loads, ...]) -> Loads:
    """Return the least or the greatest of a range at every level."""
    from dataclasses import fields

    from ease.fit.wear import Loads

    return Loads(
        **{
            item.name: choose(*(getattr(end, item.name) for end in ends))
            for item in fields(Loads)
        }
    )


def _spread_json(spread: WearSpread | None) -> dict[str, Any] | None:
    """Return the 95 % intervals just put on, level by level, each [low, high]."""
    if spread is None:
        return None

    def ends(interval: Interval) -> list[float | None]:
        return [_number(interval.low), _number(interval.high)]

    return {
        "strain": [ends(one) for one in spread.strain],
        "pressure_kpa": [ends(one) for one in spread.pressure],
        "side_pressure_kpa": [ends(one) for one in spread.side],
        "shoulder_pull_n": None if spread.pull is None else ends(spread.pull),
    }


def number_or_none(values: FloatArray | None, index: int) -> float | None:
    """Return one number of an array for JSON; None where it is not known."""
    return None if values is None else _number(float(values[index]))


def _number(value: float) -> float | None:
    """Return a number for JSON; None past the load test."""
    return None if value != value else value


def _level_json(result: WearCheck, end: Loads | None, index: int) -> dict[str, Any]:
    def value(array: FloatArray | None) -> float | None:
        return number_or_none(array, index)

    return {
        "name": result.levels[index].name,
        "y_cm": result.levels[index].y,
        "loop": result.levels[index].loop,
        "body_cm": value(result.sizes.body),
        "block_cm": value(result.sizes.block),
        "strain": value(result.sizes.strain),
        "stretch_used": value(result.stretch_used),
        "tension_n_per_m": value(end.tension if end else None),
        "pressure_kpa": value(end.pressure if end else None),
        "side_pressure_kpa": value(end.side if end else None),
        "side_pressure_at_least_kpa": value(end.least_side if end else None),
    }
