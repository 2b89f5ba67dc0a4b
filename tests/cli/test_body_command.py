from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app

runner = CliRunner()


def test_shows_a_completed_body_and_says_what_was_filled_in() -> None:
    done = runner.invoke(app, ["body", "en-88"])
    assert done.exit_code == 0
    assert "filled in from hip" in done.stdout
    assert "natural waist" in done.stdout
    assert "TORSO LOOP WAS NOT MEASURED" in done.stderr
    assert "from memory" in done.stdout
    caption = " ".join(done.stdout.split())
    assert "+-: 95 of 100 bodies lie within it of a filled-in measure." in caption
    # The loop's standard deviation is 3.6 cm: 1.96 of them hold 95 %, 7.06 cm.
    assert re.search(r"(?m)^torso loop.* 7\.1 .*filled in", done.stdout)
    assert "Equations that fill in: from ansur-2012, astm-d5585-95." in caption
    assert "Percentile: among 993 women soldiers (ansur-2012)" in caption
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_quiet_leaves_the_notes_out() -> None:
    done = runner.invoke(app, ["body", "en-88", "--quiet"])
    assert done.exit_code == 0
    assert done.stderr == ""


def test_json_is_one_document_in_cm() -> None:
    done = runner.invoke(app, ["body", "en-88", "--json", "--units", "in"])
    document = json.loads(done.stdout)
    assert document["schema"] == "ease/completed-body/1"
    assert document["measures"]["bust"] == {
        "cm": 88.0,
        "filled_in": False,
        "sd_cm": None,
        "ci95_cm": None,
        "basis": None,
        "source": None,
        "percentile": document["measures"]["bust"]["percentile"],
    }
    assert document["measures"]["torso_loop"]["filled_in"] is True
    loop = document["measures"]["torso_loop"]
    assert loop["sd_cm"] == 3.6
    assert loop["source"] == "ansur-2012"
    ends = [loop["cm"] - 1.96 * 3.6, loop["cm"] + 1.96 * 3.6]
    assert loop["ci95_cm"] == pytest.approx(ends)
    # 993 and 260 women: the counts of the two surveys. Source keys: ansur-2012, bdims-2003
    assert "993" in document["percentile_of"]
    assert "260" in document["percentile_of"]


def test_inches_with_eighths() -> None:
    done = runner.invoke(app, ["body", "demo", "--units", "in"])
    assert "34 5/8" in done.stdout


def test_how_defines_every_measure() -> None:
    from ease.body.dictionary import KEYS

    done = runner.invoke(app, ["body", "--how"])
    assert done.exit_code == 0
    assert all(f"{key} - " in done.stdout for key in KEYS)


def test_list_names_every_shipped_body() -> None:
    done = runner.invoke(app, ["body", "--list"])
    assert "demo" in done.stdout
    assert "us-1968-12" in done.stdout
    document = json.loads(runner.invoke(app, ["body", "--list", "--json"]).stdout)
    assert document["bodies"][0]["origin"] == "invented"
    # A published table whose figures were not read in it says so where it is listed.
    assert "size table figures from memory" in " ".join(done.stdout.split())


def test_an_impossible_body_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "b.csv"
    path.write_text("bust,92\nwaist,76\nhip,100\nwaist_to_hip,28\nbody_rise,22\n")
    done = runner.invoke(app, ["body", str(path)])
    assert done.exit_code == 1
    assert (
        "waist_to_hip 28.0 cm must be less than body_rise 22.0 cm"
        in done.stderr.replace("\n", " ")
    )


def test_a_bad_file_and_a_bad_call_have_their_own_codes(tmp_path: Path) -> None:
    path = tmp_path / "b.csv"
    path.write_text("bust,x\nhops,100\n")
    done = runner.invoke(app, ["body", str(path)])
    assert done.exit_code == 3
    assert "line 1" in done.stderr
    assert "line 2: unknown measure 'hops'; see `ease body --how`" in done.stderr
    assert done.stdout == ""
    assert runner.invoke(app, ["body"]).exit_code == 2
    assert runner.invoke(app, ["body", "demo", "--how"]).exit_code == 2
