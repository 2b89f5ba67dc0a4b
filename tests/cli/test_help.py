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
