"""``ease load``: weights on a strip, a tester's export, and keeping the curves."""

from __future__ import annotations

import json
from math import sqrt
from pathlib import Path

import pytest
from scipy.stats import t
from typer.testing import CliRunner

from cli.app import app
from ease.fabric.store import load_fabric, own_folder

runner = CliRunner()

WEIGHTS = """# origin = invented
# gauge = 10 cm
# strip_width = 5 cm
direction,repeat,branch,load (g),length (cm)
across,1,up,0,10.0
across,1,up,100,11.0
across,1,up,300,13.2
across,1,up,700,16.5
across,1,down,300,13.9
across,1,down,0,10.4
across,2,up,0,10.0
across,2,up,100,11.2
across,2,up,300,13.4
across,2,up,700,16.8
along,1,up,0,10.0
along,1,up,300,14.0
along,1,up,700,18.0
"""
HAND = """direction,gauge,extended,rested,width,width_extended
across,10,18,10.3,5,4.2
along,10,20,10.4,5,4.0
"""


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def weights(tmp_path: Path) -> Path:
    path = tmp_path / "weights.csv"
    path.write_text(WEIGHTS, encoding="utf-8")
    return path


@pytest.fixture
def hand(tmp_path: Path) -> Path:
    path = tmp_path / "hand.csv"
    path.write_text(HAND, encoding="utf-8")
    return path


def test_shows_what_was_understood_and_the_power(weights: Path) -> None:
    done = runner.invoke(app, ["load", str(weights)])
    assert done.exit_code == 0
    assert "gauge 100 mm, strip 50 mm, 1 layer" in done.stdout
    assert "at 20 %" in done.stdout
    assert "1 of 2 repeats only were read unloading" in done.stderr
    assert max(len(line.rstrip()) for line in done.stdout.splitlines()) <= 78


@pytest.mark.parametrize(
    ("width", "said"),
    [("50 cm", "50.0 cm wide"), ("5 mm", "0.5 cm wide"), ("2 cm", ""), ("20 cm", "")],
)
def test_a_strip_as_wide_as_no_test_has_is_asked_about(
    tmp_path: Path, width: str, said: str
) -> None:
    """Read in the wrong unit, a strip of 5 cm is 50 cm or 5 mm wide."""
    path = tmp_path / "wide.csv"
    path.write_text(WEIGHTS.replace("5 cm", width), encoding="utf-8")
    done = runner.invoke(app, ["load", str(path), "--json"])
    asked = [n for n in json.loads(done.stdout)["notes"] if "is that its width?" in n]
    assert [said in note for note in asked] == [True] * bool(said)


def test_strips_that_were_exchanged_are_asked_about(weights: Path, hand: Path) -> None:
    """Along the load pulled to 80 %; a hand that stopped at 60 % pulled another strip."""
    hand.write_text(HAND.replace("along,10,20,", "along,10,16,"), encoding="utf-8")
    args = ["load", str(weights), "--hand", str(hand), "--save", "mixed", "--json"]
    done = runner.invoke(app, args)
    assert json.loads(done.stdout)["notes"][0].startswith(
        "along: the load pulled it to"
    )


def test_plus_minus_holds_95_per_cent_by_students_t(weights: Path) -> None:
    """Half of the interval of the mean: t(0.975) sd / sqrt(n), t by SciPy."""
    found = json.loads(runner.invoke(app, ["load", str(weights), "--json"]).stdout)
    figure = found["directions"]["across"]["power_n_per_m"]["strain_20_pct"]
    assert figure["n"] == 2
    half = t.ppf(0.975, 1) * figure["sd"] / sqrt(2)
    shown = runner.invoke(app, ["load", str(weights)]).stdout
    assert f"{figure['mean']:.1f} +- {half:.1f}" in shown
    assert "+-: holds 95 %, by the spread of the repeats." in " ".join(shown.split())


def test_one_json_document(weights: Path) -> None:
    done = runner.invoke(app, ["load", str(weights), "--json", "--quiet"])
    assert done.exit_code == 0
    assert done.stderr == ""
    document = json.loads(done.stdout)
    assert document["schema"] == "ease/load/1"
    assert document["origin"] == "invented"
    across = document["directions"]["across"]
    assert across["repeats"] == 2
    # 100 g and 300 g on 5 cm at 10 and 12 %, 32 and 34 %: about 36 N/m at 20 %.
    assert across["power_n_per_m"]["strain_20_pct"]["mean"] == pytest.approx(36, abs=2)
    assert across["power_n_per_m"]["strain_60_pct"]["n"] == 2
    assert document["directions"]["along"]["energy_lost"] is None


def test_hand_test_and_load_test_make_a_fabric_for_the_membrane(
    weights: Path, hand: Path
) -> None:
    from ease.fit.membrane import Membrane

    args = ["load", str(weights), "--hand", str(hand), "--save", "my-lycra"]
    done = runner.invoke(app, args)
    assert done.exit_code == 0
    assert "wrote" in done.stderr
    fabric = load_fabric("my-lycra")
    assert fabric.origin == "invented"
    assert fabric.across is not None
    assert fabric.across.tension is not None
    assert fabric.across.tension_scale is not None
    assert fabric.across.tension_scale.n == 2
    assert "load_across" in fabric.tested
    around, _ = Membrane.from_fabric(fabric).tensions(0.2, 0.0)
    assert float(around) > 0
    again = runner.invoke(app, args)
    assert again.exit_code == 4
    assert "--force" in again.stderr


def test_curves_are_added_to_an_own_fabric_once(weights: Path, hand: Path) -> None:
    made = runner.invoke(app, ["swatch", str(hand), "--save", "own"])
    assert made.exit_code == 0
    args = ["load", str(weights), "--save", "own"]
    assert runner.invoke(app, args).exit_code == 0
    refused = runner.invoke(app, args)
    assert refused.exit_code == 4
    assert "has a load test across and along already" in refused.stderr
    assert runner.invoke(app, [*args, "--force"]).exit_code == 0


def test_a_hand_test_taken_again_keeps_the_load_test(weights: Path, hand: Path) -> None:
    """Of the demo's weights; only the note of the new readings speaks of what stays."""
    again = ["swatch", str(hand), "--save", "own"]
    assert runner.invoke(app, again).exit_code == 0
    assert runner.invoke(app, ["load", str(weights), "--save", "own"]).exit_code == 0
    before = load_fabric("own")
    done = runner.invoke(app, [*again, "--force"])
    assert done.exit_code == 0
    assert "kept beside them: the load test across and along" in " ".join(
        done.stderr.split()
    )
    assert load_fabric("own") == before
    both = ["load", str(weights), "--hand", str(hand), "--save", "own", "--force"]
    done = runner.invoke(app, both)
    assert done.exit_code == 0
    assert "kept beside them" not in done.stderr


def test_a_broken_own_fabric_is_replaced(hand: Path, tmp_path: Path) -> None:
    again = ["swatch", str(hand), "--save", "own"]
    assert runner.invoke(app, again).exit_code == 0
    path = own_folder() / "own.toml"
    path.write_text("nothing = [", encoding="utf-8")
    assert runner.invoke(app, [*again, "--force"]).exit_code == 0
    assert load_fabric("own").across is not None


def test_a_shipped_fabric_is_copied_not_changed(weights: Path) -> None:
    args = ["load", str(weights), "--fabric", "soft-tricot", "--save", "softer"]
    assert runner.invoke(app, args).exit_code == 0
    assert load_fabric("softer").across != load_fabric("soft-tricot").across


@pytest.mark.parametrize(
    ("more", "code", "word"),
    [
        (["--save", "nowhere"], 2, "no own fabric nowhere"),
        (["--hand", "x.csv"], 2, "go with --save"),
        (["--fabric", "a", "--hand", "b", "--save", "c"], 2, "not both"),
        (["--gauge", "ten"], 2, "is not a number"),
        (["--picture", "curve.bmp"], 2, ".png"),
        (["--layers", "3"], 2, "--layers"),
    ],
)
def test_wrong_usage(weights: Path, more: list[str], code: int, word: str) -> None:
    done = runner.invoke(app, ["load", str(weights), *more])
    assert done.exit_code == code
    assert word in done.stderr


def test_a_testers_export_asks_for_what_it_lacks_in_one_go(tmp_path: Path) -> None:
    path = tmp_path / "export.txt"
    rows = "\n".join(f"{i},{i * 0.1:.1f}" for i in range(30))
    path.write_text(f"Extension (mm),Load\n{rows}\n", encoding="utf-8")
    done = runner.invoke(app, ["load", str(path)])
    assert done.exit_code == 3
    for option in ("--direction", "--gauge", "--strip-width", "--units-load"):
        assert option in done.stderr
    more = ["--direction", "along", "--gauge", "50 mm", "--strip-width", "2 in"]
    done = runner.invoke(app, ["load", str(path), *more, "--units-load", "N"])
    assert done.exit_code == 0
    assert "strip 50.8 mm" in done.stdout.replace("\n", " ")


def test_an_unloading_alone_is_told_what_to_write(tmp_path: Path) -> None:
    """Falling loads may be the unloading, or the loading listed from the top."""
    top = "# gauge = 10 cm\n# strip_width = 5 cm\ndirection,repeat,load (g),length (cm)"
    falling = [("700", "16.5"), ("300", "13.9"), ("0", "10.4")]
    rows = [f"across,{strip},{w},{x}" for strip in (1, 2) for w, x in falling]
    path = tmp_path / "down.csv"
    path.write_text("\n".join([top, *rows]) + "\n", encoding="utf-8")
    done = runner.invoke(app, ["load", str(path)])
    assert done.exit_code == 3
    assert done.stderr.count("write unloading in a column branch") == 2
    assert "add the readings of the loading" in done.stderr
    for branch, code in (("down", 3), ("unloading", 3), ("up", 0), ("Loading", 0)):
        told = [f"{row},{branch}" for row in rows]
        path.write_text("\n".join([f"{top},branch", *told]) + "\n", encoding="utf-8")
        again = runner.invoke(app, ["load", str(path)])
        assert again.exit_code == code, again.stderr
        assert ("an unloading alone gives no curve" in again.stderr) is (code == 3)


def test_a_missing_file_and_a_figure(weights: Path, tmp_path: Path) -> None:
    assert runner.invoke(app, ["load", str(tmp_path / "none.csv")]).exit_code == 3
    picture = tmp_path / "curves.svg"
    done = runner.invoke(app, ["load", str(weights), "--picture", str(picture)])
    assert done.exit_code == 0
    text = picture.read_text(encoding="utf-8")
    assert "band between repeats" in text
    assert "unloading" in text
    refused = runner.invoke(app, ["load", str(weights), "--picture", str(picture)])
    assert refused.exit_code == 4
