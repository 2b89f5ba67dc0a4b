"""The other way round: which known fabrics have what a block as it is needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

from ease.block.check import WearCheck
from ease.block.need import Need, fabric_need, rank_fabrics
from ease.block.pieces import Block
from ease.body.measures import Body
from ease.fabric.profile import Fabric
from ease.fit.aims import AIMS, Aim, Allowed
from ease.fit.outside import SAME_STRAIN

__all__ = ["Having", "Suiting", "which_suit"]


@dataclass(frozen=True, slots=True)
class Having:
    """What one fabric has of what the block needs.

    Attributes:
        check: The block as it is in the fabric.
        tension: Tension round, as worn at the level of the need, N/m; None without a
            load test or past its end.
        enough_stretch: Whether it stretches as far as needed, round and, with the
            contraction that it has, down; None where it was not tested down.
        right_power: Whether its tension lies in the band; None where not known.
    """

    check: WearCheck
    tension: float | None
    enough_stretch: bool | None
    right_power: bool | None

    @property
    def fits(self) -> bool:
        """Whether the block as it is shows no fault in it."""
        return self.check.verdict == "fits"

    @property
    def suits(self) -> bool:
        """Whether it fits, with the stretch and the power that are needed."""
        return self.fits and bool(self.enough_stretch) and self.right_power is True


@dataclass(frozen=True, slots=True)
class Suiting:
    """What a block needs, and the fabrics that were looked at.

    Attributes:
        need: Stretch, and tension at a strain.
        least_tension: Tension there of the hold ``easy``, N/m.
        most_tension: Tension there of the hold ``firm``, N/m.
        having: Every fabric, the best first.
    """

    need: Need
    least_tension: float
    most_tension: float
    having: tuple[Having, ...]


def which_suit(
    block: Block,
    body: Body,
    fabrics: Iterable[Fabric],
    aim: Aim,
    allowed: Allowed | None = None,
) -> Suiting:
    """Say what a fabric for a block as it is must have, and which ones have it.

    Args:
        block: The block as it is.
        body: The body.
        fabrics: Fabrics to look at.
        aim: Hold that the tension is stated for.
        allowed: Numbers of the limits.

    Raises:
        RefusedError: If no level of the block is a closed loop known on the body.
    """
    need = fabric_need(block, body, aim, allowed)
    # At one level and strain the tension is in proportion to the pressure.
    per_kpa = need.tension / aim.pressure_kpa
    least, most = (AIMS[name].pressure_kpa * per_kpa for name in ("easy", "firm"))
    checks = rank_fabrics(block, body, fabrics, aim, allowed)
    # A block cut to the limit may miss it by the digits of a file.
    limits = allowed or Allowed()
    slip = SAME_STRAIN * (1.0 + limits.girth_move) / limits.usable_share
    having = tuple(_having(check, need, (least, most), slip) for check in checks)
    return Suiting(need, least, most, having)


def _having(
    check: WearCheck, need: Need, band: tuple[float, float], slip: float
) -> Having:
    tension = None
    if "now" in check.states:
        at = [level.name for level in check.levels].index(need.level)
        value = float(check.states["now"][0].tension[at])
        tension = value if isfinite(value) else None
    enough: bool | None = check.stretch >= need.stretch - slip and not check.short_down
    if enough and need.stretch_down is not None and not check.judged_down:
        enough = None
    return Having(
        check,
        tension,
        enough,
        None if tension is None else band[0] <= tension <= band[1],
    )
