"""What a toile shows about the cloth, to be kept in its profile, beside earlier ones."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from ease.block.toile_correct import Correction
from ease.fabric.evidence import Evidence, WornRatio, newest_clear
from ease.fabric.profile import DirectionName

__all__ = ["Unlike", "evidence_of", "unlike_others"]


@dataclass(frozen=True, slots=True)
class Unlike:
    """Another garment in the same cloth that lay otherwise than this toile.

    Attributes:
        cloth: Direction of the cloth.
        evidence: The other garment, as kept with the fabric.
        other: Its ratio.
        now: The ratio of this toile; clear where it counts instead.
        is_later: Whether the other one is dated later than this toile.
    """

    cloth: DirectionName
    evidence: Evidence
    other: WornRatio
    now: WornRatio
    is_later: bool

    @property
    def text(self) -> str:
        """Say how both lay, and which counts."""
        if self.is_later:
            counts = "the other is dated later and goes on counting"
        elif self.now.clear:
            counts = "kept by --save, this one counts as the newer"
        else:
            counts = (
                "the earlier goes on counting, as these marks cannot tell cloth and body "
                "apart"
            )
        return (
            f"a {self.evidence.kind} of {self.evidence.day} lay {self.other.ratio:.3f} "
            f"+- {self.other.half:.3f} times as long {self.cloth} the cloth as "
            f"predicted, this one {self.now.ratio:.3f} +- {self.now.half:.3f}: they "
            f"contradict each other, so mark one more; {counts}"
        )


def evidence_of(correction: Correction, day: date) -> Evidence:
    """Return what the toile shows about the cloth, to be kept in its profile.

    Args:
        correction: The toile, corrected.
        day: When it was measured.
    """
    ratios = dict(_ratios(correction))
    for one in unlike_others(correction, day):
        ratios[one.cloth] = one.now
    block, fabric = correction.toile.block.name, correction.toile.fabric
    found = Evidence(day=day, kind="toile", block=block, fabric=fabric.name, **ratios)
    # Kept already, perhaps under the name that the fabric had before.
    kept = [one for one in fabric.evidence if _figures(one) == _figures(found)]
    return replace(found, fabric=kept[0].fabric) if kept else found


def unlike_others(correction: Correction, day: date) -> tuple[Unlike, ...]:
    """Return what garments kept with the fabric contradict this toile.

    Two ratios contradict each other where they lie further apart than the limit of a
    correction, in the standard deviation of their difference. The later one counts where
    it tells the cloth, or leaves all as it is: then the cloth lay as its swatch says.

    Args:
        correction: The toile, corrected.
        day: When it was measured.
    """
    toile = correction.toile
    ratios = dict(_ratios(correction))
    same = Evidence(day=day, kind="toile", block=toile.block.name, fabric="", **ratios)
    others = [one for one in toile.fabric.evidence if _figures(one) != _figures(same)]
    found = []
    for cloth, (evidence, old) in newest_clear(others).items():
        now = ratios.get(cloth)
        if now is None:
            continue
        apart = abs(np.log(now.ratio / old.ratio))
        sd = np.hypot(now.sd / now.ratio, old.sd / old.ratio)
        if apart <= correction.limit * sd:
            continue
        is_later = evidence.day > day
        left = not is_later and _fits(
            correction, "round" if cloth == toile.round_body else "down"
        )
        clear = WornRatio(now.ratio, now.sd, now.n, now.clear or left)
        found.append(Unlike(cloth, evidence, old, clear, is_later))
    return tuple(found)


def _ratios(correction: Correction) -> Iterator[tuple[DirectionName, WornRatio]]:
    """Yield the ratio of each direction of the cloth that was marked.

    As the marks have it: weighed with its swatch, a toile of few marks would speak for
    the swatch.
    """
    toile = correction.toile
    n = toile.fit.model.levels
    other: DirectionName = "along" if toile.round_body == "across" else "across"
    for at, way, cloth, before, told in zip(
        (n + 1, n + 2),
        ("round", "down"),
        (toile.round_body, other),
        toile.shown,
        correction.cloth_told,
        strict=True,
    ):
        if marks := toile.count(way):
            value, spread = toile.fit.by_marks(at)
            # A later toile that finds the cloth as its swatch says so as clearly.
            clear = told or before != 1.0
            ratio = float(before * np.exp(value))
            yield cloth, WornRatio(ratio, ratio * spread, marks, clear)


def _fits(correction: Correction, way: str) -> bool:
    """Whether nothing is said against the cloth in a direction, nor may be its doing."""
    told = {"length" if one.key == "torso_loop" else one.key for one in correction.body}
    told |= correction.levels_told | correction.followed
    moved = {move.name for move in correction.moved} - told
    down = moved & {"length"}
    return not (down if way == "down" else moved - down) and all(
        cause.verdict == "fits"
        for cause in correction.toile.causes
        if (cause.kind, cause.name) == ("cloth", way)
    )


def _figures(evidence: Evidence) -> tuple[object, ...]:
    """Return what tells one garment from another: not whether it was clear."""
    ratios = (evidence.across, evidence.along)
    each = [None if one is None else (one.ratio, one.sd, one.n) for one in ratios]
    return (evidence.day, evidence.block, *each)
