"""What is said beside the numbers: one unit at a time, and cautions where cloth presses."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app

runner = CliRunner()
ON_MARIT = ("--body", "demo")
PRESSED = {
    "factors": ("factors", "firm-tricot", *ON_MARIT),
    "check": ("check", "demo-soft", *ON_MARIT, "--fabric", "soft-tricot"),
    "ranking": ("check", "demo-soft", *ON_MARIT),
    "compare": ("compare", "soft-tricot", "firm-tricot", *ON_MARIT),
    "need": ("compare", "--need", "--block", "demo-soft"),
    "lesson": ("lesson",),
    "quiz": ("lesson", "--quiz", "30"),
}


@pytest.fixture(autouse=True)
def _home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))


@pytest.mark.parametrize("words", PRESSED.values(), ids=PRESSED)
def test_where_pressure_is_told_a_caution_stands(words: tuple[str, ...]) -> None:
    done = runner.invoke(app, [*words])
    assert done.exit_code == 0, done.stderr
    assert "kPa" in done.stdout
    assert "not medical advice" in " ".join(done.stderr.split())
    quiet = runner.invoke(app, [*words, "--quiet"])
    assert quiet.stdout == done.stdout
    assert quiet.stderr == ""


@pytest.mark.parametrize(
    "words",
    [
        PRESSED["factors"],
        PRESSED["check"],
        (*PRESSED["compare"], "--block", "demo-soft"),
        ("grade", "us-1968", "--fabric", "firm-tricot", "--only", "10,12"),
        ("draft", "demo", "--fabric", "soft-tricot"),
    ],
    ids=lambda words: words[0],
)
def test_inches_stand_alone_where_they_were_asked_for(words: tuple[str, ...]) -> None:
    done = runner.invoke(app, [*words, "--units", "in"])
    assert done.exit_code == 0, done.stderr
    assert re.search(r"\bin\b", done.stdout)
    assert not re.search(r"\bcm\b", done.stdout + done.stderr)
