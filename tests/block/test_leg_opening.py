"""The leg of a wear check: of two unlike legs the tighter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from ease.block.check import check_wear
from ease.block.leg_opening import leg_opening
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.files.trace_file import load_trace

GIRTHS = {"bust": 88.0, "waist": 70.0, "hip": 96.0, "thigh": 57.5}
BODY = Body(name="invented", values=GIRTHS)
WHOLE = """\
# name = whole brief
# units = cm
# level hip = 15
# anchor = hip
# seam crotch = front.crotch, back.crotch
piece,edge,point,across,down,hint
front,waist,wl,-17.5,0,
front,side right,wr,17.5,0,
front,leg right,lr,20,18,
front,crotch,cr,3.5,{right},
front,leg left,cl,-3.5,33,
front,side left,ll,-20,18,
back,waist,bwl,60,0,
back,side right,bwr,95,0,
back,leg right,blr,97.5,18,
back,crotch,bcr,81,{right},
back,leg left,bcl,74,33,
back,side left,bll,57.5,18,
"""


@pytest.mark.parametrize(("right", "tighter"), [(26, "right"), (40, "left")])
def test_the_tighter_leg_is_told(
    tmp_path: Path, make_fabric: Callable[..., Fabric], right: int, tighter: str
) -> None:
    """Each edge is a straight line: 2 sqrt(16.5^2 + 15^2) = 44.60 cm on the left."""
    path = tmp_path / "whole.csv"
    path.write_text(WHOLE.format(right=right), encoding="utf-8")
    block = load_trace(path).block
    leg = leg_opening(block, BODY)
    assert leg is not None
    assert leg.name == f"leg {tighter}"
    down = {"right": right - 18, "left": 15}[tighter]
    assert leg.edge_cm == pytest.approx(2 * (16.5**2 + down**2) ** 0.5)
    # A side that is left out is the one that is left over, and no ring of both.
    half = tuple(
        replace(
            piece,
            edges=tuple(
                replace(edge, name="leg") if edge.name == "leg right" else edge
                for edge in piece.edges
            ),
        )
        for piece in block.pieces
    )
    assert leg_opening(replace(block, pieces=half), BODY) == leg
    cloth = {"stretch": 0.8, "contraction": 0.0}
    result = check_wear(block, BODY, make_fabric(cloth, cloth))
    far = [text for text in result.remarks if "may dig in" in text]
    assert bool(far) is (leg.strain > 0.4)
    assert all(text.startswith(f"the leg {tighter} opening is worn") for text in far)
    assert bool(far) is (right == 26)
