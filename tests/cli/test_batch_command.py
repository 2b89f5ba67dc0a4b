"""``ease batch``: rows equal single runs, bad rows do not stop it, runs go on."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from ease.body.fill_in import complete
from ease.body.measures import Body
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.profile_text import fabric_to_toml
from ease.fabric.store import load_fabric
from ease.fit.decide import decide

RUN = CliRunner()
TWO = ["--fabric", "soft-tricot", "--fabric", "firm-tricot"]
TABLE = (
    "name,bust,waist,hip,torso_loop\n"
    "Ada,92,76,100,158\n"
    "Bea,36,30,40,\n"
    '"Cid, tall",110,94,117,\n'
    "Dot,150,140,101,\n"
    "Eve,92,wide,100,\n"
)


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "bodies.csv"
    path.write_text(TABLE)
    return path


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_rows_equal_single_runs(table: Path) -> None:
    done = RUN.invoke(app, ["batch", str(table), *TWO])
    assert done.exit_code == 3  # two rows were left out
    rows = rows_of(done.stdout)
    assert [(row["line"], row["name"], row["fabric"]) for row in rows] == [
        (line, name, fabric)
        for line, name in (("2", "Ada"), ("4", "Cid, tall"), ("5", "Dot"))
        for fabric in ("soft-tricot", "firm-tricot")
    ]
    for row in rows:
        values = {
            key: float(row[f"body_{key}_cm"])
            for key in ("bust", "waist", "hip", "torso_loop")
            if key not in row["filled_in"]
        }
        one = decide(
            load_fabric(row["fabric"]), complete(Body(name="x", values=values))
        )
        assert row["status"] == "ok"
        for key, wanted in (
            ("girth_factor", one.girth.factor),
            ("length_factor", one.length.factor),
            ("girth_strain", one.girth.strain),
            ("length_strain", one.length.strain),
            ("cut_bust_cm", one.cut("bust")),
            ("cut_waist_cm", one.cut("waist")),
            ("cut_hip_cm", one.cut("hip")),
            ("cut_torso_loop_cm", one.cut("torso_loop")),
        ):
            assert float(row[key]) == pytest.approx(wanted, rel=1e-12), key
        assert row["girth_bound_by"] == one.girth.bound_by
        assert row["length_bound_by"] == one.length.bound_by


def test_what_was_filled_in_is_marked(table: Path) -> None:
    rows = rows_of(RUN.invoke(app, ["batch", str(table), *TWO[:2]]).stdout)
    marks = [(row["filled_in"], row["warnings"]) for row in rows]
    assert marks == [
        ("", "length_pulled_twice"),
        ("torso_loop", "length_pulled_twice torso_loop_filled_in"),
        ("torso_loop", "torso_loop_filled_in outside_fill_in_range"),
    ]


def test_bad_rows_are_named_counted_and_left_out(table: Path) -> None:
    done = RUN.invoke(app, ["batch", str(table), *TWO, "--quiet"])
    assert done.exit_code == 3
    lines = done.stderr.splitlines()
    assert any("line 3, column bust: 36 cm is outside" in line for line in lines)
    assert any("line 6, column waist: 'wide' is not a number" in line for line in lines)
    assert lines[-1] == "error: 2 rows of the table were left out; the others are done"
    assert not any(line.startswith("note:") for line in lines)


def test_an_empty_window_is_a_row_with_the_reason(tmp_path: Path) -> None:
    path = tmp_path / "bodies.csv"
    path.write_text("bust,waist,hip\n80,50,140\n92,76,100\n")
    done = RUN.invoke(app, ["batch", str(path), "--fabric", "heavy-matt"])
    assert done.exit_code == 0
    refused, answered = rows_of(done.stdout)
    assert refused["status"] == "refused"
    assert refused["girth_factor"] == refused["cut_bust_cm"] == ""
    assert refused["body_bust_cm"] == "80.0"
    assert "no strain round meets both limits" in refused["reason"]
    assert (answered["status"], answered["reason"]) == ("ok", "")
    assert "2 rows, 1 without an answer" in done.stderr


def test_inches_in_and_out(tmp_path: Path) -> None:
    path = tmp_path / "bodies.csv"
    path.write_text("bust,waist,hip\n36,30,40\n")
    inches = ["--units-in", "in", "--units", "in", "--decimals", "3"]
    done = RUN.invoke(app, ["batch", str(path), *TWO[:2], *inches])
    assert done.exit_code == 0
    (row,) = rows_of(done.stdout)
    assert row["body_bust_in"] == "36.0"
    assert float(row["cut_bust_in"]) == pytest.approx(
        36 * float(row["girth_factor"]), abs=0.02
    )
    assert len(row["cut_bust_in"]) <= len("29.123")
    assert 4 <= len(row["girth_factor"].partition(".")[2]) <= 5


def test_hold_and_set_change_the_answer(table: Path) -> None:
    def strain(*more: str) -> float:
        line = ["batch", str(table), "--fabric", "firm-tricot", *more]
        return float(rows_of(RUN.invoke(app, line).stdout)[0]["girth_strain"])

    assert (
        strain("--hold", "easy")
        < strain()
        < strain("--set", "girth_move=0.05", "--hold", "firm")
    )


def test_a_run_with_other_settings_is_not_taken_up(table: Path, tmp_path: Path) -> None:
    out = tmp_path / "result.csv"
    line = ["batch", str(table), *TWO, "--out", str(out)]
    RUN.invoke(app, line)
    before = out.read_bytes()
    other = RUN.invoke(app, [*line, "--resume", "--set", "pull_n=12"])
    assert other.exit_code == 2
    assert "other settings: pull_n 10 -> 12" in other.stderr
    table.write_text(TABLE.replace("92,76", "93,76", 1))
    changed = RUN.invoke(app, [*line, "--resume"])
    assert changed.exit_code == 2
    assert f"error: bodies.csv has changed since {out} was begun" in changed.stderr
    assert "hint: give what it was begun with" in changed.stderr
    assert out.read_bytes() == before
    assert RUN.invoke(app, line).exit_code == 4  # nothing is replaced unasked
    assert RUN.invoke(app, [*line, "--force"]).exit_code == 3


@pytest.mark.parametrize(
    ("rows", "said"), [(1, "note: 1 row, 0 without"), (2, "note: 2 rows, 0 without")]
)
def test_one_row_is_no_several(tmp_path: Path, rows: int, said: str) -> None:
    path = tmp_path / "bodies.csv"
    path.write_text("bust,waist,hip\n" + "92,76,100\n" * rows)
    assert said in RUN.invoke(app, ["batch", str(path), *TWO[:2]]).stderr


def test_the_loop_and_the_pressure_are_spoken_of(table: Path) -> None:
    def said(*more: str) -> str:
        done = RUN.invoke(app, ["batch", str(table), "--fabric", *more])
        return " ".join(done.stderr.split())

    for fabric in ("soft-tricot", "one-way-stretch"):
        assert "torso loop to cut is body loop x length factor" in said(fabric)
        assert "comfort estimates, not medical advice" in said(fabric)
    assert "torso loop" not in said("soft-tricot", "--quiet")


def test_json_counts_the_run(table: Path, tmp_path: Path) -> None:
    out = tmp_path / "result.csv"
    done = RUN.invoke(app, ["batch", str(table), *TWO, "--out", str(out), "--json"])
    assert json.loads(done.stdout) == {
        "schema": "ease/batch-run/1",
        "rows": 6,
        "refused": 0,
        "bad_rows": 2,
    }


@pytest.mark.parametrize(
    ("more", "code", "said"),
    [
        (["--resume"], 2, "--resume needs --out"),
        (["--json"], 2, "--json needs --out"),
        (["--fabric", "soft-tricot"], 2, "is given twice"),
        (["--fabric", "no-such"], 3, "no-such"),
        (["--set", "pull=3"], 2, "is no aim or limit"),
        (["--units-in", "stone"], 2, "is no unit of length"),
        (["--out", "none/result.csv"], 4, "does not exist"),
    ],
)
def test_what_is_refused(table: Path, more: list[str], code: int, said: str) -> None:
    done = RUN.invoke(app, ["batch", str(table), *TWO, *more])
    assert done.exit_code == code
    assert said in done.stderr
    assert done.stdout == ""


def test_the_table_itself_is_never_the_result(table: Path) -> None:
    line = ["batch", str(table), *TWO, "--out", str(table), "--force"]
    done = RUN.invoke(app, line)
    assert done.exit_code == 2
    assert table.read_text() == TABLE


def test_a_table_in_wrong_units_stops_at_once(tmp_path: Path) -> None:
    path = tmp_path / "bodies.csv"
    path.write_text("bust,waist,hip\n" + "36,30,40\n" * 9000)
    done = RUN.invoke(app, ["batch", str(path), *TWO])
    assert done.exit_code == 3
    assert "are the units right?" in done.stderr
    assert len(done.stderr.splitlines()) < 30


def test_a_table_without_bodies_is_a_bad_file(tmp_path: Path) -> None:
    path = tmp_path / "bodies.csv"
    path.write_text("bust,waist,hip\n")
    done = RUN.invoke(app, ["batch", str(path), *TWO])
    assert done.exit_code == 3
    assert "holds no bodies" in done.stderr


def test_over_the_head_marks_shoulders_that_were_filled_in(table: Path) -> None:
    done = RUN.invoke(app, ["batch", str(table), *TWO[:2], "--over-head"])
    (first, *_) = rows_of(done.stdout)
    assert first["filled_in"] == "shoulder_girth"
    assert "shoulders_filled_in" in first["warnings"].split()


def test_by_hand_and_with_an_opening_every_body_has_its_row(tmp_path: Path) -> None:
    """Without a load test nothing but going on differs from body to body."""
    bodies = tmp_path / "bodies.csv"
    bodies.write_text("name,bust,waist,hip\nA,88,70,96\nB,92,74,100\n")
    hand = tmp_path / "hand.toml"
    fabric = Fabric(
        name="hand",
        title="Hand",
        origin="invented",
        source="t",
        across=ClothDirection(stretch=Estimate(0.8)),
        along=ClothDirection(stretch=Estimate(0.6)),
    )
    hand.write_text(fabric_to_toml(fabric))
    arguments = ["batch", str(bodies), "--fabric", str(hand), "--opens"]
    done = RUN.invoke(app, arguments)
    assert done.exit_code == 0
    assert [row["status"] for row in rows_of(done.stdout)] == ["ok", "ok"]
