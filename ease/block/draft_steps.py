"""The steps of the draft in words, for the figure, the lesson and the manual."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ease.block.draft_points import LEAST_SIDE_CM
from ease.sentence import Length, Sentence

__all__ = ["DRAFT_STEPS", "DraftStep"]


@dataclass(frozen=True, slots=True)
class DraftStep:
    """One step of the construction.

    Attributes:
        number: From 1.
        title: What is drawn.
        what: How it is drawn; it may hold lengths.
        why: The reason.
        at: Piece and point of the block beside which its number stands.
    """

    number: int
    title: str
    what: str
    why: str
    at: tuple[str, str]


DRAFT_STEPS: Final = (
    DraftStep(
        1,
        "Levels",
        "waist at the nape-to-waist length below the nape, hip at waist to hip below it,"
        " bust from nape to waist and bust girth",
        "front and back share the levels, so a girth is read straight across",
        ("front", "waist"),
    ),
    DraftStep(
        2,
        "Widths",
        "half of each girth; the front takes 51.2 % of it at the bust, 50 % at the waist,"
        " 48.8 % at the hip",
        "the bust stands in front and the seat behind; no ease is added",
        ("front", "bust"),
    ),
    DraftStep(
        3,
        "Crotch",
        "the crotch length hangs from the waist: 45 % in front, 55 % behind",
        "behind, the tape goes round the seat",
        ("front", "crotch_centre"),
    ),
    DraftStep(
        4,
        "Shoulder",
        "neck 0.18 of the neck base wide on the half; the shoulder falls by 18 degrees, its"
        " middle level with the nape",
        "a strap then lies on the shoulder as it was measured",
        ("back", "strap_middle"),
    ),
    DraftStep(
        5,
        "Torso loop",
        "strap, bust point, crotch, seat, strap: what the measured loop is longer than this"
        " way goes half to the front, 3/10 to the crotch, 1/5 to the back",
        "the loop runs over bust and seat, off the centre line; it decides the length",
        ("front", "bust_point"),
    ),
    DraftStep(
        6,
        "Neckline and strap ends",
        "depths below the pit of the neck and the nape, strap width at its place on the"
        " shoulder, as chosen",
        "style; the strap ends of front and back are equal",
        ("front", "strap_neck"),
    ),
    DraftStep(
        7,
        "Underarm and leg line",
        Sentence(
            "underarm at the armhole depth, at least {} above the bust; leg line as "
            "chosen",
            Length(LEAST_SIDE_CM),
        ),
        "the bust stays a closed loop of cloth; so does the hip with a low leg",
        ("front", "leg_side"),
    ),
    DraftStep(
        8,
        "Side seam",
        "through all levels, upright at bust, waist and hip where the width turns; the"
        " back's underarm is moved until both seams are equally long",
        "mates must be equal before they are sewn",
        ("back", "waist"),
    ),
    DraftStep(
        9,
        "Neckline curve",
        "square out from the fold, square into the strap end",
        "no peak at the centre, no corner on the shoulder",
        ("front", "neck_centre"),
    ),
    DraftStep(
        10,
        "Armhole",
        "square from the strap end, square into the side seam",
        "front and back run on as one round",
        ("back", "underarm"),
    ),
    DraftStep(
        11,
        "Leg",
        "square from the side seam, square into the crotch seam; the front in one hollow"
        " sweep, the back further out",
        "the front follows the groin, the back covers the seat",
        ("back", "crotch_side"),
    ),
)
