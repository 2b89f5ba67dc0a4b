"""Half of an edge against a whole one: as they are sewn, they match."""

from __future__ import annotations

from pathlib import Path

import pytest

from ease.block.adjust import adjust_block
from ease.block.measure import edge_lengths, walk_seams
from ease.block.pieces import Block
from ease.block.seam_notes import uneven_seams
from ease.files.trace_file import load_trace

# Invented: the front drawn half, the back whole, 40 cm to the side of it.
HALF = """# name = brief
# fold front = 0
# fold back = none
# level hip = 10
# anchor = hip
# seam left = front.side, back.side left
# seam right = front.side, back.side right
# seam crotch = front.crotch, back.crotch
piece,edge,point,across,down,hint
front,waist,a,0,0,
front,side,b,17,0,
front,leg,c,17,10,
front,crotch,d,3.5,25,
front,fold,e,0,25,
back,waist,f,40,0,
back,side right,g,74,0,
back,leg right,h,74,10,
back,crotch,i,60.5,25,
back,leg left,j,53.5,25,
back,side left,k,40,10,
"""
# The front as a pair instead, sewn along its middle.
PAIR = HALF.replace("# fold front = 0", "# fold front = pair").replace(
    "# seam crotch", "# seam middle = front.middle, front.middle\n# seam crotch"
)
PAIR = PAIR.replace("front,fold,e", "front,middle,e")


def drawn(folder: Path, text: str) -> Block:
    path = folder / "brief.csv"
    path.write_text(text, encoding="utf-8")
    return load_trace(path).block


@pytest.mark.parametrize("text", [HALF, PAIR])
@pytest.mark.parametrize("ratio", [0.9, 1.1])
def test_half_of_a_crotch_is_sewn_to_a_whole_one(
    tmp_path: Path, text: str, ratio: float
) -> None:
    block = drawn(tmp_path, text)
    assert uneven_seams(block) == ()
    (crotch,) = (seam for seam in walk_seams(block) if seam.first == "front.crotch")
    assert (crotch.first_cm, crotch.second_cm) == pytest.approx((7.0, 7.0))
    before = edge_lengths(block)
    after = edge_lengths(adjust_block(block, ratio, 1.0).after)
    for name in ("front.crotch", "back.crotch"):
        assert after[name] == pytest.approx(ratio * before[name])


def test_halves_that_differ_are_trued_as_they_are_sewn(tmp_path: Path) -> None:
    block = drawn(tmp_path, HALF.replace("back,crotch,i,60.5", "back,crotch,i,60.9"))
    assert len(uneven_seams(block)) == 1
    after = edge_lengths(adjust_block(block, 1.0, 1.0).after)
    assert 2 * after["front.crotch"] == pytest.approx(after["back.crotch"], abs=1e-5)
    assert 7.0 < after["back.crotch"] < 7.4
