"""What a toile kept in a fabric's profile says of a block that is cut in it.

A ratio r is the worn length of the cloth over the length that block and body let expect,
``1 + e_worn = r (1 + e)``, so that a block worn e by the swatch is worn

    e_worn = r (1 + e) - 1

by the toile, and its factor is to be multiplied by r to be worn e (``ease.fit.toile``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ease.block.check import WearCheck
from ease.block.earlier_toiles import toiled_ways
from ease.block.pieces import DraftedFor, Toiled
from ease.block.plan import Factors
from ease.fabric.evidence import Evidence, WornRatio, newest_clear
from ease.fabric.profile import DirectionName, Fabric
from ease.units import percent_text

__all__ = [
    "ToileMove",
    "WornOtherwise",
    "cut_by_swatch",
    "left_behind",
    "toile_moves",
    "with_toiles",
    "worn_otherwise",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class WornOtherwise:
    """The strain of one direction by a worn garment, beside the one by the swatch.

    Attributes:
        evidence: The garment.
        cloth: Direction of the cloth.
        way: ``round`` or ``down`` the body.
        ratio: Worn length of the cloth over the length predicted.
        by_swatch: Worn strain as predicted, by level; ``length`` down the body.
        by_toile: The same by the garment.
    """

    evidence: Evidence
    cloth: DirectionName
    way: str
    ratio: WornRatio
    by_swatch: Mapping[str, float]
    by_toile: Mapping[str, float]

    @property
    def text(self) -> str:
        """A note with both strains of every level."""
        strains = ", ".join(
            f"{percent_text(worn)} %{'' if name == 'length' else f' at the {name}'} "
            f"({percent_text(self.by_swatch[name])} % by the swatch)"
            for name, worn in self.by_toile.items()
        )
        return (
            f"{_lay(self.evidence, self.cloth, self.ratio)}: by that the strain "
            f"{self.way} is {strains}; pressure, pull and verdict here go by the swatch"
        )


def worn_otherwise(check: WearCheck) -> tuple[WornOtherwise, ...]:
    """Return how far a block is worn by what worn garments have shown of its cloth.

    The newest garment that clearly lay otherwise counts, across and along.

    Args:
        check: The block on a body, by the swatch.
    """
    sizes = check.sizes
    names = (level.name for level in check.levels)
    predicted = {
        "round": dict(zip(names, map(float, sizes.strain), strict=True)),
        "down": {"length": float(sizes.length_strain)} if sizes.length_known else {},
    }
    found = []
    for cloth, (evidence, ratio) in newest_clear(check.fabric.evidence).items():
        way = "round" if cloth == check.round_body else "down"
        if (strains := predicted[way]) and ratio.differs:
            found.append(
                WornOtherwise(
                    evidence=evidence,
                    cloth=cloth,
                    way=way,
                    ratio=ratio,
                    by_swatch=strains,
                    by_toile={
                        name: ratio.ratio * (1.0 + strain) - 1.0
                        for name, strain in strains.items()
                    },
                )
            )
    return tuple(sorted(found, key=lambda one: one.way, reverse=True))


@dataclass(frozen=True, slots=True)
class ToileMove:
    """By what a factor is multiplied for a block to be worn as toiles ask of its cloth.

    Attributes:
        way: ``round`` or ``down`` the body.
        ratio: What the factor is multiplied by.
        text: What the toile showed.
    """

    way: str
    ratio: float
    text: str


def toile_moves(
    drafted_for: DraftedFor, fabric: Fabric, round_body: str
) -> tuple[ToileMove, ...]:
    """Return what toiles ask of a block that is cut in a fabric.

    What the cloth clearly did goes with the fabric, or with a block that was corrected
    for it. What a toile found of the wearer is no matter of the cloth: see
    ``ease.block.earlier_toiles``.

    Args:
        drafted_for: What the block was drafted for.
        fabric: The fabric.
        round_body: Cloth direction that goes round the body.
    """
    newest = newest_clear(fabric.evidence)
    ways = toiled_ways(drafted_for, round_body)
    own = dict(zip(("round", "down"), ways, strict=True))
    same = fabric.name == drafted_for.fabric
    kept = {"round" if c == round_body else "down": (c, *newest[c]) for c in newest}
    moves = []
    for way in own:
        if way in kept:
            cloth, evidence, ratio = kept[way]
            if ratio.differs:
                text = _lay(evidence, cloth, ratio)
                moves.append(ToileMove(way, ratio.ratio, text))
        elif same and own[way] != 1.0:
            text = (
                f"a toile of this block lay {own[way]:.3f} times as long {way} the body "
                "as predicted, by its cloth"
            )
            moves.append(ToileMove(way, own[way], text))
    return tuple(moves)


def with_toiles(factors: Factors, moves: Sequence[ToileMove]) -> Factors:
    """Return factors by the swatch multiplied by what toiles ask for.

    Args:
        factors: As decided for a fabric.
        moves: What toiles ask of the block in it.
    """
    ratios = {"round": 1.0, "down": 1.0} | {move.way: move.ratio for move in moves}
    girth, length = ratios.values()
    half = factors.girth_half, factors.length_half
    return replace(
        factors,
        girth=factors.girth * girth,
        length=factors.length * length,
        origin=f"{factors.origin}, and by toiles",
        girth_half=None if half[0] is None else half[0] * girth,
        length_half=None if half[1] is None else half[1] * length,
        girth_window=_by_swatch(factors.girth_window, girth),
        length_window=_by_swatch(factors.length_window, length),
        contraction_strain=None,
        toiled=Toiled(girth, length),
    )


def _by_swatch(
    window: tuple[float, float] | None, ratio: float
) -> tuple[float, float] | None:
    """Return a window of worn strain as it is foretold by a swatch that lies otherwise.

    What is foretold to lie ``1 + e`` times as long as cut lies ``ratio`` times that.
    """
    if window is None:
        return None
    low, high = ((1.0 + end) / ratio - 1.0 for end in window)
    return low, high


def cut_by_swatch(
    factors: Factors, moves: Sequence[ToileMove], *, corrected: bool
) -> str | None:
    """Return that factors go by the swatch alone, and what they are by toiles.

    Args:
        factors: As decided for the fabric.
        moves: What toiles ask of the block in it.
        corrected: Whether the old block was corrected for its cloth.

    Returns:
        A note; None where no toile asks for anything.
    """
    if not moves:
        return None
    asked = with_toiles(factors, moves)
    return (
        "CUT BY THE SWATCH ALONE, "
        + (
            "which cuts back what a toile corrected: "
            if corrected
            else "not by toiles: "
        )
        + f"{'; '.join(move.text for move in moves)}. By that the factors are "
        f"{asked.girth:.3f} round and {asked.length:.3f} down: `--by-toile` cuts by them"
    )


def left_behind(drafted_for: DraftedFor) -> str | None:
    """Return what toiles moved in a block for its cloth that is not kept if cut anew.

    Args:
        drafted_for: What the block was drafted for.

    Returns:
        A note; None where no toile has moved a factor.
    """
    toiled = drafted_for.toiled
    moved = {"round": toiled.girth, "down": toiled.length}
    said = " and ".join(f"x {by:.3f} {way}" for way, by in moved.items() if by != 1.0)
    if not said:
        return None
    return (
        f"A TOILE MOVED THE FACTORS of this block {said}: what is cut here holds that "
        "only as far as its own factors do, and does not keep it; `ease adjust "
        "--by-toile` on one block does"
    )


def _lay(evidence: Evidence, cloth: str, ratio: WornRatio) -> str:
    return (
        f"a {evidence.kind} of {evidence.day} lay {ratio.ratio:.3f} +- {ratio.half:.3f} "
        f"times as long {cloth} the cloth as predicted"
    )
