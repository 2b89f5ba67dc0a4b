"""Published size tables give blocks that grow from size to size.

Source keys: en-13402-3, astm-d5585-95 (both from memory), us-1968 (seen second hand).
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from ease.block.draft import draft_block
from ease.block.measure import edge_lengths, level_girths, piece_area, torso_loop
from ease.block.openings import block_openings
from ease.block.pieces import Block
from ease.body.shipped import shipped_body, shipped_names

TABLES = {
    "en": [n for n in shipped_names() if n.startswith("en-") and n.count("-") == 1],
    "en short": [n for n in shipped_names() if n.endswith("-short")],
    "en long": [n for n in shipped_names() if n.endswith("-long")],
    "astm-95": [n for n in shipped_names() if n.startswith("astm-95-")],
    "us-1968": [n for n in shipped_names() if n.startswith("us-1968-")],
}


def _sizes(block: Block) -> dict[str, float]:
    loop = torso_loop(block)
    assert loop is not None
    front, back = block.piece("front"), block.piece("back")
    return {
        **level_girths(block),
        **{opening.name: opening.cut_cm for opening in block_openings(block)},
        "loop": loop,
        "front area": piece_area(front),
        "back area": piece_area(back),
        "strap place": float(front.point("strap_middle")[0]),
        "underarm": float(front.point("underarm")[0]),
        "crotch depth": float(back.point("crotch_centre")[1]),
        "bust point": float(front.point("bust_point")[0]),
    }


@pytest.mark.parametrize("table", TABLES)
def test_every_size_grows(table: str) -> None:
    blocks = [draft_block(shipped_body(name)) for name in TABLES[table]]
    assert len(blocks) >= 8
    for small, large in pairwise(_sizes(block) for block in blocks):
        for key in small:
            assert large[key] > small[key] - 1e-9, key
        for key in ("bust", "waist", "hip", "loop", "leg", "front area", "back area"):
            assert large[key] > small[key], key


@pytest.mark.parametrize("bust", [76, 88, 104, 128])
def test_taller_is_longer_and_no_wider(bust: int) -> None:
    short, middle, tall = (
        draft_block(shipped_body(f"en-{bust}{tail}"))
        for tail in ("-short", "", "-long")
    )
    for low, high in pairwise((short, middle, tall)):
        assert level_girths(low) == pytest.approx(level_girths(high))
        assert edge_lengths(low)["front.side"] < edge_lengths(high)["front.side"]
        assert (torso_loop(low) or 0) < (torso_loop(high) or 0)


@pytest.mark.parametrize("bust", [76, 84, 92, 100, 110, 122, 140])
def test_girths_are_those_of_the_table(bust: int) -> None:
    girths = level_girths(draft_block(shipped_body(f"en-{bust}")))
    table = {76: (60, 84), 84: (68, 92), 92: (76, 100), 100: (84, 108), 110: (94, 117)}
    waist, hip = {**table, 122: (106, 127), 140: (124, 142)}[bust]
    assert girths == pytest.approx({"bust": bust, "waist": waist, "hip": hip})
