"""Straps that hold at first and hang slack later, by formulas of their own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from ease.fabric.profile import Fabric
from ease.fit.membrane import Membrane
from ease.fit.slack import pulls_later, slack_text

Make = Callable[..., Fabric]


def membrane(make: Make, **more: Any) -> Membrane:
    """250 N/m per unit strain both ways, no contraction: each way is a strip alone."""
    plain = {"stretch": 1.0, "load": 250.0, "contraction": 0.0}
    none = dict.fromkeys(set(more) & {"growth", "wet_growth"}, 0.0)
    return Membrane.from_fabric(make(plain | more | none, plain | more), "along")


def test_pull_is_counted_from_the_grown_length(make_fabric: Make) -> None:
    """Worn 5 %, grown 2 and 4 %: 250 (1.05 / 1.04 - 1) on 70 / 1.25 = 56 cm."""
    grown = membrane(make_fabric, growth=0.02, wet_growth=0.04)
    girth, waist = np.array([0.25, 0.0]), np.array([70.0, 80.0])
    pulls = pulls_later(grown, girth, 0.05, waist)
    relaxed = np.array([0.56, 0.80])
    assert list(pulls) == ["after_hour", "wet"]
    for pull, growth in zip(pulls.values(), (0.02, 0.04), strict=True):
        assert pull == pytest.approx(250 * (1.05 / (1 + growth) - 1) * relaxed)


@pytest.mark.parametrize("growth", [0.02, 0.045])
def test_of_a_range_the_upper_end_counts(make_fabric: Make, growth: float) -> None:
    """7.4 or 1.2 N/m from the grown length; 2.6 N/m as it came down, with a set of 4 %."""
    both = membrane(make_fabric, growth=growth, down=([0.04, 1.0], [0.0, 250.0]))
    assert "unloading" in both.states
    pull = pulls_later(both, 0.25, 0.05, 70.0)["after_hour"]
    unloading, grown = 250 * 0.01 / 0.96, 250 * (1.05 / (1 + growth) - 1)
    assert float(pull) == pytest.approx(0.56 * max(unloading, grown), rel=1e-3)


def test_slack_cloth_pulls_nothing_and_untested_states_are_left_out(
    make_fabric: Make,
) -> None:
    pulls = pulls_later(membrane(make_fabric, wet_growth=0.08), 0.25, 0.05, 70.0)
    assert list(pulls) == ["wet"]
    assert float(pulls["wet"]) == 0.0


def test_past_the_load_test_nothing_is_known(make_fabric: Make) -> None:
    short = membrane(make_fabric, wet_growth=0.01, tested=0.03)
    pull = pulls_later(short, 0.25, 0.05, 70.0)["wet"]
    assert np.isnan(pull)
    assert slack_text({"wet": float(pull)}, 2.0, "") == ""


@pytest.mark.parametrize(
    ("pulls", "starts"),
    [
        ({"after_hour": 3.0, "wet": 2.0}, ""),
        ({"after_hour": 3.0, "wet": 1.94}, "wet, at most 1.9 N is left"),
        (
            {"after_hour": 1.0, "wet": 0.0},
            "after an hour, at most 1.0 N, and wet, at most 0.0 N is left",
        ),
    ],
)
def test_only_states_below_the_least_pull_are_told(
    pulls: dict[Any, float], starts: str
) -> None:
    said = slack_text(pulls, 2.0, "mend it")
    assert said.startswith(starts)
    assert said.endswith("; mend it" if starts else "")
    assert bool(said) == bool(starts)
