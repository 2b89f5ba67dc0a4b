"""Every limit can bind, an empty window is refused, and the numbers can be redone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from math import pi
from typing import Any

import numpy as np
import pytest
from scipy.special import ellipe

from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.errors import EmptyWindowError, RefusedError
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import Fabric
from ease.fabric.store import load_fabric
from ease.fit.aims import AIMS, Aim, Allowed
from ease.fit.decide import Reduction, decide
from ease.fit.holding import DEPTH_OVER_BREADTH
from ease.fit.membrane import Membrane
from ease.fit.strip import State
from ease.fit.window import LIMITS

Make = Callable[..., Fabric]

MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 155},
)
# A straight-line cloth of 50 N/m at 20 %, alike both ways, that does not contract, so
# that every tension is 250 times its strain.
PLAIN = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}
WIDE = Allowed(
    usable_share=1.0,
    girth_move=0.0,
    length_move=0.0,
    least_pressure_kpa=0.0,
    most_side_pressure_kpa=50.0,
    least_pull_n=0.0,
    most_pull_n=500.0,
)
HOLD = Aim("own", 0.35, 10.0, 0.25, 0.09)


@dataclass
class Case:
    """What makes one limit bind, and the strain at which it should."""

    axis: str = "girth"
    round_: dict[str, Any] = field(default_factory=dict)
    down: dict[str, Any] = field(default_factory=dict)
    aim: Aim = HOLD
    allowed: dict[str, Any] = field(default_factory=dict)
    body: dict[str, float] = field(default_factory=dict)

    def reduction(self, make: Make) -> Reduction:
        fabric = make(PLAIN | self.round_, PLAIN | self.down)
        body = Body(name="case", values={**MARIT.values, **self.body})
        return decide(
            fabric,
            body,
            aim=self.aim,
            allowed=replace(WIDE, **self.allowed),
            round_body="along",
        )


SOFT, HARD = replace(HOLD, pressure_kpa=0.02), replace(HOLD, pressure_kpa=1.2)
SLACK, TIGHT = replace(HOLD, pull_n=0.5), replace(HOLD, pull_n=60.0)

CASES = {
    "growth": Case(round_={"growth": 0.10}, aim=SOFT),
    "wet_growth": Case(round_={"growth": 0.10, "wet_growth": 0.15}, aim=SOFT),
    "least_pressure": Case(aim=SOFT, allowed={"least_pressure_kpa": 0.1}),
    "least_pull": Case("length", aim=SLACK, allowed={"least_pull_n": 2.0}),
    "room_to_move": Case(allowed={"usable_share": 0.3, "girth_move": 0.15}),
    "goes_on": Case(round_={"stretch": 0.6, "tested": 1.0}, body={"waist": 66.0}),
    "most_pressure": Case(allowed={"most_side_pressure_kpa": 0.5}),
    "most_pull": Case("length", aim=TIGHT, allowed={"most_pull_n": 30.0}),
    "test_range": Case(round_={"tested": 0.10}),
}
CASES["goes_on"].aim = HARD
LENGTH_CASES = {
    "growth": Case("length", down={"growth": 0.10}, aim=SLACK),
    "wet_growth": Case("length", down={"wet_growth": 0.12}, aim=SLACK),
    "room_to_move": Case("length", aim=TIGHT, allowed={"length_move": 0.9}),
    "test_range": Case("length", down={"tested": 0.02}),
}


def side_over_mean(ratio: float) -> float:
    return float(4 * ellipe(1 - ratio**2)) / (2 * pi) / ratio**2


def expected_strain(key: str, case: Case, found: Reduction) -> float:
    """Recompute a limit by its own formula, with the other strain as found."""
    eh, ev = found.girth.strain, found.length.strain
    allowed = replace(WIDE, **case.allowed)
    cloth = PLAIN | (case.round_ if case.axis == "girth" else case.down)
    girths = {**MARIT.values, **case.body}
    if key in ("growth", "wet_growth"):
        return float(cloth[key])
    if key == "room_to_move":
        move = allowed.girth_move if case.axis == "girth" else allowed.length_move
        return float((1 + allowed.usable_share * cloth["stretch"]) / (1 + move) - 1)
    if key == "goes_on":
        return float((1 + cloth["stretch"]) * girths["waist"] / girths["hip"] - 1)
    if key == "test_range":
        return float(cloth["tested"])
    if key in ("least_pull", "most_pull"):
        pull = allowed.least_pull_n if key == "least_pull" else allowed.most_pull_n
        return pull * (1 + eh) / (girths["waist"] / 100) / 250
    # Pressures: T = P (1 + ev) C / 2 pi, where ev carries the aimed pull at that eh.
    if key == "least_pressure":
        mean_times_girth = allowed.least_pressure_kpa * max(girths[n] for n in SECTIONS)
    else:
        mean_times_girth = min(
            allowed.most_side_pressure_kpa / side_over_mean(ratio) * girths[name]
            for name, ratio in SECTIONS.items()
        )
    assert ev == pytest.approx(case.aim.pull_n * (1 + eh) / 0.70 / 250)
    return 10 * mean_times_girth * (1 + ev) / (2 * pi) / 250


SECTIONS = dict(DEPTH_OVER_BREADTH)


def test_the_cases_cover_every_limit() -> None:
    assert CASES.keys() == LIMITS.keys()


@pytest.mark.parametrize(
    ("key", "case"),
    [*CASES.items(), *LENGTH_CASES.items()],
    ids=[*CASES, *(f"{key} down" for key in LENGTH_CASES)],
)
def test_every_limit_can_bind_where_its_own_formula_says(
    make_fabric: Make, key: str, case: Case
) -> None:
    found = case.reduction(make_fabric)
    decision = found.girth if case.axis == "girth" else found.length
    assert decision.bound_by == key
    assert decision.bound_title == LIMITS[key].title
    assert decision.strain == pytest.approx(expected_strain(key, case, found), rel=1e-7)
    assert decision.aim is not None
    below = decision.aim < decision.strain
    assert below is (LIMITS[key].side == "low")
    end = decision.low if below else decision.high
    assert end is not None
    assert (end.key, end.strain) == (key, decision.strain)
    assert (key, decision.strain) in [(one.key, one.strain) for one in decision.limits]
    other = found.length if case.axis == "girth" else found.girth
    assert other.bound_by == "aim"


def test_inside_the_window_the_aim_decides(make_fabric: Make) -> None:
    """Both aims on a cloth that does not contract, as two linear equations."""
    found = decide(make_fabric(PLAIN, PLAIN), MARIT, aim=HOLD, round_body="along")
    p, f = 350 * 0.88 / (2 * pi) / 250, 10 / 0.70 / 250
    eh = p * (1 + f) / (1 - p * f)
    assert found.basis == "pressure"
    assert (found.girth.bound_by, found.length.bound_by) == ("aim", "aim")
    assert found.girth.strain == pytest.approx(eh, rel=1e-7)
    assert found.length.strain == pytest.approx(f * (1 + eh), rel=1e-7)
    assert found.cut("bust") == pytest.approx(88 / (1 + eh))
    assert found.cut("torso_loop") == pytest.approx(155 / (1 + f * (1 + eh)))
    assert found.girth.reduction == pytest.approx(eh / (1 + eh))


SHARE = {"stretch": 0.8, "contraction": 0.3, "growth": 0.02}


def test_without_a_load_test_the_aim_is_a_share_and_it_is_said(
    make_fabric: Make,
) -> None:
    found = decide(make_fabric(SHARE, {"stretch": 0.5}), MARIT, aim=HOLD)
    assert found.basis == "share"
    eh = 0.25 * 0.8
    free = 1 - 0.3 * eh
    assert found.girth.strain == pytest.approx(eh)
    assert found.free_length == pytest.approx(free)
    assert found.length.strain == pytest.approx((1 + 0.09 * 0.5) * free - 1)
    assert found.pull_strain == pytest.approx(0.09 * 0.5)
    assert found.contraction_strain == pytest.approx(1 / free - 1)
    assert any("rule of thumb" in note for note in found.notes)


def test_a_load_test_one_way_only_is_not_enough(make_fabric: Make) -> None:
    found = decide(make_fabric(PLAIN, {"stretch": 0.5}), MARIT)
    assert found.basis == "share"


def test_the_stretchier_way_goes_round_unless_told(make_fabric: Make) -> None:
    fabric = make_fabric({"stretch": 0.8}, {"stretch": 0.9})
    assert decide(fabric, MARIT).round_body == "across"
    turned = decide(fabric, MARIT, round_body="along")
    assert turned.girth.strain == pytest.approx(0.25 * 0.8)


def test_one_direction_leaves_the_length_alone_and_says_so(make_fabric: Make) -> None:
    found = decide(make_fabric({"stretch": 0.8}), MARIT)
    assert found.length.bound_by == "not_tested"
    assert found.length.factor == 1.0
    assert found.cut("torso_loop") == 155
    assert (found.length.aim, found.length.low, found.length.high) == (None,) * 3
    assert any("only one direction" in note for note in found.notes)


def test_a_direction_that_was_not_tested_cannot_go_round(make_fabric: Make) -> None:
    with pytest.raises(RefusedError, match="not tested across, so it cannot go round"):
        decide(make_fabric({"stretch": 0.8}), MARIT, round_body="across")


EMPTY = [
    # key low, key high, axis, cloth round, cloth down, allowed, body
    ("growth", "room_to_move", "round", {"growth": 0.4}, {}, {"usable_share": 0.2}),
    ("wet_growth", "goes_on", "round", {"wet_growth": 0.5, "stretch": 0.6}, {}, {}),
    (
        "least_pressure",
        "most_pressure",
        "round",
        {},
        {},
        {"least_pressure_kpa": 0.4, "most_side_pressure_kpa": 0.5},
    ),
    (
        "least_pressure",
        "test_range",
        "round",
        {"tested": 0.05},
        {},
        {"least_pressure_kpa": 0.2},
    ),
    ("growth", "room_to_move", "down", {}, {"growth": 0.3}, {"length_move": 0.8}),
    ("least_pull", "test_range", "down", {}, {"tested": 0.02}, {"least_pull_n": 9.0}),
]


@pytest.mark.parametrize(
    ("low", "high", "way", "round_", "down", "allowed"),
    EMPTY,
    ids=[f"{row[0]}, {row[1]} {row[2]}" for row in EMPTY],
)
def test_an_empty_window_names_both_limits_and_the_gap(
    make_fabric: Make,
    low: str,
    high: str,
    way: str,
    round_: dict[str, float],
    down: dict[str, float],
    allowed: dict[str, float],
) -> None:
    case = Case(round_=round_, down=down, allowed=allowed)
    with pytest.raises(EmptyWindowError) as caught:
        case.reduction(make_fabric)
    text, hint = str(caught.value), caught.value.hint
    assert text.startswith(f"no strain {way} meets both limits: {LIMITS[low].title} ")
    assert f", {LIMITS[high].title} for at most" in text
    assert hint.startswith("try ")
    assert ("a load test up to a higher strain" in hint) == (high == "test_range")
    assert caught.value.clash == (low, high)
    assert caught.value.exit_code == 1
    assert "\n" not in text


@pytest.mark.parametrize(
    ("limits", "refused", "answers"),
    [
        (Allowed(least_pull_n=25.0), ["regular", "firm"], "easy"),
        (Allowed(most_pull_n=6.0), ["easy"], "regular or firm"),
    ],
)
def test_a_hold_is_advised_only_where_it_leaves_a_strain(
    limits: Allowed, refused: list[str], answers: str
) -> None:
    fabric = load_fabric("firm-tricot")
    for name, aim in AIMS.items():
        if name not in refused:
            decide(fabric, MARIT, aim=aim, allowed=limits)
            continue
        with pytest.raises(EmptyWindowError) as caught:
            decide(fabric, MARIT, aim=aim, allowed=limits)
        assert caught.value.hint.endswith(f"; or the hold {answers}")


def test_the_gap_is_told_in_points(make_fabric: Make) -> None:
    """Growth 40 % against (1 + 0.2)/(1 + 0.15) - 1 = 4.3 %: 35.7 points."""
    fabric = make_fabric({"stretch": 1.0, "growth": 0.40})
    with pytest.raises(EmptyWindowError) as caught:
        decide(fabric, MARIT, allowed=Allowed(usable_share=0.2))
    assert str(caught.value).endswith(
        "growth asks for at least 40.0 %, room to move for at most 4.3 %; "
        "they clash by 35.7 points"
    )


def test_holds_are_ordered(make_fabric: Make) -> None:
    fabric = make_fabric(PLAIN, PLAIN)
    girths = [decide(fabric, MARIT, aim=AIMS[hold]).girth.strain for hold in AIMS]
    lengths = [decide(fabric, MARIT, aim=AIMS[hold]).length.strain for hold in AIMS]
    assert list(AIMS) == ["easy", "regular", "firm"]
    assert girths == sorted(girths)
    assert len(set(girths)) == 3
    assert lengths == sorted(lengths)


def test_a_firmer_cloth_is_worn_less_stretched(make_fabric: Make) -> None:
    firm = PLAIN | {"load": 400.0}
    assert (
        decide(make_fabric(firm, firm), MARIT).girth.strain
        < decide(make_fabric(PLAIN, PLAIN), MARIT).girth.strain
    )


def test_pulled_on_over_head_needs_the_shoulders(make_fabric: Make) -> None:
    fabric = make_fabric({"stretch": 0.6}, {"stretch": 0.6})
    over = Allowed(over_head=True)
    with pytest.raises(RefusedError, match="no shoulder_girth"):
        decide(fabric, MARIT, allowed=over)
    body = Body(name="b", values={**MARIT.values, "shoulder_girth": 105})
    limits = {
        one.key: one.strain for one in decide(fabric, body, allowed=over).girth.limits
    }
    assert limits["goes_on"] == pytest.approx(1.6 * 70 / 105 - 1)


@pytest.mark.parametrize(
    ("round_", "down", "said", "not_said"),
    [
        ({}, {}, "growth was not read", "disagree"),
        ({}, {}, "wet growth was not read", "disagree"),
        ({"growth": 0.02, "wet_growth": 0.03}, {}, "contraction was not", "growth was"),
        ({"contraction": 0.3}, {}, "growth was not read", "contraction was not"),
        ({}, {"contraction": 0.3}, "contraction was not measured", "disagree"),
    ],
)
def test_notes_say_what_was_not_read(
    make_fabric: Make,
    round_: dict[str, float],
    down: dict[str, float],
    said: str,
    not_said: str,
) -> None:
    fabric = make_fabric({"stretch": 0.8} | round_, {"stretch": 0.6} | down)
    notes = "\n".join(decide(fabric, MARIT, round_body="along").notes)
    assert said in notes
    assert not_said not in notes


def test_a_length_that_is_pulled_twice_is_warned_of(make_fabric: Make) -> None:
    """0.3 at 20 % shortens by 6 %; pulled 0.2 x 0.6 beyond it, 5.3 % by the cut."""
    cloth = make_fabric({"stretch": 0.8, "contraction": 0.3}, {"stretch": 0.6})
    aim = replace(AIMS["regular"], length_share=0.2)
    found = decide(cloth, MARIT, aim=aim)
    free = 1 - 0.3 * 0.20
    assert found.length.strain == pytest.approx(free * 1.12 - 1)
    said = f"pulled twice: {100 * (1 / free - 1):.1f} % by contraction and "
    assert any(said in note for note in found.notes)
    usual = decide(cloth, MARIT)
    assert not any("pulled twice" in note for note in usual.notes)


def test_one_ratio_and_load_tests_give_the_other(make_fabric: Make) -> None:
    """nu_h E_v = nu_v E_h: 0.2 down with 300 and 150 N/m is 0.4 round."""
    along = {"stretch": 1.0, "load": 300.0, "growth": 0.0, "wet_growth": 0.0}
    across = {"stretch": 0.9, "load": 150.0, "contraction": 0.2}
    found = decide(make_fabric(along, across), MARIT, round_body="along")
    assert not any("contraction was not" in note for note in found.notes)
    free = 1 - 0.4 * found.girth.strain
    assert found.free_length == pytest.approx(free, rel=1e-9)


def test_ratios_that_cannot_be_are_named_with_their_gap(make_fabric: Make) -> None:
    """0.2 x 250 against 0.4 x 250 differ by 2/3 of their mean."""
    fabric = make_fabric(PLAIN | {"contraction": 0.2}, PLAIN | {"contraction": 0.4})
    notes = decide(fabric, MARIT, round_body="along").notes
    assert any("disagree by 67 %" in note for note in notes)
    close = make_fabric(PLAIN | {"contraction": 0.30}, PLAIN | {"contraction": 0.32})
    assert not any("disagree" in note for note in decide(close, MARIT).notes)


def test_cutting_to_body_length_still_pulls(make_fabric: Make) -> None:
    """Stretched round by contraction alone, a suit of exact length pulls down."""
    cloth = PLAIN | {"contraction": 0.3}
    found = decide(make_fabric(cloth, cloth), MARIT)
    assert found.contraction_strain == pytest.approx(
        1 / (1 - 0.3 * found.girth.strain) - 1, rel=1e-9
    )
    assert np.sign(found.contraction_strain) == 1


@pytest.mark.parametrize("name", ["firm-tricot", "soft-tricot", "heavy-matt"])
@pytest.mark.parametrize(
    ("key", "state"), [("growth", "rested"), ("wet_growth", "wet")]
)
def test_at_the_growth_limit_down_the_grown_cloth_just_pulls(
    name: str, key: str, state: State
) -> None:
    """The window and the wear check go by one rule: there the tension down is 0."""
    fabric = load_fabric(name)
    found = decide(fabric, MARIT)
    limits = {limit.key: limit.strain for limit in found.length.limits}
    grown = Membrane.from_fabric(fabric).in_state(state)
    _, down = grown.tensions(found.girth.strain, limits[key])
    assert float(down) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "shorter"), [("rib", False), ("soft-tricot", True), ("heavy-matt", True)]
)
def test_a_shorter_cut_is_advised_only_where_it_holds_the_straps(
    name: str, shorter: bool
) -> None:
    """As short as the window allows, the straps of the rib still hang slack when wet."""
    fabric, easy = load_fabric(name), AIMS["easy"]
    girths = {"bust": 112.5, "waist": 98.0, "hip": 124.0}
    large = Body(name="invented", values={**girths, "torso_loop": 171.0})
    (said,) = (n for n in decide(fabric, large, aim=easy).notes if "hang slack" in n)
    assert ("cut shorter (a greater pull_n)" in said) == shorter
    assert ("no shorter cut that room to move leaves holds them" in said) != shorter
    followed = decide(fabric, large, aim=replace(easy, pull_n=29.0))
    assert any("hang slack" in note for note in followed.notes) != shorter


def test_advice_against_slack_straps_gives_way_to_a_toile() -> None:
    """The shorter cut that the swatch asks for is none where the cloth was worn longer."""
    fabric, body = load_fabric("heavy-matt"), complete(load_body("demo"))
    usual = decide(fabric, body, aim=AIMS["easy"])
    (said,) = (note for note in usual.notes if "hang slack" in note)
    assert "cut shorter (a greater pull_n)" in said
    (pulled,) = (note for note in usual.notes if "pulled twice" in note)
    assert "nothing off for contraction besides" in pulled
    down = "along" if usual.round_body == "across" else "across"
    ratio = WornRatio(1.07, 0.01, 6, True)
    found = Evidence(
        day=date(2026, 5, 31),
        kind="toile",
        block="b",
        fabric="",
        across=ratio if down == "across" else None,
        along=ratio if down == "along" else None,
    )
    toiled = decide(replace(fabric, evidence=(found,)), body, aim=AIMS["easy"])
    (said,) = (note for note in toiled.notes if "hang slack" in note)
    assert "cut shorter" not in said
    assert "a toile found the cloth to lie otherwise down" in said
