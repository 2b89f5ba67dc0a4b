"""What README.md and DEVELOPERS.md list is what there is."""

from __future__ import annotations

import re
from pathlib import Path

import ease
from cli.group import SUMMARIES

ROOT = Path(__file__).resolve().parents[1]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_readme_shows_every_command() -> None:
    assert SUMMARIES.keys() - set(re.findall(r"\bease ([a-z]+)", README)) == set()


def test_developers_find_every_command_and_every_stage() -> None:
    listed = DEVELOPERS.partition("Commands, in the order")[2].partition("\n\n")[0]
    assert SUMMARIES.keys() == set(re.findall(r"`(?:ease )?([a-z]+)`", listed))
    for path in sorted((ROOT / "ease").iterdir()):
        if path.name.startswith("_") or path.name == "py.typed":
            continue
        where = f"ease/{path.name}/" if path.is_dir() else f"ease/{path.name}"
        assert f"`{where}`" in DEVELOPERS, where
        assert f"``{path.stem}``" in str(ease.__doc__), where


def test_public_names_are_listed_once_for_developers() -> None:
    listed = DEVELOPERS.partition("Public names")[2].partition("\n\n")[0]
    names = re.findall(r"`([A-Za-z_]+)`", listed.partition(":")[2])
    assert names == sorted(ease.__all__)
