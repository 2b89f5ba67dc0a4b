"""The list of commands: in the order of the work, each summary whole."""

from __future__ import annotations

import ast
import inspect
import re
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
        (["load", "x.csv", "--layers", "4"], "--layers: must be at most 2"),
        (["load", "x.csv", "--layers", "two"], "--layers: must be a whole number"),
        (["factors"], "FABRIC is missing"),
        (["check", "demo"], "--body is missing"),
        (["check", "demo", "--body"], "--body needs a value"),
        (["adjust", "demo", "--to-factors", "1"], "--to-factors needs 2 values"),
        (
            ["factors", "rib", "--bodyy", "demo"],
            "there is no option --bodyy; did you mean --body or --hold?",
        ),
        (["factor", "rib"], "no command 'factor'; did you mean factors?"),
        (["draft", "demo", "more"], "too much is given: more"),
        (["trace", "x.csv", "--tolerance", "wide"], "--tolerance: 'wide' is not a num"),
        (["load", "x.csv", "--gauge", "5 kg"], "--gauge: '5 kg' has no unit of length"),
        (["lesson", "--fixed", "x"], "--fixed: 'x' is not a number"),
        (
            ["convert", "demo", "x.pdf", "--margin", "x"],
            "--margin: 'x' is not a number",
        ),
        (["draft", "demo", "--by-level"], "give --fabric with it"),
    ],
)
def test_a_wrong_option_is_told_in_plain_words(arguments: list[str], said: str) -> None:
    done = runner.invoke(app, arguments)
    assert done.exit_code == 2
    line = done.stderr.splitlines()[-1]
    assert said in line
    for word in ("Value error", "Input should", "argument", "Invalid value"):
        assert word not in line


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


# Words of a program, not of a maker.
CODE = re.compile(
    r"\b(None|True|False|dict|tuple|bool|boolean|string|str|int|float|kwargs|args?"
    r"|argument|parameter|integer|array|null|[A-Z][a-z]+Error|default: False)\b"
)


@pytest.mark.parametrize("columns", [40, 60, 80])
@pytest.mark.parametrize("name", ["", *ORDER])
def test_help_fits_the_terminal_in_words_for_makers(
    name: str, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    done = runner.invoke(app, [*name.split(), "--help"])
    assert done.exit_code == 0
    lines = done.stdout.splitlines()
    assert max(map(len, lines)) <= columns
    assert not re.search(
        r"[a-z]-$", done.stdout, flags=re.MULTILINE
    )  # a name cut in two
    assert done.stdout.isascii()
    said = done.stdout.partition("Options:")[2] if name else done.stdout
    assert not CODE.findall(said)
    assert "{" not in lines[0]


@pytest.mark.parametrize("name", ["check", "factors"])
def test_help_on_pressure_holds_the_caution(name: str) -> None:
    said = " ".join(runner.invoke(app, [name, "--help"]).stdout.split())
    assert "comfort estimates, not medical advice" in said


def test_help_says_the_same_in_every_width(monkeypatch: pytest.MonkeyPatch) -> None:
    def words(columns: str) -> list[str]:
        monkeypatch.setenv("COLUMNS", columns)
        return runner.invoke(app, ["grade", "--help"]).stdout.split()

    assert words("40") == words("60") == words("80") == words("200")


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
    assert "did you mean adjust?" in done.stderr
