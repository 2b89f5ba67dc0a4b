"""Every measure of a body: what it is, to which landmark, and how to take it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

__all__ = [
    "KEYS",
    "MEASURES",
    "NEEDED",
    "OTHER_NAMES",
    "WAIST_LINE",
    "Kind",
    "Measure",
    "key_of",
]

Kind = Literal["girth", "length", "weight"]

WAIST_LINE: Final = (
    "natural waist: half way between the lowest rib and the top of the hip bone, at the"
    " side; tie a tape there and leave it tied while every other measure is taken"
)
# The three girths that no other measure can stand in for. Hip given bust has a spread
# of about 5.5 cm, so neither is filled in from the other. Source key: ansur-2012.
NEEDED: Final = ("bust", "waist", "hip")


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure of the body.

    Attributes:
        key: Name in files.
        title: Name on screen.
        kind: Girth, length, or weight.
        definition: What it is, with its landmarks.
        how: How to take it.
        lowest: Least value that is accepted, cm (kg for the weight).
        highest: Greatest value that is accepted.
    """

    key: str
    title: str
    kind: Kind
    definition: str
    how: str
    lowest: float
    highest: float


_TABLE: Final = (
    Measure(
        "bust", "bust", "girth",
        "horizontal girth at the fullest part of the bust",
        "over the bra or nothing, tape level all round, breathing quietly",
        55, 180,
    ),
    Measure(
        "high_bust", "high bust", "girth",
        "girth under the arms and above the breast",
        "tape high in the armpits, level at the back",
        55, 170,
    ),
    Measure(
        "underbust", "underbust", "girth",
        "horizontal girth just below the breast",
        "tape level, snug, breathing out",
        50, 160,
    ),
    Measure(
        "waist", "waist", "girth",
        "horizontal girth at the tied waist line",
        "tie the tape first; do not draw the stomach in; not at the navel",
        45, 180,
    ),
    Measure(
        "hip", "hip", "girth",
        "horizontal girth at the fullest part of the seat",
        "feet together, tape level, looked at from the side",
        60, 190,
    ),
    Measure(
        "thigh", "thigh", "girth",
        "girth of one thigh at the fold under the seat, square to the leg",
        "weight on both feet, feet a little apart",
        35, 110,
    ),
    Measure(
        "stature", "height", "length",
        "floor to the top of the head",
        "barefoot, back to a wall, a book flat on the head",
        120, 215,
    ),
    Measure(
        "weight_kg", "weight", "weight",
        "body mass in kg; nothing is drafted from it",
        "bathroom scale",
        25, 250,
    ),
    Measure(
        "nape_to_waist", "nape to waist", "length",
        "nape bone (the bump at the base of the neck) down the spine to the waist line",
        "bend the head to find the bone, then stand straight",
        27, 56,
    ),
    Measure(
        "front_neck_to_waist", "front neck to waist", "length",
        "pit of the neck (top of the breastbone) down the centre to the waist line",
        "tape straight down, not pressed in between the breasts",
        22, 52,
    ),
    Measure(
        "waist_to_hip", "waist to hip", "length",
        "waist line down to the level of the hip girth, at the side",
        "leave the hip tape in place and read the drop between the two tapes",
        9, 33,
    ),
    Measure(
        "body_rise", "body rise", "length",
        "vertical drop from the waist line to the crotch, standing",
        "ruler held level up between the legs; waist height less inside leg",
        15, 38,
    ),
    Measure(
        "crotch_length", "crotch length", "length",
        "front waist line, between the legs, to the back waist line",
        "tape close to the skin, not pulled in",
        45, 110,
    ),
    Measure(
        "torso_loop", "torso loop", "length",
        "closed loop: middle of the shoulder, over the bust, through the crotch,"
        " over the fullest part of the seat, up to the same shoulder",
        "a second person helps; tape snug and not tight; take it three times",
        110, 220,
    ),
    Measure(
        "back_width", "back width", "length",
        "across the back over the skin, half way between shoulder and armpit, from"
        " armhole to armhole",
        "arms hanging",
        24, 60,
    ),
    Measure(
        "shoulder", "shoulder length", "length",
        "side of the neck to the tip of the shoulder bone",
        "along the top of the shoulder",
        8, 21,
    ),
    Measure(
        "neck_base", "neck base", "girth",
        "girth round the base of the neck, through the pit of the neck and the nape",
        "tape on its edge, or a thin chain that lies by itself",
        25, 60,
    ),
    Measure(
        "armscye_depth", "armhole depth", "length",
        "nape down the spine to the level of a strip held up under both arms",
        "paper strip under the arms, level across the back",
        11, 30,
    ),
    Measure(
        "bust_point_distance", "bust point distance", "length",
        "from one bust point to the other",
        "straight, in the bra or cups that will be worn",
        10, 36,
    ),
    Measure(
        "shoulder_girth", "shoulder girth", "girth",
        "horizontal girth round both shoulders and arms at their widest",
        "arms hanging",
        70, 180,
    ),
)  # fmt: skip

MEASURES: Final[Mapping[str, Measure]] = MappingProxyType({m.key: m for m in _TABLE})
KEYS: Final = tuple(MEASURES)
_BY_TITLE: Final = {m.title.replace(" ", "_"): m.key for m in _TABLE}
# Names on screen that are no keys, as a file may write them.
OTHER_NAMES: Final = tuple(name for name in _BY_TITLE if name not in MEASURES)


def key_of(text: str) -> str:
    """Return the key of a measure written by its key or by its name on screen.

    Args:
        text: In small letters or capitals, with spaces, hyphens or underscores.

    Returns:
        The key; the text in that form where no measure is named so.

    Examples:
        >>> key_of("Nape to waist"), key_of("height"), key_of("weight")
        ('nape_to_waist', 'stature', 'weight_kg')
    """
    bare = "_".join(text.lower().replace("-", " ").replace("_", " ").split())
    return _BY_TITLE.get(bare, bare)
