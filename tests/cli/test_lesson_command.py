"""``ease lesson``: exit code, stream, then text; the sheet and the worksheet."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner, Result

from cli.app import app
from cli.loading import read_block
from ease.block.pieces import FoundMeasure, Toiled
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, fabric_to_toml
from ease.files.block_toml import save_block

Make = Callable[..., Fabric]


@pytest.fixture(autouse=True)
def _plain_terminal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["lesson", *map(str, arguments)])


def flat(text: str) -> str:
    return " ".join(text.split())


def test_seven_steps_with_the_numbers_put_in() -> None:
    done = run()
    assert done.exit_code == 0
    said = flat(done.stdout)
    for step in range(1, 8):
        assert f"\n{step}  " in done.stdout
    # 10 cm of a stretch of 80 %; 88/1.25; 88 x 0.75; 16/60 and 16/112.
    for arithmetic in (
        "(18.00 - 10.00) / 10.00 = 80.0 %",
        "88.00 / (1 + 0.25) = 70.40 cm",
        "88.00 x (1 - 0.25) = 66.00 cm, worn 88.00 / 66.00 - 1 = 33.3 %",
        "16.0 / (76.0 - 16.0) = 26.7 % and 16.0 / (128.0 - 16.0) = 14.3 %",
        "155.00 / 146.45 - 1 = 5.8 %",
        "= 400 Pa = 0.40 kPa at the bust",
        "body size, 0 %, lies outside",
    ):
        assert arithmetic in said, arithmetic
    assert said.count("Ask: ") == 6
    assert "Two hours: " in said
    errors = flat(done.stderr)
    assert "firm-tricot is invented: teach with a tested cloth" in errors
    assert "not medical advice" in errors
    assert "not a flotation aid" in errors


@pytest.mark.parametrize("name", [n for n in fabric_names() if n != "one-way-stretch"])
@pytest.mark.parametrize("units", ["cm", "in"])
def test_every_line_fits(name: str, units: str) -> None:
    done = run("--fabric", name, "--units", units, "--body", "demo")
    assert done.exit_code == 0
    assert max(len(line.rstrip()) for line in done.stdout.splitlines()) <= 78
    assert "…" not in done.stdout
    assert "nan" not in done.stdout


def row(done: Result, first: str) -> list[str]:
    return next(
        line.split() for line in done.stdout.splitlines() if line.split()[:1] == [first]
    )


def test_the_table_of_sizes() -> None:
    done = run("--fixed", "4")
    # Bust 76: 76 - 16 = 60, 16/60; times 0.829.
    assert row(done, "76.0")[:3] == ["76.0", "60.0", "26.7"]
    assert row(done, "76.0")[4:6] == ["tight", "63.0"]
    assert row(done, "128.0")[:3] == ["128.0", "112.0", "14.3"]
    assert row(done, "128.0")[4] == "loose"


def test_the_amount_can_carry_a_unit() -> None:
    document = json.loads(run("--fixed", "1 1/2 in", "--json").stdout)
    assert document["sizes"]["fixed_cm"] == pytest.approx(3.81)
    document = json.loads(run("--fixed", "1.5", "--units", "in", "--json").stdout)
    assert document["sizes"]["fixed_cm"] == pytest.approx(3.81)
    assert document["pulled"][0]["gauge_cm"] == 12.7


@pytest.mark.parametrize(("units", "said"), [("cm", "4.0 cm"), ("in", "1 1/2 in")])
def test_the_amount_is_round_in_the_units_of_the_class(units: str, said: str) -> None:
    done = run("--units", units)
    assert f"{said} off each quarter, or the factor" in " ".join(done.stdout.split())


def test_json_holds_every_step() -> None:
    done = run("--json", "-q")
    document = json.loads(done.stdout)
    assert done.stderr == ""
    assert document["schema"] == "ease/lesson/1"
    assert document["two_cuts"]["taught"]["cut_cm"] == pytest.approx(70.4)
    assert document["two_cuts"]["taught"]["mistaken_strain"] == pytest.approx(1 / 3)
    states = {one["state"]: one["strain"] for one in document["body_size"]}
    assert states == pytest.approx(
        {"new": 0, "grown": 1 / 1.02 - 1, "wet": 1 / 1.03 - 1}
    )
    assert document["window"]["low"] > states["new"]
    assert len(document["sizes"]["rows"]) == 12
    assert document["levels"][0]["off_quarter_cm"] == pytest.approx(
        (88 - document["levels"][0]["cut_cm"]) / 4
    )
    assert document["falls"]["is_example"] is False


def test_a_measure_that_a_toile_found_counts_and_is_said(tmp_path: Path) -> None:
    made = read_block("demo-soft")
    toiled = Toiled(wearer="demo", measures=(FoundMeasure("waist", 70.0, 73.0),))
    path = tmp_path / "corrected.toml"
    save_block(
        replace(made, drafted_for=replace(made.drafted_for, toiled=toiled)), path
    )
    done = run("--body", "demo", "--block", path, "--fabric", "soft-tricot")
    assert done.exit_code == 0
    rows = [line.split() for line in done.stdout.splitlines()]
    wide = [row for row in rows if row[:2] == ["waist", "73.0"]]
    assert len(wide) == 2  # in the step on girth and in that on the block
    assert "waist: taken as 73.0 cm, as a toile of this block found" in flat(
        done.stderr
    )


def test_a_cloth_without_a_load_test(make_fabric: Make, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(fabric_to_toml(make_fabric({"stretch": 0.8})))
    done = run("--fabric", path)
    assert done.exit_code == 0
    assert "an example, for want of a load test" in flat(done.stdout)
    assert "kPa: mean pressure at the bust" not in done.stdout
    assert "rule of thumb" in flat(done.stderr)


def test_the_sheet_as_pdf_png_and_svg(tmp_path: Path) -> None:
    paths = [tmp_path / f"sheet.{ending}" for ending in ("pdf", "png", "svg")]
    for path in paths:
        done = run("--out", path)
        assert done.exit_code == 0
        assert f"wrote {path}" in done.stderr
    assert len(PdfReader(paths[0]).pages) == 1
    assert paths[1].read_bytes().startswith(b"\x89PNG")
    assert "25 % is not 25 %" in paths[2].read_text(encoding="utf-8")
    again = run("--out", paths[0])
    assert again.exit_code == 4
    assert run("--out", paths[0], "--force").exit_code == 0


def test_exercises_then_answers(tmp_path: Path) -> None:
    path = tmp_path / "quiz.pdf"
    done = run("--quiz", 12, "--seed", 5, "--out", path)
    assert done.exit_code == 0
    questions, answers = done.stdout.split("\nAnswers\n")
    assert "seed 5" in questions
    assert "all numbers invented" in questions
    for part in (questions, answers):
        numbers = [
            int(line[:2]) for line in part.splitlines() if line[:2].strip().isdigit()
        ]
        assert numbers == list(range(1, 13))
    assert max(len(line) for line in done.stdout.splitlines()) <= 78
    first = json.loads(run("--quiz", 12, "--seed", 5, "--json").stdout)
    assert first["schema"] == "ease/quiz/1"
    assert flat(first["exercises"][0]["question"]) in flat(questions)
    assert flat(first["exercises"][0]["answer"]) in flat(answers)
    pages = [flat(page.extract_text()) for page in PdfReader(path).pages]
    assert "Answers" in pages[-1]
    assert "Answers" not in pages[0]


def test_the_seed_is_one_if_not_given() -> None:
    assert run("--quiz", 3).stdout == run("--quiz", 3, "--seed", 1).stdout
    assert run("--quiz", 3).stdout != run("--quiz", 3, "--seed", 2).stdout


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["--seed", 3], 2, "--seed goes with --quiz"),
        (["--quiz", 0], 2, "1 to 200 exercises"),
        (["--quiz", 3, "--out", "quiz.png"], 2, "a worksheet is written as .pdf"),
        (["--out", "sheet.doc"], 2, "a picture ends in .png, .svg or .pdf"),
        (["--fixed", "19"], 2, "below 19 cm"),
        (["--fixed", "four"], 2, "'four' is not a number"),
        (["--fabric", "no-such"], 3, "no fabric has that name"),
        (["--body", "no-such"], 3, "no-such"),
        (["--block", "no-such.toml"], 3, "no such file"),
        (["--fabric", "one-way-stretch"], 1, "no strain down meets both limits"),
    ],
)
def test_what_is_refused(arguments: list[object], code: int, said: str) -> None:
    done = run(*arguments)
    assert done.exit_code == code
    assert done.stdout == ""
    assert said in flat(done.stderr)
    assert "Traceback" not in done.stderr


def test_a_quiz_is_about_no_cloth_of_ones_own() -> None:
    done = run("--quiz", 3, "--fabric", "rib", "--hold", "firm")
    assert done.exit_code == 2
    assert "--fabric, --hold: the exercises of a quiz are about" in done.stderr


def test_the_cloth_goes_round_as_the_block_was_cut(tmp_path: Path) -> None:
    """Rib stretches more across; a block cut with along round needs no change in it."""
    path = tmp_path / "along.toml"
    cut = ["draft", "demo", "--fabric", "rib", "--round", "along", "--out", str(path)]
    assert CliRunner().invoke(app, cut).exit_code == 0
    given = ("--fabric", "rib", "--body", "demo", "--block", path)
    document = json.loads(run(*given, "--json").stdout)
    assert document["round_body"] == "along"
    assert any("as the block was cut" in note for note in document["notes"])
    assert run(*given).stdout.count("as it is") >= 3
    turned = json.loads(run(*given, "--round", "across", "--json").stdout)
    assert turned["round_body"] == "across"
