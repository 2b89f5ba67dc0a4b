"""What a batch was begun with: each change is told in a maker's words."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from ease.body.table_head import read_head
from ease.errors import UsageError
from ease.fabric.store import load_fabric
from ease.files.batch_settings import (
    batch_settings,
    check_settings,
    settings_path,
    settings_toml,
)
from ease.files.batch_table import BatchTable
from ease.fit.aims import AIMS, Aim, Allowed, changed
from ease.fit.batch import Cloth
from ease.fit.notes import WARNINGS

REGULAR = AIMS["regular"]
SOFT, FIRM = (load_fabric(name) for name in ("soft-tricot", "firm-tricot"))
CLOTHS = (Cloth.of(SOFT), Cloth.of(FIRM))


@pytest.fixture
def bodies(tmp_path: Path) -> Path:
    path = tmp_path / "bodies.csv"
    path.write_text("bust,waist,hip\n92,76,100\n")
    return path


@pytest.fixture
def out(bodies: Path) -> Path:
    """A result that was begun at regular hold, in two cloths."""
    path = bodies.with_name("out.csv")
    beside = settings_path(path)
    beside.write_bytes(settings_toml(batch_settings(read_head(bodies), table())))
    return path


def table(
    cloths: tuple[Cloth, ...] = CLOTHS,
    aim: Aim = REGULAR,
    allowed: Allowed | None = None,
    decimals: int | None = None,
) -> BatchTable:
    return BatchTable(cloths, aim, allowed or Allowed(), decimals=decimals)


def said(out: Path, bodies: Path, now: BatchTable, units_in: str = "") -> str:
    with pytest.raises(UsageError) as refused:
        check_settings(out, batch_settings(read_head(bodies, units_in), now))
    assert "--force instead of --resume" in refused.value.hint
    return str(refused.value).replace(f"{out.parent}/", "")


def test_the_same_settings_go_on(out: Path, bodies: Path) -> None:
    check_settings(out, batch_settings(read_head(bodies), table()))


def test_bodies_under_another_name_go_on(out: Path, bodies: Path) -> None:
    other = bodies.rename(bodies.with_name("renamed.csv"))
    check_settings(out, batch_settings(read_head(other), table()))


def test_a_number_set_to_what_it_was_goes_on(out: Path, bodies: Path) -> None:
    aim, _ = changed(REGULAR, Allowed(), {"pull_n": REGULAR.pull_n})
    check_settings(out, batch_settings(read_head(bodies), table(aim=aim)))


def test_changed_bodies(out: Path, bodies: Path) -> None:
    bodies.write_text("bust,waist,hip\n93,76,100\n")
    expected = "bodies.csv has changed since out.csv was begun"
    assert said(out, bodies, table()) == expected


def test_other_bodies(out: Path, bodies: Path) -> None:
    other = bodies.with_name("others.csv")
    other.write_text("bust,waist,hip\n93,76,100\n")
    assert said(out, other, table()) == (
        "out.csv was begun with the bodies of bodies.csv, not with those of others.csv"
    )


def test_a_changed_fabric(out: Path, bodies: Path) -> None:
    cloths = (CLOTHS[0], Cloth.of(replace(FIRM, mass_gsm=123.0)))
    expected = "fabric firm-tricot has changed since out.csv was begun"
    assert said(out, bodies, table(cloths)) == expected


def test_another_version(out: Path, bodies: Path) -> None:
    beside = settings_path(out)
    beside.write_text(beside.read_text().replace("ease/batch/2", "ease/batch/1"))
    assert said(out, bodies, table()) == "out.csv was begun by another version of ease"


@pytest.mark.parametrize(
    ("now", "change"),
    [
        (table(aim=AIMS["firm"]), "hold regular -> firm"),
        (
            table(aim=replace(REGULAR, name="regular, changed", pull_n=8.0)),
            "pull_n 10 -> 8",
        ),
        (table(allowed=Allowed(usable_share=0.6)), "usable_share 0.5 -> 0.6"),
        (table(allowed=Allowed(over_head=True)), "over head no -> yes"),
        (table(decimals=2), "decimals all -> 2"),
        (table(CLOTHS[:1]), "fabrics soft-tricot, firm-tricot -> soft-tricot"),
        (
            table((Cloth.of(SOFT, "across"), CLOTHS[1])),
            "round the body along, along -> across, along",
        ),
        (
            table(aim=AIMS["easy"], decimals=0),
            "hold regular -> easy; decimals all -> 0",
        ),
    ],
)
def test_another_setting_is_named_old_and_new(
    out: Path, bodies: Path, now: BatchTable, change: str
) -> None:
    expected = f"out.csv was begun with other settings: {change}"
    assert said(out, bodies, now) == expected


def test_another_unit(out: Path, bodies: Path) -> None:
    change = said(out, bodies, table(), "in")
    assert change.endswith("other settings: unit of the columns cm -> in")


def test_all_changes_are_told_at_once(out: Path, bodies: Path) -> None:
    bodies.write_text("bust,waist,hip\n93,76,100\n")
    lines = said(out, bodies, table(aim=AIMS["firm"])).splitlines()
    assert [line.split()[0] for line in lines] == ["bodies.csv", "out.csv"]


def test_no_message_holds_a_checksum(out: Path, bodies: Path) -> None:
    bodies.write_text("bust,waist,hip\n93,76,100\n")
    cloths = tuple(Cloth.of(replace(one, mass_gsm=123.0)) for one in (SOFT, FIRM))
    words = said(out, bodies, table(cloths)).split()
    # "bodies.csv has changed since out.csv was begun", and so of each "fabric x".
    assert len(words) == 7 + 8 + 8
    assert max(map(len, words)) < 20


@pytest.mark.parametrize(
    "text", ["", "fabrics = 3", 'fabrics_sha256 = "x"', "hold = [[1]]", "ease = {}"]
)
def test_settings_spoilt_by_hand_are_refused(
    out: Path, bodies: Path, text: str
) -> None:
    settings_path(out).write_text(text)
    assert "another version of ease" in said(out, bodies, table())


def test_the_file_says_what_the_columns_hold(out: Path) -> None:
    text = settings_path(out).read_text()
    remarks = " ".join(line[2:] for line in text.splitlines() if line[:1] == "#")
    assert "torso loop to cut is body loop x length factor" in remarks
    assert all(f"{name}: {meaning}" in remarks for name, meaning in WARNINGS.items())
    assert max(map(len, text[: text.index("schema")].splitlines())) <= 88
    assert tomllib.loads(text)["hold"] == "regular"
