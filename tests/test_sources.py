"""Every source key used in code, tests and profiles stands in DEVELOPERS.md."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
USED = re.compile(r"[Ss]ource keys?: ((?:[a-z0-9]+(?:-[a-z0-9]+)+(?:, )?)+)")
LISTED = re.compile(r"^- \*\*([a-z0-9-]+)\*\*: (.+)$", re.MULTILINE)


def listed() -> dict[str, str]:
    return dict(LISTED.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))


def used() -> dict[str, str]:
    found: dict[str, str] = {}
    for folder in ("ease", "cli", "tests", "fabric_profiles"):
        for path in (ROOT / folder).rglob("*"):
            if path.suffix in (".py", ".toml"):
                text = path.read_text(encoding="utf-8")
                for keys in USED.findall(text):
                    found |= dict.fromkeys(
                        re.split(r",\s*", keys.strip(", ")), path.name
                    )
    return found


def test_keys_used_are_listed() -> None:
    missing = {key: where for key, where in used().items() if key not in listed()}
    assert used()
    assert not missing


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
