"""A batch that was interrupted anywhere and taken up ends as one that was not."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.body.stream import Bodies
from ease.files.batch_table import BatchTable

ROOT = Path(__file__).resolve().parents[2]
RUN = CliRunner()
TWO = ("--fabric", "soft-tricot", "--fabric", "heavy-matt")
# A bad row first, between, twice in a row, and last; one body that no strain suits.
TABLE = (
    "name,bust,waist,hip,torso_loop\n"
    "Bea,36,30,40,\n"
    "Ada,92,76,100,158\n"
    "Kim,80,50,140,\n"
    "Eve,92,wide,100,\n"
    'Ann,"92,76,100,\n'
    '"Cid, ""tall""",110,94,117,\n'
    "\n"
    "Zoë,150,140,101,\n"
    "Flo,,76,100,\n"
)


@pytest.fixture
def table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = Path("bodies.csv")
    path.write_text(TABLE, encoding="utf-8")
    return path


def run(*more: str) -> Result:
    return RUN.invoke(app, ["batch", "bodies.csv", *TWO, "--out", "out.csv", *more])


def same(one: Result, other: Result) -> None:
    assert (one.exit_code, one.stderr) == (other.exit_code, other.stderr)
    assert one.stdout == other.stdout


def cuts(data: bytes) -> Iterator[int]:
    """Places to cut a file at: about every end of a row, and here and there in rows."""
    ends = [place + 1 for place, byte in enumerate(data) if byte == ord("\n")]
    near = {end + step for end in ends for step in (-1, 0, 1)}
    yield from sorted({0, 7, *range(0, len(data), 41), *near, len(data)})


def test_cut_anywhere_it_ends_the_same(table: Path) -> None:
    out = Path("out.csv")
    whole = run()
    assert whole.exit_code == 3
    assert "error: 4 rows of the table were left out" in whole.stderr
    for place in ("line 2, column bust", "line 5, column waist", "line 6", "line 10"):
        assert f"bodies.csv: {place}" in whole.stderr
    data = out.read_bytes()
    assert data.count(b",refused,") > 0
    for cut in cuts(data):
        out.write_bytes(data[: min(cut, len(data))])
        again = run("--resume")
        assert out.read_bytes() == data, cut
        same(again, whole)


def test_a_finished_result_is_told_of_again_and_left_alone(table: Path) -> None:
    out = Path("out.csv")
    whole = run("--json")
    before = out.read_bytes()
    for _ in range(2):
        same(run("--json", "--resume"), whole)
        assert out.read_bytes() == before
    assert '"bad_rows": 4' in whole.stdout


def test_without_bad_rows_both_end_with_0(table: Path) -> None:
    table.write_text("bust,waist,hip\n92,76,100\n88,70,96\n")
    whole = run()
    data = Path("out.csv").read_bytes()
    Path("out.csv").write_bytes(data[:-3])
    again = run("--resume")
    assert whole.exit_code == 0
    same(again, whole)
    assert Path("out.csv").read_bytes() == data


def long_table(rows: int) -> str:
    """Bodies of many kinds, about one in nine not to be used."""
    draw = random.Random(3)
    lines = ["name,bust,waist,hip,torso_loop"]
    for number in range(rows):
        bust = draw.uniform(74, 130)
        waist, hip = bust - draw.uniform(6, 24), bust + draw.uniform(-4, 16)
        loop = draw.choice(["", f"{draw.uniform(140, 170):.1f}"])
        cells = [f"n{number}", f"{bust:.1f}", f"{waist:.1f}", f"{hip:.1f}", loop]
        if not draw.randrange(9):
            cells[draw.randrange(1, 4)] = draw.choice(["", "x", "12"])
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def test_over_many_chunks_too(table: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bytes of an answer may depend on the bodies worked out with it."""
    monkeypatch.setattr("cli.batch.ROWS_AT_ONCE", 1)
    table.write_text(long_table(900))
    out = Path("out.csv")
    whole = run()
    data = out.read_bytes()
    draw = random.Random(5)
    for cut in [len(data) // 2, *(draw.randrange(len(data)) for _ in range(9))]:
        out.write_bytes(data[:cut])
        same(run("--resume"), whole)
        assert out.read_bytes() == data, cut


@pytest.mark.parametrize("at", [1, 2, 3])
def test_broken_off_it_says_what_is_kept_and_how_to_go_on(
    table: Path, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    monkeypatch.setattr("cli.batch.ROWS_AT_ONCE", 1)
    table.write_text(long_table(900))
    whole = run()
    data = Path("out.csv").read_bytes()
    assert "wrote out.csv\nwrote out.csv.toml" in whole.stderr
    calls, lines = 0, BatchTable.lines

    def broken_off(self: BatchTable, bodies: Bodies, after: int) -> str:
        nonlocal calls
        calls += 1
        if calls == at:
            raise KeyboardInterrupt
        return lines(self, bodies, after)

    for more in (["--force"], ["--resume"]):
        calls = 0
        with monkeypatch.context() as patch:
            patch.setattr(BatchTable, "lines", broken_off)
            done = run(*more)
        assert done.exit_code == 130
        # No name holds a line break: a line of the file is a row.
        rows = Path("out.csv").read_bytes().count(b"\n") - 1
        assert (rows > 0) is (at > 1)
        kept = f"{rows or 'no'} rows are kept in out.csv; go on with --resume"
        assert f"broken off: {kept}" in done.stderr
    same(run("--resume"), whole)
    assert Path("out.csv").read_bytes() == data


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs SIGKILL")
def test_killed_and_taken_up_until_it_is_done(table: Path) -> None:
    table.write_text(long_table(15_000))
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}

    def start(out: str, *more: str) -> subprocess.Popen[bytes]:
        words = ["batch", "bodies.csv", *TWO, "--out", out, "--quiet", *more]
        # Into a file: nobody reads a pipe while the run is watched.
        with Path(f"{out}.log").open("wb") as log:
            return subprocess.Popen(
                [sys.executable, "-m", "cli", *words], env=environment, stderr=log
            )

    whole = start("whole.csv")
    assert whole.wait(timeout=120) == 3
    kills, ended = 0, -1
    while ended < 0:
        part = start("part.csv", "--resume")
        grown = size("part.csv") + 1_000_000
        while kills < 4 and part.poll() is None and size("part.csv") < grown:
            time.sleep(0.01)
        if kills < 4:
            part.kill()
        ended = part.wait(timeout=120)
        kills += ended < 0
    assert kills >= 2
    assert ended == 3
    assert Path("part.csv").read_bytes() == Path("whole.csv").read_bytes()
    assert Path("part.csv.log").read_bytes() == Path("whole.csv.log").read_bytes()


def size(name: str) -> int:
    return Path(name).stat().st_size if Path(name).exists() else 0
