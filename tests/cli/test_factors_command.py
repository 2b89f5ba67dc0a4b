"""``ease factors``: exit code, stream, then text."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, fabric_to_toml

Make = Callable[..., Fabric]
runner = CliRunner()
ROUND: dict[str, Any] = {
    "stretch": 0.8,
    "growth": 0.02,
    "wet_growth": 0.03,
    "contraction": 0.3,
    "sd": 0.02,
    "n": 5,
}


@pytest.fixture(autouse=True)
def _plain_terminal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))


@pytest.fixture
def profile(make_fabric: Make, tmp_path: Path) -> Path:
    """A fabric without load test: worn 20 %, 16.7 % off round; 1.8 % longer down."""
    path = tmp_path / "own.toml"
    path.write_text(
        fabric_to_toml(make_fabric(ROUND, {"stretch": 0.5, "growth": 0.02}))
    )
    return path


def run(*arguments: object) -> Result:
    return runner.invoke(app, ["factors", *map(str, arguments)])


def test_tables_and_sentences_on_stdout_notes_on_stderr(profile: Path) -> None:
    done = run(profile, "--body", "demo")
    assert done.exit_code == 0
    assert done.stdout.startswith("test-cloth on demo, hold regular")
    row = next(line for line in done.stdout.splitlines() if line.startswith("round"))
    assert row.split()[:3] == ["round", "(along)", "0.833"]
    assert row.split()[4:6] == ["16.7", "20.0"]
    assert row.rstrip().endswith("the aim")
    # 88 / 1.2 = 73.33 and 88 - 73.33.
    bust = next(line for line in done.stdout.splitlines() if line.startswith("bust"))
    assert bust.split()[1:4] == ["88.0", "73.3", "14.7"]
    assert "Round: cut 16.7 % smaller than the body" in done.stdout
    assert "note:" not in done.stdout
    assert "rule of thumb" in " ".join(done.stderr.split())


def test_quiet_leaves_stderr_empty(profile: Path) -> None:
    done = run(profile, "--body", "demo", "--quiet")
    assert done.exit_code == 0
    assert done.stderr == ""
    assert "factor" in done.stdout


def test_json_is_one_document_as_agreed(profile: Path) -> None:
    done = run(profile, "--body", "demo", "--json")
    assert done.exit_code == 0
    document = json.loads(done.stdout)
    assert document["schema"] == "ease/factors/1"
    assert set(document["girth"]) >= {
        "factor",
        "strain",
        "reduction",
        "aim",
        "low",
        "high",
        "bound_by",
    }
    girth, length = document["girth"], document["length"]
    assert girth["strain"] == pytest.approx(0.2)
    assert girth["factor"] == pytest.approx(1 / 1.2)
    assert girth["reduction"] == pytest.approx(0.2 / 1.2)
    assert girth["low"] == {"strain": 0.03, "limit": "wet_growth"}
    # (1 + 0.5 x 0.8) / 1.15 - 1 against (1 + 0.8) x 70 / 96 - 1 = 31 %.
    assert girth["high"]["limit"] == "room_to_move"
    assert girth["high"]["strain"] == pytest.approx(1.4 / 1.15 - 1)
    assert girth["bound_by"] == "aim"
    low, high = girth["factor_ci95"]
    assert low < girth["factor"] < high
    assert length["strain"] == pytest.approx(1.045 * 0.94 - 1)
    sizes = {size["name"]: size for size in document["sizes"]}
    assert list(sizes) == ["bust", "waist", "hip", "torso_loop"]
    for size in sizes.values():
        low, high = size["cut_ci95_cm"]
        assert low < size["cut_cm"] < high
        assert size["negative_ease_cm"] == pytest.approx(
            size["body_cm"] - size["cut_cm"]
        )
    assert sizes["hip"]["cut_cm"] == pytest.approx(80.0)
    assert document["basis"] == "share"
    assert any(
        note.startswith("the torso loop to cut is body loop x length factor")
        for note in document["notes"]
    )


def test_one_direction_gives_nulls_not_numbers(
    make_fabric: Make, tmp_path: Path
) -> None:
    path = tmp_path / "one.toml"
    path.write_text(fabric_to_toml(make_fabric(ROUND)))
    document = json.loads(run(path, "--body", "demo", "--json", "-q").stdout)
    assert document["length"]["bound_by"] == "not_tested"
    assert document["length"]["factor"] == 1.0
    for key in ("aim", "low", "high", "factor_ci95"):
        assert document["length"][key] is None
    table = run(path, "--body", "demo").stdout
    down = next(line for line in table.splitlines() if line.startswith("down"))
    assert down.split()[2:4] == ["1.000", "-"]
    assert down.rstrip().endswith("not tested")


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("name", fabric_names())
def test_every_line_fits_eighty_columns(name: str, units: str) -> None:
    done = run(name, "--body", "demo", "--units", units, "--why")
    assert done.exit_code in (0, 1)
    for line in (*done.stdout.splitlines(), *done.stderr.splitlines()):
        # Errors and hints are one line each, left to the terminal to break.
        assert len(line) <= 80 or line.startswith(("error: ", "hint: ")), line
    if done.exit_code == 0:
        assert "…" not in done.stdout


def test_inches_in_eighths(profile: Path) -> None:
    """73.33 cm is 28.87 in: 28 7/8."""
    done = run(profile, "--body", "demo", "--units", "in")
    bust = next(line for line in done.stdout.splitlines() if line.startswith("bust"))
    assert bust.split()[1:5] == ["34", "5/8", "28", "7/8"]
    assert "closed loop (in)" in done.stdout


def test_holds_and_the_way_round(profile: Path) -> None:
    factors = [
        json.loads(run(profile, "--body", "demo", "--json", "--hold", hold).stdout)
        for hold in ("easy", "regular", "firm")
    ]
    strains = [document["girth"]["strain"] for document in factors]
    assert strains == sorted(strains)
    turned = run(profile, "--body", "demo", "--json", "--round", "across")
    assert json.loads(turned.stdout)["round_body"] == "across"


def test_a_number_can_be_changed(profile: Path) -> None:
    done = run(profile, "--body", "demo", "--json", "--set", "girth_share=0.1")
    document = json.loads(done.stdout)
    assert document["girth"]["strain"] == pytest.approx(0.08)
    assert document["hold"] == "regular, changed"


def test_why_lists_every_choice(profile: Path) -> None:
    done = run(profile, "--body", "demo", "--why")
    assert "Aims and limits" in done.stdout
    for name in ("pressure_kpa", "usable_share", "most_pull_n"):
        assert name in done.stdout


WRONG = [
    (["no-such", "--body", "demo"], 3, "no fabric has that name"),
    (["soft-trcot", "--body", "demo"], 3, "did you mean soft-tricot?"),
    (["soft-tricot", "--body", "no-such"], 3, "no shipped body and no file"),
    (["missing.toml", "--body", "demo"], 3, "missing.toml"),
    (["soft-tricot"], 2, "--body is missing"),
    ([], 2, "is missing"),
    (["soft-tricot", "--body", "demo", "--hold", "tight"], 2, "--hold"),
    (["soft-tricot", "--body", "demo", "--round", "up"], 2, "--round"),
    (["soft-tricot", "--body", "demo", "--units", "mm"], 2, "--units"),
    (["soft-tricot", "--body", "demo", "--set", "pull_n"], 2, "write NAME=NUMBER"),
    (["soft-tricot", "--body", "demo", "--set", "pul_n=3"], 2, "did you mean pull_n?"),
    (["soft-tricot", "--body", "demo", "--set", "pull_n=3 N"], 2, "bare number"),
]


@pytest.mark.parametrize(
    ("arguments", "code", "said"), WRONG, ids=[" ".join(row[0]) for row in WRONG]
)
@pytest.mark.parametrize("as_json", [False, True])
def test_what_is_wrong_is_one_line_on_stderr(
    arguments: list[str], code: int, said: str, as_json: bool
) -> None:
    done = run(*arguments, *(["--json"] if as_json else []))
    assert done.exit_code == code
    assert done.stdout == ""
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_an_empty_window_is_refused_with_a_hint(
    make_fabric: Make, tmp_path: Path
) -> None:
    """Growth 30 % against (1 + 0.4) x 70 / 96 - 1 = 2.1 %."""
    path = tmp_path / "bad.toml"
    path.write_text(fabric_to_toml(make_fabric({"stretch": 0.4, "growth": 0.3})))
    done = run(path, "--body", "demo", "--json")
    assert done.exit_code == 1
    assert done.stdout == ""
    error, hint = done.stderr.splitlines()
    assert error == (
        "error: no strain round meets both limits: growth asks for at least 30.0 %, "
        "goes on for at most 2.1 %; they clash by 27.9 points"
    )
    assert hint.startswith("hint: try a fabric that grows less; or a fabric with more")


def test_every_fault_of_a_profile_is_listed(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(
        'schema = "ease/fabric/1"\nname = "bad"\ntitle = "b"\norigin = "guessed"\n'
        'source = "s"\n[across]\nstretch = { mean = "x", n = 1 }\n'
    )
    done = run(path, "--body", "demo")
    assert done.exit_code == 3
    lines = [line for line in done.stderr.splitlines() if line.startswith("error: ")]
    assert len(lines) >= 2
    assert all(str(path) in line for line in lines)


def test_over_head_asks_for_the_shoulders(profile: Path) -> None:
    """Marit's shoulders measure 101: (1 + 0.8) x 70 / 101 - 1 = 24.8 %."""
    done = run(profile, "--body", "demo", "--over-head")
    goes_on = next(line for line in done.stdout.splitlines() if line.startswith("goes"))
    assert "24.8" in goes_on


def test_the_end_of_a_load_test_is_not_told_as_an_aim() -> None:
    given = ["factors", "lining-mesh", "--body", "en-128", "--hold", "firm"]
    told = " ".join(CliRunner().invoke(app, given).stdout.split())
    assert "0.60 kPa at the bust is not reached even at 100.0 %" in told
    assert "room to move stops it at" in told
    girth = json.loads(CliRunner().invoke(app, [*given, "--json"]).stdout)["girth"]
    assert (girth["aim"], girth["aim_beyond_test"]) == (None, True)
