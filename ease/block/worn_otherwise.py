"""What a toile kept in a fabric's profile says of a block that is cut in it.

A ratio r is the worn length of the cloth over the length that block and body let expect,
``1 + e_worn = r (1 + e)``, so that a block worn e by the swatch is worn

    e_worn = r (1 + e) - 1

by the toile, and its factor is to be multiplied by r to be worn e (``ease.fit.toile``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ease.block.check import WearCheck
from ease.block.plan import Factors
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import DirectionName, Fabric
from ease.units import percent_text

__all__ = ["WornOtherwise", "cut_by_swatch", "unclear_moves", "worn_otherwise"]


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
    for cloth, (evidence, ratio) in _newest(check.fabric).items():
        way = "round" if cloth == check.round_body else "down"
        if strains := predicted[way]:
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


def unclear_moves(
    by_toile: tuple[float, float], fabric: Fabric, round_body: str
) -> tuple[str, ...]:
    """Return how toiles moved a block's factors where the cloth was not clearly the cause.

    Args:
        by_toile: By what toiles have multiplied the factors, round and down.
        fabric: The cloth; what it clearly keeps of a garment is left out.
        round_body: Cloth direction that goes round the body.
    """
    clear = {"round" if cloth == round_body else "down" for cloth in _newest(fabric)}
    return tuple(
        f"x {moved:.3f} {way}"
        for way, moved in zip(("round", "down"), by_toile, strict=True)
        if moved != 1.0 and way not in clear
    )


def cut_by_swatch(
    factors: Factors, fabric: Fabric, by_toile: tuple[float, float] = (1.0, 1.0)
) -> str | None:
    """Return that factors go by the swatch alone, and what they are by the toile.

    What the cloth clearly did goes with the fabric. What a toile moved without telling
    whether cloth or body was the cause goes with the block.

    Args:
        factors: As decided for the fabric.
        fabric: The fabric.
        by_toile: By what toiles have multiplied the old block's factors.

    Returns:
        A note; None where no toile has moved a factor.
    """
    ratios = {"round": factors.girth, "down": factors.length}
    changes = []
    newest = _newest(fabric)
    for cloth, (evidence, ratio) in newest.items():
        way = "round" if cloth == factors.round_body else "down"
        ratios[way] *= ratio.ratio
        changes.append(_lay(evidence, cloth, ratio))
    unclear = unclear_moves(by_toile, fabric, factors.round_body)
    if unclear:
        clear = {"round" if c == factors.round_body else "down" for c in newest}
        for way, moved in zip(ratios, by_toile, strict=True):
            ratios[way] *= 1.0 if way in clear else moved
        changes.append(
            f"a toile moved the factors of this block {' and '.join(unclear)}, cloth or "
            "body; leave that out where the measure that was wrong is put right"
        )
    if not changes:
        return None
    girth, length = ratios.values()
    return (
        f"CUT BY THE SWATCH ALONE, which cuts a block back that a toile has corrected: "
        f"{'; '.join(changes)}. By that the factors are {girth:.3f} round and "
        f"{length:.3f} down: `--to-factors {girth:.3f} {length:.3f}`"
    )


def _newest(fabric: Fabric) -> dict[DirectionName, tuple[Evidence, WornRatio]]:
    """Return the newest clear ratio across and along, with its garment."""
    found: dict[DirectionName, tuple[Evidence, WornRatio]] = {}
    for one in sorted(fabric.evidence, key=lambda one: one.day):
        if one.across is not None and one.across.clear:
            found["across"] = one, one.across
        if one.along is not None and one.along.clear:
            found["along"] = one, one.along
    return found


def _lay(evidence: Evidence, cloth: str, ratio: WornRatio) -> str:
    return (
        f"a {evidence.kind} of {evidence.day} lay {ratio.ratio:.3f} +- {ratio.half:.3f} "
        f"times as long {cloth} the cloth as predicted"
    )
