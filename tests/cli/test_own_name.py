"""An own fabric under the name of a shipped one: never unasked, never unsaid."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from ease.demo import LOAD, SWATCH
from ease.fabric.store import load_fabric, own_folder, profile_folder

NAME = "soft-tricot"
SAVES = {
    "swatch": ("swatch", SWATCH),
    "load": ("load", LOAD, "--hand", SWATCH),
    "load onto another": ("load", LOAD, "--fabric", "rib"),
    "toile": (
        *("toile", "demo", "--block", "demo-soft", "--fabric", NAME),
        *("--body", "demo"),
    ),
}
USES = {
    "factors": ("factors", NAME, "--body", "demo"),
    "adjust to": ("adjust", "demo", "--from", "body", "--to", NAME),
    "adjust from": ("adjust", "demo", "--from", NAME, "--to", "rib", "--body", "demo"),
    "draft": ("draft", "demo", "--fabric", NAME),
    "check": ("check", "demo-soft", "--body", "demo", "--fabric", NAME),
    "check all": ("check", "demo-soft", "--body", "demo"),
    "compare": ("compare", NAME, "rib", "--body", "demo"),
    "grade": ("grade", "en", "--only", "88", "--fabric", NAME),
    "lesson": ("lesson", "--fabric", NAME),
    "toile": SAVES["toile"],
    "fabrics": ("fabrics",),
    "fabrics one": ("fabrics", NAME),
}
SAID = f"your own {NAME} is used, in place of the shipped one"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)


def run(*args: object) -> Result:
    return CliRunner(env={"COLUMNS": "200"}).invoke(app, [*map(str, args)])


@pytest.mark.parametrize("command", SAVES.values(), ids=SAVES)
def test_a_shipped_name_is_not_taken_unasked(command: tuple[object, ...]) -> None:
    refused = run(*command, "--save", NAME)
    assert refused.exit_code == 4
    assert f"{NAME} is the name of a shipped fabric" in refused.stderr
    assert "choose another name, or add --force" in refused.stderr
    assert not own_folder().exists()
    shipped = load_fabric(NAME)
    taken = run(*command, "--save", NAME, "--force")
    assert taken.exit_code == 0
    assert load_fabric(NAME) != shipped
    # The shipped file stays, and other names need no --force.
    assert load_fabric(profile_folder() / f"{NAME}.toml") == shipped
    assert run(*command, "--save", "my-own").exit_code == 0


@pytest.mark.parametrize("command", USES.values(), ids=USES)
def test_an_own_fabric_in_place_of_a_shipped_one_is_named_once(
    command: tuple[object, ...],
) -> None:
    assert SAID not in run(*command).stderr
    shipped = (profile_folder() / f"{NAME}.toml").read_text(encoding="utf-8")
    own_folder().mkdir(parents=True)
    (own_folder() / f"{NAME}.toml").write_text(shipped, encoding="utf-8")
    result = run(*command)
    assert result.exit_code == 0
    assert result.stderr.count(SAID) == 1


def test_a_batch_names_it_too(tmp_path: Path) -> None:
    table = tmp_path / "bodies.csv"
    table.write_text("name,bust,waist,hip\na,88,70,96\n", encoding="utf-8")
    assert run("swatch", SWATCH, "--save", NAME, "--force").exit_code == 0
    result = run("batch", table, "--fabric", NAME, "--out", "result.csv")
    assert result.exit_code == 0
    assert result.stderr.count(SAID) == 1


def test_a_profile_by_its_file_hides_nothing() -> None:
    assert run("swatch", SWATCH, "--save", NAME, "--force").exit_code == 0
    file = profile_folder() / f"{NAME}.toml"
    assert SAID not in run("factors", file, "--body", "demo").stderr
