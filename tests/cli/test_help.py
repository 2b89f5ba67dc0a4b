"""The list of commands: in the order of the work, each summary whole."""

from __future__ import annotations

import ast
import inspect
from importlib import import_module
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from cli.group import SUMMARIES

ROOT = Path(__file__).resolve().parents[2]
runner = CliRunner()
ORDER = (
    *("demo", "swatch", "load", "fabrics", "body", "factors", "draft", "trace"),
    *("adjust", "check", "convert", "compare", "lesson", "toile", "grade", "batch"),
)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["check", "demo", "--body", "demo", "--hold", "strong"],
            "'strong' is not one",
        ),
        (["load", "x.csv", "--layers", "4"], "must be less than or equal to 2"),
        (["load", "x.csv", "--layers", "two"], "must be a whole number"),
    ],
)
def test_a_wrong_option_is_told_in_plain_words(arguments: list[str], said: str) -> None:
    done = runner.invoke(app, arguments)
    assert done.exit_code == 2
    line = done.stderr.splitlines()[-1]
    assert said in line
    assert "Value error" not in line
    assert "Input should" not in line


@pytest.mark.parametrize("name", ORDER)
def test_help_speaks_of_files_and_lengths_not_of_types(name: str) -> None:
    done = runner.invoke(app, [name, "--help"])
    assert done.exit_code == 0
    assert "Options:" in done.stdout
    said = done.stdout.partition("Arguments:")[2] or done.stdout
    for word in ("<str", "<path", "<int", "<float", "list[", "<="):
        assert word not in said
    if "--out" in said:
        assert "--out FILE" in said


def test_the_commands_stand_in_the_order_of_the_work(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    done = runner.invoke(app, ["--help"])
    assert done.exit_code == 0
    rows = done.stdout.partition("Commands:\n")[2].splitlines()
    assert tuple(row.split()[0] for row in rows) == ORDER
    for row in rows:
        assert "..." not in row
        assert row.endswith((".", "?")), row
        assert len(row) <= 78


def test_the_list_names_every_module_that_holds_a_command() -> None:
    found = {
        path.stem
        for path in (ROOT / "cli").glob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
        and node.name == path.stem
        and "_" not in path.stem
    }
    assert found == SUMMARIES.keys()


@pytest.mark.parametrize("name", ORDER)
def test_a_name_of_the_list_runs_the_command_of_its_module(name: str) -> None:
    command = getattr(import_module(f"cli.{name}"), name)
    done = runner.invoke(app, [name, "--help"])
    usage, said = done.stdout.split("\n\n")[:2]
    assert usage.startswith(f"Usage: root {name} ")
    own = str(inspect.getdoc(command)).partition("\n\n")[0]
    assert said.split() == own.split()


def test_a_command_misspelt_is_put_right_without_loading_one() -> None:
    done = runner.invoke(app, ["adjsut"])
    assert done.exit_code == 2
    assert "Did you mean 'adjust'?" in done.stderr
