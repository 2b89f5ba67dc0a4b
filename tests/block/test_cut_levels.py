"""A level whose line runs out at a free edge, on outlines whose girths are plain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from ease.block.check import check_wear
from ease.block.cut_levels import cut_levels
from ease.block.draft import draft_block
from ease.block.pieces import Block, Cut, Edge, Level, Piece, Seam, line
from ease.block.plan import inferred_factors
from ease.body.load import load_body
from ease.body.measures import Body
from ease.demo import TRACE
from ease.errors import RefusedError
from ease.fabric.store import load_fabric
from ease.files.trace_file import load_trace

Spot = tuple[float, float]
BODY = Body(name="b", values={"bust": 88.0, "waist": 70.0, "hip": 96.0})


def outlined(
    name: str, edges: tuple[str, ...], spots: Sequence[Spot], cut: Cut
) -> Piece:
    """A piece of straight edges from corner to corner."""
    runs = zip(edges, spots, [*spots[1:], spots[0]], strict=True)
    return Piece(
        name,
        tuple(
            Edge(edge, f"p{i}", f"p{(i + 1) % len(spots)}", line(a, b)[None], (True,))
            for i, (edge, a, b) in enumerate(runs)
        ),
        cut=cut,
    )


def half(name: str, *spots: Spot) -> Piece:
    """A half piece by its corners: centre top, side top, side hem, centre hem."""
    return outlined(name, ("top", "side", "hem", "fold"), spots, "fold")


def brief(front_centre: float, back_centre: float, waist: float) -> Block:
    """Half widths of 18 cm; the top edges run from the centre to the side at 0 cm."""
    return Block(
        name="brief",
        pieces=(
            half("front", (0, front_centre), (18, 0), (18, 30), (0, 30)),
            half("back", (0, back_centre), (18, 0), (18, 30), (0, 30)),
        ),
        levels=(Level("waist", waist), Level("hip", 20.0)),
        seams=(Seam("front.side", "back.side"),),
    )


@pytest.mark.parametrize(
    ("centres", "waist", "read"),
    [
        # The hollow front is met from 18 - 18 x 0.5 = 9 cm on, the back from the fold.
        ((1.0, -1.0), 0.5, 2 * (9 + 18)),
        # At the side's own height the front is not met at all.
        ((1.0, -1.0), 0.0, 2 * (0 + 18)),
        # Above it only the back is, as far as its slope.
        ((1.0, -1.0), -0.5, 2 * (0 + 9)),
        ((1.0, 0.0), 0.25, 2 * (4.5 + 18)),
    ],
)
def test_a_line_that_runs_out_at_the_top_edge_is_found(
    centres: tuple[float, float], waist: float, read: float
) -> None:
    block = brief(*centres, waist)
    (cut,) = cut_levels(block)
    assert cut.level.name == "waist"
    assert cut.read_cm == pytest.approx(read)
    assert cut.whole_cm == pytest.approx(72.0)
    # Just past the lowest point of the hollow.
    assert cut.whole_y == pytest.approx(1.2)
    assert cut.whole_y is not None
    moved = replace(block, levels=(Level("waist", cut.whole_y), Level("hip", 20.0)))
    assert cut_levels(moved) == ()
    open_ = replace(block, levels=(Level("waist", waist, "partly"), Level("hip", 20.0)))
    assert cut_levels(open_) == ()


def test_what_is_read_short_decides_nothing() -> None:
    block = brief(1.0, -1.0, 0.5)
    message = "level waist is called closed, but its line, 0.5 cm down, runs out"
    with pytest.raises(RefusedError, match=message):
        check_wear(block, BODY, load_fabric("soft-tricot"))
    with pytest.raises(RefusedError, match=message):
        inferred_factors(block, BODY)


@pytest.mark.parametrize("waist", [0.0, 0.1, 29.9, 30.0])
def test_a_line_along_an_edge_or_corner_runs_round(waist: float) -> None:
    assert cut_levels(brief(0.0, 0.0, waist)) == ()


def test_without_seams_only_the_fold_tells() -> None:
    """A hollow neck cuts the line off its fold; a sloping side is where it may end."""
    block = replace(brief(1.0, -1.0, 0.5), seams=())
    (cut,) = cut_levels(block)
    assert cut.read_cm == pytest.approx(54.0)
    assert cut_levels(replace(brief(-1.0, -1.0, 0.0), seams=())) == ()


def test_a_whole_piece_runs_from_seam_to_seam() -> None:
    whole = [replace(piece, cut="once") for piece in brief(0.0, 0.0, 5.0).pieces]
    block = replace(brief(0.0, 0.0, 5.0), pieces=tuple(whole))
    # Its second side is sewn to nothing, so the line runs out there.
    assert [one.whole_y for one in cut_levels(block)] == [None, None]
    both = (*block.seams, Seam("front.fold", "back.fold"))
    assert cut_levels(replace(block, seams=both)) == ()


def test_shorts_cut_as_pairs_run_round_above_the_crotch() -> None:
    """The rise is sewn to its own mirror; below it the line goes round two legs."""

    def leg(name: str, half: float) -> Piece:
        spots = [(0.0, 0.0), (half, 0.0), (half + 2, 45.0), (-4.0, 45.0), (-5.0, 26.0)]
        return outlined(name, ("waist", "side", "leg", "inseam", "rise"), spots, "pair")

    seams = (
        Seam("front.side", "back.side"),
        Seam("front.inseam", "back.inseam"),
    )
    shorts = Block(
        name="shorts",
        pieces=(leg("front", 16.0), leg("back", 17.0)),
        levels=(Level("waist", 1.0), Level("hip", 19.0)),
        seams=seams,
    )
    assert cut_levels(shorts) == ()
    hollow = replace(shorts, levels=(Level("waist", -0.5), Level("hip", 19.0)))
    assert [one.level.name for one in cut_levels(hollow)] == []  # it misses all pieces


def test_a_line_through_a_deep_neck_is_told_but_no_other_named() -> None:
    deep = [
        replace(
            half(name, (0, 30.0), (18, 0), (18, 60), (0, 60)),
        )
        for name in ("front", "back")
    ]
    block = replace(
        brief(0.0, 0.0, 5.0), pieces=tuple(deep), levels=(Level("waist", 5.0),)
    )
    (cut,) = cut_levels(block)
    assert cut.whole_y is None
    assert "mark it partly open or open, name the seam there, or keep" in cut.text


def test_drafts_and_shipped_blocks_run_round() -> None:
    for name in ("demo", "en-76", "en-104"):
        assert cut_levels(draft_block(load_body(name))) == ()
    assert cut_levels(load_trace(TRACE).block) == ()


def test_a_hem_that_slants_cuts_the_level_of_a_leg(tmp_path: Path) -> None:
    """Half of a leg on each side: an edge that lies across is no seam to its mirror."""
    path = tmp_path / "leg.csv"
    path.write_text(
        "# name = shorts\n# fold leg = pair\n# level waist = 2\n# level thigh = 40\n"
        "# seam inside leg = leg.inseam front, leg.inseam back\n"
        "# seam rise = leg.rise, leg.rise\n# seam seat = leg.seat, leg.seat\n"
        "piece,edge,point,across,down,hint\n"
        "leg,waist,wf,0,0,\nleg,seat,wb,36,0,\nleg,inseam back,sb,44,26,\n"
        "leg,hem,ab,41,40,\nleg,inseam front,af,0,39.4,\nleg,rise,cf,-4,26,\n",
        encoding="utf-8",
    )
    block = load_trace(path).block
    (cut,) = cut_levels(block)
    assert cut.level.name == "thigh"
    assert cut.whole_cm > cut.read_cm
