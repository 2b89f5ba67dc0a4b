"""The window by itself: ends, what binds, and limits that do not apply."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.fit.window import LIMITS, Bounds, Strains, choose

NAN = np.asarray(np.nan)


def bounds(low: dict[str, float], high: dict[str, float]) -> Bounds:
    return Bounds(
        {key: np.asarray(value) for key, value in low.items()},
        {key: np.asarray(value) for key, value in high.items()},
    )


WINDOW = bounds({"growth": 0.03, "wet_growth": 0.05}, {"room": 0.30, "on": 0.40})


@pytest.mark.parametrize(
    ("aim", "strain", "bound_by"),
    [
        (0.20, 0.20, "aim"),
        (0.01, 0.05, "wet_growth"),
        (0.35, 0.30, "room"),
        (0.30, 0.30, "aim"),
        (0.05, 0.05, "aim"),
    ],
)
def test_an_aim_moves_to_the_nearest_end(
    aim: float, strain: float, bound_by: str
) -> None:
    chosen = choose(np.asarray(aim), WINDOW)
    assert float(chosen.strain) == strain
    assert str(chosen.bound_by) == bound_by
    assert float(chosen.aim) == aim
    assert not chosen.is_empty


def test_the_ends_are_the_tightest_limits() -> None:
    chosen = choose(np.asarray(0.2), WINDOW)
    assert (float(chosen.low), float(chosen.high)) == (0.05, 0.30)
    assert chosen.low_keys[int(chosen.low_index)] == "wet_growth"
    assert chosen.high_keys[int(chosen.high_index)] == "room"
    assert chosen.all_low.tolist() == [0.03, 0.05]


def test_a_limit_that_does_not_apply_never_binds() -> None:
    window = bounds({"growth": 0.0, "wet_growth": np.nan}, {"room": np.nan, "on": 0.4})
    chosen = choose(np.asarray(0.9), window)
    assert float(chosen.strain) == 0.4
    assert str(chosen.bound_by) == "on"
    assert str(choose(np.asarray(-0.2), window).bound_by) == "growth"


def test_an_empty_window_is_seen_element_by_element() -> None:
    window = bounds({"growth": 0.5}, {"room": 0.3}).joined(
        {"least": np.array([0.1, 0.2, 0.6])}, {}
    )
    chosen = choose(np.asarray(0.2), window)
    assert chosen.is_empty.tolist() == [True, True, True]
    wide = choose(np.array([0.2, 0.2, 0.2]), bounds({"a": 0.2}, {"b": 0.2}))
    assert not wide.is_empty.any()


arrays = st.lists(st.floats(-0.2, 1.5), min_size=4, max_size=4).map(np.array)


@given(arrays, arrays, arrays, arrays)
def test_many_at_once_as_one_by_one(
    aim: np.ndarray, one: np.ndarray, two: np.ndarray, top: np.ndarray
) -> None:
    window = Bounds({"one": one, "two": two}, {"top": top})
    chosen = choose(aim, window)
    for i in range(4):
        least, most = max(one[i], two[i]), top[i]
        assert bool(chosen.is_empty[i]) is bool(least > most)
        if least > most:
            continue
        wanted = min(max(aim[i], least), most)
        assert chosen.strain[i] == wanted
        if aim[i] < least:
            assert chosen.bound_by[i] in ("one", "two")
        elif aim[i] > most:
            assert chosen.bound_by[i] == "top"
        else:
            assert chosen.bound_by[i] == "aim"


def test_pull_strain_counts_from_the_shortened_length() -> None:
    """100 cm that shortens to 92 and is pulled by 25 % is 115: worn 15 %."""
    worn = Strains(np.asarray(0.92))
    assert float(worn(np.asarray(0.25))) == pytest.approx(0.15)
    mapped = bounds({"growth": 0.0}, {"room": 0.25}).mapped(worn)
    assert float(mapped.low["growth"]) == pytest.approx(-0.08)
    assert float(mapped.high["room"]) == pytest.approx(0.15)


def test_every_limit_says_what_goes_wrong() -> None:
    assert {kind.side for kind in LIMITS.values()} == {"low", "high"}
    for key, kind in LIMITS.items():
        assert kind.key == key
        assert kind.title
        assert kind.why.split()[0] in ("the", "it")
    assert len({kind.title for kind in LIMITS.values()}) == len(LIMITS)
