from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.demo import SWATCH
from ease.errors import RefusedError, UsageError
from ease.fabric.advice import advice
from ease.fabric.classes import CLASS_TABLES, class_table, stretch_class
from ease.fabric.hand_reading import HandReading
from ease.fabric.profile import DirectionName
from ease.fabric.readings import load_readings
from ease.fabric.statistics import interval, repeats_needed, t_quantile
from ease.fabric.store import load_fabric
from ease.fabric.swatch import SwatchSummary, summarise, to_fabric


def repeats(
    direction: DirectionName,
    *extended: float,
    rested: float | None = 10.2,
    rest: float = 30,
) -> list[HandReading]:
    return [
        HandReading(
            direction=direction,
            repeat=number,
            gauge=10.0,
            extended=value,
            rested=rested,
            rest_minutes=rest,
            width=5.0,
            width_extended=4.2,
        )
        for number, value in enumerate(extended, start=1)
    ]


def scaled(factor: float, readings: list[HandReading]) -> list[HandReading]:
    """The same readings with another unit above the columns."""
    lengths = ("gauge", "extended", "rested", "width", "width_extended")
    return [
        replace(one, **{key: factor * getattr(one, key) for key in lengths})
        for one in readings
    ]


def test_means_and_spread_by_hand() -> None:
    summary = summarise(repeats("across", 15.0, 16.0, 17.0))
    assert summary.across is not None
    stretch = summary.across.stretch
    assert stretch.mean == pytest.approx(0.6)
    assert stretch.n == 3
    assert stretch.sd == pytest.approx(0.1)  # (0.01 + 0 + 0.01) / 2, its root
    assert summary.across.recovery is not None
    assert summary.across.recovery.mean == pytest.approx(
        ((15 - 10.2) / 5 + (16 - 10.2) / 6 + (17 - 10.2) / 7) / 3
    )
    assert summary.across.recovered_elongation is not None
    assert summary.across.recovered_elongation.mean == pytest.approx(0.98)
    assert summary.across.tension is None
    assert summary.along is None
    assert "along was not tested" in " ".join(summary.notes)


def test_the_demo_is_like_the_firm_tricot() -> None:
    """Means lie within three standard errors of the invented profile."""
    summary = summarise(load_readings(SWATCH))
    firm = load_fabric("firm-tricot")
    for one in summary.directions:
        cloth = firm.direction(one.name)
        assert cloth is not None
        for key in ("stretch", "growth", "wet_growth", "recovery", "contraction"):
            found, wanted = getattr(one, key), getattr(cloth, key)
            error = wanted.sd / found.n**0.5
            assert abs(found.mean - wanted.mean) < 3 * error, (one.name, key)


def test_the_greater_stretch_goes_round() -> None:
    summary = summarise(
        repeats("across", 15, 15.1, 14.9) + repeats("along", 17, 17.1, 16.9)
    )
    assert summary.round_body == "along"
    assert summary.round_body_sure
    assert advice(summary)[0] == (
        "Round the body: along, which stretches more (70.0 against 50.0 %)."
    )


def test_too_close_to_call() -> None:
    summary = summarise(
        repeats("across", 15, 16, 17) + repeats("along", 15.2, 16.2, 17.2)
    )
    assert summary.round_body == "along"
    assert not summary.round_body_sure
    assert "too close to call" in advice(summary)[0]
    single = summarise(repeats("across", 15) + repeats("along", 19))
    assert not single.round_body_sure
    assert "not sure (90.0 against 50.0 %): a single repeat" in advice(single)[0]


def test_an_outlier_is_flagged_and_kept_unless_dropped() -> None:
    readings = repeats("along", 16.0, 16.1, 15.9, 16.05, 18.0)
    kept, dropped = summarise(readings), summarise(readings, drop_outliers=True)
    assert kept.along is not None
    assert dropped.along is not None
    assert [(one.repeat, one.figure, one.dropped) for one in kept.outliers] == [
        (5, "stretch", False),
        (5, "contraction", False),
    ]
    assert kept.along.stretch.n == 5
    assert dropped.along.stretch.n == 4
    assert dropped.along.stretch.mean == pytest.approx((0.6 + 0.61 + 0.59 + 0.605) / 4)
    assert any("kept; look at that strip again" in line for line in advice(kept))
    assert any("left out of the means" in line for line in advice(dropped))


def test_equal_readings_have_no_outlier() -> None:
    assert summarise(repeats("along", 16, 16, 16, 16)).outliers == ()


def test_one_line_of_the_ruler_is_no_outlier() -> None:
    # Three repeats of which two agree: G is at its largest, 1.1547, whatever the third.
    assert summarise(repeats("along", 16, 16, 17)).outliers == ()
    # Growth of 2, 2, 2, 2 and 2.5 % is half a millimetre on 10 cm.
    rested = [10.2, 10.2, 10.2, 10.2, 10.25]
    level = [repeats("along", 16, rested=value)[0] for value in rested]
    numbered = [replace(one, repeat=i) for i, one in enumerate(level, start=1)]
    assert summarise(numbered).outliers == ()
    off = [*numbered[:4], replace(numbered[4], rested=10.5)]
    assert [one.figure for one in summarise(off).outliers] == ["growth"]


@pytest.mark.parametrize(
    ("last", "outliers"),
    [(4.125, []), (4.1875, ["growth"])],  # one line of the rule from the rest, and two
)
def test_a_sixteenth_of_an_inch_is_no_outlier(last: float, outliers: list[str]) -> None:
    """Three equal growths and another: G is 1.5 by first principles, the limit 1.4813."""
    first = HandReading(
        direction="along",
        repeat=1,
        gauge=4.0,
        extended=7.0,
        rested=4.0625,
        width=2.0,
        width_extended=1.625,
    )
    read = [
        replace(first, repeat=i, extended=extended)
        for i, extended in enumerate((7.0, 7.0625, 6.875, 6.9375), start=1)
    ]
    read[3] = replace(read[3], rested=last)
    found = summarise(scaled(2.54, read), drop_outliers=True)
    assert [one.figure for one in found.outliers] == outliers
    assert found.along is not None
    assert found.along.stretch.n == 4 - len(outliers)


@pytest.mark.parametrize(
    ("readings", "note"),
    [
        (repeats("along", 16), "one repeat gives no spread"),
        (repeats("along", 16, 16.1, 16.2), "too few to test for outliers"),
        (
            repeats("along", 16, 16.1, rested=9.9),
            "rested is shorter than the gauge in repeat 1, 2",
        ),
        (repeats("along", 16, rested=None), "growth and recovery are unknown"),
        (repeats("along", 16) + repeats("across", 15, rest=5), "5 to 30 minutes"),
        (
            scaled(10.0, repeats("along", 16, 16.1)),
            "along: a gauge of 100 cm in repeat 1, 2; was it read in mm and headed cm?",
        ),
        (
            scaled(0.1, repeats("along", 16)),
            "a gauge of 1 cm in repeat 1; was it read in",
        ),
    ],
)
def test_what_should_be_said(readings: list[HandReading], note: str) -> None:
    assert any(note in line for line in summarise(readings).notes)


def test_a_gauge_of_the_bench_is_no_matter() -> None:
    for factor in (0.5, 2.5):  # 5 and 25 cm
        summary = summarise(scaled(factor, repeats("along", 16)))
        assert not any("gauge" in note for note in summary.notes)


def test_two_repeats_far_apart_are_not_called_close() -> None:
    """With sd 1.4 % and n = 2 the half-width is 12.7 x 1.4 / sqrt 2 = 12.7 points."""
    two = repeats("across", 16, 16.2) + repeats("along", 17.9, 18.1)
    said = advice(summarise(two))[0]
    assert "not settled by two repeats (80.0 against 61.0 %): so few leave" in said
    three = repeats("across", 16, 16.1, 16.2) + repeats("along", 17.9, 18.0, 18.1)
    assert summarise(three).round_body_sure
    sure = repeats("across", 16, 16.02) + repeats("along", 17.9, 17.92)
    assert summarise(sure).round_body_sure


def test_loads_are_compared() -> None:
    def loaded(
        number: int, load: float | None, width: float | None = 5.0
    ) -> HandReading:
        return HandReading(
            direction="along",
            repeat=number,
            gauge=10,
            extended=16,
            load=load,
            strip_width=width,
        )

    notes = " ".join(summarise([loaded(1, 5), loaded(2, 10), loaded(3, None)]).notes)
    assert "the pull was not the same (100 to 200 N/m)" in notes
    assert "some with a load" not in notes
    assert "some readings were taken with a load and some by hand" in notes
    assert "needs the strip's width" in " ".join(summarise([loaded(1, 5, None)]).notes)
    narrow = summarise([loaded(1, 5, 0.5), loaded(2, 5, 0.5)]).notes
    assert sum("said to be 0.5 cm wide" in note for note in narrow) == 1
    along = summarise([loaded(1, 5), loaded(2, 5)]).along
    assert along is not None
    assert along.tension is not None
    assert along.tension.mean == pytest.approx(100)


def test_nothing_to_summarise() -> None:
    with pytest.raises(RefusedError, match="no readings"):
        summarise([])


# From 12 on 5 to 4.2 cm is a contraction of 0.8 or less; 1 both ways is no cloth.
@given(
    st.lists(st.floats(12, 30), min_size=1, max_size=8),
    st.lists(st.floats(12, 30), max_size=8),
)
def test_any_possible_readings_give_a_fabric(
    across: list[float], along: list[float]
) -> None:
    readings = repeats("across", *across) + repeats("along", *along)
    summary: SwatchSummary = summarise(readings, drop_outliers=True)
    fabric = to_fabric(summary, name="a-b")
    assert fabric.round_body == summary.round_body
    for one in summary.directions:
        ends = interval(one.stretch)
        assert ends is None or ends[0] <= one.stretch.mean <= ends[1]
    assert all(advice(summary, table) for table in CLASS_TABLES)


@given(st.floats(1e-4, 0.2), st.floats(0.005, 0.1))
def test_one_repeat_fewer_would_miss_the_target(sd: float, target: float) -> None:
    n = int(repeats_needed(sd, target, most=50))

    def half(count: int) -> float:
        return float(t_quantile(0.975, count - 1) * sd / np.sqrt(count))

    assert n == 51 or half(n) <= target
    assert n == 2 or half(n - 1) > target


def test_repeats_needed_over_an_array() -> None:
    assert repeats_needed([0.0, 0.016, 5.0], 0.02).tolist() == [2, 5, 101]


def test_too_many_repeats_are_not_advised() -> None:
    summary = summarise(repeats("along", 12, 14, 16, 18))
    assert "find out why the readings differ" in " ".join(advice(summary))
    few = summarise(repeats("along", 16, 16.3, 16.5))
    assert few.along is not None
    assert f"about {few.along.more_repeats} more" in " ".join(advice(few))
    single = summarise(repeats("along", 16))
    assert single.along is not None
    assert single.along.more_repeats is None


@pytest.mark.parametrize("table", CLASS_TABLES, ids=lambda table: table.name)
@given(stretch=st.floats(0, 5))
def test_more_stretch_is_never_a_lower_class(table: object, stretch: float) -> None:
    from ease.fabric.classes import ClassTable

    assert isinstance(table, ClassTable)
    lower = table.names.index(stretch_class(stretch, table))
    assert table.names.index(stretch_class(stretch + 0.1, table)) >= lower


def test_no_such_table_or_stretch() -> None:
    with pytest.raises(UsageError, match="known are ranges, gauge"):
        class_table("other")
    for bad in (-0.1, float("nan")):
        with pytest.raises(RefusedError, match="0 or more"):
            stretch_class(bad)
