from pathlib import Path

import pytest

from ease.block.pieces import Block
from ease.files.block_toml import load_block


@pytest.fixture(scope="session")
def hand_block() -> Block:
    """An invented one-piece with holds, seams whose mates differ, and a loop path."""
    return load_block(Path(__file__).with_name("hand_block.toml"))
