"""The list of commands: in the order of the work, each summary whole."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from cli.app import app

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
