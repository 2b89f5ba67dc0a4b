"""A level on an edge that evening the seams tilts still reads that whole edge."""

from __future__ import annotations

from pathlib import Path

import pytest

from ease.block.adjust import adjust_block
from ease.block.measure import edge_lengths, level_girths
from ease.block.pieces import Block
from ease.files.trace_file import load_trace

# Invented: half of each piece on the fold, its waist and its hem level with the frame.
# The side of the back bulges by so much more, and is that much longer.
SKIRT = """# name = skirt
# fold front = 0
# fold back = 40
# level waist = 0
# level hip = 20
# level hem = {level}
# seam side = front.side, back.side
piece,edge,point,across,down,hint
front,waist,a,0,0,
front,side,b,17,0,
front,side,,21,12,
front,hem,c,23,36,
front,fold,d,0,36,
back,waist,e,40,0,
back,side,f,57,0,
back,side,,{bulge},12,
back,hem,g,63.5,36,
back,fold,h,40,36,
"""
HEM = 2 * (23.0 + 23.5)


def skirt(folder: Path, bulge: float, level: float = 36.0) -> Block:
    path = folder / "skirt.csv"
    path.write_text(SKIRT.format(bulge=bulge, level=level), encoding="utf-8")
    return load_trace(path).block


@pytest.mark.parametrize("bulge", [61.0, 61.5, 62.5, 64.0])
@pytest.mark.parametrize("ratio", [0.9, 1.0, 1.1])
def test_a_level_on_an_edge_reads_it_after_the_seams_are_even(
    tmp_path: Path, bulge: float, ratio: float
) -> None:
    block = skirt(tmp_path, bulge)
    before = level_girths(block)
    assert before["waist"] == pytest.approx(68.0)
    assert before["hem"] == pytest.approx(HEM)
    adjusted = adjust_block(block, ratio, 1.0)
    (seam,) = adjusted.seams
    assert abs(seam.before_cm) > 0.03
    after = adjusted.after
    edges = edge_lengths(after)
    girths = level_girths(after)
    for name in ("waist", "hem"):
        whole = 2 * (edges[f"front.{name}"] + edges[f"back.{name}"])
        # The line lies a little inside, where the side runs on.
        assert girths[name] == pytest.approx(whole, rel=0.015)
        assert girths[name] == pytest.approx(ratio * before[name], rel=0.015)
    # What was not cut stays where it was.
    assert after.level("hip").y == 20.0


def test_a_level_a_millimetre_inside_an_edge_is_kept_too(tmp_path: Path) -> None:
    block = skirt(tmp_path, 63.0, level=35.9)
    girths = level_girths(adjust_block(block, 0.9, 1.0).after)
    assert girths["hem"] == pytest.approx(0.9 * HEM, rel=0.01)
