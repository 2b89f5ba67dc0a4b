"""Hems that no level judges: told where they cannot reach what must pass them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ease.block.check import check_wear
from ease.block.need import rank_fabrics
from ease.block.pieces import Block
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.files.trace_file import load_trace
from ease.fit.aims import AIMS, Allowed

Make = Callable[..., Fabric]
GIRTHS = {"bust": 91.0, "waist": 74.0, "hip": 99.0, "thigh": 59.5}
BODY = Body(name="invented", values={**GIRTHS, "shoulder_girth": 101.0})
TOP = """\
# name = top
# units = cm
# fold front = 0
# fold back = 40
# anchor = bust
# level bust = 10
# seam side = front.side, back.side
# seam shoulder = front.shoulder, back.shoulder
piece,edge,point,across,down,hint
front,neck,nc,0,3,
front,shoulder,p1,9,0,
front,armhole,p2,13,0,
front,side,p3,18,5,
front,hem,p4,16,22,
front,fold,p5,0,22,
back,neck,ncb,40,3,
back,shoulder,p6,49,0,
back,armhole,p7,53,0,
back,side,p8,58,5,
back,hem,p9,56,22,
back,fold,p10,40,22,
"""
SHORTS = """\
# name = shorts
# units = cm
# level waist = 0.5
# level hip = 18
# fold front = pair
# fold back = pair
# seam side = front.side, back.side
# seam front = front.centre, front.centre
# seam back = back.centre, back.centre
# seam inner = front.inner, back.inner
piece,edge,point,across,down,hint
front,waist,p11,0,0,
front,side,p12,18,0,
front,hem,p13,{end},40,
front,inner,p14,0,40,
front,centre,p15,0,25,
back,waist,p16,40,0,
back,side,p17,58,0,
back,hem,p18,{back_end},40,
back,inner,p19,40,40,
back,centre,p20,40,25,
"""


def traced(tmp_path: Path, text: str) -> Block:
    path = tmp_path / "drawn.csv"
    path.write_text(text, encoding="utf-8")
    return load_trace(path).block


@pytest.mark.parametrize(("over_head", "part"), [(False, "hip"), (True, "shoulder")])
def test_the_hem_of_a_top_that_falls_short_is_told(
    tmp_path: Path, make_fabric: Make, over_head: bool, part: str
) -> None:
    """All round it is 4 x 16 = 64 cm, and a hip of 99 takes 54.7 % of stretch."""
    block, allowed = traced(tmp_path, TOP), Allowed(over_head=over_head)
    needed = 101.0 if over_head else 99.0
    short = make_fabric({"stretch": needed / 64 - 1.01}, {"stretch": 0.1})
    result = check_wear(block, BODY, short, allowed=allowed)
    (said,) = (text for text in result.remarks if text.startswith("whether"))
    assert f"front.hem, back.hem pass over the {part}" in said
    assert f"{64 * (needed / 64 - 0.01):.1f} cm at most" in said
    assert f"measures {needed:.1f} cm; mark a level there" in said
    enough = make_fabric({"stretch": needed / 64 - 0.99}, {"stretch": 0.1})
    passed = check_wear(block, BODY, enough, allowed=allowed)
    assert not any(text.startswith("whether") for text in passed.remarks)
    first, last = rank_fabrics(block, BODY, [short, enough], AIMS["regular"], allowed)
    assert (first.fabric, last.fabric) == (enough, short)


def test_a_hem_beside_a_level_or_an_opening_is_not_told_of(
    tmp_path: Path, make_fabric: Make
) -> None:
    stiff = make_fabric({"stretch": 0.45}, {"stretch": 0.45})
    top = traced(tmp_path, TOP)
    opened = check_wear(top, BODY, stiff, allowed=Allowed(opens=True))
    assert not any(text.startswith("whether") for text in opened.remarks)
    level = TOP.replace("# level bust = 10", "# level bust = 10\n# level band = 21")
    result = check_wear(traced(tmp_path, level), BODY, stiff)
    assert result.stops_at == "band"
    assert not any(text.startswith("whether") for text in result.remarks)


@pytest.mark.parametrize(("width", "told"), [(16.5, True), (16.6, False)])
def test_a_hem_round_the_leg_that_falls_short_is_told(
    tmp_path: Path, make_fabric: Make, width: float, told: bool
) -> None:
    """Front and back make one leg: 2 x 16.5 x 1.8 = 59.4 cm, on a thigh of 59.5."""
    text = SHORTS.format(end=width, back_end=40 + width)
    cloth = {"stretch": 0.8, "contraction": 0.0}
    fabric = make_fabric(cloth, cloth)
    for opens in (False, True):
        block, allowed = traced(tmp_path, text), Allowed(opens=opens)
        said = [
            remark
            for remark in check_wear(block, BODY, fabric, allowed=allowed).remarks
            if remark.startswith("whether")
        ]
        assert bool(said) is told
        if told:
            assert "closed round one leg, they reach 59.4 cm at most" in said[0]
