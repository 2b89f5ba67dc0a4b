"""A block graded through a run of sizes: each size in the cut size of one fabric.

Without a block each size is drafted from its own measures. A block that is given is
graded in proportion: at each level by the girths of the two bodies, down so that the
torso loop is worn as on the first one. Either way the girths of every size are its own
body's times its own factor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ease.block.as_worn import found_notes
from ease.block.cut_stops import why_it_stops
from ease.block.drafted_notes import far_notes, shape_notes, taken_as_notes
from ease.block.garment import for_garment
from ease.block.grade_factors import DecidedSize, decide_sizes
from ease.block.grade_makers import Drafted, Scaled
from ease.block.loop_ends import open_loop_notes
from ease.block.measure import edge_lengths, level_girths, torso_loop
from ease.block.on_body import worn_strains
from ease.block.pieces import Block
from ease.block.plan import Factors
from ease.block.refit_notes import Beyond, beyond_windows
from ease.block.styles import Style
from ease.block.way_round import turned_note
from ease.block.worn_otherwise import left_behind
from ease.body.measures import Body
from ease.errors import RefusedError
from ease.fit.aims import Aim, Allowed
from ease.fit.batch import Cloth

__all__ = ["GradedSize", "Grading", "grade", "size_labels"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GradedSize:
    """One size of a run.

    Attributes:
        label: Short name of the size.
        body: Its body.
        factors: Cut over body, round and down; None where no strain meets all limits.
        bound_by: Which limit decides round and down; empty at body size.
        block: Its block; None where it cannot be made.
        fault: Why not, a line each reason; empty where it can.
        warnings: What to know of it alone, by names of ``fit.notes.WARNINGS``.
        beyond: Where the block is worn beyond the window of the fabric.
        stops: Why the block does not go on; empty where it does.
    """

    label: str
    body: Body
    factors: Factors | None
    bound_by: tuple[str, str]
    block: Block | None
    fault: str = ""
    warnings: tuple[str, ...] = ()
    beyond: tuple[Beyond, ...] = ()
    stops: str = ""

    @property
    def girths(self) -> dict[str, float]:
        """Girth to cut at each level, cm."""
        return {} if self.block is None else level_girths(self.block)

    @property
    def lengths(self) -> dict[str, float]:
        """Torso loop and length of every edge, cm."""
        if self.block is None:
            return {}
        loop = torso_loop(self.block)
        first = {} if loop is None else {"torso loop": loop}
        return first | edge_lengths(self.block)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grading:
    """A run of sizes.

    Attributes:
        sizes: Every size, in the order asked for.
        cloth: The fabric; None at body size.
        aim: How firmly it holds.
        allowed: The limits it was decided under.
        of_block: Whether a block was graded in proportion, rather than each size drafted.
        notes: What is true of all sizes.
        lengths_by: Key of the body measure that the lengths of the trunk grow by.
    """

    sizes: tuple[GradedSize, ...]
    cloth: Cloth | None
    aim: Aim
    allowed: Allowed
    of_block: bool = False
    notes: tuple[str, ...] = ()
    lengths_by: str = "torso_loop"

    @property
    def made(self) -> tuple[GradedSize, ...]:
        """The sizes that have a block."""
        return tuple(size for size in self.sizes if size.block is not None)

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Their blocks."""
        return tuple(size.block for size in self.sizes if size.block is not None)

    def steps(self, kind: str) -> dict[str, list[float]]:
        """Return by how much each measure grows from one size that is made to the next.

        Args:
            kind: ``girths`` or ``lengths``.

        Returns:
            Changes in cm by the measure's name, one fewer than sizes.
        """
        rows: list[dict[str, float]] = [getattr(size, kind) for size in self.made]
        shared = [
            name for name in (rows[0] if rows else ()) if all(name in r for r in rows)
        ]
        return {name: np.diff([row[name] for row in rows]).tolist() for name in shared}


def size_labels(names: Sequence[str]) -> tuple[str, ...]:
    """Return names without what all of them share, cut at hyphens.

    Examples:
        >>> size_labels(["en-76-short", "en-80-short"])
        ('76', '80')
        >>> size_labels(["S", "M"])
        ('S', 'M')
    """
    parts = [name.split("-") for name in names]
    for end in (0, -1):
        while min(map(len, parts)) > 1 and len({part[end] for part in parts}) == 1:
            parts = [part[1:] if end == 0 else part[:-1] for part in parts]
    return tuple("-".join(part) for part in parts)


def grade(
    bodies: Sequence[Body],
    cloth: Cloth | None,
    aim: Aim,
    allowed: Allowed | None = None,
    *,
    style: Style | None = None,
    block: Block | None = None,
    base: Body | None = None,
) -> Grading:
    """Grade a block through a run of sizes.

    Args:
        bodies: The sizes, completed.
        cloth: Fabric that all are cut in; None for body size.
        aim: How firmly to hold.
        allowed: Numbers of the limits.
        style: Choices for the draft.
        block: A block to grade instead of drafting.
        base: The body that this block is for.

    Returns:
        Every size; one that cannot be made says why.

    Raises:
        RefusedError: If a block is given without its body, or does not say what it was
            drafted for and it cannot be inferred.
    """
    allowed = allowed or Allowed()
    make: Drafted | Scaled
    make = Drafted(bodies, style) if block is None else Scaled(block, base, bodies)
    if block is not None:
        allowed = for_garment(allowed, block, bodies)
    labels = size_labels([body.name for body in bodies])
    decided = decide_sizes(bodies, cloth, aim, allowed)
    if isinstance(make, Scaled):
        decided = [make.as_decided(one) for one in decided]
    sizes = tuple(
        _told(_size(row, label, body, decision, make), cloth, allowed)
        for row, (label, body, decision) in enumerate(
            zip(labels, bodies, decided, strict=True)
        )
    )
    notes: tuple[str, ...] = ()
    if isinstance(make, Scaled):
        left = left_behind(make.block.drafted_for)
        shape = shape_notes(make.block, make.old, make.base)
        turned = ""
        if cloth is not None and cloth.round_body != cloth.fabric.round_body:
            turned = turned_note(make.block, cloth.fabric)
        found = found_notes(make.block, make.base)
        doubts = (*open_loop_notes(make.block), *far_notes(make.old))
        said = filter(None, [left, *found, turned, make.joined_note, make.lengths.text])
        notes = (*doubts, *said, *taken_as_notes(make.block, make.old), *shape)
    return Grading(
        sizes=sizes,
        cloth=cloth,
        aim=aim,
        allowed=allowed,
        of_block=block is not None,
        notes=notes,
        lengths_by=make.lengths.trunk if isinstance(make, Scaled) else "torso_loop",
    )


def _size(
    row: int,
    label: str,
    body: Body,
    decided: DecidedSize,
    make: Drafted | Scaled,
) -> GradedSize:
    block, fault = None, decided.fault
    if decided.factors is not None:
        try:
            block = make(row, body, decided.factors)
        except RefusedError as error:
            fault = error.message
    return GradedSize(
        label=label,
        body=body,
        factors=decided.factors,
        bound_by=decided.bound_by,
        block=block,
        fault=fault,
        warnings=decided.warnings,
    )


def _told(size: GradedSize, cloth: Cloth | None, allowed: Allowed) -> GradedSize:
    """Add what to know of the block of a size, as it is cut."""
    if size.block is None or size.factors is None or cloth is None:
        return size
    worn = worn_strains(size.block, size.body)
    return replace(
        size,
        beyond=tuple(beyond_windows(*worn, size.factors)),
        stops=why_it_stops(
            size.block, size.body, cloth.fabric, allowed, cloth.round_body
        ),
    )
