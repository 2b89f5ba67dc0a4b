"""Every command block of the README gives the output that stands there."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_command_blocks_are_real_output() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / ".readme" / "make.py"), "--check"],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, (
        f"run `python .readme/make.py`\n{done.stdout}{done.stderr}"
    )


def test_pictures_named_in_the_readme_exist() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = [part.split(")")[0] for part in text.split("](.readme/")[1:]]
    assert named
    for name in named:
        assert (ROOT / ".readme" / name).is_file(), name
