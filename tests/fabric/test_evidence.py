from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from ease.errors import ProfileError, RefusedError
from ease.fabric.evidence import Evidence, WornRatio, evidence_notes
from ease.fabric.profile import Fabric
from ease.fabric.profile_toml import fabric_from_table
from ease.fabric.store import fabric_to_toml

SEEN = Evidence(
    day=date(2026, 5, 31),
    kind="toile",
    block="one-piece",
    across=WornRatio(1.013, 0.004, 6, True),
    along=WornRatio(0.999, 0.005, 4),
)
HEAD = (
    'schema = "ease/fabric/1"\nname = "a"\ntitle = "A"\norigin = "measured"\n'
    'source = "me"\n[across]\nstretch = 0.6\n'
)


def parse(text: str) -> Fabric:
    return fabric_from_table(tomllib.loads(HEAD + text), "a.toml")


def test_a_profile_keeps_its_evidence(make_fabric: Callable[..., Any]) -> None:
    only = replace(SEEN, along=None, day=date(2026, 6, 1))
    fabric = replace(make_fabric({"stretch": 0.8}), evidence=(SEEN, only))
    back = fabric_from_table(tomllib.loads(fabric_to_toml(fabric)), "a.toml")
    assert back.evidence == (SEEN, only)
    assert back.evidence[0].marks == 10
    assert back == fabric


def test_a_date_in_quotes_is_read_too() -> None:
    text = (
        '[[evidence]]\ndate = "2026-05-31"\nacross = {ratio = 1.0, sd = 0.01, n = 3}\n'
    )
    (one,) = parse(text).evidence
    assert one.day == date(2026, 5, 31)
    assert one.across == WornRatio(1.0, 0.01, 3)


def test_every_fault_at_once() -> None:
    with pytest.raises(ProfileError) as caught:
        parse(
            '[[evidence]]\ndate = "May"\nkind = 3\nwho = "x"\n'
            "across = {ratio = 9.0, sd = 0.01, n = 3}\n"
            "[[evidence]]\ndate = 2026-05-31\n"
            "[[evidence]]\ndate = 2026-05-31\nalong = {ratio = 1.0, sd = 0.1}\n"
            "[[evidence]]\ndate = 2026-05-31\n"
            "along = {ratio = 1.0, sd = 0.1, n = 2, sure = true}\n"
        )
    assert [str(problem) for problem in caught.value.problems] == [
        "evidence[1].who: is not a known key; accepted are date, kind, block, fabric, "
        "across, along",
        "evidence[1].kind: must be text in quotes, not 3",
        "evidence[1].date: must be a date such as 2026-05-31, not 'May'",
        "evidence[1].across: a ratio must lie within 0.3 to 3, not 9",
        "evidence[2]: needs a ratio across or along the cloth",
        "evidence[3].along: must be a table with ratio, sd, n and, if told, clear",
        "evidence[4].along.sure: is not a known key; ratio, sd, n, clear are",
    ]


def test_evidence_that_is_no_list() -> None:
    table = tomllib.loads(HEAD)
    table["evidence"] = 1.0
    with pytest.raises(ProfileError, match="must be a list of tables"):
        fabric_from_table(table, "a.toml")


@pytest.mark.parametrize(
    ("figures", "fault"),
    [
        ((0.1, 0.0, 1), "a ratio must lie"),
        ((1.0, -1.0, 1), "deviation must be 0 or more"),
        ((1.0, 0.1, 0), "number of marks"),
    ],
)
def test_impossible_ratios(figures: tuple[float, float, int], fault: str) -> None:
    with pytest.raises(RefusedError, match=fault):
        WornRatio(*figures)
    with pytest.raises(RefusedError, match="needs a ratio"):
        Evidence(day=date(2026, 5, 31), kind="toile", block="a")


def test_only_what_is_clear_is_noted() -> None:
    (note,) = evidence_notes([SEEN])
    assert "2026-05-31 lay 1.013 times as long across" in note
    assert "+- 0.008" in note
