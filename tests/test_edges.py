"""Numbers at the edges through the public names: a right answer or a plain refusal.

What comes back holds finite numbers only (nan where nan was given to whole arrays), and
warnings count as faults, as everywhere in these tests.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from itertools import product
from math import isfinite, nan
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ease import (
    Body,
    EaseError,
    Fabric,
    Factors,
    adjust_block,
    check_wear,
    complete,
    cut_girth,
    decide,
    draft_block,
    load_any_block,
    load_body,
    load_fabric,
    mean_pressure,
    negative_ease,
    reduction_from_strain,
    refit,
    spread_of,
    strain_from_reduction,
    summarise,
    to_fabric,
)
from ease.demo import shipped_block
from ease.fabric.hand_reading import HandReading
from ease.fabric.profile import FIGURES, Estimate
from ease.fabric.store import fabric_to_toml
from ease.fabric.tension import Branch, TensionCurve
from ease.fit.reduction import combine_strains, factor_from_strain, strain_from_factor

EDGES = (
    0.0, -0.0, 1e-320, 1e-9, 1e-3, 0.5, 1.0, 100.0, 1e6, 1e300, -1.0, -1e300, nan,
    float("inf"), float("-inf"),
)  # fmt: skip
BODY = complete(load_body("demo"))
FABRIC = load_fabric("soft-tricot")


def with_both(**figures: Any) -> Fabric:
    """The fabric with some figures of both directions changed."""
    assert FABRIC.across is not None
    assert FABRIC.along is not None
    return dataclasses.replace(
        FABRIC,
        across=dataclasses.replace(FABRIC.across, **figures),
        along=dataclasses.replace(FABRIC.along, **figures),
    )


def finite(value: object, depth: int = 0) -> bool:
    """Return whether all numbers in a result are finite."""
    if isinstance(value, float):
        return isfinite(value)
    if isinstance(value, np.ndarray):
        return value.dtype.kind != "f" or bool(np.isfinite(value).all())
    if isinstance(value, Mapping):
        return all(finite(item, depth) for item in value.values())
    if isinstance(value, (list, tuple)):
        return all(finite(item, depth) for item in value)
    if dataclasses.is_dataclass(value) and depth < 6:
        names = [field.name for field in dataclasses.fields(value)]
        return all(finite(getattr(value, name), depth + 1) for name in names)
    return True


def answered(call: Callable[..., Any], *given: Any) -> Any:
    """Return the result, or None where it was refused in words."""
    said = ""
    try:
        result = call(*given)
    except EaseError as error:
        result, said = None, str(error)
    assert result is not None or len(said) > 15, given
    assert finite(result), given
    return result


@pytest.mark.parametrize(
    "function",
    [
        reduction_from_strain,
        strain_from_reduction,
        factor_from_strain,
        strain_from_factor,
    ],
)
def test_one_figure(function: Callable[..., object]) -> None:
    answers = [answered(function, value) for value in EDGES]
    assert answers[5] is not None
    assert answers[-3:] == [None] * 3


@pytest.mark.parametrize("function", [cut_girth, negative_ease, combine_strains])
def test_two_figures(function: Callable[..., object]) -> None:
    answers = [answered(function, *pair) for pair in product(EDGES, EDGES)]
    assert any(answer is not None for answer in answers)


def test_pressure() -> None:
    for tension, girth, strain in product(EDGES, EDGES, EDGES):
        if nan in (tension, girth, strain):  # the same object: what is unknown stays so
            continue
        pressure = answered(mean_pressure, tension, girth, strain)
        assert pressure is None or float(pressure) >= 0
    assert np.isnan(mean_pressure([nan, 1.0], 70.0)).tolist() == [True, False]


def reading(repeat: int = 1, **figures: Any) -> HandReading:
    given = {"gauge": 10.0, "extended": 16.0, "rested": 10.3, **figures}
    return HandReading(direction="across", repeat=repeat, **given)


def swatch(**figures: float | None) -> str:
    return fabric_to_toml(to_fabric(summarise([reading(1, **figures)]), name="a"))


@pytest.mark.parametrize("name", ["gauge", "extended", "rested", "rest_minutes"])
def test_readings(name: str) -> None:
    for value in EDGES:
        answered(lambda value=value: swatch(**{name: value}))


def test_loads_and_widths() -> None:
    for value in EDGES:
        answered(lambda value=value: swatch(load=value, strip_width=5.0))
        answered(lambda value=value: swatch(load=5.0, strip_width=value))
        answered(lambda value=value: swatch(width=value, width_extended=4.0))
        answered(lambda value=value: swatch(width=5.0, width_extended=value))


def test_one_reading_and_identical_readings() -> None:
    one = to_fabric(summarise([reading()]), name="a").across
    assert one is not None
    assert (one.stretch.mean, one.stretch.sd, one.stretch.n) == (0.6, None, 1)
    for count in (2, 3, 8):
        same = [reading(repeat) for repeat in range(1, count + 1)]
        for drop in (False, True):
            cloth = to_fabric(summarise(same, drop_outliers=drop), name="a").across
            assert cloth is not None
            assert cloth.stretch.mean == pytest.approx(0.6)
            assert cloth.stretch.sd == pytest.approx(0.0, abs=1e-12)
            assert cloth.stretch.n == count
    with pytest.raises(EaseError, match="no readings"):
        summarise([])


def test_no_stretch_at_all() -> None:
    with pytest.raises(EaseError, match="extended is the gauge"):
        reading(extended=10.0, rested=10.0)


@pytest.mark.parametrize("measure", ["bust", "waist", "hip", "torso_loop", "weight_kg"])
def test_body_measures(measure: str) -> None:
    for value in EDGES:
        values = {**load_body("demo").values, measure: value}

        def person(values: Mapping[str, float] = values) -> Body:
            return complete(dataclasses.replace(load_body("demo"), values=values))

        body = answered(person)
        if body is not None:
            assert isinstance(body, Body)
            assert body.values[measure] == value


@pytest.mark.parametrize("times", [1e-300, 1e-3, 0.5, 0.8, 1.25, 2.0, 10.0, 1e300])
def test_huge_and_tiny_bodies(times: float) -> None:
    def person() -> Body:
        values = {name: value * times for name, value in BODY.values.items()}
        return complete(dataclasses.replace(load_body("demo"), values=values))

    body = answered(person)
    if 0.75 < times < 1.5:
        assert body is not None
    if isinstance(body, Body):
        answered(draft_block, body)
        reduction = answered(decide, FABRIC, body)
        if reduction is not None:
            # The factors do not depend on the size, the pressure does: nothing but the
            # rounding of doubles lies between them.
            same = decide(FABRIC, BODY)
            assert reduction.girth.factor == pytest.approx(same.girth.factor, rel=1e-12)


@pytest.mark.parametrize("figure", FIGURES)
def test_figures_of_a_cloth(figure: str) -> None:
    for mean, sd in product(EDGES, (None, 0.0, 1e-9, 0.5, 1e300, nan)):

        def answer(mean: float = mean, sd: float | None = sd) -> object:
            assert FABRIC.across is not None
            given: dict[str, Any] = {figure: Estimate(mean, sd, 1 if sd is None else 3)}
            across = dataclasses.replace(FABRIC.across, **given)
            cloth = dataclasses.replace(FABRIC, across=across)
            reduction = decide(cloth, BODY)
            return reduction.girth.factor, spread_of(reduction).girth

        answered(answer)


def test_tension_curves() -> None:
    for strain, tension in product(EDGES, EDGES):

        def answer(strain: float = strain, tension: float = tension) -> object:
            curve = TensionCurve(Branch.through([0.0, strain], [0.0, tension]))
            return decide(with_both(tension=curve), BODY).girth.factor

        answered(answer)


def test_factors_and_ratios_of_a_block() -> None:
    path = shipped_block("demo-soft")
    assert isinstance(path, Path)
    block = load_any_block(path)
    for value in EDGES:
        answered(adjust_block, block, value, 1.0)
        answered(adjust_block, block, 1.0, value)
        answered(
            lambda value=value: adjust_block(block, 1, 1, level_ratios={"waist": value})
        )
        answered(
            lambda value=value: refit(
                block, Factors(1.0, 1.0, "a"), Factors(value, 1.0, "b"), BODY
            )
        )
        person = answered(
            lambda value=value: dataclasses.replace(
                BODY, values={**BODY.values, "hip": value}
            )
        )
        if isinstance(person, Body):
            answered(check_wear, block, person, FABRIC)
