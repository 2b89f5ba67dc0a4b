from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.fabric.store import fabric_names, load_fabric


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def run(*args: str) -> Result:
    return CliRunner().invoke(app, ["fabrics", *args])


def test_the_list_fits_and_names_every_fabric() -> None:
    result = run()
    assert result.exit_code == 0
    lines = [line.rstrip() for line in result.stdout.splitlines()]
    assert max(map(len, lines)) <= 78
    for name in fabric_names():
        (line,) = [line for line in lines if line.startswith(name)]
        fabric = load_fabric(name)
        cloth = fabric.direction(fabric.round_body)
        assert cloth is not None
        assert line.split()[1:4] == [
            "invented",
            fabric.round_body,
            f"{100 * cloth.stretch.mean:.0f}",
        ]
    assert "note: invented fabrics are for trying out" in result.stderr
    assert run("-q").stderr == ""


def test_one_fabric_in_detail() -> None:
    result = run("soft-tricot")
    assert result.exit_code == 0
    assert (
        "origin: invented (invented for demonstration, not measured)" in result.stdout
    )
    assert "class (table ranges): across stretchy, along super-stretch" in result.stdout
    assert max(len(line.rstrip()) for line in result.stdout.splitlines()) <= 78
    along = load_fabric("soft-tricot").along
    assert along is not None
    assert along.tension is not None
    assert along.tension.unloading is not None
    (row,) = [line for line in result.stdout.splitlines() if line.split()[:1] == ["20"]]
    assert row.split()[3:] == [
        f"{float(along.tension.loading.tension_at(0.2)):.1f}",
        f"{float(along.tension.unloading.tension_at(0.2)):.1f}",
    ]


def test_json_of_all_and_of_one() -> None:
    every = json.loads(run("--json").stdout)
    assert [one["name"] for one in every["fabrics"]] == list(fabric_names())
    one = json.loads(run("one-way-stretch", "--json").stdout)
    assert one["directions"]["across"]["tension_n_per_m"] == {
        "strain_20_pct": None,
        "strain_40_pct": None,
    }
    assert one["directions"]["across"]["stretch"]["mean"] == 0.1


def test_a_fabric_without_a_load_test(home: Path) -> None:
    folder = home / "fabrics"
    folder.mkdir(parents=True)
    (folder / "mine.toml").write_text(
        'schema = "ease/fabric/1"\nname = "mine"\ntitle = "Mine [soft]"\n'
        'origin = "measured"\nsource = "me"\n[along]\nstretch = 0.6\n'
    )
    (line,) = [line for line in run().stdout.splitlines() if line.startswith("mine")]
    assert line.split()[1:] == [
        "measured",
        "along",
        *["60", "/", "-", "-", "-", "/", "-"],
    ]
    detail = run("mine").stdout
    assert "Mine [soft]" in detail
    assert "Tension" not in detail


def test_an_unknown_name_and_a_wrong_profile(home: Path) -> None:
    result = run("soft-trikot")
    assert result.exit_code == 3
    assert "no fabric has that name; did you mean soft-tricot?" in result.stderr
    folder = home / "fabrics"
    folder.mkdir(parents=True)
    (folder / "bad.toml").write_text("schema = 1,5\n")
    asked = run("bad")
    assert asked.exit_code == 3
    assert "line 1" in asked.stderr
    assert "TOML wants a decimal point" in asked.stderr
    listed = run()
    assert listed.exit_code == 0
    assert "soft-tricot" in listed.stdout
    assert "left out: " in listed.stderr
    assert "bad.toml" in "".join(listed.stderr.split())


@pytest.mark.parametrize("option", ["--picture", "--plot"])
def test_plot_draws_the_curves_of_one_fabric(tmp_path: Path, option: str) -> None:
    picture = tmp_path / "rib.png"
    assert run("rib", option, str(picture), "-q").exit_code == 0
    assert picture.read_bytes().startswith(b"\x89PNG")
    again = run("rib", "--picture", str(picture))
    assert (again.exit_code, again.stdout) == (4, "")


def test_plot_needs_a_name_and_a_known_ending(tmp_path: Path) -> None:
    for arguments in (("--picture", "all.png"), ("rib", "--picture", "rib.bmp")):
        done = run(*arguments[:-1], str(tmp_path / arguments[-1]))
        assert done.exit_code == 2
        assert done.stderr.startswith("error: ")


def test_how_an_own_fabric_was_tested_is_told_in_words_of_the_trade(
    tmp_path: Path,
) -> None:
    hand, weights = tmp_path / "hand.csv", tmp_path / "weights.csv"
    hand.write_text(
        "direction,gauge (cm),extended (cm),rested (cm)\n"
        "across,10,16,10.2\nalong,10,18,10.3\nalong,10,18.2,10.3\n"
    )
    weights.write_text(
        "# gauge = 20 cm\n# strip_width = 5 cm\n# layers = 1\n"
        "direction,repeat,branch,load (g),length (cm)\n"
        "across,1,loading,100,21.5\nacross,1,loading,400,25.6\n"
        "across,1,loading,800,29.8\n"
    )
    words = ["load", str(weights), "--hand", str(hand), "--save", "sunny"]
    assert CliRunner().invoke(app, words).exit_code == 0
    lines = run("sunny").stdout.splitlines()
    told = [line for line in lines if " test " in line or line.startswith("tested")]
    assert told[0] == "tested by: hand test"
    assert told[1] == "hand test across: 1 repeat, by hand"
    assert told[2] == "hand test along: 2 repeats, by hand"
    assert told[3].startswith("load test across: 1 repeat, ")
    assert not any("_" in line for line in told)
