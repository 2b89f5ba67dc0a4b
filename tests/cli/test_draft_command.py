from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from ease.block.measure import level_girths, torso_loop
from ease.files.block_toml import load_block

runner = CliRunner()


def test_writes_a_block_that_reads_back_exactly(tmp_path: Path) -> None:
    out = tmp_path / "block.toml"
    done = runner.invoke(app, ["draft", "demo", "--out", str(out)])
    assert done.exit_code == 0
    assert "torso loop" in done.stdout
    assert "DIFFERS" not in done.stdout
    assert f"wrote {out}" in done.stderr
    block = load_block(out)
    assert level_girths(block) == pytest.approx({"bust": 88, "waist": 70, "hip": 96})
    assert torso_loop(block) == pytest.approx(155, abs=1e-6)


def test_the_shipped_block_is_this_draft(tmp_path: Path) -> None:
    from ease.demo import shipped_block

    out = tmp_path / "block.toml"
    runner.invoke(app, ["draft", "demo", "--out", str(out)])
    shipped = shipped_block("demo")
    assert shipped is not None
    drafted, kept = load_block(out), load_block(shipped)
    for piece in drafted.pieces:
        for edge in piece.edges:
            other = kept.piece(piece.name).edge(edge.name)
            assert edge.control == pytest.approx(other.control, abs=1e-9)


def test_never_over_a_file_unasked(tmp_path: Path) -> None:
    out = tmp_path / "block.toml"
    out.write_text("mine")
    refused = runner.invoke(app, ["draft", "demo", "--out", str(out)])
    assert refused.exit_code == 4
    assert out.read_text() == "mine"
    forced = runner.invoke(app, ["draft", "demo", "--out", str(out), "--force"])
    assert forced.exit_code == 0
    assert out.read_text() != "mine"


def test_style_options_in_cm_and_inches() -> None:
    args = ["draft", "demo", "--json", "--leg-height", "8", "--strap-width", "1 1/4 in"]
    document = json.loads(runner.invoke(app, args).stdout)
    assert document["schema"] == "ease/draft/1"
    assert document["style"]["leg_height"] == 8
    assert document["style"]["strap_width"] == pytest.approx(3.175)
    loops = {level["name"]: level["loop"] for level in document["levels"]}
    assert loops == {"bust": "closed", "waist": "closed", "hip": "open"}
    assert document["thigh"]["stretch_to_pass"] == 0


def test_says_by_how_much_the_thigh_does_not_pass() -> None:
    done = runner.invoke(app, ["draft", "demo"])
    assert "smaller than the thigh" in " ".join(done.stderr.split())


def test_cut_for_a_fabric_openings_are_those_of_the_cut_block() -> None:
    done = runner.invoke(app, ["draft", "demo", "--fabric", "soft-tricot"])
    assert done.stdout.count("Openings") == 1
    assert "Openings of the adjusted block" in done.stdout
    told = re.search(r"leg opening ([0-9.]+) cm", " ".join(done.stderr.split()))
    assert told is not None
    row = next(x for x in done.stdout.splitlines() if x.startswith("leg, all round"))
    assert told[1] == row.split()[3]


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (["--leg-height", "x"], 2, "--leg-height: 'x' is not a number"),
        (["--leg-height", "40"], 1, "leg height 40 cm is not within -1.5 to 20 cm"),
        (["--leg-height", "19"], 1, "below the waist"),
        (["--picture", "a.bmp"], 2, "a picture ends in"),
        (["--hold", "firm", "--by-level"], 2, "--hold, --by-level: about cutting for"),
        (["--overlay", "a.png"], 2, "--overlay: about cutting for a fabric; give"),
    ],
)
def test_refusals(options: list[str], code: int, words: str) -> None:
    done = runner.invoke(app, ["draft", "demo", *options])
    assert done.exit_code == code
    assert words in " ".join(done.stderr.split())
    assert "Traceback" not in done.stderr


def test_what_cannot_be_cut_leaves_no_picture_behind(tmp_path: Path) -> None:
    out, picture = tmp_path / "cut.toml", tmp_path / "draft.png"
    wanted = ["--fabric", "firm-tricot", "--set", "least_pressure_kpa=4"]
    files = ["--out", str(out), "--picture", str(picture)]
    done = runner.invoke(app, ["draft", "demo", *wanted, *files])
    assert done.exit_code == 1
    assert done.stderr.startswith("error: ")
    assert not out.exists()
    assert not picture.exists()


def test_figure_is_a_picture(tmp_path: Path) -> None:
    path = tmp_path / "draft.png"
    done = runner.invoke(app, ["draft", "demo", "--picture", str(path), "-q"])
    assert done.exit_code == 0
    assert path.read_bytes().startswith(b"\x89PNG")
    assert done.stderr == ""
