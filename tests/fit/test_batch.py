"""Many bodies at once: the same numbers as one by one, and every refusal as a row."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from ease.body.fill_in import complete, fill_in
from ease.body.measures import Body
from ease.errors import EmptyWindowError, RefusedError
from ease.fabric.profile import ClothDirection, DirectionName, Estimate, Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth, Many, decide_many
from ease.fit.cases import BodyArrays
from ease.fit.decide import decide
from ease.fit.explain import sizes_at
from ease.fit.holding import aimed_girth
from ease.fit.pressure import tension_for_pressure
from ease.fit.pull import pull_tension
from ease.fit.wear import loads
from ease.fit.window import LIMITS, NOT_TESTED

EXACT = 1e-12
COUNT = 24


def bodies() -> list[Body]:
    """Bodies of a wide range, some beyond what most fabrics can do."""
    random = np.random.default_rng(7)
    bust = random.uniform(66, 145, COUNT)
    waist = np.clip(bust * random.uniform(0.6, 1.05, COUNT), 46, 178)
    hip = np.clip(bust * random.uniform(0.9, 1.35, COUNT), 72, 160)
    columns = (bust, waist, hip, random.uniform(145, 185, COUNT))
    keys = ("bust", "waist", "hip", "stature")
    return [
        Body(name=f"b{i}", values=dict(zip(keys, row, strict=True)))
        for i, row in enumerate(np.stack(columns, axis=1).tolist())
    ]


def arrays(people: list[Body]) -> BodyArrays:
    columns = {
        key: [body[key] for body in people]
        for key in ("bust", "waist", "hip", "stature")
    }
    filled = fill_in(columns).values
    return BodyArrays(
        **{key: filled[key] for key in ("bust", "waist", "hip", "shoulder_girth")}
    )


@pytest.mark.parametrize("name", fabric_names())
def test_many_equal_one_by_one(name: str) -> None:
    people = bodies()
    fabric = load_fabric(name)
    for hold, allowed in (
        ("regular", Allowed()),
        ("easy", Allowed(over_head=True, girth_move=0.1)),
        ("firm", Allowed(usable_share=0.8, most_side_pressure_kpa=2.0)),
    ):
        many = decide_many(Cloth.of(fabric), arrays(people), AIMS[hold], allowed)
        for row, body in enumerate(people):
            compare(many, row, fabric, body, AIMS[hold].name, allowed)


def compare(
    many: Many,
    row: int,
    fabric: Fabric,
    body: Body,
    hold: str,
    allowed: Allowed,
    way: DirectionName | None = None,
) -> None:
    whole = complete(body)
    if not many.answered[row]:
        with pytest.raises(EmptyWindowError) as refused:
            decide(fabric, whole, aim=AIMS[hold], allowed=allowed, round_body=way)
        assert many.clash(row) == str(refused.value)
        assert np.isnan([many.girth_factor[row], many.length_factor[row]]).all()
        assert many.girth_bound[row] == many.length_bound[row] == ""
        return
    one = decide(fabric, whole, aim=AIMS[hold], allowed=allowed, round_body=way)
    assert many.clash(row) == ""
    assert many.girth_strain[row] == pytest.approx(one.girth.strain, abs=EXACT)
    assert many.length_strain[row] == pytest.approx(one.length.strain, abs=EXACT)
    assert many.girth_factor[row] == pytest.approx(one.girth.factor, abs=EXACT)
    assert many.length_factor[row] == pytest.approx(one.length.factor, abs=EXACT)
    assert many.girth_bound[row] == one.girth.bound_by
    assert many.length_bound[row] == one.length.bound_by


HAND = {"stretch": 0.40, "growth": 0.02, "contraction": 0.3}
HAND_TESTED = {
    "window round that some bodies miss": ({**HAND, "wet_growth": 0.03}, HAND),
    "window round that all miss": ({**HAND, "wet_growth": 0.3}, HAND),
    "window down that all miss": (HAND, {**HAND, "wet_growth": 0.3}),
    "hardly stretches": ({**HAND, "stretch": 0.10}, HAND),
    "one way": ({**HAND, "wet_growth": 0.03}, None),
    "one way, missed": ({**HAND, "wet_growth": 0.3}, None),
}


@pytest.mark.parametrize("case", HAND_TESTED)
def test_cloths_tested_by_hand_equal_one_by_one(
    make_fabric: Callable[..., Fabric], case: str
) -> None:
    """Their limits may depend on the cloth alone, and then have no shape."""
    across, along = HAND_TESTED[case]
    fabric = make_fabric(along, across)
    cloth = Cloth.of(fabric, "across")
    people = bodies()
    for hold in AIMS:
        many = decide_many(cloth, arrays(people), AIMS[hold], Allowed())
        for row, body in enumerate(people):
            compare(many, row, fabric, body, hold, Allowed(), "across")


def test_hand_tested_windows_are_empty_for_none_for_some_and_for_all(
    make_fabric: Callable[..., Fabric],
) -> None:
    share = {
        case: decide_many(
            Cloth.of(make_fabric(along, across), "across"),
            arrays(bodies()),
            AIMS["regular"],
        ).answered.mean()
        for case, (across, along) in HAND_TESTED.items()
    }
    assert 0 < share["window round that some bodies miss"] < 1
    for case in ("window round that all miss", "window down that all miss"):
        assert share[case] == 0


def test_some_windows_of_the_test_are_empty_and_some_are_not() -> None:
    answered = [
        decide_many(Cloth.of(load_fabric(name)), arrays(bodies()), AIMS["regular"])
        for name in fabric_names()
    ]
    share = np.concatenate([many.answered for many in answered]).mean()
    assert 0.2 < share < 1


def test_pressure_and_pull_equal_those_of_a_single_garment() -> None:
    people, fabric = bodies(), load_fabric("soft-tricot")
    cloth = Cloth.of(fabric)
    many = decide_many(cloth, arrays(people), AIMS["regular"])
    assert cloth.membrane is not None
    for row in np.flatnonzero(many.answered):
        one = decide(fabric, complete(people[row]))
        worn = loads(cloth.membrane, sizes_at(one))
        block = one.cut("waist")
        assert many.pressure[row] == pytest.approx(worn.pressure[0], rel=1e-12)
        assert many.side_pressure[row] == pytest.approx(worn.side.max(), rel=1e-12)
        assert many.pull[row] == pytest.approx(worn.pull(1, block), rel=1e-12)


def test_the_aim_is_met_in_both_directions() -> None:
    """Put back into the cloth, the strains carry the pressure and the pull aimed at."""
    membrane = Cloth.of(load_fabric("rib")).membrane
    assert membrane is not None
    body, aim = arrays(bodies()), AIMS["easy"]
    girth = aimed_girth(membrane, body, aim.pressure_kpa, aim.pull_n)
    assert np.isfinite(girth).all()
    down = pull_tension(aim.pull_n, girth, body.waist)
    length = membrane.length_strain(girth, down)
    around, _ = membrane.tensions(girth, length)
    wanted = tension_for_pressure(aim.pressure_kpa, body.bust, length)
    assert around == pytest.approx(wanted, rel=1e-10)


def test_an_answer_does_not_depend_on_its_company() -> None:
    whole, cloth = arrays(bodies()), Cloth.of(load_fabric("lining-mesh"))
    many = decide_many(cloth, whole, AIMS["firm"])
    for row in range(COUNT):
        alone = BodyArrays(
            **{
                name: getattr(whole, name)[row : row + 1]
                for name in ("bust", "waist", "hip", "shoulder_girth")
            }
        )
        one = decide_many(cloth, alone, AIMS["firm"])
        assert one.girth_strain[0] == pytest.approx(
            many.girth_strain[row], abs=EXACT, nan_ok=True
        )


def plain(
    growth: Estimate | None = None, contraction: Estimate | None = None
) -> Fabric:
    direction = ClothDirection(
        stretch=Estimate(0.8), growth=growth, contraction=contraction
    )
    return Fabric(
        name="plain", title="Plain", origin="invented", source="t", across=direction
    )


def test_one_direction_keeps_the_length_and_says_so() -> None:
    cloth = Cloth.of(plain())
    many = decide_many(cloth, arrays(bodies()), AIMS["regular"])
    assert set(many.length_bound[many.answered]) == {NOT_TESTED}
    assert (many.length_factor[many.answered] == 1).all()
    assert np.isnan(many.pressure).all()
    assert cloth.warnings == (
        "rule_of_thumb",
        "growth_not_read",
        "wet_growth_not_read",
        "contraction_assumed",
        "length_not_tested",
    )
    assert len(cloth.notes) == len(cloth.warnings)


def test_what_was_read_gives_no_warning() -> None:
    fabric = plain(growth=Estimate(0.02), contraction=Estimate(0.3))
    assert "growth_not_read" not in Cloth.of(fabric).warnings
    assert "contraction_assumed" not in Cloth.of(fabric).warnings


def test_bound_names_are_limits() -> None:
    many = decide_many(
        Cloth.of(load_fabric("firm-tricot")), arrays(bodies()), AIMS["firm"]
    )
    assert set(many.girth_bound) <= {*LIMITS, "aim", ""}


def test_over_the_head_needs_a_shoulder_girth() -> None:
    body = arrays(bodies())
    unknown = BodyArrays(
        bust=body.bust,
        waist=body.waist,
        hip=body.hip,
        shoulder_girth=np.full(COUNT, np.nan),
    )
    with pytest.raises(RefusedError, match="shoulder girth"):
        decide_many(
            Cloth.of(plain()), unknown, AIMS["regular"], Allowed(over_head=True)
        )


def test_a_fabric_not_tested_round_is_refused() -> None:
    with pytest.raises(RefusedError, match="not tested along"):
        Cloth.of(plain(), "along")
