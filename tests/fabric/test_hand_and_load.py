"""Strips exchanged between hand test and load test, on cloths of plain numbers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ease.fabric.hand_and_load import hand_and_load_notes
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, load_fabric

Make = Callable[..., Fabric]


def cloth(stretch: float, load: float, tested: float) -> dict[str, Any]:
    return {"stretch": stretch, "load": load, "tested": tested}


def test_a_load_beyond_where_the_hand_stopped_is_named(make_fabric: Make) -> None:
    fabric = make_fabric(cloth(0.597, 100, 0.71), cloth(0.92, 200, 0.4))
    (note,) = hand_and_load_notes(fabric)
    assert note.startswith("along: the load pulled it to 71.0 %, by hand it stopped at")
    assert "were the strips exchanged" in note


@pytest.mark.parametrize(
    ("along", "across", "said"),
    [
        # By hand across stretches half as much again, under load less than 2/3.
        (cloth(0.6, 100, 0.5), cloth(0.9, 160, 0.5), "across: "),
        (cloth(0.9, 160, 0.5), cloth(0.6, 100, 0.5), "along: "),
        (cloth(0.6, 160, 0.5), cloth(0.9, 100, 0.5), ""),
        (cloth(0.6, 100, 0.5), cloth(0.9, 120, 0.5), ""),
        (cloth(0.6, 100, 0.5), cloth(0.7, 160, 0.5), ""),
        # Pulled a little further than by hand: strips differ.
        (cloth(0.6, 160, 0.65), cloth(0.9, 100, 0.5), ""),
        ({"stretch": 0.6}, cloth(0.9, 100, 0.5), ""),
    ],
)
def test_the_two_tests_put_the_directions_in_one_order(
    make_fabric: Make, along: dict[str, Any], across: dict[str, Any], said: str
) -> None:
    notes = hand_and_load_notes(make_fabric(along, across))
    assert [note[: len(said)] for note in notes] == ([said] if said else [])


def test_nothing_is_said_of_shipped_cloths(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path))
    for name in fabric_names():
        assert hand_and_load_notes(load_fabric(name)) == ()
