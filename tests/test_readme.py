"""Every command block of the README gives the output that stands there."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from ease.block.measure import level_girths
from ease.files.any_block import read_block_file

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


def test_the_map_of_a_drawing_says_what_its_lines_mean(tmp_path: Path) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = r"<!-- file: ([\w.]+) -->\n```\w+\n(.*?)```"
    files = {}
    for name, body in re.findall(shown, text, re.DOTALL):
        files[name] = tmp_path / name
        files[name].write_text(body, encoding="utf-8")
    read = read_block_file(files["drawing.svg"], map_path=files["map.toml"])
    assert read.notes == ()
    block = read.block
    assert "invented" in block.name
    names = ["edge 1", "side", "leg", "crotch", "fold"]
    for piece, fold in zip(block.pieces, ("left", "right"), strict=True):
        assert piece.on_fold, fold
        assert [edge.name for edge in piece.edges] == names
    assert [level.name for level in block.levels] == ["waist", "hip"]
    # At 20 of 22 cm down the side: 14 + 20/22 x 5.2 cm wide, four times.
    assert level_girths(block)["hip"] == pytest.approx(4 * (14 + 20 / 22 * 5.2))
    assert [(seam.first, seam.second) for seam in block.seams] == [
        ("front.side", "back.side"),
        ("front.crotch", "back.crotch"),
    ]
    assert [hold.name for hold in block.holds] == ["crotch width"]


def test_pictures_named_in_the_readme_exist() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = [part.split(")")[0] for part in text.split("](.readme/")[1:]]
    assert named
    for name in named:
        assert (ROOT / ".readme" / name).is_file(), name
