from __future__ import annotations

from dataclasses import replace

import pytest

from ease.block.draft import draft_block
from ease.block.measure import edge_lengths, level_girths
from ease.block.openings import (
    ELASTIC_RATIOS,
    OVERLAP_CM,
    Opening,
    OpeningSection,
    block_openings,
)
from ease.block.pieces import Block, DraftedFor, Piece, Seam
from ease.block.rings import other_openings, unsided_edges
from ease.body.load import load_body
from ease.body.measures import Body
from ease.demo import TRACE
from ease.errors import RefusedError
from ease.files.trace_file import load_trace


@pytest.fixture(scope="module")
def block() -> Block:
    return draft_block(load_body("demo"))


def cut(block: Block, girth: float, length: float) -> Block:
    """The same outline, as if it had been drafted for these factors."""
    return replace(block, drafted_for=DraftedFor(girth, length))


def thigh(block: Block, girth: float) -> Body:
    """The body that a block cut 0.8 of it is for, with a thigh."""
    girths = {name: size / 0.8 for name, size in level_girths(block).items()}
    return Body(name="leg", values={**girths, "thigh": girth})


def _section(name: str, cut: float) -> OpeningSection:
    usual = ELASTIC_RATIOS[name]
    return OpeningSection(name, cut, cut, usual.ratio, usual.ratio, usual.source)


@pytest.mark.parametrize(
    ("front", "back", "elastic", "ring"),
    [(30, 40, 60.0, 61.27), (26, 34, 51.5, 52.77)],
)
def test_published_leg_rule(
    front: float, back: float, elastic: float, ring: float
) -> None:
    # A sewing lesson: front 1 to 1, back 3/4, overlap 1/2 in; worked here from its rule.
    # Source key: leg-elastic
    leg = Opening("leg", (_section("leg front", front), _section("leg back", back)))
    assert sum(part.elastic_cm for part in leg.sections) == pytest.approx(
        elastic, abs=0.01
    )
    assert leg.elastic_cm == pytest.approx(ring, abs=0.01)


def test_worn_stretch_compounds() -> None:
    # (1 + 1/3) (1 + 0.1364) - 1 = 51.5 %, arithmetic on a 12 % reduction.
    back = OpeningSection("leg back", 40.0, 40.0 / 0.88, 0.75, 0.75, "")
    assert back.worn_stretch == pytest.approx(0.515, abs=0.0005)


def test_sections_are_the_edges(block: Block) -> None:
    lengths = edge_lengths(block)
    neck, armhole, leg = block_openings(block)
    assert other_openings(block) == ()
    assert neck.cut_cm == pytest.approx(
        2 * (lengths["front.neckline"] + lengths["back.neckline"])
    )
    assert armhole.cut_cm == pytest.approx(
        lengths["front.armhole"] + lengths["back.armhole"]
    )
    assert leg.cut_cm == pytest.approx(lengths["front.leg"] + lengths["back.leg"])
    assert leg.worn_cm == leg.cut_cm  # at body size
    assert [part.name for part in leg.sections] == ["leg front", "leg back"]
    assert neck.elastic_cm == pytest.approx(0.95 * neck.cut_cm + OVERLAP_CM)


def test_worn_length_undoes_the_factors(block: Block) -> None:
    plain = block_openings(block)
    for whole, made in zip(plain, block_openings(cut(block, 0.8, 0.8)), strict=True):
        assert made.worn_cm == pytest.approx(whole.cut_cm / 0.8)
        assert made.cut_cm == whole.cut_cm


def test_an_edge_is_worn_at_the_girths_of_the_body(block: Block) -> None:
    """At body size it is worn as cut, whatever the block says it was drafted for.

    A waist cut 0.9 of the body and a hip cut 0.75: a straight edge between them is worn
    by what lies between, and the waist of a brief is worn the body's.
    """
    person = load_body("demo")
    wrong = cut(block, 0.8, 1.0)
    slim = replace(person, values={**person.values, "thigh": 40.0})
    for made in block_openings(wrong, slim):
        assert made.worn_cm == pytest.approx(made.cut_cm, rel=1e-6)
    brief = replace(load_trace(TRACE).block, drafted_for=DraftedFor(0.8, 1.0))
    girths = level_girths(brief)
    sizes = {"waist": girths["waist"] / 0.9, "hip": girths["hip"] / 0.75}
    uneven = Body(name="u", values={"bust": 88.0, **sizes})
    _leg, waist = block_openings(brief, uneven)
    assert waist.worn_cm == pytest.approx(waist.cut_cm / 0.9, rel=1e-3)


def test_a_weak_elastic_is_cut_longer(block: Block) -> None:
    leg = block_openings(cut(block, 0.8, 0.9), elastic_stretch=0.3)[2]
    back = leg.sections[1]
    assert back.limited
    assert back.worn_stretch == pytest.approx(0.3)
    assert back.ratio > back.usual_ratio
    strong = block_openings(cut(block, 0.8, 0.9), elastic_stretch=1.0)[2].sections[1]
    assert not strong.limited
    assert strong.ratio == 0.75


def test_stretch_to_pass_a_thigh(block: Block) -> None:
    leg = block_openings(block)[2]
    assert leg.stretch_to_pass(leg.cut_cm * 1.1) == pytest.approx(0.1)
    assert leg.stretch_to_pass(leg.cut_cm - 1) == 0


def test_a_thigh_wider_than_the_edge_stretches_it_further(block: Block) -> None:
    """Worn edge and elastic go up by thigh over edge; a narrow thigh changes nothing."""
    small = cut(block, 0.8, 0.8)
    free = block_openings(small)
    edge = free[2].worn_cm
    *others, leg = block_openings(small, thigh(small, 1.1 * edge), elastic_stretch=2.0)
    assert leg.worn_cm == pytest.approx(1.1 * edge)
    for part, was in zip(leg.sections, free[2].sections, strict=True):
        assert part.cut_cm == was.cut_cm
        assert 1 + part.worn_stretch == pytest.approx(
            1.1 * was.worn_cm / (part.ratio * was.cut_cm)
        )
    assert [one.worn_cm for one in others] == pytest.approx(
        [one.worn_cm for one in free[:2]]
    )
    slim = block_openings(small, thigh(small, 0.9 * edge))
    assert [one.worn_cm for one in slim] == pytest.approx([one.worn_cm for one in free])
    weak = block_openings(small, thigh(small, 1.1 * edge), elastic_stretch=0.5)[2]
    assert max(part.worn_stretch for part in weak.sections) == pytest.approx(0.5)


def test_the_waist_of_a_brief_is_an_opening() -> None:
    """Half pieces on the fold: the waist goes round both halves twice."""
    brief = load_trace(TRACE).block
    lengths = edge_lengths(brief)
    _leg, waist = block_openings(brief)
    assert [part.name for part in waist.sections] == ["waist front", "waist back"]
    assert waist.cut_cm == pytest.approx(
        2 * (lengths["front.waist"] + lengths["back.waist"])
    )
    assert waist.elastic_cm == pytest.approx(0.95 * waist.cut_cm + OVERLAP_CM)
    hip = 1.5 * 0.95 * waist.cut_cm
    assert waist.elastic_stretch_to_pass(hip) == pytest.approx(0.5)
    assert other_openings(brief) == ()
    # A waist that is sewn to another piece is a seam.
    seams = (*brief.seams, Seam("front.waist", "back.waist"))
    assert [one.name for one in block_openings(replace(brief, seams=seams))] == ["leg"]


def _renamed(block: Block, names: dict[str, str]) -> Block:
    def piece(one: Piece) -> Piece:
        edges = tuple(replace(e, name=names.get(e.name, e.name)) for e in one.edges)
        return replace(one, edges=edges)

    return replace(block, pieces=tuple(map(piece, block.pieces)), seams=())


def test_edges_go_by_the_names_that_makers_write(block: Block) -> None:
    wanted = block_openings(block)
    names = {"neckline": "neck", "armhole": "arm", "leg": "Leg"}
    free = replace(block, seams=())
    found = block_openings(_renamed(block, names))
    assert [one.name for one in found] == [one.name for one in wanted]
    for one, same in zip(found, block_openings(free), strict=True):
        assert one.elastic_cm == pytest.approx(same.elastic_cm)


def test_a_whole_piece_has_two_legs() -> None:
    """Each leg is a ring of its own, front and back, at the published ratios."""
    brief = load_trace(TRACE).block
    (leg, _) = block_openings(brief)
    both = []
    for piece in brief.pieces:
        edge = piece.edge("leg")
        others = [e for e in piece.edges if e.name not in ("leg", "crotch")]
        crotch = replace(piece.edge("crotch"), name="leg left")
        both.append(
            replace(
                piece,
                edges=(
                    *others[:2],
                    replace(edge, name="leg right"),
                    crotch,
                    *others[2:],
                ),
            )
        )
    made = block_openings(replace(brief, pieces=tuple(both), seams=()))
    named = {one.name: one for one in made}
    assert named["leg right"].elastic_cm == pytest.approx(leg.elastic_cm)
    assert [part.name for part in named["leg left"].sections] == [
        "leg left front",
        "leg left back",
    ]
    assert named["leg left"].sections[1].usual_ratio == 0.75


def test_a_whole_front_and_a_back_on_the_fold_share_their_rings(block: Block) -> None:
    """The same garment drawn in two ways: each leg is its front and the back."""
    (neck, armhole, leg) = block_openings(replace(block, seams=()))
    front, back = block.pieces
    names = {"leg": "leg left", "armhole": "armhole left", "neckline": "neck left"}
    left = tuple(replace(e, name=names.get(e.name, e.name)) for e in front.edges)
    other = {
        "leg left": "leg right",
        "armhole left": "armhole right",
        "neck left": "neck right",
    }
    right = tuple(
        replace(e, name=other.get(e.name, e.name), start=e.start, end=e.end)
        for e in left
    )
    whole = (
        replace(front, name="front left", edges=left, cut="once"),
        replace(front, name="front right", edges=right, cut="once"),
    )
    made = block_openings(
        replace(block, pieces=(*whole, back), seams=(), holds=(), loop_path=())
    )
    found = {one.name: one for one in made}
    for side in ("left", "right"):
        assert found[f"leg {side}"].elastic_cm == pytest.approx(leg.elastic_cm)
        assert found[f"armhole {side}"].elastic_cm == pytest.approx(armhole.elastic_cm)
    # One ring with one overlap: both fronts once each, the back half twice.
    assert found["neck"].elastic_cm == pytest.approx(neck.elastic_cm)
    assert len(made) == 5


def test_the_side_may_stand_in_the_name_of_a_whole_piece(block: Block) -> None:
    (neck, armhole, leg) = block_openings(replace(block, seams=()))
    front, back = block.pieces
    pieces = tuple(
        replace(piece, name=f"{piece.name} {side}", cut="once")
        for piece in (front, back)
        for side in ("left", "right")
    )
    made = block_openings(
        replace(block, pieces=pieces, seams=(), holds=(), loop_path=())
    )
    found = {one.name: one for one in made}
    assert set(found) == {
        "neck",
        "leg left",
        "leg right",
        "armhole left",
        "armhole right",
    }
    for side in ("left", "right"):
        assert found[f"leg {side}"].cut_cm == pytest.approx(leg.cut_cm)
        assert found[f"leg {side}"].elastic_cm == pytest.approx(leg.elastic_cm)
        assert found[f"armhole {side}"].elastic_cm == pytest.approx(armhole.elastic_cm)
        parts = [part.name for part in found[f"leg {side}"].sections]
        assert parts == [f"leg front {side}", f"leg back {side}"]
    assert found["neck"].elastic_cm == pytest.approx(neck.elastic_cm)
    assert (
        unsided_edges(replace(block, pieces=pieces, seams=(), holds=(), loop_path=()))
        == ()
    )
    plain = tuple(replace(one, name=f"p{i}") for i, one in enumerate(pieces))
    nameless = replace(block, pieces=plain, seams=(), holds=(), loop_path=())
    assert len(unsided_edges(nameless)) == 8
    assert unsided_edges(block) == ()


def test_a_lining_is_in_no_opening(block: Block) -> None:
    lining = replace(block.pieces[0], name="lining", in_girth=False)
    lined = replace(block, pieces=(*block.pieces, lining))
    assert block_openings(lined) == block_openings(block)
    assert other_openings(lined) == ()
    # A gusset is sewn in, and its part of the leg edge counts.
    gusset = replace(lining, name="gusset")
    seams = (*block.seams, Seam("gusset.crotch", "front.crotch"))
    sewn = replace(block, pieces=(*block.pieces, gusset), seams=seams)
    legs = {one.name: one for one in block_openings(sewn)}
    assert "leg gusset" in [part.name for part in legs["leg"].sections]


def test_a_side_panel_takes_what_front_and_back_take(block: Block) -> None:
    pieces = (replace(block.pieces[0], name="side"),)
    (neck, armhole, leg) = block_openings(
        replace(block, pieces=pieces, seams=(), holds=(), loop_path=())
    )
    assert neck.sections[0].usual_ratio == armhole.sections[0].usual_ratio == 0.95
    # For a leg the lesson tells front and back alone.
    assert leg.sections[0].usual_ratio == 1.0


def test_a_free_edge_of_another_name_is_named(block: Block) -> None:
    def renamed(piece: Piece) -> Piece:
        edges = [replace(e, name="slit") if e.name == "leg" else e for e in piece.edges]
        return replace(piece, edges=tuple(edges))

    slit = replace(block, pieces=tuple(map(renamed, block.pieces)))
    assert other_openings(slit) == ("front.slit", "back.slit")
    assert [one.name for one in block_openings(slit)] == ["neck", "armhole"]


def test_the_stretch_of_the_elastic_must_be_above_zero(block: Block) -> None:
    with pytest.raises(RefusedError):
        block_openings(block, elastic_stretch=0.0)
