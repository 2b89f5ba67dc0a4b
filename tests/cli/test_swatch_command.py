from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.demo import SWATCH
from ease.fabric.readings import load_readings
from ease.fabric.statistics import interval
from ease.fabric.store import load_fabric
from ease.fabric.swatch import summarise

NEEDED = "direction,gauge,extended\n"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    return tmp_path / "home"


def run(*args: object) -> Result:
    return CliRunner().invoke(app, ["swatch", *map(str, args)])


def test_the_table_is_plain_and_fits() -> None:
    result = run(SWATCH)
    assert result.exit_code == 0
    assert result.stderr == ""
    lines = [line.rstrip() for line in result.stdout.splitlines()]
    assert max(map(len, lines)) <= 80
    rows = [line for line in lines if line.startswith(("across", "along"))]
    assert max(map(len, rows)) <= 78
    # One for each reading, and one for the same strip soaked.
    assert len([row for row in rows if "%" not in row]) == 2 * 10
    stretch = next(
        row for row in rows if row.startswith("along") and "stretch (%)" in row
    )
    along = summarise(load_readings(SWATCH)).along
    assert along is not None
    ends = interval(along.stretch)
    assert ends is not None
    assert stretch.split()[3:] == [
        f"{100 * along.stretch.mean:.1f}",
        f"{100 * (along.stretch.sd or 0):.1f}",
        "5",
        f"{100 * ends[0]:.1f}",
        "to",
        f"{100 * ends[1]:.1f}",
    ]
    assert "recovered elongation (%)" in result.stdout
    assert "Round the body: along, which stretches more" in result.stdout
    assert "table ranges" in result.stdout


def test_json_is_one_document_of_fractions() -> None:
    result = run(SWATCH, "--json")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    assert document["schema"] == "ease/swatch/1"
    assert document["round_body"] == "along"
    summary = summarise(load_readings(SWATCH))
    for one in summary.directions:
        shown = document["directions"][one.name]
        for key in ("stretch", "growth", "recovery", "contraction"):
            figure = getattr(one, key)
            ends = interval(figure)
            assert ends is not None
            assert shown[key] == {
                "mean": figure.mean,
                "sd": figure.sd,
                "n": 5,
                "ci95": list(ends),
            }
    assert document["class"] == {
        "table": "ranges",
        "across": "stretchy",
        "along": "super-stretch",
    }


def test_one_repeat_in_one_direction(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(NEEDED + "along,10,16\n")
    result = run("a.csv", "--json", "--class-table", "gauge")
    document = json.loads(result.stdout)
    assert list(document["directions"]) == ["along"]
    stretch = document["directions"]["along"]["stretch"]
    assert stretch["sd"] is None
    assert stretch["ci95"] is None
    assert document["directions"]["along"]["growth"] is None
    assert document["class"] == {"table": "gauge", "along": "stretchy"}
    assert "note: across was not tested" in result.stderr
    assert run("a.csv", "--quiet").stderr == ""


def test_inches_are_shown_as_a_ruler_has_them(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(
        'direction,gauge (in),extended (in),rested (in)\nalong,3 7/8,6",3 15/16\n'
    )
    result = run("a.csv", "--units", "in")
    assert "3 7/8" in result.stdout
    # In eighths the strip would seem to have come back whole, or not at all.
    assert "3 15/16" in result.stdout
    assert "lengths in inches" in result.stdout


def test_an_outlier_is_kept_or_dropped(tmp_path: Path) -> None:
    rows = "".join(f"along,10,{value}\n" for value in (16, 16.1, 15.9, 16.05, 18))
    (tmp_path / "a.csv").write_text(NEEDED + rows)
    kept, dropped = run("a.csv", "--json"), run("a.csv", "--json", "--drop-outliers")
    assert json.loads(kept.stdout)["directions"]["along"]["stretch"]["n"] == 5
    assert json.loads(dropped.stdout)["directions"]["along"]["stretch"]["n"] == 4
    (outlier,) = json.loads(dropped.stdout)["outliers"]
    assert outlier["repeat"] == 5
    assert outlier["dropped"] is True
    assert outlier["grubbs_g"] > outlier["critical"]


def test_saving_a_fabric(home: Path) -> None:
    result = run(SWATCH, "--save", "my-lycra", "--title", "Blue lycra [shiny]")
    assert result.exit_code == 0
    path = home / "fabrics" / "my-lycra.toml"
    assert f"wrote {path}" in result.stderr
    fabric = load_fabric("my-lycra")
    assert fabric.title == "Blue lycra [shiny]"
    assert fabric.origin == "invented"  # as the readings say of themselves
    assert fabric.along is not None
    assert fabric.along.stretch.n == 5
    again = run(SWATCH, "--save", "my-lycra", "--json")
    assert again.exit_code == 4
    assert again.stdout == ""
    assert "exists already" in again.stderr
    assert "choose another name" in again.stderr
    assert run(SWATCH, "--save", "my-lycra", "--force").exit_code == 0


def test_own_readings_are_measured(tmp_path: Path) -> None:
    (tmp_path / "mine.csv").write_text(NEEDED + "along,10,16\nalong,10,16.1\n")
    assert run("mine.csv", "--save", "mine").exit_code == 0
    fabric = load_fabric("mine")
    assert fabric.origin == "measured"
    assert fabric.source == "hand test, readings in mine.csv"


@pytest.mark.parametrize(
    ("args", "code", "text"),
    [
        ((), 2, "name a file of readings, or add --ask"),
        (("missing.csv",), 3, "missing.csv: no such file"),
        ((SWATCH, "--save", "My Lycra"), 2, "cannot name a fabric"),
        (("--ask",), 2, "--ask needs a terminal"),
    ],
)
def test_refusals(args: tuple[object, ...], code: int, text: str) -> None:
    result = run(*args)
    assert result.exit_code == code
    assert result.stdout == ""
    assert text in result.stderr
    assert "Traceback" not in result.stderr


def test_every_wrong_reading_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(NEEDED + "across,10,8\nalong,0,15\nup,10,15\n")
    result = run("a.csv")
    assert result.exit_code == 3
    assert [line.partition(": ")[2] for line in result.stderr.splitlines()] == [
        "a.csv: line 2, column extended: 8 cm is shorter than the gauge, 10 cm",
        "a.csv: line 3, column gauge: must be above 0, not 0",
        "a.csv: line 4, column direction: 'up' is none of across, along",
    ]
