"""What no maker plans for: full disks, closed pipes, plain terminals, no home, faults."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest

from cli import app as module
from ease.errors import UsageError
from ease.fabric import store
from ease.fabric.store import load_fabric, save_fabric

ROOT = Path(__file__).resolve().parents[2]
SWATCH = ROOT / "ease" / "demo" / "swatch.csv"
FACTORS = ("factors", "firm-tricot", "--body", "demo")
ADJUST = ("adjust", "demo", "--from", "body", "--to", "firm-tricot")


def ease(
    *arguments: str, env: dict[str, str] | None = None, **how: object
) -> subprocess.CompletedProcess[str]:
    """Run the command line as a user does, in a process of its own."""
    given: dict[str, Any] = {
        "stdout": subprocess.PIPE,
        "stderr": subprocess.PIPE,
        **how,
    }
    plain = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "EASE_DEBUG")}
    done: subprocess.CompletedProcess[str] = subprocess.run(
        [sys.executable, "-m", "cli", *arguments],
        env={**plain, "PYTHONPATH": str(ROOT), **(env or {})},
        encoding="utf-8",
        timeout=60,
        check=False,
        **given,
    )
    return done


# An unforeseen fault


@pytest.mark.parametrize("fault", [ZeroDivisionError("division\nby zero"), KeyError(7)])
def test_an_unforeseen_fault_is_one_line(
    fault: Exception,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def broken() -> None:
        raise fault

    monkeypatch.setattr(module, "app", broken)
    monkeypatch.delenv("EASE_DEBUG", raising=False)
    with pytest.raises(SystemExit) as ended:
        module.main()
    assert ended.value.code == 1
    error, hint, *more = capsys.readouterr().err.splitlines()
    assert error.startswith(f"error: unforeseen fault, {type(fault).__name__}: ")
    assert "EASE_DEBUG=1" in hint
    assert not more


def test_a_file_that_nobody_thought_of_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken() -> None:
        raise PermissionError(13, "Permission denied", "kept.csv")

    monkeypatch.setattr(module, "app", broken)
    monkeypatch.delenv("EASE_DEBUG", raising=False)
    with pytest.raises(SystemExit) as ended:
        module.main()
    assert ended.value.code == 4
    said = capsys.readouterr().err
    assert said == "error: kept.csv: cannot be used (Permission denied)\n"


def test_with_debug_set_the_traceback_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(module, "app", broken)
    monkeypatch.setenv("EASE_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        module.main()


# Where the output goes


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device /dev/full")
@pytest.mark.parametrize("arguments", [FACTORS, (*FACTORS, "--json"), ("--help",)])
def test_output_to_a_full_disk(arguments: tuple[str, ...]) -> None:
    with Path("/dev/full").open("w") as full:
        done = ease(
            *arguments, "--quiet" if "-h" not in arguments[0] else "", stdout=full
        )
    assert done.returncode == 4
    assert done.stderr == (
        "error: the output cannot be written (No space left on device)\n"
    )


def test_a_closed_pipe_stops_the_output_and_not_the_files(tmp_path: Path) -> None:
    out = tmp_path / "block.toml"
    reader, writer = os.pipe()
    os.close(reader)
    done = ease(*ADJUST, "--out", str(out), stdout=writer)
    os.close(writer)
    assert "Traceback" not in done.stderr
    assert "Broken pipe" not in done.stderr
    assert done.returncode == 0
    assert out.read_text(encoding="utf-8").startswith('schema = "ease/block/1"')


def test_no_output_at_all_is_no_fault(tmp_path: Path) -> None:
    command = f'"{sys.executable}" -m cli {" ".join(FACTORS)} >&- 2>&-'
    done = subprocess.run(["/bin/sh", "-c", command], cwd=ROOT, timeout=60, check=False)
    assert done.returncode == 0


@pytest.mark.parametrize("arguments", [FACTORS, ADJUST, ("swatch", str(SWATCH))])
def test_a_terminal_that_knows_ascii_only(arguments: tuple[str, ...]) -> None:
    done = ease(*arguments, env={"PYTHONIOENCODING": "ascii", "LC_ALL": "C"})
    assert done.returncode == 0
    assert done.stdout.isascii()
    figures = ease(*arguments, env={"PYTHONIOENCODING": "utf-8"}).stdout
    # Only the rules are drawn with another sign.
    assert done.stdout == figures.replace("─", "-")


def test_json_for_an_ascii_stream_keeps_every_sign(tmp_path: Path) -> None:
    body = tmp_path / "a.csv"
    body.write_text(
        "# name = Zoë\nbust,92\nwaist,74\nhip,98\n", encoding="utf-8", newline="\n"
    )
    done = ease("body", str(body), "--json", env={"PYTHONIOENCODING": "ascii"})
    assert done.stdout.isascii()
    assert "Zoë" in json.dumps(json.loads(done.stdout), ensure_ascii=False)


@pytest.mark.parametrize(
    "arguments",
    [
        FACTORS,
        ADJUST,
        ("swatch", str(SWATCH)),
        ("fabrics",),
        ("body", "demo"),
        ("lesson",),
    ],
)
def test_a_terminal_of_40_columns_cuts_no_figure(arguments: tuple[str, ...]) -> None:
    narrow = ease(*arguments, "--quiet", env={"COLUMNS": "40"})
    wide = ease(*arguments, "--quiet", env={"COLUMNS": "80"})
    assert narrow.returncode == wide.returncode == 0
    assert "…" not in narrow.stdout
    assert max(map(len, narrow.stdout.splitlines())) <= 40
    figures = [w for w in wide.stdout.split() if w[-1].isdigit()]
    assert set(figures) <= set(narrow.stdout.replace("\n", " ").split())


# Where files go


def _refused(done: subprocess.CompletedProcess[str], what: str) -> None:
    assert done.returncode == 4, done.stderr
    error = [line for line in done.stderr.splitlines() if line.startswith("error: ")]
    assert len(error) == 1
    assert what in error[0]


@pytest.mark.skipif(os.name != "posix", reason="limits of a process are POSIX")
@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ((*ADJUST, "--out"), "block.toml"),
        ((*ADJUST, "--out"), "block.svg"),
        ((*ADJUST, "--out"), "block.pdf"),
        ((*ADJUST, "--overlay"), "both.png"),
        (("draft", "demo", "--out"), "draft.dxf"),
        (("convert", "demo"), "demo.svg"),
        (("lesson", "--out"), "sheet.pdf"),
    ],
)
def test_a_disk_that_fills_up_leaves_the_old_file(
    arguments: tuple[str, ...], name: str, tmp_path: Path
) -> None:
    import resource

    path = tmp_path / name
    path.write_bytes(b"old")

    def small_disk() -> None:
        # No file may grow past 1 kB: the kernel refuses in the middle of the writing.
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

    done = ease(*arguments, str(path), "--force", preexec_fn=small_disk)
    _refused(done, "cannot be written (File too large)")
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize("code", [13, 30])
def test_a_folder_that_is_read_only(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from typer.testing import CliRunner

    def locked(**_: object) -> tuple[int, str]:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(tempfile, "mkstemp", locked)
    path = tmp_path / "block.toml"
    done = CliRunner().invoke(module.app, [*ADJUST, "--out", str(path)])
    assert done.exit_code == 4
    assert f"block.toml: cannot be written ({os.strerror(code)})" in done.stderr
    assert not path.exists()


@pytest.mark.skipif(
    os.name != "posix" or os.geteuid() == 0, reason="root writes into every folder"
)
def test_a_folder_without_the_right_to_write(tmp_path: Path) -> None:
    folder = tmp_path / "locked"
    folder.mkdir(mode=0o555)
    _refused(ease(*ADJUST, "--out", str(folder / "a.toml")), "Permission denied")


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("factors", "{}", "--body", "demo"), 3),
        (("factors", "rib", "--body", "{}"), 3),
        (("factors", "rib", "--body", "{}.toml"), 3),
        (("swatch", "{}.csv"), 3),
        (("load", "{}.csv"), 3),
        (("convert", "{}.svg", "a.toml"), 3),
        (("draft", "demo", "--out", "{}.toml"), 4),
        (("trace", "{}.csv"), 3),
        (("batch", "{}.csv", "--fabric", "rib"), 3),
        (("toile", "{}", "--block", "demo", "--fabric", "rib", "--body", "demo"), 3),
        (("adjust", "{}.toml", "--to", "rib"), 3),
        (("grade", "{}"), 3),
        (("grade", "en", "--out", "{}"), 4),
        (("demo", "--out", "{}"), 4),
    ],
)
def test_a_name_longer_than_a_file_can_have(
    arguments: tuple[str, ...], code: int, tmp_path: Path
) -> None:
    done = ease(*(part.format("x" * 300) for part in arguments), cwd=str(tmp_path))
    assert done.returncode == code
    assert done.stderr.startswith("error: xxx")


# Without a home


def test_without_a_home_shipped_fabrics_are_there(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import platformdirs

    monkeypatch.delenv("EASE_HOME", raising=False)
    # What it returns where the system knows neither HOME nor the user.
    monkeypatch.setattr(platformdirs, "user_data_dir", lambda _: "~/.local/share/x")
    monkeypatch.chdir(tmp_path)
    assert "soft-tricot" in store.fabric_names()
    with pytest.raises(UsageError, match="does not say where") as caught:
        save_fabric(load_fabric("soft-tricot"))
    assert "EASE_HOME" in caught.value.hint
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("home", ["~nobody-of-this-name", "x" * 300])
def test_a_home_that_is_none(home: str) -> None:
    assert ease("fabrics", env={"EASE_HOME": home}).returncode == 0
    done = ease("swatch", str(SWATCH), "--save", "a", env={"EASE_HOME": home})
    assert done.returncode in (2, 4)
    assert "Traceback" not in done.stderr
    assert "unforeseen" not in done.stderr


def test_a_run_without_any_variable_of_the_surroundings(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "cli", *ADJUST, "--overlay", str(tmp_path / "a.png")],
        cwd=ROOT,
        env={},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


# Two runs at once

AT_ONCE = """
import sys
from dataclasses import replace
from pathlib import Path
from ease.errors import WriteError
from ease.fabric.store import load_fabric, save_fabric
fabric = replace(load_fabric("soft-tricot"), name="mine", note="by " + sys.argv[1])
print("ready", flush=True)
sys.stdin.readline()
try:
    save_fabric(fabric, force=sys.argv[2] == "force")
    print("kept")
except WriteError as error:
    print(error)
"""


@pytest.mark.parametrize("force", ["", "force"])
def test_many_runs_at_once_save_the_same_fabric(
    force: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path))
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", AT_ONCE, str(number), force],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=ROOT,
            text=True,
        )
        for number in range(6)
    ]
    for run in runs:
        assert run.stdout is not None
        assert run.stdout.readline() == "ready\n"
    for run in runs:
        assert run.stdin is not None
        run.stdin.write("\n")
        run.stdin.flush()
    said = [run.communicate(timeout=60)[0].strip() for run in runs]
    kept = [number for number, text in enumerate(said) if text == "kept"]
    note = load_fabric("mine").note
    assert [item.name for item in (tmp_path / "fabrics").iterdir()] == ["mine.toml"]
    if force:
        assert kept == list(range(6))
        assert note in {f"by {number}" for number in range(6)}
    else:
        # Never over another one unasked, however close the runs are.
        assert len(kept) == 1
        assert note == f"by {kept[0]}"
        assert all("exists already" in text for text in said if text != "kept")
