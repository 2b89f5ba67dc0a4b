"""The public face: every name loads, is documented, and costs nothing until used."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

import ease

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize("name", ease.__all__)
def test_every_public_name_loads_and_is_documented(name: str) -> None:
    assert getattr(ease, name).__doc__


def test_public_names_and_their_homes_agree() -> None:
    assert sorted(ease._HOME) == sorted(ease.__all__)
    assert set(ease.__all__) <= set(dir(ease))


def test_public_names_stand_in_the_developers_guide() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    missing = [name for name in ease.__all__ if f"`{name}`" not in text]
    assert not missing


def test_unknown_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="no attribute 'stretchy'"):
        _ = ease.stretchy


def test_import_ease_loads_nothing_heavy(
    fresh_python: Callable[[str], subprocess.CompletedProcess[str]],
) -> None:
    code = (
        "import sys, ease\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'rich', 'typer'}\n"
        "sys.stdout.write(','.join(sorted(heavy & set(sys.modules))))\n"
    )
    done = fresh_python(code)
    assert done.stdout == ""
