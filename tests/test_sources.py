"""Source keys: each one used stands in DEVELOPERS.md, and each one there is used."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from ease.body.equations import EQUATIONS
from ease.fabric.classes import CLASS_TABLES
from ease.fit.pressure import BANDS

ROOT = Path(__file__).resolve().parents[1]
KEY = r"[a-z0-9]+(?:-[a-z0-9]+)+"
# One key or several, each with a remark in brackets; a comment or a docstring may break
# the line anywhere.
GAP = r"(?:\s|#)*"
KEYED = rf"{KEY}(?:{GAP}\([^)]*\))?"
USED = re.compile(rf"[Ss]ource{GAP}keys?:{GAP}({KEYED}(?:,{GAP}{KEYED})*)")
LISTED = re.compile(r"^- \*\*([a-z0-9-]+)\*\*: (.+)$", re.MULTILINE)
NONE = re.compile(r"\b[Nn]o source\b")
PUBLISHED = sorted((ROOT / "tests" / "published").glob("test_*.py"))


def listed() -> dict[str, str]:
    return dict(LISTED.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))


def keys_in(text: str) -> set[str]:
    """The keys of a text, without what is said of them in brackets."""
    found: set[str] = set()
    for run in USED.findall(text):
        found |= set(re.findall(KEY, re.sub(r"\([^)]*\)", "", run)))
    return found


def files() -> Iterator[Path]:
    for folder in ("ease", "cli", "tests", "fabric_profiles"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.suffix in (".py", ".toml") and path != Path(__file__):
                yield path


def used() -> dict[str, str]:
    """Each key and where it is used: in texts, and in fields of records."""
    found = {
        key: path.name
        for path in files()
        for key in keys_in(path.read_text(encoding="utf-8"))
    }
    found |= {equation.source: equation.target for equation in EQUATIONS}
    found |= {table.source: table.title for table in CLASS_TABLES}
    found |= {band.source: band.title for band in BANDS}
    return found


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("Source key: a-1.", {"a-1"}),
        ("# 12 % (source key:\n# a-1), and b-2", {"a-1"}),
        (
            "Source keys: a-1, b-2 (both from memory), c-3\n(seen).",
            {"a-1", "b-2", "c-3"},
        ),
        ("Source keys: a-1 (seen, well-known),\nb-2.", {"a-1", "b-2"}),
        ("x # Source\n    # key: a-1.", {"a-1"}),
        ("Source key: nothing", set()),
    ],
)
def test_keys_are_found_as_they_are_written(text: str, keys: set[str]) -> None:
    assert keys_in(text) == keys


def test_keys_used_are_listed() -> None:
    missing = {key: where for key, where in used().items() if key not in listed()}
    assert used()
    assert not missing


def test_keys_listed_are_used() -> None:
    assert sorted(set(listed()) - set(used())) == []


@pytest.mark.parametrize("path", PUBLISHED, ids=lambda path: path.stem)
def test_a_published_check_names_its_source_or_says_that_it_has_none(
    path: Path,
) -> None:
    text = path.read_text(encoding="utf-8")
    assert keys_in(text) or NONE.search(text)


def test_each_source_says_how_it_is_known() -> None:
    ways = (
        "seen",
        "memory",
        "no source",
        "derived",
        "own ",
        "documentation",
        "definition",
    )
    silent = [
        key for key, text in listed().items() if not any(way in text for way in ways)
    ]
    assert listed()
    assert not silent
