"""Factors of the old and the new block, from what was typed for ``ease adjust``."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ease.block.pieces import Block
    from ease.block.plan import Factors
    from ease.body.measures import Body

    from .loading import Wanted

    Pair = tuple[float, float]


class OldAndNew:
    """Turns what was typed for old and new into factors, and gathers notes."""

    def __init__(
        self, block: Block, person: Body | None, wanted: Wanted, *, by_toile: bool
    ) -> None:
        """Begin with the notes on the body."""
        from ease.block.garment import for_garment

        from .check_words import body_notes

        self.block, self.person = block, person
        bodies = [] if person is None else [person]
        garment = for_garment(wanted.allowed, block, bodies)
        self.wanted = wanted._replace(allowed=garment)
        self.by_toile = by_toile
        self.notes: list[str] = [] if person is None else body_notes(block, person)

    def old(self, named: str | None, pair: Pair | None) -> Factors:
        """Return the factors of the old block, by its own word where it has one.

        Args:
            named: Fabric, ``body`` or ``inferred``, if one was named.
            pair: Factors by hand.

        Raises:
            UsageError: If both are given.
        """
        from ease.block.plan import factors_of_block, inferred_factors
        from ease.errors import UsageError

        if named is not None and pair is not None:
            message = "give --from or --from-factors, not both"
            raise UsageError(message)
        if named == "inferred":
            return inferred_factors(self.block, self.person)
        if pair is None and (named is None or self._says(named)):
            return factors_of_block(self.block, self.person)
        told = self._told(named, pair)
        self.notes += self._contradicted(told)
        return told

    def _says(self, fabric: str) -> bool:
        """Whether the block itself says that it was cut in this fabric, and how."""
        from ease.fabric.store import load_fabric

        said = self.block.drafted_for
        if said.girth_factor is None or fabric == "body":
            return False
        return load_fabric(fabric).name == said.fabric

    def _told(self, named: str | None, pair: Pair | None) -> Factors:
        from ease.block.plan import BODY_SIZE, Factors, for_block

        if pair is not None:
            return Factors(*pair, "as given")
        if named == "body":
            return BODY_SIZE
        self._say_usual(str(named))
        # Nothing pulled it down then either: it was cut at its length.
        return for_block(self._fabric(str(named), self._usual()), self.block, BODY_SIZE)

    def _usual(self) -> Wanted:
        """What the old block is taken to be cut for: options tell of the new one."""
        from ease.fit.aims import AIMS

        allowed = self.wanted.allowed.usual()
        return self.wanted._replace(
            aim=AIMS["regular"], allowed=allowed, round_body=None
        )

    def _say_usual(self, named: str) -> None:
        """Say that what is asked of the new block is not asked of the old one."""
        if self.wanted != self._usual():
            self.notes.append(
                f"the old block is taken as cut in {named} in the usual way: hold regular, "
                "the usual limits, the stretchier way round; --from-factors tells "
                "otherwise"
            )

    def _contradicted(self, told: Factors) -> list[str]:
        """Say where what is told of the old block is not what it says of itself."""
        from ease.block.plan import SAME_FACTOR

        said = self.block.drafted_for
        if said.girth_factor is None or said.length_factor is None:
            return []
        girth, length = said.girth_factor, said.length_factor
        if max(abs(told.girth - girth), abs(told.length - length)) <= SAME_FACTOR:
            return []
        cloth = f" in {said.fabric}" if said.fabric else ""
        return [
            f"the block says that it was cut{cloth} by {girth:.3f} round and "
            f"{length:.3f} down; it is taken as {told.girth:.3f} and {told.length:.3f}, "
            f"{told.origin}: leave that out to go by the block"
        ]

    def new(self, named: str | None, pair: Pair | None, old: Factors) -> Factors:
        """Return the factors of the new block.

        Args:
            named: Fabric that it is to be cut in.
            pair: Factors by hand, in its place.
            old: Those of the old block.

        Raises:
            UsageError: If neither or both are given, or toiles are to correct factors
                that were given by hand.
        """
        from ease.block.plan import Factors, for_block
        from ease.block.worn_otherwise import left_behind
        from ease.errors import UsageError

        if (named is None) == (pair is None):
            message = "give --to with a fabric, or --to-factors with two numbers"
            raise UsageError(message)
        if pair is None:
            self._go_round(str(named))
            by_swatch = for_block(
                self._fabric(str(named), self.wanted), self.block, old
            )
            factors = self._toiled(str(named), by_swatch)
            self.notes += self._without_loop()
            return factors
        if self.by_toile:
            message = (
                "--by-toile goes with --to; factors given by hand stand as they are"
            )
            raise UsageError(message)
        self.notes += filter(None, [left_behind(self.block.drafted_for)])
        self.notes.append(
            "factors given by hand keep to no limit; `ease check` with --body and "
            "--fabric tells whether the block can be worn"
        )
        return Factors(*pair, "as given")

    def _go_round(self, named: str) -> None:
        """Lay the cloth as the block was cut, where it is the same one; say so."""
        from ease.block.way_round import turned_note, way_round
        from ease.fabric.store import load_fabric

        fabric, asked = load_fabric(named), self.wanted.round_body
        self.notes += filter(None, [turned_note(self.block, fabric, asked)])
        way = way_round(self.block, fabric, asked)
        self.wanted = self.wanted._replace(round_body=way)

    def stops(self, named: str | None, made: Block) -> list[str]:
        """Say that a block that was made for a fabric does not go on."""
        from ease.block.cut_stops import stops_note
        from ease.fabric.store import load_fabric

        if named is None:
            return []
        _, allowed, way = self.wanted
        note = stops_note(made, self.person, load_fabric(named), allowed, way)
        return [note] if note else []

    def _without_loop(self) -> list[str]:
        """Say that a block keeps its length that nothing pulls at the shoulders."""
        if self.block.loop_path:
            return []
        return [
            "the block has no torso loop, so nothing pulls it down from the shoulders: its "
            "length stays as it is; --to-factors changes it"
        ]

    def _fabric(self, name: str, wanted: Wanted) -> Factors:
        from .loading import factors_for_fabric

        factors, notes = factors_for_fabric(name, self.person, wanted)
        self.notes.extend(notes)
        return factors

    def _toiled(self, name: str, factors: Factors) -> Factors:
        """Say first of all where toiles ask for other factors, and take them if told."""
        from ease.block.as_worn import cut_back
        from ease.block.worn_otherwise import cut_by_swatch, toile_moves, with_toiles
        from ease.fabric.evidence import evidence_notes
        from ease.fabric.store import load_fabric

        fabric = load_fabric(name)
        moves = toile_moves(self.block.drafted_for, fabric, factors.round_body)
        if not self.block.loop_path:
            # Nothing foretells how far it is worn down, so no toile corrects that.
            moves = tuple(move for move in moves if move.way == "round")
        if not moves:
            if lost := cut_back(self.block, self.person, fabric):
                self.notes = [lost, *self.notes]
            elif self.by_toile:
                self.notes.append(f"{name}: no toile asks for other factors here")
            return factors
        toiled = self.block.drafted_for.toiled
        corrected = (toiled.girth, toiled.length) != (1.0, 1.0)
        told = {f"{name}: {text}" for text in evidence_notes(fabric.evidence)}
        rest = [text for text in self.notes if text not in told]
        if self.by_toile:
            shown = "; ".join(move.text for move in moves)
            own = "strain and pull in notes go by the swatch"
            self.notes = [f"{name}: cut by toiles too: {shown}; {own}", *rest]
            return with_toiles(factors, moves)
        self.notes = [
            f"{name}: {cut_by_swatch(factors, moves, corrected=corrected)}",
            *rest,
        ]
        return factors
