"""``ease trace``: its help teaches the file, and the demonstration leaves one."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.errors import BlockError
from ease.files.trace_file import load_trace

KINDS = [
    "name",
    "anchor",
    "note",
    "units",
    "tolerance",
    "fold",
    "girth",
    "level",
    "seam",
    "hold",
    "loop",
]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)


def run(*args: object) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, [*map(str, args)])


def test_help_names_every_line_above_the_points(tmp_path: Path) -> None:
    said = " ".join(run("trace", "--help").stdout.split())
    for kind in KINDS:
        assert f"`# {kind}" in said, kind
    # The same list as the one that a wrong line is answered with.
    path = tmp_path / "p.csv"
    path.write_text("# colour = red\npiece,edge,point,across,down\nf,a,b,0,0\n")
    with pytest.raises(BlockError, match="# colour: is not known") as caught:
        load_trace(path)
    known = str(caught.value).partition("known are ")[2].split("\n")[0]
    assert {word.split()[0] for word in known.split(", ")} == set(KINDS)


def test_lines_as_the_help_writes_them_are_read(tmp_path: Path) -> None:
    said = " ".join(run("trace", "--help").stdout.split())
    lines = [line for line in re.findall("`(# [^`]*)`", said) if "=" in line]
    assert len(lines) == 9
    rows = "".join(
        f"{piece},{edge},{point},{at}\n"
        for piece in ("front", "back", "lining")
        for edge, point, at in (
            ("neckline", "neck", "0,0"),
            ("armhole", "arm", "12,5"),
            ("side", "low", "20,60"),
            ("fold", "crotch", "0,70"),
        )
    )
    path = tmp_path / "p.csv"
    heads = "# fold back = 0\n# fold lining = 0\npiece,edge,point,across,down\n"
    path.write_text("\n".join(lines) + "\n" + heads + rows, encoding="utf-8")
    block = load_trace(path).block
    assert all(piece.on_fold for piece in block.pieces)
    assert [piece.in_girth for piece in block.pieces] == [True, True, False]
    assert (block.anchor, block.level("waist").y) == ("waist", 41.0)
    assert len(block.seams) == len(block.holds) == len(block.loop_path) == 1


def test_the_demonstration_leaves_an_example_that_can_be_traced() -> None:
    assert run("demo", "--quiet").exit_code == 0
    line = ("trace", "ease-demo/trace.csv", "--out", "b.toml", "--picture", "b.png")
    done = run(*line, "--json")
    assert done.exit_code == 0, done.stderr
    document = json.loads(done.stdout)
    assert document["schema"] == "ease/trace/1"
    assert {fit["edge"] for fit in document["fits"]} >= {"front.side", "back.leg"}
    assert Path("b.toml").is_file()
    assert Path("b.png").is_file()
    assert "invented" in Path("b.toml").read_text(encoding="utf-8")
