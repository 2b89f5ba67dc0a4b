from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ease.block.pieces import Block
from ease.fabric.profile import Fabric
from ease.files.block_toml import load_block
from ease.files.trace_file import load_trace

SHORTS = """\
# name = shorts
# units = cm
# level waist = 0.5
# level hip = 18
# level thigh = 30
# fold front = pair
# fold back = pair
# seam side = front.side, back.side
# seam front = front.centre, front.centre
# seam back = back.centre, back.centre
# seam inner = front.inner, back.inner
piece,edge,point,across,down,hint
front,waist,p1,0,0,
front,side,p2,23,0,
front,hem,p3,23,40,
front,inner,p4,0,40,
front,centre,p5,0,25,
back,waist,p6,40,0,
back,side,p7,63,0,
back,hem,p8,63,40,
back,inner,p9,40,40,
back,centre,p10,40,25,
"""


@pytest.fixture(scope="session")
def hand_block() -> Block:
    """An invented one-piece with holds, seams whose mates differ, and a loop path."""
    return load_block(Path(__file__).with_name("hand_block.toml"))


@pytest.fixture
def block(make_tube: Callable[..., Any]) -> Block:
    """A tube cut at 0.8 of bust 88, waist 70 and hip 96 cm."""
    made: Block = make_tube(*(0.8 * girth for girth in (88, 70, 96)))
    return made


@pytest.fixture
def fabric(make_fabric: Callable[..., Any]) -> Fabric:
    """A cloth that stretches 80 % along and 60 % across, tested by hand."""
    cloth = {"stretch": 0.8, "sd": 0.02, "n": 5, "growth": 0.02, "contraction": 0.3}
    made: Fabric = make_fabric(cloth, {**cloth, "stretch": 0.6})
    return made


@pytest.fixture
def shorts(tmp_path: Path) -> Block:
    """Shorts of 4 x 23 cm at every height, cut as pairs; invented."""
    path = tmp_path / "shorts.csv"
    path.write_text(SHORTS, encoding="utf-8")
    return load_trace(path).block
