from __future__ import annotations

from itertools import product

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ease.block.curves import flatten
from ease.block.draft import draft_block, draft_blocks
from ease.block.draft_report import report_draft
from ease.block.measure import girth_at, level_girths, outline, torso_loop, walk_seams
from ease.block.pieces import Block
from ease.block.styles import STYLE_RANGE, Style
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.errors import RefusedError

EXTREMES = [
    f"en-{bust}{tall}"
    for bust, tall in product((76, 92, 110, 128), ("-short", "", "-long"))
]


def _tangent(block: Block, edge: str, end: int) -> np.ndarray:
    control = block.edge(edge).control
    way = control[0, 1] - control[0, 0] if end == 0 else control[-1, 3] - control[-1, 2]
    return np.asarray(way / np.hypot(*way))


@pytest.mark.parametrize("name", ["demo", *EXTREMES])
def test_exact_by_construction(name: str) -> None:
    body = complete(load_body(name))
    block = draft_block(body)
    girths = level_girths(block)
    for level in ("bust", "waist", "hip"):
        assert girths[level] == pytest.approx(body[level], abs=1e-9)
        assert block.level(level).loop == "closed"
    assert torso_loop(block) == pytest.approx(body["torso_loop"], abs=1e-6)
    for seam in walk_seams(block):
        assert abs(seam.difference_cm) < 1e-9
    assert block.drafted_for.body == name
    assert (block.drafted_for.girth_factor, block.drafted_for.length_factor) == (
        1.0,
        1.0,
    )


@pytest.mark.parametrize("name", ["demo", *EXTREMES])
def test_outlines_are_simple(name: str) -> None:
    block = draft_block(load_body(name))
    for piece in block.pieces:
        polygon = shapely.Polygon(flatten(outline(piece)))
        assert polygon.is_valid
        assert polygon.area > 500


@pytest.mark.parametrize("leg_height", [-1.0, 0.0, 6.0, 12.0])
def test_curves_meet_folds_and_seams_square(leg_height: float) -> None:
    block = draft_block(load_body("demo"), Style(leg_height=leg_height))
    for side in ("front", "back"):
        assert _tangent(block, f"{side}.neckline", 0) == pytest.approx([1, 0])
        assert _tangent(block, f"{side}.leg", 1) == pytest.approx([0, 1])
        for first, second in (
            ("neckline", "strap"),
            ("strap", "armhole"),
            ("armhole", "side"),
            ("side", "leg"),
            ("leg", "crotch"),
            ("crotch", f"centre_{side}"),
            (f"centre_{side}", "neckline"),
        ):
            end, start = (
                _tangent(block, f"{side}.{e}", i) for e, i in ((first, 1), (second, 0))
            )
            assert end @ start == pytest.approx(0, abs=1e-9), (side, first, second)


def test_edges_run_on_smoothly_inside() -> None:
    block = draft_block(load_body("demo"))
    for piece in block.pieces:
        for edge in piece.edges:
            ends = edge.control[:-1, 3] - edge.control[:-1, 2]
            starts = edge.control[1:, 1] - edge.control[1:, 0]
            for end, start in zip(ends, starts, strict=True):
                turn = end[0] * start[1] - end[1] * start[0]
                assert abs(turn) < 1e-9 * np.hypot(*end) * np.hypot(*start) + 1e-9
                assert end @ start > 0


def test_side_seam_never_swings_past_its_knots() -> None:
    block = draft_block(load_body("demo"))
    heights = np.linspace(block.level("bust").y, block.level("hip").y, 200)
    girths = girth_at(block, heights)
    assert girths.max() <= 96 + 1e-9
    assert girths.min() >= 70 - 1e-9


def test_loops_follow_the_openings() -> None:
    body = load_body("demo")

    def loops(**choices: float) -> list[str]:
        return [level.loop for level in draft_block(body, Style(**choices)).levels]

    assert loops() == ["closed", "closed", "closed"]
    assert loops(leg_height=0.0) == ["closed", "closed", "open"]
    assert loops(leg_height=6.0) == ["closed", "closed", "open"]
    assert loops(back_scoop=20.0) == ["partly", "closed", "closed"]
    assert loops(back_scoop=33.0) == ["partly", "partly", "closed"]
    assert loops(back_scoop=20.0, neck_front=18.0) == ["open", "closed", "closed"]


def test_style_choices_are_on_the_block() -> None:
    choices = Style(strap_width=2.5, crotch_width=8.0, neck_front=10.0, side_height=5.0)
    block = draft_block(load_body("demo"), choices)
    front = block.piece("front")
    strap = front.point("strap_arm") - front.point("strap_neck")
    assert np.hypot(*strap) == pytest.approx(2.5)
    assert front.point("crotch_side")[0] == pytest.approx(4.0)
    pit = block.level("waist").y - load_body("demo")["front_neck_to_waist"]
    assert front.point("neck_centre")[1] == pytest.approx(pit + 10)
    assert block.level("bust").y - front.point("underarm")[1] == pytest.approx(5)
    names = [hold.name for hold in block.holds]
    assert names == [
        f"{side} {what} width"
        for side in ("front", "back")
        for what in ("strap", "crotch")
    ]


def test_a_longer_loop_lengthens_nothing_but_length() -> None:
    values = dict(load_body("demo").values)
    short, long = (
        draft_block(Body(name="b", values=values | {"torso_loop": loop}))
        for loop in (152.0, 160.0)
    )
    assert level_girths(short) == pytest.approx(level_girths(long))
    raised = (
        short.piece("front").point("strap_middle")[1]
        - (long.piece("front").point("strap_middle")[1])
    )
    assert 3.5 < raised < 4.5  # half of the 8 cm goes to the front


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"torso_loop": 112.0}, "no loop over them is that short"),
        ({"torso_loop": 125.0}, "torso_loop 125.0 cm does not go with nape_to_waist 41.0"),
        ({"torso_loop": 200.0}, "torso_loop 200.0 cm does not go with"),
        ({"waist_to_hip": 30.0, "body_rise": 32.0}, "hip level lies only"),
        ({"bust_point_distance": 36.0, "bust": 70.0}, "bust_point_distance 36.0 cm is too"),
        ({"armscye_depth": 11.0, "torso_loop": 145.0, "shoulder": 20.0}, "armhole is only"),
    ],
)  # fmt: skip
def test_impossible_bodies_are_refused_by_name(
    changes: dict[str, float], words: str
) -> None:
    values = dict(load_body("demo").values) | changes
    with pytest.raises(RefusedError) as caught:
        draft_block(Body(name="b", values=values))
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("choices", "words"),
    [
        (
            {"leg_height": 19.0},
            "leg height 19.0 cm brings the leg line to 1.0 cm below the waist",
        ),
        ({"strap_width": 9.0, "strap_place": 0.9}, "past the underarm"),
        ({"neck_back": 0.5}, "back neckline only"),
    ],
)
def test_impossible_styles_are_refused_by_name(
    choices: dict[str, float], words: str
) -> None:
    with pytest.raises(RefusedError) as caught:
        draft_block(load_body("demo"), Style(**choices))
    assert words in str(caught.value)


def test_a_strap_that_reaches_the_centre_is_refused() -> None:
    values = dict(load_body("demo").values) | {"neck_base": 27.0}
    style = Style(strap_width=9.0, strap_place=0.1)
    with pytest.raises(RefusedError, match=r"comes within 1\.\d cm of the centre line"):
        draft_block(Body(name="b", values=values), style)


def test_a_style_out_of_range_names_every_choice() -> None:
    with pytest.raises(RefusedError) as caught:
        Style(leg_height=50, strap_width=float("nan"))
    assert "leg height 50 cm" in str(caught.value)
    assert "strap width nan" in str(caught.value)


@settings(max_examples=60, deadline=None)
@given(
    st.fixed_dictionaries(
        {
            name: st.floats(*STYLE_RANGE[name])
            for name in (
                "neck_front",
                "neck_back",
                "back_scoop",
                "strap_width",
                "strap_place",
            )
        }
    ),
    st.floats(*STYLE_RANGE["leg_height"]),
    st.sampled_from(["demo", *EXTREMES]),
)
def test_any_style_is_drafted_exactly_or_refused(
    choices: dict[str, float], leg_height: float, name: str
) -> None:
    body = complete(load_body(name))
    try:
        block = draft_block(body, Style(**choices, leg_height=leg_height))
    except RefusedError:
        return
    report = report_draft(block, body)
    assert report.passed, report.notes()
    for piece in block.pieces:
        assert shapely.Polygon(flatten(outline(piece))).is_valid


def test_many_at_once_are_the_same_as_one_by_one() -> None:
    bodies = [complete(load_body(name)) for name in EXTREMES]
    keys = [key for key in bodies[0].values if all(key in body for body in bodies)]
    drafts = draft_blocks({key: [body[key] for body in bodies] for key in keys})
    assert len(drafts) == len(bodies)
    for row, body in enumerate(bodies):
        one, many = draft_block(body), drafts.block(row)
        for piece in one.pieces:
            for edge in piece.edges:
                other = many.piece(piece.name).edge(edge.name)
                assert np.abs(edge.control - other.control).max() < 1e-8


def test_report_tells_by_how_much_the_thigh_does_not_pass() -> None:
    body = complete(load_body("demo"))
    report = report_draft(draft_block(body), body)
    gap = body["thigh"] - report.leg_opening_cm
    assert gap > 0
    assert any(
        f"{gap:.1f} cm smaller than the thigh" in note for note in report.notes()
    )
    high = report_draft(draft_block(body, Style(leg_height=9)), body)
    assert high.leg_opening_cm > body["thigh"]
    assert high.leg_stretch == 0
    assert not any("thigh" in note for note in high.notes())
