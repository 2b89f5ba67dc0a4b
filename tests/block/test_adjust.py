from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from ease.block.adjust import adjust_block
from ease.block.curves import evaluate
from ease.block.follow import follow_ends
from ease.block.image import DEVIATION_CM, BlockMap
from ease.block.measure import girth_at
from ease.block.pieces import Block, DraftedFor, Hold, Level, PointRef, line
from ease.errors import RefusedError

FloatArray = NDArray[np.float64]
RATIO = st.floats(0.6, 1.6)
BY_LEVEL = {"bust": 0.8, "waist": 0.85, "hip": 0.82, "leg": 1.0}


def largest_gap(one: Block, other: Block) -> float:
    gaps = [
        np.abs(a.control - b.control).max()
        for p, q in zip(one.pieces, other.pieces, strict=True)
        for a, b in zip(p.edges, q.edges, strict=True)
    ]
    gaps += [
        np.abs(np.subtract(p.marks[name], q.marks[name])).max()
        for p, q in zip(one.pieces, other.pieces, strict=True)
        for name in p.marks
    ]
    gaps += [abs(a.y - b.y) for a, b in zip(one.levels, other.levels, strict=True)]
    return float(max(gaps))


def hold(first: str, second: str) -> Hold:
    one, other = (PointRef(*text.split(".")) for text in (first, second))
    return Hold(f"{first} to {second}", one, other)


def affine(block: Block, girth_ratio: float, length_ratio: float) -> list[FloatArray]:
    y = block.level(block.anchor).y
    return [
        (e.control - [0, y]) * [girth_ratio, length_ratio] + [0, y]
        for piece in block.pieces
        for e in piece.edges
    ]


def test_factor_one_is_the_identity(hand_block: Block) -> None:
    result = adjust_block(hand_block, 1.0, 1.0, true=False)
    assert largest_gap(hand_block, result.after) < 1e-12
    assert result.after.drafted_for == hand_block.drafted_for


@given(girth_ratio=RATIO, length_ratio=RATIO)
def test_there_and_back_returns_the_start(
    hand_block: Block, girth_ratio: float, length_ratio: float
) -> None:
    there = adjust_block(hand_block, girth_ratio, length_ratio, true=False).after
    back = adjust_block(there, 1 / girth_ratio, 1 / length_ratio, true=False).after
    assert largest_gap(hand_block, back) < 1e-9


CHAINS = {
    "two that share a point": [
        hold("front.strap_in", "front.strap_out"),
        hold("front.strap_out", "front.strap_mid"),
    ],
    "a ring": [
        hold("front.strap_in", "front.strap_out"),
        hold("front.strap_out", "front.bust_point"),
        hold("front.bust_point", "front.strap_in"),
    ],
    "two points on the fold": [
        hold("front.neck_centre", "front.strap_in"),
        hold("front.strap_in", "front.crotch_centre"),
    ],
    "the centre front": [hold("front.neck_centre", "front.crotch_centre")],
    "both ends of a curved chain": [hold("front.underarm", "front.leg_side")],
    "a distance between two pieces": [hold("front.strap_out", "back.strap_in")],
    "one distance twice": [
        hold("front.strap_in", "front.strap_out"),
        hold("front.strap_out", "front.strap_in"),
    ],
}


@pytest.mark.parametrize("holds", CHAINS.values(), ids=CHAINS)
def test_holds_that_hang_together_hold_and_lead_back(
    hand_block: Block, holds: list[Hold]
) -> None:
    block = replace(hand_block, holds=tuple(holds))
    result = adjust_block(block, 0.85, 1.1, true=False)
    for change in result.holds:
        assert change.after_cm == pytest.approx(change.before_cm, abs=1e-9)
    for name in ("neck_centre", "crotch_centre"):
        assert result.after.point(PointRef("front", name))[0] == 0
    back = adjust_block(result.after, 1 / 0.85, 1 / 1.1, true=False).after
    assert largest_gap(block, back) < 1e-9


@given(girth_ratio=RATIO, length_ratio=RATIO)
def test_without_holds_it_is_the_affine_image(
    hand_block: Block, girth_ratio: float, length_ratio: float
) -> None:
    block = replace(hand_block, holds=())
    after = adjust_block(block, girth_ratio, length_ratio, true=False).after
    fresh = [e.control for piece in after.pieces for e in piece.edges]
    for control, image in zip(
        fresh, affine(block, girth_ratio, length_ratio), strict=True
    ):
        np.testing.assert_allclose(control, image, rtol=0, atol=1e-12)


@given(girth_ratio=RATIO, length_ratio=RATIO)
def test_girths_scale_by_the_ratio(
    hand_block: Block, girth_ratio: float, length_ratio: float
) -> None:
    block = replace(hand_block, holds=())
    result = adjust_block(block, girth_ratio, length_ratio, true=False)
    for change in result.girths:
        assert change.after_cm == pytest.approx(change.before_cm * girth_ratio)


def test_lengths_down_scale_by_the_length_ratio(hand_block: Block) -> None:
    result = adjust_block(replace(hand_block, holds=()), 1.0, 1.04, true=False)
    changes = {change.name: change for change in result.lengths}
    assert changes["front.centre"].after_cm == pytest.approx(65 * 1.04)
    assert next(iter(changes)) == "torso loop"
    assert len(changes) == 15


@given(girth_ratio=st.floats(0.7, 1.2), length_ratio=st.floats(0.9, 1.1))
def test_mates_agree_and_holds_stay(
    hand_block: Block, girth_ratio: float, length_ratio: float
) -> None:
    result = adjust_block(hand_block, girth_ratio, length_ratio)
    for seam in result.seams:
        assert abs(seam.after_cm) < 1e-6
    for change in result.holds:
        assert change.after_cm == pytest.approx(change.before_cm, abs=1e-9)


def test_cm_and_inch_blocks_change_alike(hand_block: Block) -> None:
    inch = 2.54

    def scaled(block: Block, factor: float) -> Block:
        pieces = []
        for piece in block.pieces:
            edges = [replace(e, control=e.control * factor) for e in piece.edges]
            marks = {n: (x * factor, y * factor) for n, (x, y) in piece.marks.items()}
            pieces.append(replace(piece, edges=tuple(edges), marks=marks))
        levels = [replace(level, y=level.y * factor) for level in block.levels]
        return replace(block, pieces=tuple(pieces), levels=tuple(levels))

    direct = adjust_block(hand_block, 0.82, 1.02, true=False).after
    through = adjust_block(scaled(hand_block, 1 / inch), 0.82, 1.02, true=False).after
    assert largest_gap(direct, scaled(through, inch)) < 1e-9


def test_the_seams_tell_what_truing_found_and_did(hand_block: Block) -> None:
    result = adjust_block(hand_block, 0.82, 1.03)
    side = result.seams[0]
    assert side.edges == ("front.side", "back.side")
    untrued = adjust_block(hand_block, 0.82, 1.03, true=False)
    assert side.mapped_cm == untrued.seams[0].after_cm != 0
    assert side.before_cm == pytest.approx(-0.057, abs=0.001)
    corners = [
        {f"{p.name}.{e.start}": p.point(e.start) for p in b.pieces for e in p.edges}
        for b in (result.after, untrued.after)
    ]
    moved = {
        name for name, at in corners[0].items() if np.abs(at - corners[1][name]).any()
    }
    assert moved == {
        "front.underarm",
        "front.leg_side",
        "back.underarm",
        "back.leg_side",
    }


def test_each_level_takes_its_own_ratio(hand_block: Block) -> None:
    result = adjust_block(
        replace(hand_block, holds=()), 0.8, 1.02, level_ratios=BY_LEVEL, true=False
    )
    for change in result.girths:
        # Four half widths (two pieces, twice) each within the deviation allowed.
        assert change.after_cm == pytest.approx(
            change.before_cm * BY_LEVEL[change.name], abs=4 * DEVIATION_CM
        )
    trued = adjust_block(hand_block, 0.8, 1.02, level_ratios=BY_LEVEL)
    assert max(abs(seam.after_cm) for seam in trued.seams) < 1e-6


def test_a_level_without_a_ratio_keeps_the_common_one(hand_block: Block) -> None:
    result = adjust_block(hand_block, 0.8, 1.0, level_ratios={"leg": 1.0}, true=False)
    by_name = {change.name: change for change in result.girths}
    waist = by_name["waist"]
    assert waist.after_cm == pytest.approx(0.8 * waist.before_cm, rel=5e-4)


def test_equal_ratios_at_every_level_are_the_plain_adjustment(
    hand_block: Block,
) -> None:
    plain = adjust_block(hand_block, 0.8, 1.02).after
    levels = dict.fromkeys(BY_LEVEL, 0.8)
    assert largest_gap(
        plain, adjust_block(hand_block, 0.8, 1.02, level_ratios=levels).after
    ) == pytest.approx(0, abs=1e-12)


def test_ratios_join_smoothly_and_stay_between_their_neighbours() -> None:
    heights = np.array([20.0, 37.0, 57.0, 70.0])
    ratios = np.array([0.8, 0.85, 0.82, 1.0])
    change = BlockMap(37.0, 1.0, heights, ratios)
    y = np.linspace(0, 90, 9001)
    g, slope = change.girth_ratio(y)
    np.testing.assert_allclose(change.girth_ratio(heights)[0], ratios, atol=1e-12)
    np.testing.assert_array_equal(g[y <= 20], 0.8)
    np.testing.assert_allclose(g[y >= 70], 1.0, atol=1e-12)
    np.testing.assert_allclose(np.gradient(g, y), slope, atol=1e-4)  # no step in slope
    for i in range(3):
        part = g[(y >= heights[i]) & (y <= heights[i + 1])]
        assert (np.diff(part) * np.sign(ratios[i + 1] - ratios[i]) >= -1e-15).all()


def test_the_image_by_levels_is_met_within_the_deviation() -> None:
    change = BlockMap(37.0, 1.03, np.array([20.0, 37.0, 70.0]), np.array([0.7, 0.9, 1]))
    cubic = np.array([[[22.0, 10], [18, 30], [30, 50], [24, 80]]])
    image, straight, before = change.chain(cubic, (False,))
    assert len(image) == len(before) == len(straight) > 1
    t = np.linspace(0, 1, 101)
    true = change.points(evaluate(before[:, None], t))
    off = evaluate(image[:, None], t) - true
    assert np.hypot(off[..., 0], off[..., 1]).max() < 1.5 * DEVIATION_CM
    upright, flags, _ = change.chain(line((0, 10), (0, 80))[None], (True,))
    assert flags == (True,)
    assert (upright[..., 0] == 0).all()
    slanted, flags, _ = change.chain(line((20, 10), (25, 80))[None], (True,))
    assert not any(flags)
    assert len(slanted) > 1


def test_lines_within_a_curved_chain_stay_lines_and_run_on_smoothly() -> None:
    curve = np.array([[0.0, 0], [2, 0], [4, 1], [4, 3]])
    chain = np.array([curve, line((4, 3), (4, 8))])
    moved = follow_ends(chain, chain, (False, True), (1.0, 0.0), (4.5, 9.0))
    np.testing.assert_allclose(moved[0, 0], [1, 0])
    np.testing.assert_allclose(moved[1, 3], [4.5, 9.0])
    assert moved[1, 3, 0] == moved[1, 0, 0]  # still upright
    np.testing.assert_allclose(moved[0, 3, 0], moved[0, 2, 0])  # reached upright
    np.testing.assert_allclose(moved[0, 1, 1], moved[0, 0, 1])  # left level


def test_a_chain_of_lines_shares_by_length() -> None:
    chain = np.array([line((0, 0), (3, 0)), line((3, 0), (4, 0))])
    moved = follow_ends(chain, chain, (True, True), (0.0, 0.0), (4.0, 0.4))
    assert moved[0, 3, 1] == pytest.approx(0.3, abs=0.01)
    np.testing.assert_allclose(moved[0], line((0, 0), tuple(moved[0, 3])))


@pytest.mark.parametrize("ratio", [0.0, -1.0, float("nan"), float("inf"), 0.29, 3.1])
@pytest.mark.parametrize("which", ["girth ratio", "length ratio", "level 'hip'"])
def test_absurd_ratios_are_refused_by_name(
    hand_block: Block, ratio: float, which: str
) -> None:
    girth_ratio = ratio if which == "girth ratio" else 1.0
    length_ratio = ratio if which == "length ratio" else 1.0
    own = {"hip": ratio} if "hip" in which else None
    with pytest.raises(RefusedError, match=rf"{which} must lie within 0\.3 to 3"):
        adjust_block(hand_block, girth_ratio, length_ratio, level_ratios=own)


def test_unknown_and_contradictory_levels_are_refused(hand_block: Block) -> None:
    with pytest.raises(RefusedError, match="no level 'chest'"):
        adjust_block(hand_block, 0.8, 1.0, level_ratios={"chest": 0.9})
    twin = replace(hand_block, levels=(*hand_block.levels, Level("seat", 57.0)))
    with pytest.raises(RefusedError, match="two levels at y = 57 cm"):
        adjust_block(twin, 0.8, 1.0, level_ratios={"seat": 0.9})


def test_an_outline_that_a_hold_makes_cross_is_refused(hand_block: Block) -> None:
    block = replace(hand_block, holds=(hold("front.neck_centre", "front.strap_in"),))
    with pytest.raises(
        RefusedError, match=r"piece 'front' crosses itself after the ad"
    ):
        adjust_block(block, 0.5, 0.5)
    block = replace(hand_block, holds=(hold("front.strap_out", "front.leg_side"),))
    with pytest.raises(
        RefusedError, match="piece front: edge 'strap' runs past its fold"
    ):
        adjust_block(block, 0.9, 0.35)


def test_the_factors_it_was_drafted_for_are_carried_on(hand_block: Block) -> None:
    own = DraftedFor(0.9, None, "soft", "Ada", (("hip", 0.95),))
    block = replace(hand_block, drafted_for=own)
    after = adjust_block(block, 0.8, 1.1, level_ratios={"hip": 0.9}).after
    assert after.drafted_for.girth_factor == pytest.approx(0.72)
    assert after.drafted_for.length_factor is None
    assert after.drafted_for.fabric == ""
    assert dict(after.drafted_for.level_factors) == pytest.approx({"hip": 0.855})


def test_levels_move_with_the_block(hand_block: Block) -> None:
    result = adjust_block(hand_block, 0.8, 1.1)
    assert result.after.level("waist").y == 37.0
    assert result.after.level("hip").y == pytest.approx(37 + 1.1 * 20)
    assert girth_at(result.after, result.after.level("hip").y) > 0
