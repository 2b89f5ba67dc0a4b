"""The shipped demonstration: an invented maker, body, cloth and block."""

from __future__ import annotations

from pathlib import Path
from typing import Final

__all__ = ["LOAD", "SWATCH", "TOILE", "TRACE", "block_names", "shipped_block"]

_FOLDER: Final = Path(__file__).resolve().parent
SWATCH: Final = _FOLDER / "swatch.csv"
LOAD: Final = _FOLDER / "load.csv"
TOILE: Final = _FOLDER / "toile.csv"
TRACE: Final = _FOLDER / "trace.csv"

_BLOCKS: Final = {
    "demo": "one-piece-body.toml",
    "demo-soft": "one-piece-soft.toml",
}


def block_names() -> tuple[str, ...]:
    """Return the names of the shipped blocks."""
    return tuple(_BLOCKS)


def shipped_block(name: str) -> Path | None:
    """Return the file of a shipped block: ``demo`` or ``demo-soft``; else None.

    ``demo`` is a one-piece at body size, ``demo-soft`` the same for a soft tricot.
    """
    file = _BLOCKS.get(name)
    return None if file is None else _FOLDER / file
