"""How sure: against first-order propagation, by coverage, and by its seed.

The package ``uncertainties`` propagates standard deviations by derivatives; on cases
that are nearly linear both must agree. Normal readings of many repeats are used there,
so that 1.96 standard deviations hold 95 %.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import pi
from typing import Any

import numpy as np
import pytest
from scipy.stats import pearsonr, spearmanr
from scipy.stats import t as student
from uncertainties import ufloat

from ease.body.fill_in import complete
from ease.body.measures import TAPE_SD_CM, Body, Filled
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.store import load_fabric
from ease.fit.aims import Aim, Allowed
from ease.fit.decide import decide
from ease.fit.samples import ONE_REPEAT_SD, SEED, Draw, Interval, sample_cloth
from ease.fit.spread import CLEAR_CM, Spread, spread_of

Make = Callable[..., Fabric]
MARIT = Body(
    name="invented",
    values={"bust": 88.0, "waist": 70.0, "hip": 96.0, "torso_loop": 155},
)
MANY = 1000  # repeats, so that Student's t is the normal distribution
WIDE = Allowed(
    usable_share=1.0,
    girth_move=0.0,
    length_move=0.0,
    least_pressure_kpa=0.0,
    most_side_pressure_kpa=50.0,
    least_pull_n=0.0,
    most_pull_n=500.0,
)
AIM = Aim("own", 0.35, 10.0, 0.25, 0.09)


def figures(stretch: Estimate, **more: Any) -> ClothDirection:
    return ClothDirection(stretch=stretch, **more)


def cloth(along: ClothDirection, across: ClothDirection | None = None) -> Fabric:
    return Fabric(
        name="t", title="T", origin="invented", source="i", along=along, across=across
    )


def test_share_rule_agrees_with_propagation_by_derivatives() -> None:
    """cut = bust / (1 + 0.25 stretch), length = loop / ((1 + 0.09 s) (1 - nu eh))."""
    scatter = 0.03 * np.sqrt(MANY)
    round_ = figures(
        Estimate(0.8, scatter, MANY), contraction=Estimate(0.3, scatter, MANY)
    )
    fabric = cloth(round_, figures(Estimate(0.5, scatter, MANY)))
    found = decide(fabric, MARIT, aim=AIM, allowed=WIDE)
    spread = spread_of(found, samples=200_000)

    stretch, down, nu = ufloat(0.8, 0.03), ufloat(0.5, 0.03), ufloat(0.3, 0.03)
    girth = 1 / (1 + 0.25 * stretch)
    length = 1 / ((1 + 0.09 * down) * (1 - nu * 0.25 * stretch))
    sizes = {
        name: ufloat(MARIT[name], TAPE_SD_CM[name])
        * (length if name == "torso_loop" else girth)
        for name in ("bust", "waist", "hip", "torso_loop")
    }
    assert spread.length is not None
    for interval, oracle in (
        (spread.girth, girth),
        (spread.length, length),
        *((spread.sizes[name], sizes[name]) for name in sizes),
    ):
        # 1 %: the sampling error of such a percentile at 200,000 is about 0.4 %.
        assert interval.half == pytest.approx(1.96 * oracle.std_dev, rel=0.01)
        # Derivatives do not see that the length factor bends a little.
        middle = 0.5 * (interval.low + interval.high)
        assert middle == pytest.approx(oracle.nominal_value, abs=0.1 * oracle.std_dev)


def test_pressure_on_a_linear_cloth_agrees_too(make_fabric: Make) -> None:
    """250 eh = p (1 + ev), 250 ev = f (1 + eh): closed form, derivatives by oracle."""
    scale = Estimate(1.0, 0.05 * np.sqrt(MANY), MANY)
    pulled = {"stretch": 1.0, "load": 250.0, "contraction": 0.0, "tension_scale": scale}
    fabric = make_fabric(pulled, pulled)
    # Without contraction nothing but tensions and the tape may vary.

    def still(one: ClothDirection | None) -> ClothDirection:
        assert one is not None
        none, full = Estimate(0.0, 0.0, MANY), Estimate(1.0, 0.0, MANY)
        return replace(one, contraction=none, stretch=full)

    fabric = replace(fabric, along=still(fabric.along), across=still(fabric.across))
    found = decide(fabric, MARIT, aim=AIM, allowed=WIDE, round_body="along")
    spread = spread_of(found, samples=100_000)

    bust, waist = ufloat(88, 0.5), ufloat(70, 0.5)
    p = 350 * bust / 100 / (2 * pi) / (250 * ufloat(1, 0.05))
    f = 10 / (waist / 100) / (250 * ufloat(1, 0.05))
    eh = p * (1 + f) / (1 - p * f)
    ev = f * (1 + eh)
    assert found.girth.strain == pytest.approx(eh.nominal_value, rel=1e-7)
    assert spread.length is not None
    for interval, oracle in (
        (spread.girth, 1 / (1 + eh)),
        (spread.length, 1 / (1 + ev)),
    ):
        # Bust and cloth are uncertain together, so the oracle keeps the correlations.
        assert interval.half == pytest.approx(1.96 * oracle.std_dev, rel=0.015)
    cut = bust / (1 + eh)
    assert spread.sizes["bust"].half == pytest.approx(1.96 * cut.std_dev, rel=0.015)


@pytest.mark.parametrize("repeats", [3, 5])
def test_the_interval_covers_the_truth_as_often_as_it_says(repeats: int) -> None:
    """400 makers measure one cloth of 80 %: about 95 % of intervals hold the truth.

    Normal instead of Student's t would hold it 82 % of the time at three repeats
    (t with 2 degrees of freedom within 1.96: 0.811). Band: four standard errors of a
    share of 0.95 in 400, 0.044.
    """
    rng = np.random.default_rng(7)
    truth = 1 / (1 + 0.25 * 0.8)
    held = 0
    for trial in range(400):
        readings = rng.normal(0.8, 0.04, repeats)
        estimate = Estimate(
            float(readings.mean()), float(readings.std(ddof=1)), repeats
        )
        found = decide(cloth(figures(estimate)), MARIT, aim=AIM, allowed=WIDE)
        interval = spread_of(found, samples=1000, seed=trial).girth
        held += interval.low <= truth <= interval.high
    assert held / 400 == pytest.approx(0.95, abs=0.044)


def test_the_same_seed_gives_the_same_answer() -> None:
    found = decide(cloth(figures(Estimate(0.8, 0.03, 5))), MARIT)
    first, again = spread_of(found), spread_of(found)
    assert first.girth == again.girth
    assert first.sizes == again.sizes
    other = spread_of(found, seed=1)
    assert other.girth != first.girth
    assert other.girth.half == pytest.approx(first.girth.half, rel=0.15)


def test_exact_readings_leave_the_tape_alone() -> None:
    fabric = cloth(
        figures(Estimate(0.8, 0.0, 5), contraction=Estimate(0.3, 0.0, 5)),
        figures(Estimate(0.6, 0.0, 5)),
    )
    found = decide(fabric, MARIT)
    spread = spread_of(found)
    assert spread.girth.half == 0
    assert spread.girth.low == pytest.approx(found.girth.factor)
    # 1.96 x 0.5 cm of tape, times the factor; 2000 samples know it to some per cent.
    assert spread.sizes["bust"].half == pytest.approx(
        1.96 * 0.5 * found.girth.factor, rel=0.08
    )
    name, share = spread.shares["bust"][0]
    assert name == "bust on the body"
    assert share == pytest.approx(1.0)


def test_the_reading_that_matters_most_is_named() -> None:
    fabric = cloth(figures(Estimate(0.8, 0.30, 3)))
    spread = spread_of(decide(fabric, MARIT, allowed=WIDE))
    assert spread.shares["bust"][0][0] == "stretch round"
    assert spread.sizes["bust"].half > CLEAR_CM
    advice = spread.advice()
    assert any(
        line.startswith("the bust to cut is sure to ")
        and "most of that comes from the stretch round: measure it again" in line
        for line in advice
    )


def _half_without(name: str, sd: float) -> float:
    """The oracle: half the interval of the bust with one input held still."""
    stretch = Estimate(0.8, 0.0 if name == "stretch round" else sd, 3)
    body = MARIT
    if name == "bust on the body":
        body = replace(MARIT, filled={"bust": Filled(0.0, "held", "s")})
    found = decide(cloth(figures(stretch)), body, aim=AIM, allowed=WIDE)
    return spread_of(found, samples=50_000).sizes["bust"].half


def _first_by_correlation(sd: float, *, ranks: bool) -> str:
    """What squared correlations with the cut bust name, of values or of ranks."""
    draw = Draw(np.random.default_rng(SEED), 2000)
    found = sample_cloth(cloth(figures(Estimate(0.8, sd, 3))), "along", draw)
    bust = 88.0 + TAPE_SD_CM["bust"] * draw.rng.standard_normal(2000)
    cut = bust / (1 + 0.25 * found.stretch_girth)
    inputs = {"stretch round": found.stretch_girth, "bust on the body": bust}
    measure = spearmanr if ranks else pearsonr
    return max(inputs, key=lambda name: float(measure(inputs[name], cut)[0]) ** 2)


@pytest.mark.parametrize(
    ("error", "ranks", "right", "wrong"),
    [
        (0.009, False, "bust on the body", "stretch round"),
        (0.017, True, "stretch round", "bust on the body"),
    ],
)
def test_few_samples_far_out_do_not_name_the_reading(
    error: float, ranks: bool, right: str, wrong: str
) -> None:
    """Three readings: Student's t of two degrees has no variance, but quantiles.

    Alone the tape brings 1.96 x 0.5 cm x 0.833 = 0.82 cm, the stretch 4.30 times its
    error x 88 x 0.25 / 1.44: 0.59 cm at 0.009, where single samples far out let a
    correlation name it, and 1.12 cm at 0.017, where most samples are still the tape's.
    """
    sd = error * np.sqrt(3)
    assert _half_without(right, sd) < _half_without(wrong, sd)
    assert _first_by_correlation(sd, ranks=ranks) == wrong
    found = decide(cloth(figures(Estimate(0.8, sd, 3))), MARIT, aim=AIM, allowed=WIDE)
    for seed in range(5):
        shares = spread_of(found, seed=seed).shares["bust"]
        assert [name for name, _ in shares] == [right, wrong]
        assert sum(share for _, share in shares) == pytest.approx(1.0)


def test_what_an_input_brings_alone_is_worked_out_by_hand() -> None:
    """0.82 and 0.59 cm, as above: their squares are 66 and 34 of 100."""
    sd = 0.009 * np.sqrt(3)
    found = decide(cloth(figures(Estimate(0.8, sd, 3))), MARIT, aim=AIM, allowed=WIDE)
    shares = dict(spread_of(found, samples=200_000).shares["bust"])
    tape = 1.96 * 0.5 / 1.2
    stretch = student.ppf(0.975, 2) * 0.009 * 88 * 0.25 / 1.2**2
    assert shares["bust on the body"] == pytest.approx(
        tape**2 / (tape**2 + stretch**2), abs=0.02
    )


@pytest.mark.parametrize(("share", "said"), [(0.6, "most"), (0.4, "the largest part")])
def test_most_is_more_than_half(share: float, said: str) -> None:
    wide = Interval(60.0, 70.0)
    inputs = (("stretch round", share), ("bust on the body", 1 - share))
    spread = Spread(
        girth=wide, length=None, sizes={"bust": wide}, shares={"bust": inputs}
    )
    (line,) = spread.advice()
    assert f"5.0 cm only; {said} of that comes from the stretch round" in line


def test_what_was_never_measured_is_not_to_be_measured_again() -> None:
    """The torso loop is filled in, and so wide that it needs measuring."""
    short = {key: MARIT[key] for key in ("bust", "waist", "hip")}
    body = complete(Body(name="three girths", values=short))
    spread = spread_of(decide(load_fabric("soft-tricot"), body))
    assert "torso loop on the body" in spread.unread
    assert "bust on the body" not in spread.unread
    (line,) = [line for line in spread.advice() if line.startswith("the torso loop")]
    assert line.endswith("torso loop on the body: measure it")


def test_small_spread_needs_no_advice() -> None:
    spread = spread_of(decide(cloth(figures(Estimate(0.8, 0.01, 5))), MARIT))
    assert spread.advice() == ()


def test_a_filled_in_measure_is_less_sure_than_a_taped_one() -> None:
    filled = replace(MARIT, filled={"torso_loop": Filled(3.6, "stature, hip", "s")})
    sure = Estimate(0.3, 0.005, 5)
    fabric = cloth(
        figures(Estimate(0.8, 0.01, 5), contraction=sure),
        figures(Estimate(0.6, 0.01, 5)),
    )
    taped = spread_of(decide(fabric, MARIT)).sizes["torso_loop"].half
    loose = spread_of(decide(fabric, filled)).sizes["torso_loop"].half
    assert loose > 3 * taped
    assert loose == pytest.approx(1.96 * 3.6, rel=0.1)


def test_one_repeat_is_taken_as_careful_repeats_would_scatter() -> None:
    single = spread_of(decide(cloth(figures(Estimate(0.8))), MARIT, allowed=WIDE))
    sd = ONE_REPEAT_SD["stretch"]
    assert single.girth.half == pytest.approx(1.96 * 0.25 * sd / 1.2**2, rel=0.08)


def test_a_load_test_without_its_repeats_is_not_taken_as_exact(
    make_fabric: Make,
) -> None:
    pulled = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}
    fabric = make_fabric(pulled, pulled)
    spread = spread_of(decide(fabric, MARIT, allowed=WIDE, round_body="along"))
    # eh is about p/E (20 %), so 5 % of tension is about 1 % of strain.
    assert spread.girth.half > 1.9 * 0.05 * 0.2 / 1.2**2 * 0.8
    names = [name for name, _ in spread.shares["bust"]]
    assert names[0] == "tension round"


def test_samples_lie_about_the_decision_when_one_ratio_gives_the_other(
    make_fabric: Make,
) -> None:
    """0.2 down with 300 round and 150 down is 0.4 round, in the samples as well."""
    still = Estimate(1.0, 0.0, MANY)
    along = {"stretch": 1.0, "load": 300.0, "tension_scale": still}
    across = {"stretch": 1.0, "load": 150.0, "tension_scale": still}
    fabric = make_fabric(along, across | {"contraction": 0.2})
    found = decide(fabric, MARIT, allowed=WIDE, round_body="along")
    spread = spread_of(found, samples=20_000)
    assert spread.length is not None
    for interval, factor in (
        (spread.girth, found.girth.factor),
        (spread.length, found.length.factor),
    ):
        middle = 0.5 * (interval.low + interval.high)
        assert middle == pytest.approx(factor, abs=0.1 * interval.half)


def test_no_length_interval_without_a_test_down() -> None:
    spread = spread_of(decide(cloth(figures(Estimate(0.8, 0.02, 5))), MARIT))
    assert spread.length is None
    assert set(spread.sizes) == {"bust", "waist", "hip", "torso_loop"}


def test_half_is_half_the_width() -> None:
    assert Interval(2.0, 3.0).half == 0.5


@pytest.mark.parametrize("read", [(), ("along",), ("across",), ("along", "across")])
@pytest.mark.parametrize("repeats", [2, 3])
def test_few_repeats_of_a_load_make_no_pair_of_ratios_impossible(
    make_fabric: Make, read: tuple[str, ...], repeats: int
) -> None:
    """Student's t of one degree brings moduli far apart; one ratio gives the other."""
    scale = Estimate(1.0, 0.15, repeats)
    along, across = (
        {"stretch": stretch, "load": load, "tension_scale": scale}
        | ({"contraction": 0.45} if name in read else {})
        for name, stretch, load in (("along", 0.9, 150.0), ("across", 0.7, 400.0))
    )
    fabric = make_fabric(along, across)
    found = decide(fabric, MARIT, allowed=WIDE)
    spread = spread_of(found)
    assert spread.girth.low < found.girth.factor < spread.girth.high
    assert spread.length is not None
    assert spread.length.low < found.length.factor < spread.length.high
