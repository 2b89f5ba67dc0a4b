"""``ease grade``: sizes with their steps, the nested picture and print, a folder."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdf
import pytest
from typer.testing import CliRunner

from cli.app import app
from ease.block.pieces import Level
from ease.body.sizes import load_size_run
from ease.demo import TRACE, shipped_block
from ease.fabric.store import load_fabric
from ease.files.any_block import load_any_block
from ease.files.block_toml import save_block
from ease.files.trace_file import load_trace
from ease.fit.decide import decide

RUN = CliRunner()
LINE = ["grade", "en", "--only", "84,88,92", "--fabric", "soft-tricot"]


def test_tables_show_sizes_and_steps() -> None:
    done = RUN.invoke(app, LINE)
    assert done.exit_code == 0
    assert max(len(line) for line in done.stdout.splitlines()) <= 78
    one = decide(load_fabric("soft-tricot"), load_size_run("en").bodies[3])
    row = next(
        line for line in done.stdout.splitlines() if re.match(r"88 +\d\d\.", line)
    )
    assert f"{one.cut('bust'):.1f}" in row
    assert "+3.17" in row  # 4 cm of bust times the factor 0.793
    assert "room to move" in done.stdout
    told = " ".join(done.stderr.split())
    # The loop's standard deviation is 3.6 cm: 1.96 of them hold 95 %.
    assert (
        "TORSO LOOP IS FILLED IN for 3 of 3 sizes; 95 of 100 bodies lie within +- 7.1 cm"
    ) in told


@pytest.mark.parametrize(("sizes", "units"), [("en", "cm"), ("us-1968", "in")])
def test_tables_are_no_wider_than_a_terminal(sizes: str, units: str) -> None:
    done = RUN.invoke(app, ["grade", sizes, "--fabric", "rib", "--units", units])
    assert done.exit_code == 0
    assert max(len(line) for line in done.stdout.splitlines()) <= 78


def test_json_holds_every_size_and_every_step() -> None:
    done = RUN.invoke(app, [*LINE, "--json", "--quiet"])
    document = json.loads(done.stdout)
    assert document["schema"] == "ease/grade/1"
    busts = [size["girths_cm"]["bust"] for size in document["sizes"]]
    assert document["steps"]["girths_cm"]["bust"] == pytest.approx(np.diff(busts))
    assert [size["size"] for size in document["sizes"]] == ["84", "88", "92"]
    assert all(size["fault"] is None for size in document["sizes"])


def test_sizes_that_do_not_go_on_are_named_once() -> None:
    line = ["grade", "en", "--fabric", "soft-tricot", "--over-head"]
    told = " ".join(RUN.invoke(app, line).stderr.split())
    assert told.count("cut so, they do not go on") == 1
    assert "sizes 76, 80, 84, 88, 92, 96, 100, 104: cut so, they do not go on" in told
    one = RUN.invoke(app, ["grade", "en", "--fabric", "power-net", "--units", "in"])
    assert "size 140: cut so, it does not go on: the neck" in one.stderr
    assert "55 7/8 in" in " ".join(one.stderr.split())  # a hip of 142 cm
    inside = RUN.invoke(app, LINE)
    assert "cut so" not in inside.stderr


def test_a_block_that_is_off_is_told_in_one_note(tmp_path: Path) -> None:
    """The hip drawn 4 cm narrower than the factors of the block make it."""
    source = Path(str(shipped_block("demo-soft"))).read_text(encoding="utf-8")
    own = tmp_path / "own.toml"
    own.write_text(re.sub(r"girth_factor = [\d.]+", "girth_factor = 0.83", source))
    line = ["grade", "en", "--only", "88,92", "--block", str(own), "--body", "demo"]
    done = RUN.invoke(app, [*line, "--fabric", "firm-tricot", "--json"])
    document = json.loads(done.stdout)
    (note,) = (n for n in document["notes"] if n.startswith("worn outside"))
    assert "of firm-tricot round: size 88 26." in note
    for size in document["sizes"]:
        (beyond,) = size["outside_window"]
        assert beyond["way"] == "round"
        worn = size["girths_cm"]["hip"]
        body = {"88": 96.0, "92": 100.0}[size["size"]]
        assert f"{100 * (body / worn - 1):.1f} % at hip" in beyond["worn"]
        assert body / worn - 1 > beyond["window"][1]
    shown = RUN.invoke(app, [*line, "--fabric", "firm-tricot"]).stdout
    assert "every size is off as much" in shown


@pytest.mark.parametrize(
    ("more", "by"),
    [
        ({}, "BODY RISE"),  # guessed for all alike, as the loops are
        ({"torso loop": (155, 150, 158)}, ""),  # taped for all: it wins over a guess
        ({"body rise": (25, 24, 26)}, ""),
        ({"torso loop": (155, 150, 158), "body rise": (25, 24, 26)}, ""),
    ],
)
def test_the_warning_is_of_the_measure_that_lengths_grow_by(
    tmp_path: Path, more: dict[str, tuple[int, int, int]], by: str
) -> None:
    save_block(load_trace(TRACE).block, tmp_path / "brief.toml")
    own = {"bust": 88, "waist": 70, "hip": 96, "stature": 168}
    own |= {key: taped for key, (taped, _, _) in more.items()}
    rows = "\n".join(f"{key},{taped}" for key, taped in own.items())
    (tmp_path / "own.csv").write_text(rows, encoding="utf-8")
    table = [["size", "bust", "waist", "hip", "stature", *more]]
    table += [["S", "84", "66", "92", "168", *(str(m[1]) for m in more.values())]]
    table += [["M", "92", "74", "99", "168", *(str(m[2]) for m in more.values())]]
    text = "\n".join(map(",".join, table))
    (tmp_path / "sizes.csv").write_text(text, encoding="utf-8")
    line = [
        "grade",
        str(tmp_path / "sizes.csv"),
        "--block",
        str(tmp_path / "brief.toml"),
    ]
    line += ["--body", str(tmp_path / "own.csv"), "--json"]
    done = json.loads(RUN.invoke(app, line).stdout)
    warned = [note for note in done["notes"] if " FILLED IN for " in note]
    assert [note.split(" IS ")[0] for note in warned] == ([f"THE {by}"] if by else [])
    grown = "torso loop" if "body rise" not in more and more else "body rise"
    assert any(f"grow by the {grown} of the sizes" in note for note in done["notes"])


def test_a_block_without_a_loop_is_told_to_grow_by_filled_in_loops(
    tmp_path: Path,
) -> None:
    brief = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, brief)
    line = ["grade", "en", "--only", "88,92", "--block", str(brief), "--body", "demo"]
    notes = json.loads(RUN.invoke(app, [*line, "--json"]).stdout)["notes"]
    assert any(note.startswith("THE TORSO LOOP IS FILLED IN for 2") for note in notes)
    assert any("grow by the torso loop of the sizes" in note for note in notes)
    plain = json.loads(RUN.invoke(app, [*LINE, "--json"]).stdout)["notes"]
    assert not any("lengths grow by" in note for note in plain)


def test_every_level_is_shown_however_many_there_are(tmp_path: Path) -> None:
    block = load_any_block(Path(str(shipped_block("demo-soft"))))
    more = Level("high bust", 20.0), Level("low waist", 44.0), Level("high hip", 52.0)
    own = tmp_path / "own.toml"
    save_block(replace(block, levels=(*block.levels, *more)), own)
    line = ["grade", "en", "--only", "88,92", "--block", str(own), "--body", "demo"]
    done = RUN.invoke(app, [*line, "--fabric", "firm-tricot"])
    assert max(len(text) for text in done.stdout.splitlines()) <= 78
    heads = [text for text in done.stdout.splitlines() if text.startswith("size ")]
    shown = " ".join(heads)
    for name in ("bust", "high bust", "waist", "low waist", "high hip", "hip", "loop"):
        assert re.search(rf"(^|  ){name}  ", shown), name
    assert "girths and loop to cut" in " ".join(done.stdout.split())
    bare = replace(block, loop_path=())
    save_block(bare, own, force=True)
    told = " ".join(RUN.invoke(app, line).stdout.split())
    assert "girths to cut" in told


def test_a_folder_holds_table_picture_print_and_blocks(tmp_path: Path) -> None:
    out = tmp_path / "run"
    done = RUN.invoke(app, [*LINE, "--out", str(out)])
    assert done.exit_code == 0
    names = sorted(path.name for path in out.iterdir())
    blocks = [f"block-{size}.toml" for size in (84, 88, 92)]
    assert names == [*blocks, "nest.pdf", "nest.png", "sizes.csv"]
    with (out / "sizes.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert [row["size"] for row in rows] == ["84", "88", "92"]
    block = load_any_block(out / "block-88.toml")
    assert block.drafted_for.fabric == "soft-tricot"
    assert float(rows[1]["girth_factor"]) == block.drafted_for.girth_factor
    again = RUN.invoke(app, [*LINE, "--out", str(out)])
    assert again.exit_code == 4
    assert "exists already" in again.stderr
    assert RUN.invoke(app, [*LINE, "--out", str(out), "--force"]).exit_code == 0


def test_a_print_alone_and_a_picture(tmp_path: Path) -> None:
    out, picture = tmp_path / "nest.pdf", tmp_path / "nest.svg"
    more = ["--out", str(out), "--overlay", str(picture), "--paper", "a0"]
    assert RUN.invoke(app, [*LINE, *more, "--seam-allowance", "0.6"]).exit_code == 0
    assert len(pypdf.PdfReader(out).pages) == 1
    assert picture.read_text().startswith("<?xml")


def test_an_own_table_and_an_own_block(tmp_path: Path) -> None:
    table = tmp_path / "sizes.csv"
    table.write_text("name,bust (in),waist,hip\nS,33,27,36\nL,38,32,41\n")
    line = ["grade", str(table), "--units-in", "in", "--block", "demo", "--json"]
    done = RUN.invoke(app, [*line, "--body", "demo", "--fabric", "firm-tricot"])
    assert done.exit_code == 0
    document = json.loads(done.stdout)
    assert [size["size"] for size in document["sizes"]] == ["S", "L"]
    for size, bust in zip(document["sizes"], (33, 38), strict=True):
        cut = bust * 2.54 * size["girth_factor"]
        assert size["girths_cm"]["bust"] == pytest.approx(cut, abs=0.05)


def test_without_a_fabric_sizes_are_at_body_size() -> None:
    done = RUN.invoke(app, ["grade", "us-1968", "--json"])
    document = json.loads(done.stdout)
    assert document["fabric"] is None
    assert document["sizes"][0]["girths_cm"]["bust"] == pytest.approx(77.5, abs=1e-6)


def test_a_size_that_fails_is_named_and_the_rest_done(tmp_path: Path) -> None:
    table = tmp_path / "sizes.csv"
    table.write_text("name,bust,waist,hip\nS,84,68,92\nodd,80,50,140\n")
    out = tmp_path / "nest.pdf"
    line = ["grade", str(table), "--fabric", "heavy-matt", "--out", str(out)]
    done = RUN.invoke(app, line)
    assert done.exit_code == 1
    assert "error: size odd: no strain round meets both limits" in done.stderr
    assert out.exists()
    table.write_text("name,bust,waist,hip\nodd,80,50,140\n")
    none = RUN.invoke(app, [*line, "--force"])
    assert none.exit_code == 1
    assert "size odd: no strain" in none.stderr
    assert none.stdout == ""


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        (["grade", "no-table"], 3, "no size table and no file"),
        (["grade", "en", "--only", "85"], 2, "en has no size 85; it has 76, 80"),
        (["grade", "en", "--only", ","], 2, "names no size"),
        (["grade", "en", "--body", "demo"], 2, "give both"),
        (["grade", "en", "--fabric", "nothing"], 3, "nothing"),
        (["grade", "en", "--overlay", "a.gif"], 2, "ends in .png"),
        (["grade", "en", "--out", "none/run"], 4, "does not exist"),
        (["grade", "en", "--out", "run.txt"], 2, "is a .pdf or a folder"),
        (["grade", "en", "--out", "a.pdf", "--overlay", "a.pdf"], 2, "a file each"),
        (["grade", "en", "--paper", "a9"], 2, "there is no paper"),
    ],
)
def test_what_is_refused(line: list[str], code: int, said: str) -> None:
    done = RUN.invoke(app, line)
    assert done.exit_code == code
    assert said in done.stderr
    assert done.stdout == ""
