"""``ease adjust``: numbers, files, and nothing half written."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.block.measure import level_girths, torso_loop
from ease.block.pieces import Block, DraftedFor, Toiled
from ease.demo import TRACE
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_to_toml, load_fabric, save_fabric
from ease.files.any_block import load_any_block
from ease.files.block_toml import load_block, save_block
from ease.files.trace_file import load_trace

runner = CliRunner()
Tube = Callable[..., Block]


@pytest.fixture(autouse=True)
def _plain_terminal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))


def run(*arguments: object) -> Result:
    return runner.invoke(app, ["adjust", *map(str, arguments)])


@pytest.fixture
def tube(make_tube: Tube, tmp_path: Path) -> Path:
    path = tmp_path / "tube.toml"
    said = DraftedFor(1.0, 1.0, "", "demo")
    save_block(make_tube(drafted_for=said), path)
    return path


@pytest.fixture
def cloth(make_fabric: Callable[..., Fabric], tmp_path: Path) -> Path:
    """Without load test: worn 20 % round; (1 + 0.09 x 0.5)(1 - 0.3 x 0.2) - 1 down."""
    table: dict[str, Any] = {"stretch": 0.8, "contraction": 0.3, "growth": 0.02}
    path = tmp_path / "cloth.toml"
    down = {"stretch": 0.5, "growth": 0.02}
    path.write_text(fabric_to_toml(make_fabric(table, down)))
    return path


def test_json_is_one_document_as_agreed(tube: Path) -> None:
    done = run(tube, "--to-factors", 0.8, 0.95, "--json", "--body", "demo")
    assert done.exit_code == 0
    document = json.loads(done.stdout)
    assert document["schema"] == "ease/adjust/1"
    assert document["ratio"] == pytest.approx({"girth": 0.8, "length": 0.95})
    keys = {"name", "before_cm", "after_cm", "change_cm", "change_pct", "body_cm"}
    for row in (*document["girths"], *document["lengths"]):
        assert keys | {"strain"} <= set(row)
    bust = document["girths"][0]
    assert (bust["name"], bust["body_cm"]) == ("bust", 88)
    assert bust["before_cm"] == pytest.approx(88)
    assert bust["after_cm"] == pytest.approx(70.4)
    assert bust["change_cm"] == pytest.approx(-17.6)
    assert bust["change_pct"] == pytest.approx(-20)
    assert bust["strain"] == pytest.approx(0.25)
    loop = document["lengths"][0]
    assert loop["name"] == "torso loop"
    assert loop["after_cm"] == pytest.approx(160 * 0.95)
    (seam,) = document["seams"]
    assert seam["edges"] == ["front.side", "back.side"]
    assert abs(seam["after_cm"]) < 0.1
    assert document["from"]["origin"] == "as the block says"


def test_a_fabric_gives_the_factors(tube: Path, cloth: Path) -> None:
    done = run(tube, "--to", cloth, "--json", "-q")
    document = json.loads(done.stdout)
    assert document["ratio"]["girth"] == pytest.approx(1 / 1.2)
    assert document["ratio"]["length"] == pytest.approx(1 / (1.045 * 0.94))
    assert document["to"]["origin"] == "test-cloth on demo, hold regular"
    assert document["girths"][0]["after_half_cm"] > 0
    assert any("rule of thumb" in note for note in document["notes"])
    assert done.stderr == ""


def test_from_a_fabric_to_the_same_changes_nothing(tube: Path, cloth: Path) -> None:
    document = json.loads(run(tube, "--from", cloth, "--to", cloth, "--json").stdout)
    assert document["ratio"] == {"girth": 1.0, "length": 1.0}
    assert all(abs(row["change_cm"]) < 1e-9 for row in document["girths"])


def test_from_body_from_factors_and_inferred(tube: Path) -> None:
    """Girths of the tube add up to Marit's; its loop is 160 against her 155."""
    to = ("--to-factors", 0.8, 1.0, "--json", "-q")
    girth = {
        source: json.loads(run(tube, *how, *to).stdout)["ratio"]
        for source, how in {
            "body": ("--from", "body"),
            "inferred": ("--from", "inferred"),
            "given": ("--from-factors", 0.9, 0.9),
        }.items()
    }
    assert girth["body"] == pytest.approx({"girth": 0.8, "length": 1.0})
    assert girth["inferred"] == pytest.approx({"girth": 0.8, "length": 155 / 160})
    assert girth["given"] == pytest.approx({"girth": 0.8 / 0.9, "length": 1 / 0.9})


def test_the_torso_loop_is_spoken_of_only_where_it_is_shown(
    make_tube: Tube, tube: Path, tmp_path: Path
) -> None:
    said = "torso loop runs aslant"
    shown = " ".join(
        run(tube, "--to-factors", 0.8, 1.0, "--body", "demo").stdout.split()
    )
    assert said in shown
    bare = tmp_path / "bare.toml"
    save_block(make_tube(loop_path=(), drafted_for=DraftedFor(1.0, 1.0)), bare)
    shown = run(bare, "--to-factors", 0.8, 1.0).stdout
    assert "front.side" in shown
    assert "aslant" not in shown


def test_an_uneven_block_and_the_window_are_told(
    make_tube: Tube, tmp_path: Path
) -> None:
    path = tmp_path / "uneven.toml"
    save_block(make_tube(bust=0.81 * 88, hip=0.79 * 96), path)
    to = ("--from", "inferred", "--to", "soft-tricot", "--body", "demo")
    done = run(path, *to, "--json")
    notes = " ".join(json.loads(done.stdout)["notes"])
    assert "0.81 at bust, 1.00 at waist, 0.79 at hip" in notes
    window = notes.partition("outside the window of soft-tricot round")[0]
    assert "at hip" in window
    even = tmp_path / "even.toml"
    save_block(make_tube(), even)
    assert "window" not in run(even, *to).stderr


def test_block_and_overlay_are_written_whole(tube: Path, tmp_path: Path) -> None:
    out, picture = tmp_path / "new.toml", tmp_path / "both.svg"
    done = run(tube, "--to-factors", 0.8, 0.95, "--out", out, "--overlay", picture)
    assert done.exit_code == 0
    assert f"wrote {out}" in done.stderr
    assert f"wrote {picture}" in done.stderr
    assert "wrote" not in done.stdout
    block = load_block(out)
    assert level_girths(block)["bust"] == pytest.approx(70.4, abs=1e-6)
    assert torso_loop(block) == pytest.approx(152, abs=1e-6)
    assert block.drafted_for.girth_factor == 0.8
    assert "88.0 to 70.4 cm" in picture.read_text()
    assert not [item for item in tmp_path.iterdir() if item.name.startswith(".")]


def test_the_new_block_knows_what_it_was_cut_for(tube: Path, tmp_path: Path) -> None:
    out = tmp_path / "new.toml"
    run(tube, "--to-factors", 0.8, 0.95, "--out", out)
    back = json.loads(run(out, "--to-factors", 1, 1, "--json", "-q").stdout)
    assert back["ratio"] == pytest.approx({"girth": 1 / 0.8, "length": 1 / 0.95})
    assert back["girths"][0]["after_cm"] == pytest.approx(88, abs=1e-6)


def test_no_change_has_no_sign_of_minus() -> None:
    done = run("demo", "--to-factors", "0.8", "0.97", "--from-factors", "1", "1")
    assert done.exit_code == 0
    assert "-0.0" not in done.stdout


def test_openings_are_those_of_the_block_that_is_cut() -> None:
    """Cut at 0.8 round and 0.95 down, each edge is shorter than the worn one.

    Worn it has the length of the body-size draft, but for the straps that are held. A
    back leg edge takes 3/4 of its cut length in elastic.
    """
    before = json.loads(runner.invoke(app, ["draft", "demo", "--json", "-q"]).stdout)
    done = run("demo", "--to-factors", 0.8, 0.95, "--json", "-q")
    after = json.loads(done.stdout)["openings"]
    assert [one["name"] for one in after] == ["neck", "armhole", "leg"]
    for old, new in zip(before["openings"], after, strict=True):
        assert new["edge_cm"] < 0.97 * old["edge_cm"]
        assert new["worn_cm"] == pytest.approx(old["worn_cm"], rel=0.04)
    back = after[2]["sections"][1]
    assert back["name"] == "leg back"
    assert back["elastic_cm"] == pytest.approx(0.75 * back["cut_cm"])
    assert back["worn_stretch"] == pytest.approx(
        back["worn_cm"] / back["elastic_cm"] - 1
    )
    table = run("demo", "--to-factors", 0.8, 0.95).stdout
    assert "Openings of the adjusted block (cm)" in table


def test_over_head_a_stiff_cloth_must_pass_the_shoulders() -> None:
    """The cloth reaches 1.72 of its length; the waist, cut 70 / (1 + e), passes 101."""
    sizes = ("one-way-stretch", "--set", "usable_share=1", "--set", "girth_move=0")
    free = ("--set", "most_side_pressure_kpa=4", "--set", "pressure_kpa=2")
    slack = ("--set", "length_move=0", "--set", "most_pull_n=200")
    worn = []
    for way in ((), ("--over-head",)):
        done = run("demo", "--to", *sizes, *free, *slack, *way, "--json", "-q")
        worn.append(json.loads(done.stdout)["girths"][1]["strain"])
    assert worn == pytest.approx(
        [1.72 * 70 / girth - 1 for girth in (96, 101)], abs=1e-4
    )


def test_by_level_spares_open_lines(make_tube: Tube, tmp_path: Path) -> None:
    path = tmp_path / "low.toml"
    block = make_tube(
        loops=("closed", "partly", "open"), drafted_for=DraftedFor(1.0, 1.0)
    )
    save_block(block, path)
    to = ("--to-factors", 0.88, 1.0)
    done = run(path, *to, "--by-level", "--json")
    document = json.loads(done.stdout)
    after = {row["name"]: row["after_cm"] for row in document["girths"]}
    assert after == pytest.approx({"bust": 77.44, "waist": 66.5, "hip": 96.0}, abs=1e-6)
    assert document["level_ratio"] == pytest.approx(
        {"bust": 0.88, "waist": 0.95, "hip": 1.0}
    )
    plain = run(path, *to)
    assert "cut open at waist, hip" in " ".join(plain.stderr.split())


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("block", ["demo", "demo-soft"])
def test_every_line_fits_eighty_columns(block: str, units: str) -> None:
    done = run(block, "--to", "firm-tricot", "--units", units)
    assert done.exit_code == 0
    for line in (*done.stdout.splitlines(), *done.stderr.splitlines()):
        assert len(line) <= 80, line
    assert "…" not in done.stdout
    for heading in ("Girths", "Lengths", "Seams after adjusting", "Held distances"):
        assert f"{heading} ({units})" in done.stdout


def test_tables_name_the_change_and_the_body(tube: Path) -> None:
    done = run(tube, "--to-factors", 0.8, 0.95, "--body", "demo")
    row = next(line for line in done.stdout.splitlines() if line.startswith("bust"))
    assert row.split() == [
        "bust",
        "88.0",
        "70.4",
        "-",
        "-17.6",
        "-20.0",
        "88.0",
        "25.0",
    ]


WRONG = [
    (["demo"], 2, "give --to with a fabric, or --to-factors"),
    (
        ["demo", "--to-factors", "0.8", "1", "--hold", "firm"],
        2,
        "--hold: factors given",
    ),
    (["demo", "--to", "firm-tricot", "--to-factors", "0.8", "1"], 2, "--to-factors"),
    (
        ["demo", "--to", "rib", "--from", "body", "--from-factors", "1", "1"],
        2,
        "not both",
    ),
    (["demo", "--to-factors", "0.8"], 2, "--to-factors"),
    (["demo", "--to-factors", "0.8", "x"], 2, "--to-factors"),
    (["demo", "--to-factors", "0.8", "0"], 2, "the length factor must lie from 0.3"),
    (["demo", "--to", "no-such"], 3, "no fabric has that name"),
    (["demo", "--to", "rib", "--from", "no-such"], 3, "no fabric has that name"),
    (["demo", "--to", "rib", "--body", "no-such"], 3, "no shipped body"),
    (["no-such.toml", "--to", "rib"], 3, "no-such.toml"),
    (["no-such", "--to", "rib"], 3, "no-such"),
    ([], 2, "is missing"),
    (["demo", "--to", "rib", "--colour"], 2, "--colour"),
]


@pytest.mark.parametrize(
    ("arguments", "code", "said"), WRONG, ids=[" ".join(row[0]) for row in WRONG]
)
def test_what_is_wrong_writes_nothing(
    arguments: list[str], code: int, said: str, tmp_path: Path
) -> None:
    out, picture = tmp_path / "new.toml", tmp_path / "both.png"
    done = run(*arguments, "--out", out, "--overlay", picture)
    assert done.exit_code == code
    assert done.stdout == ""
    assert said in done.stderr
    assert not out.exists()
    assert not picture.exists()


@pytest.mark.parametrize("existing", ["new.toml", "both.png"])
def test_one_existing_file_stops_both(
    existing: str, tube: Path, tmp_path: Path
) -> None:
    files = {name: tmp_path / name for name in ("new.toml", "both.png")}
    files[existing].write_text("mine")
    arguments = (tube, "--to-factors", 0.8, 1, "--out", files["new.toml"])
    done = run(*arguments, "--overlay", files["both.png"])
    assert done.exit_code == 4
    assert done.stdout == ""
    assert "exists already" in done.stderr
    assert "--force" in done.stderr
    assert files[existing].read_text() == "mine"
    other = next(path for name, path in files.items() if name != existing)
    assert not other.exists()
    forced = run(*arguments, "--overlay", files["both.png"], "--force")
    assert forced.exit_code == 0
    assert files[existing].read_bytes() != b"mine"


@pytest.mark.parametrize(
    ("files", "code", "said"),
    [
        (("new.toml", "both.jpg"), 2, "a picture ends in .png, .svg or .pdf"),
        (("new.xyz", "both.png"), 2, "new.xyz"),
        (("none/new.toml", "both.png"), 4, "does not exist"),
        (("same.svg", "same.svg"), 2, "need a file each"),
    ],
)
def test_wrong_files_are_found_before_any_work(
    files: tuple[str, str], code: int, said: str, tube: Path, tmp_path: Path
) -> None:
    before = sorted(tmp_path.iterdir())
    done = run(
        tube,
        "--to-factors",
        0.8,
        1,
        *("--out", tmp_path / files[0], "--overlay", tmp_path / files[1]),
    )
    assert done.exit_code == code
    assert done.stdout == ""
    assert said in done.stderr
    assert sorted(tmp_path.iterdir()) == before


def test_a_block_that_says_nothing_asks_for_a_way_out(
    make_tube: Tube, tmp_path: Path, cloth: Path
) -> None:
    path = tmp_path / "bare.toml"
    save_block(make_tube(), path)
    done = run(path, "--to-factors", 0.8, 1)
    assert done.exit_code == 2
    assert "does not say what it was drafted for" in done.stderr
    assert "hint: give --from, --from-factors, or a --body" in done.stderr
    done = run(path, "--from", "body", "--to", cloth)
    assert done.exit_code == 2
    assert "give --body" in done.stderr
    assert run(path, "--to-factors", 0.8, 1, "--body", "demo").exit_code == 0


def test_a_broken_block_lists_its_faults(tube: Path) -> None:
    text = tube.read_text().replace('"front.side"', '"front.sid"')
    tube.write_text(text)
    done = run(tube, "--to-factors", 0.8, 1)
    assert done.exit_code == 3
    assert done.stdout == ""
    assert "sid" in done.stderr
    assert str(tube) in done.stderr


def test_the_tape_is_left_out_of_the_spread_and_the_caption_says_so() -> None:
    """`ease factors` counts the tape on the body, so that its +- is the wider one."""
    done = run("demo", "--from", "body", "--to", "firm-tricot", "--quiet")
    assert "the tape on the body" in " ".join(done.stdout.split())
    document = run("demo", "--from", "body", "--to", "firm-tricot", "--json").stdout
    bust = json.loads(document)["girths"][0]
    asked = ["factors", "firm-tricot", "--body", "demo", "--json"]
    sizes = json.loads(runner.invoke(app, asked).stdout)["sizes"]
    low, high = sizes[0]["cut_ci95_cm"]
    assert (bust["name"], sizes[0]["name"]) == ("bust", "bust")
    assert 0 < bust["after_half_cm"] < (high - low) / 2


def test_waist_elastic_that_cannot_pass_the_hip_is_told(tmp_path: Path) -> None:
    """A hip of 96 cm over elastic that bears 65 %: 96 / 1.65 + 1.27 = 59.5 cm of it.

    At 30 % it would be 75.1 cm, on an edge of 60: that holds nothing.
    """
    brief = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, brief)
    args = [
        *("adjust", str(brief), "--from", "inferred", "--to", "firm-tricot"),
        *("--body", "demo", "--elastic-stretch"),
    ]
    hard, stiff, soft = (
        " ".join(runner.invoke(app, [*args, stretch]).stdout.split())
        for stretch in ("30", "65", "80")
    )
    assert "TOO FAR for one that bears 65 %" in stiff
    assert "or cut it 59.5 cm long" in stiff
    assert "holds nothing" not in stiff
    assert "bears 30 %, and one cut longer than the edge holds nothing" in hard
    assert "or cut it" not in hard
    assert "Longer than its edge, elastic holds nothing" in hard
    assert "TOO FAR" not in soft


def test_elastic_passes_what_the_way_on_has(tmp_path: Path) -> None:
    """The hip where it is stepped into, the shoulders over head, nothing if it opens."""
    brief = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, brief)
    to = ("--from", "inferred", "--to", "firm-tricot", "--body", "demo")
    stepped = " ".join(run(brief, *to).stdout.split())
    assert "On the way over a hip of 96.0 cm the waist elastic stretches" in stepped
    assert "On the way" not in run(brief, *to, "--opens").stdout
    over = " ".join(run(brief, *to, "--over-head").stdout.split())
    assert "On the way over a shoulder girth of 101.0 cm the waist elastic" in over


def test_naming_the_cloth_that_a_block_names_changes_nothing() -> None:
    """The new hold says nothing of the old one: the block says how it was cut."""
    to = ("--to", "firm-tricot", "--body", "demo", "--hold", "firm", "--json")
    plain = json.loads(run("demo-soft", *to).stdout)
    named = json.loads(run("demo-soft", "--from", "soft-tricot", *to).stdout)
    assert named == plain


def test_what_a_block_says_otherwise_of_itself_is_told() -> None:
    to = ("--to", "firm-tricot", "--body", "demo", "--json")
    for told in (("--from", "rib"), ("--from", "body"), ("--from-factors", "0.9", "1")):
        done = json.loads(run("demo-soft", *told, *to).stdout)
        (note,) = (
            n for n in done["notes"] if n.startswith("the block says that it was")
        )
        assert "cut in soft-tricot by 0.793 round and 0.938 down" in note
    for told in (("--from", "inferred"), ("--from-factors", "0.7931", "0.9378")):
        done = json.loads(run("demo-soft", *told, *to).stdout)
        assert not any(n.startswith("the block says that") for n in done["notes"])


@pytest.mark.parametrize(
    "other",
    [
        ("--hold", "firm"),
        ("--set", "usable_share=0.4"),
        ("--set", "girth_move=0.25"),
        ("--round", "across"),
    ],
)
def test_what_is_asked_of_the_new_block_is_not_asked_of_the_old_one(
    tmp_path: Path, other: tuple[str, str]
) -> None:
    """The old block stays as it is: more room makes the new one larger, not smaller."""
    brief = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, brief)
    to = ("--from", "soft-tricot", "--to", "firm-tricot", "--body", "demo", "--json")
    usual = json.loads(run(brief, *to).stdout)
    assert not any("in the usual way" in note for note in usual["notes"])
    done = json.loads(run(brief, *to, *other).stdout)
    assert done["from"] == usual["from"]
    assert any("cut in soft-tricot in the usual way" in n for n in done["notes"])
    old, new = usual["from"]["girth"], done["to"]["girth"]
    assert done["ratio"]["girth"] == pytest.approx(new / old, rel=1e-9)
    larger = done["girths"][0]["after_cm"] > usual["girths"][0]["after_cm"]
    assert larger is (other[0] != "--hold")  # across, firm-tricot gives less


def test_toiles_do_not_move_the_length_of_a_brief(tmp_path: Path) -> None:
    """Nothing pulls it to a length, so no toile of the cloth says how long it is worn.

    Of 4 % more round and 3 % more down it takes what is round.
    """
    found = Evidence(
        day=date(2026, 5, 31),
        kind="toile",
        block="b",
        fabric="",
        across=WornRatio(1.03, 0.003, 6, True),
        along=WornRatio(1.04, 0.003, 6, True),
    )
    cloth = replace(load_fabric("soft-tricot"), name="mine", evidence=(found,))
    save_fabric(cloth)
    made = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, made)
    args = ["adjust", str(made), "--body", "demo", "--from", "body", "--json"]
    done = {
        name: json.loads(runner.invoke(app, [*args, "--to", *to]).stdout)
        for name, to in {
            "swatch": ["mine"],
            "toile": ["mine", "--by-toile"],
            "usual": ["soft-tricot"],
        }.items()
    }
    assert {
        name: one["ratio"]["length"] for name, one in done.items()
    } == dict.fromkeys(done, 1.0)
    girth = done["usual"]["ratio"]["girth"]
    assert done["toile"]["ratio"]["girth"] == pytest.approx(1.04 * girth)
    notes = done["swatch"]["notes"]
    (said,) = [note for note in notes if "CUT BY THE SWATCH ALONE" in note]
    assert "1.040 +-" in said
    assert "1.030 +-" not in said
    for one in done.values():
        assert any("its length stays as it is" in note for note in one["notes"])


def test_a_brief_keeps_its_length(tmp_path: Path) -> None:
    """Nothing pulls it at the shoulders; what decides a one-piece does not hold."""
    brief = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, brief)
    args = ["adjust", str(brief), "--from", "inferred", "--to", "soft-tricot"]
    done = json.loads(runner.invoke(app, [*args, "--body", "demo", "--json"]).stdout)
    assert done["ratio"]["length"] == 1.0
    assert any("its length stays as it is" in note for note in done["notes"])
    for row in done["lengths"]:
        if row["name"].endswith("fold"):
            assert row["after_cm"] == pytest.approx(row["before_cm"], rel=1e-9)
    filled = tmp_path / "filled.csv"
    filled.write_text("bust,88\nwaist,70\nhip,96\n", encoding="utf-8")
    told = json.loads(
        runner.invoke(app, [*args, "--body", str(filled), "--json"]).stdout
    )
    assert not any("TORSO LOOP" in note for note in told["notes"])


def test_no_limit_on_its_length_stops_what_keeps_it(tmp_path: Path) -> None:
    """Down, one-way-stretch has no strain for what hangs; a brief does not hang."""
    brief = tmp_path / "brief.toml"
    save_block(load_trace(TRACE).block, brief)
    to = ["--to", "one-way-stretch", "--body", "demo", "--json"]
    hangs = runner.invoke(app, ["adjust", "demo", "--from", "body", *to])
    assert hangs.exit_code == 1
    assert "no strain down meets both limits" in hangs.stderr
    done = runner.invoke(app, ["adjust", str(brief), "--from", "inferred", *to])
    assert done.exit_code == 0
    told = json.loads(done.stdout)
    assert told["ratio"]["length"] == 1.0
    assert not any("over both shoulders" in note for note in told["notes"])


def test_free_edges_without_elastic_name_those_that_have_one(tmp_path: Path) -> None:
    block = load_trace(TRACE).block
    pieces = tuple(
        replace(
            piece,
            edges=tuple(
                replace(e, name="top") if e.name == "waist" else e for e in piece.edges
            ),
        )
        for piece in block.pieces
    )
    path = tmp_path / "top.toml"
    save_block(replace(block, pieces=pieces), path)
    args = [
        "adjust",
        str(path),
        "--from-factors",
        "0.8",
        "1",
        "--to-factors",
        "0.83",
        "1",
    ]
    notes = json.loads(runner.invoke(app, [*args, "--json"]).stdout)["notes"]
    assert any(
        "no elastic is worked out for front.top, back.top: only" in n for n in notes
    )


def test_factors_by_hand_say_what_a_toile_moved(tmp_path: Path) -> None:
    block = load_any_block("demo-soft")
    said = replace(block.drafted_for, fabric="rib", toiled=Toiled(length=1.05))
    made = replace(block, drafted_for=said)
    path = tmp_path / "toiled.toml"
    save_block(made, path)
    args = ["adjust", str(path), "--to-factors", "0.83", "1.0", "--json"]
    notes = json.loads(runner.invoke(app, args).stdout)["notes"]
    assert notes[0].startswith("A TOILE MOVED THE FACTORS of this block x 1.050 down")
    wrong = runner.invoke(app, [*args, "--by-toile"])
    assert wrong.exit_code == 2
    assert "--by-toile goes with --to" in wrong.stderr
    cloth = [
        "adjust",
        str(path),
        "--to",
        "rib",
        "--by-toile",
        "--body",
        "demo",
        "--json",
    ]
    done = json.loads(runner.invoke(app, cloth).stdout)
    plain = [one for one in cloth if one != "--by-toile"]
    swatch = json.loads(runner.invoke(app, plain).stdout)
    assert done["to"]["length"] == pytest.approx(1.05 * swatch["to"]["length"])
    assert "CUT BY THE SWATCH ALONE" in swatch["notes"][0]
    none = runner.invoke(app, ["adjust", "demo-soft", "--to", "rib", "--by-toile"])
    assert "no toile asks for other factors here" in " ".join(none.stderr.split())


def test_a_stiffer_elastic_is_cut_longer() -> None:
    """Worn it stretches to 30 % and no more: elastic >= worn edge / 1.3."""
    sections = {}
    for stretch in ("80", "30"):
        done = run(
            "demo-soft", "--to", "firm-tricot", "--json", "--elastic-stretch", stretch
        )
        leg = json.loads(done.stdout)["openings"]
        leg = next(opening for opening in leg if opening["name"] == "leg")
        sections[stretch] = {part["name"]: part for part in leg["sections"]}
    stiff, usual = sections["30"]["leg back"], sections["80"]["leg back"]
    assert usual["elastic_cm"] == pytest.approx(0.75 * usual["cut_cm"])
    assert stiff["elastic_cm"] == pytest.approx(stiff["worn_cm"] / 1.3)
    assert sections["30"]["leg front"] == sections["80"]["leg front"]


def test_a_level_on_the_top_edge_reads_whole_after_the_adjustment(
    tmp_path: Path,
) -> None:
    """The waist of the shipped trace put on its edge: hip and waist grow alike."""
    text = TRACE.read_text(encoding="utf-8")
    assert "# level waist = 0.5" in text
    source, out = tmp_path / "on-edge.csv", tmp_path / "new.toml"
    source.write_text(text.replace("# level waist = 0.5", "# level waist = 0"), "utf-8")
    block = load_trace(source).block
    path = tmp_path / "block.toml"
    save_block(block, path)
    result = CliRunner().invoke(
        app,
        [
            *("adjust", str(path), "--from", "soft-tricot", "--to", "firm-tricot"),
            *("--body", "demo", "--out", str(out), "--json"),
        ],
    )
    assert result.exit_code == 0, result.stderr
    rows = {row["name"]: row for row in json.loads(result.stdout)["girths"]}
    times = rows["hip"]["after_cm"] / rows["hip"]["before_cm"]
    assert rows["waist"]["after_cm"] == pytest.approx(
        rows["waist"]["before_cm"] * times, rel=1e-3
    )
    written = level_girths(load_block(out))["waist"]
    assert written == pytest.approx(rows["waist"]["after_cm"], abs=0.05)
