"""Check a draft against its body: girths, torso loop, mates, outline, thigh."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ease.block.crossings import self_crossings
from ease.block.measure import girth_at, outline, torso_loop, walk_seams
from ease.block.openings import Opening, block_openings
from ease.block.pieces import Block
from ease.body.measures import Body
from ease.units import length_text, percent_text

__all__ = ["DraftCheck", "DraftReport", "report_draft"]

EXACT_CM: Final = 1e-6  # what the draft promises for girths and loop
MATE_CM: Final = 1e-9


@dataclass(frozen=True, slots=True)
class DraftCheck:
    """One size that the draft must have.

    Attributes:
        name: Such as ``bust girth``.
        wanted_cm: What the body or the mate asks for.
        drafted_cm: What the block has.
        tolerance_cm: Largest difference that passes; None where it is only told.
        remark: Why it is only told.
    """

    name: str
    wanted_cm: float
    drafted_cm: float
    tolerance_cm: float | None = EXACT_CM
    remark: str = ""

    @property
    def passed(self) -> bool:
        """Whether it agrees, or was not to be judged."""
        if self.tolerance_cm is None:
            return True
        return abs(self.drafted_cm - self.wanted_cm) <= self.tolerance_cm

    @property
    def verdict(self) -> str:
        """In words."""
        if self.tolerance_cm is None:
            return self.remark
        return "equal" if self.passed else "DIFFERS"


@dataclass(frozen=True, slots=True, eq=False)
class DraftReport:
    """A draft with its checks.

    Attributes:
        block: The draft.
        checks: Sizes, one by one.
        openings: Neck, armhole and leg.
        crossings: Pieces whose outline crosses itself.
        thigh_cm: Girth of the thigh.
    """

    block: Block
    checks: tuple[DraftCheck, ...]
    openings: tuple[Opening, ...]
    crossings: tuple[str, ...]
    thigh_cm: float

    @property
    def passed(self) -> bool:
        """Whether every size agrees and no outline crosses itself."""
        return all(check.passed for check in self.checks) and not self.crossings

    @property
    def leg_opening_cm(self) -> float:
        """Length of the leg opening all round."""
        return self._leg.cut_cm

    @property
    def leg_stretch(self) -> float:
        """How far the leg edge must stretch to lie round the thigh, a fraction."""
        return self._leg.stretch_to_pass(self.thigh_cm)

    @property
    def _leg(self) -> Opening:
        return next(opening for opening in self.openings if opening.name == "leg")

    def notes(self, units: str = "cm") -> tuple[str, ...]:
        """Return what the maker should know besides the numbers, lengths in units."""
        notes = [f"the outline of the {name} crosses itself" for name in self.crossings]
        gap = self.thigh_cm - self.leg_opening_cm
        if gap > 0:
            notes.append(
                f"the leg opening {length_text(self.leg_opening_cm, units)} {units} is"
                f" {length_text(gap, units)} {units} smaller than the thigh"
                f" {length_text(self.thigh_cm, units)} {units}: its edge must stretch"
                f" {percent_text(self.leg_stretch)} %; a higher leg makes it longer"
            )
        cut = [level for level in self.block.levels if level.loop != "closed"]
        notes += [
            f"the {level.name} level is {level.loop}: cut through, its cloth is no closed"
            " loop and pulls less"
            for level in cut
        ]
        return tuple(notes)


def report_draft(block: Block, body: Body, elastic_stretch: float = 0.8) -> DraftReport:
    """Check a draft.

    Args:
        block: As ``draft_block`` makes it.
        body: The completed body that it was drafted for.
        elastic_stretch: Stretch that the elastic can bear worn, a fraction.
    """
    checks = []
    for level in block.levels:
        whole = level.loop == "closed"
        checks.append(
            DraftCheck(
                f"{level.name} girth",
                body[level.name],
                girth_at(block, level.y),
                EXACT_CM if whole else None,
                "" if whole else f"{level.loop}: cut through",
            )
        )
    loop = torso_loop(block)
    if loop is not None:
        checks.append(DraftCheck("torso loop", body["torso_loop"], loop))
    for seam in walk_seams(block):
        name = f"{seam.first.partition('.')[2]}, front and back"
        checks.append(DraftCheck(name, seam.first_cm, seam.second_cm, MATE_CM))
    crossed = [p.name for p in block.pieces if len(self_crossings(outline(p)))]
    return DraftReport(
        block,
        tuple(checks),
        block_openings(block, body, elastic_stretch=elastic_stretch),
        tuple(crossed),
        body["thigh"],
    )
