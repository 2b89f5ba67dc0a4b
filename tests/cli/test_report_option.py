"""``--report``: the answer as a page, with its inputs, opened in a real browser too."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from ease import __version__
from ease.demo import shipped_block
from ease.fabric.store import profile_folder

RUN = CliRunner()
BROWSER = shutil.which("chromium")
LINES = {
    "adjust": ["adjust", "demo-soft", "--to", "firm-tricot"],
    "check": ["check", "demo-soft", "--body", "demo", "--fabric", "soft-tricot"],
    "ranking": ["check", "demo-soft", "--body", "demo"],
    "lesson": ["lesson"],
}


def page(folder: Path, line: list[str], name: str = "out.html") -> str:
    path = folder / name
    done = RUN.invoke(app, [*line, "--report", str(path)])
    assert done.exit_code == 0, done.stderr
    assert f"wrote {path}" in done.stderr
    return path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", LINES)
def test_the_page_holds_what_the_screen_shows(tmp_path: Path, name: str) -> None:
    text = page(tmp_path, LINES[name])
    shown = RUN.invoke(app, LINES[name]).stdout
    numbers = set(re.findall(r"\d+\.\d+", shown))
    assert len(numbers) > 10
    assert numbers <= set(
        re.findall(r"\d+\.\d+", re.sub(r"<svg.*?</svg>", "", text, flags=re.S))
    )


@pytest.mark.parametrize("name", LINES)
def test_the_same_input_gives_the_same_bytes(tmp_path: Path, name: str) -> None:
    assert page(tmp_path, LINES[name], "a.html") == page(
        tmp_path, LINES[name], "b.html"
    )


@pytest.mark.parametrize("name", LINES)
def test_what_is_to_be_typed_is_code_and_no_backtick_is_left(
    tmp_path: Path, name: str
) -> None:
    text = page(tmp_path, LINES[name])
    said = "".join(part.stdout + part.stderr for part in [RUN.invoke(app, LINES[name])])
    assert "`" not in text
    for typed in re.findall(r"`([^`]+)`", " ".join(said.split())):
        assert f"<code>{typed}</code>" in text


def test_every_step_of_the_lesson_is_headed_alike(tmp_path: Path) -> None:
    text = page(tmp_path, LINES["lesson"])
    heads = re.findall(r"<h2>(\d)  ([^<]+)</h2>", text)
    assert [number for number, _ in heads] == list("1234567")
    assert heads[4][1] == "Stretched round, it gets shorter"
    assert not re.search(r"<(p|caption)>\d  ?[A-Z0-9]", text)


@pytest.mark.parametrize("name", LINES)
def test_nothing_outside_is_named(tmp_path: Path, name: str) -> None:
    text = page(tmp_path, LINES[name])
    rest = text.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|<script|<link|<img|@import", rest)
    assert str(tmp_path) not in text


def test_inputs_stand_with_their_hashes(tmp_path: Path) -> None:
    text = page(tmp_path, LINES["adjust"])
    block = shipped_block("demo-soft")
    assert block is not None
    for path in (block, profile_folder() / "firm-tricot.toml"):
        assert hashlib.sha256(path.read_bytes()).hexdigest() in text
    assert f"Made with ease {__version__}." in text


def test_own_files_stand_by_name_and_hash(tmp_path: Path) -> None:
    body = tmp_path / "anna.toml"
    body.write_text(
        'schema = "ease/body/1"\nname = "Anna <&> co"\n'
        "[body]\nbust = 90\nwaist = 72\nhip = 98\nstature = 168\n"
    )
    line = ["check", "demo", "--body", str(body), "--fabric", "soft-tricot"]
    text = page(tmp_path, line)
    assert hashlib.sha256(body.read_bytes()).hexdigest() in text
    assert "anna.toml" in text
    assert "Anna &lt;&amp;&gt; co" in text
    assert "Anna <&>" not in text


def test_a_fabric_in_a_file_stands_by_its_own_hash(tmp_path: Path) -> None:
    own = tmp_path / "RIB.TOML"
    text = (profile_folder() / "rib.toml").read_text(encoding="utf-8")
    own.write_text(f"# own copy\n{text}", encoding="utf-8")
    line = ["check", "demo", "--body", "demo", "--fabric", str(own)]
    assert hashlib.sha256(own.read_bytes()).hexdigest() in page(tmp_path, line)


def test_a_ranking_names_every_fabric(tmp_path: Path) -> None:
    text = page(tmp_path, LINES["ranking"])
    for path in profile_folder().glob("*.toml"):
        assert hashlib.sha256(path.read_bytes()).hexdigest() in text


def test_every_setting_stands_there_given_or_not(tmp_path: Path) -> None:
    line = [*LINES["adjust"], "--hold", "easy", "--set", "girth_move=0.1"]
    text = page(tmp_path, line)
    for name, value in (
        ("block", "demo-soft"),
        ("--to", "firm-tricot"),
        ("--from", "not given"),
        ("--hold", "easy"),
        ("--set", "girth_move=0.1"),
        ("--by-level", "no"),
        ("--units", "cm"),
        ("in force: girth_move", "0.1"),
        ("in force: pressure_kpa", "0.2"),
    ):
        assert f'<th scope="row">{name}</th><td>{value}</td>' in text
    for name in ("--report", "--force", "--quiet"):
        assert name not in text


def test_alt_texts_carry_the_numbers(tmp_path: Path) -> None:
    text = page(tmp_path, LINES["adjust"])
    (alt,) = re.findall(r'aria-label="([^"]*)"', text)
    assert re.search(r"bust \d+\.\d to \d+\.\d cm", alt)
    (alt,) = re.findall(
        r'aria-label="([^"]*)"', page(tmp_path, LINES["check"], "c.html")
    )
    assert re.search(r"waist \d+\.\d %", alt)
    assert re.search(r"hip \d\.\d\d kPa", alt)


def test_cautions_stand_on_every_page(tmp_path: Path) -> None:
    for name, line in LINES.items():
        text = page(tmp_path, line, f"{name}.html")
        assert "A swimsuit is not a flotation aid." in text
        assert "not medical advice" in text


def test_what_is_refused(tmp_path: Path) -> None:
    for line in LINES.values():
        wrong = RUN.invoke(app, [*line, "--report", str(tmp_path / "a.txt")])
        assert wrong.exit_code == 2
        assert "a report ends in .html" in wrong.stderr
        assert wrong.stdout == ""
    there = tmp_path / "there.html"
    there.write_text("mine")
    done = RUN.invoke(app, [*LINES["adjust"], "--report", str(there)])
    assert done.exit_code == 4
    assert there.read_text() == "mine"
    assert (
        RUN.invoke(app, [*LINES["adjust"], "--report", str(there), "--force"]).exit_code
        == 0
    )
    quiz = RUN.invoke(
        app, ["lesson", "--quiz", "2", "--report", str(tmp_path / "q.html")]
    )
    assert quiz.exit_code == 2


@pytest.mark.skipif(BROWSER is None, reason="no chromium on this machine")
@pytest.mark.parametrize("name", ["adjust", "check", "lesson"])
def test_a_browser_shows_all_of_it(tmp_path: Path, name: str) -> None:
    text = page(tmp_path, LINES[name])
    done = subprocess.run(
        [
            str(BROWSER),
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
            f"--user-data-dir={tmp_path / 'profile'}",
            "--enable-logging=stderr",
            "--dump-dom",
            (tmp_path / "out.html").as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    # What the browser made of the page has the same elements as were written.
    for tag in ("table", "th", "td", "figure", "svg", "path", "li", "p", "h2"):
        opened = len(re.findall(rf"<{tag}[ >]", done.stdout))
        assert opened == len(re.findall(rf"<{tag}[ >/]", text)), tag
    complaints = [line for line in done.stderr.splitlines() if "CONSOLE" in line]
    assert complaints == []
