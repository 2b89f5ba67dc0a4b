"""What a refusal advises is carried out, and answers; what is not advised does not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from ease.body.measures import Body
from ease.errors import EmptyWindowError
from ease.fabric.profile import Fabric
from ease.fit.aims import AIMS, Allowed, changed
from ease.fit.batch import Cloth, decide_many
from ease.fit.cases import BodyArrays
from ease.fit.decide import decide

Make = Callable[..., Fabric]
Table = dict[str, Any]
BODY = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 155.0},
)
PLAIN = {"stretch": 0.8, "growth": 0.01, "wet_growth": 0.02, "contraction": 0.3}
LOADED = {**PLAIN, "load": 300.0}
#: Cloth round and down, limits.
REFUSED: dict[str, tuple[Table, Table, Table]] = {
    "grows, round": ({**PLAIN, "growth": 0.3, "wet_growth": 0.4}, PLAIN, {}),
    "grows when wet": ({**PLAIN, "wet_growth": 0.4}, PLAIN, {}),
    "grows, down": (PLAIN, {**PLAIN, "growth": 0.3, "wet_growth": 0.3}, {}),
    "little stretch down": (PLAIN, {**PLAIN, "stretch": 0.1}, {}),
    "little stretch": ({**PLAIN, "stretch": 0.3}, {**PLAIN, "stretch": 0.2}, {}),
    "little, no growth": (
        {"stretch": 0.3, "growth": 0.0, "contraction": 0.3},
        {"stretch": 0.2, "growth": 0.0, "contraction": 0.3},
        {},
    ),
    "does not go on": ({**PLAIN, "stretch": 0.38}, {**PLAIN, "stretch": 0.3}, {}),
    "the other way": ({**PLAIN, "growth": 0.4, "wet_growth": 0.4}, PLAIN, {}),
    "pulled": (
        {**PLAIN, "load": 60.0},
        {**PLAIN, "load": 60.0},
        {"least_pull_n": 28.0},
    ),
    "pressed": (LOADED, LOADED, {"most_side_pressure_kpa": 0.12}),
    "soft": ({**PLAIN, "load": 10.0}, {**PLAIN, "load": 10.0}, {}),
}


def answers(make: Make, round_: Table, down: Table, **other: Any) -> bool:
    cloth = Cloth.of(make(round_, down), other.pop("round_body", "along"))
    aim, body = AIMS[other.pop("hold", "regular")], BodyArrays.from_body(BODY)
    return bool(decide_many(cloth, body, aim, Allowed(**other)).answered)


def dry(table: Table) -> Table:
    return {**table, "wet_growth": table.get("growth", 0.0)}


def still(table: Table) -> Table:
    return {**table, "growth": 0.0, "wet_growth": 0.0}


def wide(table: Table) -> Table:
    return {**table, "stretch": 4.9}


def harder(table: Table, times: float) -> Table:
    return {**table, "load": table["load"] * times} if "load" in table else table


@pytest.mark.parametrize("case", REFUSED)
def test_each_way_out_answers_and_no_other_does(make_fabric: Make, case: str) -> None:
    a, b, limits = REFUSED[case]
    with pytest.raises(EmptyWindowError) as caught:
        decide(make_fabric(a, b), BODY, allowed=Allowed(**limits), round_body="along")
    hint = caught.value.hint
    assert hint.startswith("try ")

    def tried(round_: Table, down: Table, **other: Any) -> bool:
        return answers(make_fabric, round_, down, **limits, **other)

    when_wet = tried(dry(a), dry(b))
    assert ("a fabric that grows less when wet" in hint) is when_wet
    less = not when_wet and tried(still(a), still(b))
    assert ("a fabric that grows less" in hint) is (when_wet or less)
    assert ("(--opens)" in hint) is tried(a, b, opens=True)
    assert ("(--round across)" in hint) is tried(a, b, round_body="across")
    for name in AIMS:
        held = hint.partition("the hold ")[2].split(" or ")
        assert (name in held) is tried(a, b, hold=name)
    if "load" not in a:
        said = hint.partition("a fabric with more stretch ")[2].partition(" the body")[
            0
        ]
        assert ("round" in said) is tried(wide(a), b)
        assert ("down" in said) is tried(a, wide(b))
        if "both ways" in said:
            assert tried(wide(a), wide(b))
    else:
        for word, times in (("firmer", (1.25, 2.0, 10.0)), ("softer", (0.8, 0.5, 0.1))):
            helps = any(tried(harder(a, k), harder(b, k)) for k in times)
            assert (f"a {word} fabric" in hint) is helps


def test_beside_an_aim_of_ones_own_no_hold_is_advised(make_fabric: Make) -> None:
    """The numbers that were set stand whatever the hold."""
    load, limits = {**PLAIN, "load": 60.0}, Allowed(least_pull_n=28.0)
    aim, _ = changed(AIMS["regular"], Allowed(), {"pull_n": 9.0})
    with pytest.raises(EmptyWindowError) as caught:
        decide(make_fabric(load, load), BODY, aim=aim, allowed=limits)
    assert "the hold" not in caught.value.hint
