"""The guided bench test, driven by answers put in place of the keyboard."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.fabric.readings import load_readings

FIRST = ["across", "10", "5", "", "16", "4.2", "30", "10.2", ""]
Talk = Callable[..., Result]


@pytest.fixture
def talk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Talk:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))

    def run(answers: list[str | type[BaseException]], *options: str) -> Result:
        left = iter(answers)

        def answer(prompt: str = "") -> str:
            assert prompt == ""
            one = next(left, EOFError)
            if isinstance(one, str):
                return one
            raise one

        monkeypatch.setattr("builtins.input", answer)
        monkeypatch.setattr("cli.ask._is_terminal", lambda: True)
        return CliRunner().invoke(app, ["swatch", "a.csv", "--ask", *options])

    return run


def test_a_whole_sitting(talk: Talk) -> None:
    second = ["", "", "", "", "16.2", "4.2", "", "10.3", "10.45"]
    result = talk([*FIRST, *second, "done"], "--json")
    assert result.exit_code == 0
    assert result.stdout.startswith("{")
    taken = load_readings(Path("a.csv"))
    assert [one.extended for one in taken] == [16.0, 16.2]
    assert [one.repeat for one in taken] == [1, 2]
    assert taken[1].rest_minutes == 30
    assert taken[1].width == 5
    kept = "kept across 2 in a.csv: stretch 62.0 %, growth 3.0 %, wet growth 4.5 %"
    assert kept in result.stderr
    assert "kept across 1 in a.csv: stretch 60.0 %, growth 2.0 %\n" in result.stderr
    assert [one.wet_rested for one in taken] == [None, 10.45]


def test_a_wrong_answer_is_asked_again(talk: Talk) -> None:
    answers = ["sideways", "across", "0", "10", "5", "", "8", *FIRST[4:]]
    result = talk([*answers, "done"])
    assert result.exit_code == 0
    assert "not taken: 'sideways' is neither across nor along" in result.stderr
    assert "not taken: must be above 0" in result.stderr
    assert "not taken: 8 cm is shorter than the gauge, 10 cm" in result.stderr
    assert len(load_readings(Path("a.csv"))) == 1


def test_an_earlier_answer_is_corrected(talk: Talk) -> None:
    answers = [
        "along",
        "back",
        "back",
        "across",
        "10",
        "5",
        "",
        "17",
        "back",
        *FIRST[4:],
    ]
    talk([*answers, "done"])
    (one,) = load_readings(Path("a.csv"))
    assert (one.direction, one.extended) == ("across", 16.0)


def test_a_repeat_that_was_kept_is_corrected(talk: Talk) -> None:
    result = talk([*FIRST, "back", "back", "10.4", "", "done"])
    (one,) = load_readings(Path("a.csv"))
    assert one.rested == pytest.approx(10.4)
    assert "back in across 1" in result.stderr


def test_breaking_off_loses_nothing(talk: Talk) -> None:
    result = talk([*FIRST, "along", "10,5", KeyboardInterrupt])
    assert result.exit_code == 130
    assert result.stdout == ""
    assert "go on with: ease swatch a.csv --ask" in result.stderr
    assert len(load_readings(Path("a.csv"))) == 1
    again = talk(["-", "-", "17", "30", "10.6", "-", "done"])
    assert again.exit_code == 0
    across, along = load_readings(Path("a.csv"))
    assert (along.direction, along.gauge, along.extended) == ("along", 10.5, 17.0)
    assert across.extended == 16.0


def test_breaking_off_before_the_first_answer_names_no_file(talk: Talk) -> None:
    result = talk([KeyboardInterrupt])
    assert result.exit_code == 130
    assert "No answer was given; nothing is kept." in result.stderr
    assert "a.csv" not in result.stderr
    assert not Path("a.csv").exists()


def test_done_in_the_middle_keeps_the_answers_aside(talk: Talk) -> None:
    result = talk([*FIRST, "along", "10", "done"])
    assert result.exit_code == 0
    assert "unfinished repeat waits in a.csv" in result.stderr
    assert "along was not tested" in result.stderr


def test_nothing_taken(talk: Talk) -> None:
    result = talk(["done"])
    assert result.exit_code == 1
    assert "no complete repeat was taken" in result.stderr
    assert not Path("a.csv").exists()


def test_a_place_that_takes_no_file_is_refused_before_the_first_question(
    talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Permissions do not bind who runs as root, so the answer of the system is put in.
    asked: list[str] = []

    def access(path: Path, mode: int) -> bool:
        asked.append(str(path))
        return not mode & os.W_OK

    monkeypatch.setattr("os.access", access)
    result = talk(FIRST)
    assert result.exit_code == 4
    assert asked == ["."]
    assert result.stderr == "error: a.csv: cannot be written (no permission)\n"
    assert not Path("a.csv").exists()


def test_inches(talk: Talk) -> None:
    result = talk(["al", "4", "-", "-", "6 1/2", "30", "", "done"], "--units", "in")
    assert result.exit_code == 0
    (one,) = load_readings(Path("a.csv"))
    assert one.gauge == pytest.approx(4 * 2.54)
    assert one.stretch == pytest.approx(0.625)


def test_in_inches_what_is_not_taken_is_told_in_inches(talk: Talk) -> None:
    result = talk(["al", "4", "-", "-", "1 3/4", "done"], "--units", "in")
    assert "not taken: 1 3/4 in is shorter than the gauge, 4 in" in result.stderr


def test_a_load_is_carried_over_with_its_unit(talk: Talk) -> None:
    first = ["across", "10", "-", "500 g", "5", "16", "30", "-"]
    talk([*first, "", "", "", "", "", "16.1", "", "", "done"])
    one, two = load_readings(Path("a.csv"))
    assert one.load == pytest.approx(500 * 9.80665e-3)
    assert two.load == one.load
    assert two.strip_width == 5.0


@pytest.mark.skipif(os.name != "posix", reason="a pseudo-terminal is wanted")
def test_on_a_real_terminal(tmp_path: Path) -> None:
    """One sitting on a pseudo-terminal, broken off by an interrupt."""
    import pty

    terminal, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "cli", "swatch", "a.csv", "--ask"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])},
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
        # A suite that runs in the background hands down that interrupts are ignored.
        preexec_fn=partial(signal.signal, signal.SIGINT, signal.SIG_DFL),
    )
    os.close(theirs)
    shown = ""

    def until(text: str, count: int = 1) -> None:
        nonlocal shown
        limit = time.monotonic() + 30
        while shown.count(text) < count and time.monotonic() < limit:
            if select.select([terminal], [], [], 0.2)[0]:
                try:
                    shown += os.read(terminal, 65536).decode()
                except OSError:
                    break
        assert shown.count(text) >= count, shown

    prompts = ["Direction,", "Gauge,", "Width before", "Load [", "Extended,"]
    prompts += ["Width under the pull (", "Rest, in", "Rested,", "Wet rested,"]
    try:
        for prompt, reply in zip(prompts, FIRST, strict=True):
            until(prompt)
            os.write(terminal, (reply + "\n").encode())
        until("Next repeat, or done.")
        until("[across]: ")
        process.send_signal(signal.SIGINT)
        until("Broken off.")
        assert process.wait(timeout=30) == 130
    finally:
        process.kill()
        process.wait()
        os.close(terminal)
    assert len(load_readings(tmp_path / "a.csv")) == 1
