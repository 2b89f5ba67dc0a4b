"""The JSON of a comparison of fabrics, and of what a block needs."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING, Any

from .check_json import check_json
from .fabrics_json import fabric_json

if TYPE_CHECKING:
    from ease.block.compare import Comparison, Suited
    from ease.block.suiting import Suiting
    from ease.fit.decide import Decision, Reduction


def compare_json(compared: Comparison) -> dict[str, Any]:
    """Return the JSON body of a comparison; sizes are of the block cut for each."""
    sizes = [
        {
            "name": name,
            "after_cm": list(compared.after_cm(name)),
            "swapped_cm": list(compared.swapped_cm(name)),
        }
        for name in compared.size_names
    ]
    return {
        "body": None if compared.body is None else compared.body.name,
        "block": None if compared.block is None else compared.block.name,
        "fabrics": [_suited(one) for one in compared.suited],
        "sizes": sizes,
    }


def _suited(one: Suited) -> dict[str, Any]:
    found, held = one.reduction, one.held
    return {
        "fabric": fabric_json(one.fabric),
        "round_body": one.round_body,
        "refused": one.refused or None,
        "girth": None if found is None else _decision(found.girth),
        "length": None if found is None else _length(one, found),
        "pressure_kpa": None if held is None else held.pressure_kpa,
        "side_kpa": None if held is None else held.side_kpa,
        "shoulder_pull_n": None if held is None else held.pull_n,
        "block_as_it_is": None if one.as_it_is is None else check_json(one.as_it_is),
    }


def _length(one: Suited, found: Reduction) -> dict[str, Any]:
    if one.kept_length is None:
        return _decision(found.length)
    return {
        "factor": one.kept_length,
        "strain": None,
        "reduction": 1.0 - one.kept_length,
        "bound_by": "as_it_is",
    }


def _decision(decision: Decision) -> dict[str, Any]:
    return {
        "factor": decision.factor,
        "strain": decision.strain,
        "reduction": decision.reduction,
        "bound_by": decision.bound_by,
    }


def need_json(suiting: Suiting) -> dict[str, Any]:
    """Return the JSON body of what a block needs and which fabrics have it."""
    need = suiting.need
    return {
        "possible": suiting.need.possible,
        "stretch": need.stretch,
        "stretch_for": need.stretch_for,
        "stretch_down": need.stretch_down,
        "level": need.level,
        "strain": need.strain,
        "length_strain": need.length_strain,
        "tension_n_per_m": need.tension,
        "tension_band_n_per_m": [suiting.least_tension, suiting.most_tension],
        "fabrics": [
            {
                "name": one.check.fabric.name,
                "stretch": one.check.stretch,
                "stretch_down": None
                if isnan(one.check.stretch_down)
                else one.check.stretch_down,
                "enough_stretch": one.enough_stretch,
                "tension_n_per_m": one.tension,
                "right_power": one.right_power,
                "fits": one.fits,
                "suits": one.suits,
                "verdict": one.check.verdict,
                "faults": dict(one.check.faults),
            }
            for one in suiting.having
        ],
    }
