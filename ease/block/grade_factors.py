"""The factors of a run of sizes, all decided in one call."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ease.block.plan import BODY_SIZE, Factors
from ease.body.measures import Body
from ease.fit.aims import Aim, Allowed
from ease.fit.batch import Cloth, decide_many
from ease.fit.cases import BodyArrays

__all__ = ["DecidedSize", "decide_sizes"]


class DecidedSize(NamedTuple):
    """Factors of one size, which limits decide them, why there are none, warnings."""

    factors: Factors | None
    bound_by: tuple[str, str]
    fault: str
    warnings: tuple[str, ...] = ()


def decide_sizes(
    bodies: Sequence[Body], cloth: Cloth | None, aim: Aim, allowed: Allowed
) -> list[DecidedSize]:
    """Return the factors of every size, all decided in one call."""
    if cloth is None:
        return [DecidedSize(BODY_SIZE, ("", ""), "")] * len(bodies)
    arrays = BodyArrays(
        **{
            key: np.array([body[key] for body in bodies])
            for key in ("bust", "waist", "hip", "shoulder_girth")
        }
    )
    many = decide_many(cloth, arrays, aim, allowed)
    name, found = cloth.fabric.name, []
    for row, body in enumerate(bodies):
        factors = None
        if many.answered[row]:
            factors = Factors(
                float(many.girth_factor[row]),
                float(many.length_factor[row]),
                f"{name} on {body.name}, hold {aim.name}",
                name,
                body.name,
                round_body=cloth.round_body,
                girth_window=many.window("girth", row),
                length_window=many.window("length", row),
            )
        bounds = str(many.girth_bound[row]), str(many.length_bound[row])
        warned = tuple(key for key, where in many.warnings.items() if where[row])
        found.append(DecidedSize(factors, bounds, many.clash(row), warned))
    return found
