from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ease.block.pieces import Block
from ease.fabric.profile import Fabric
from ease.files.block_toml import load_block


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
    """A cloth that stretches 80 % across and 60 % along, tested by hand."""
    cloth = {"stretch": 0.8, "sd": 0.02, "n": 5, "growth": 0.02, "contraction": 0.3}
    made: Fabric = make_fabric(cloth, {**cloth, "stretch": 0.6})
    return made
