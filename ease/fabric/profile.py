"""A fabric as the rest of the project sees it: figures with spread, per direction."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import isfinite, sqrt
from typing import Final, Literal

from ease.errors import RefusedError
from ease.fabric.evidence import Evidence
from ease.fabric.tension import TensionCurve

__all__ = [
    "DIRECTIONS",
    "FIGURES",
    "MOST_REST_MINUTES",
    "ORIGINS",
    "ClothDirection",
    "DirectionName",
    "Estimate",
    "Fabric",
    "Origin",
]

DirectionName = Literal["across", "along"]
Origin = Literal["measured", "published", "invented"]
DIRECTIONS: Final[tuple[DirectionName, DirectionName]] = ("across", "along")
ORIGINS: Final[tuple[Origin, Origin, Origin]] = ("measured", "published", "invented")

# Figures of a direction, fractions, with the least and the largest that a cloth has.
FIGURES: Final[dict[str, tuple[float, float]]] = {
    "stretch": (0.0, 5.0),
    "growth": (-0.2, 1.0),
    "recovery": (0.0, 1.5),
    "contraction": (0.0, 3.0),
    "wet_growth": (-0.2, 1.0),
    "tension_scale": (0.5, 2.0),
}
MOST_REST_MINUTES: Final = 1e5  # ten weeks


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure from repeated readings.

    Attributes:
        mean: Mean of the repeats, a fraction.
        sd: Standard deviation of one reading; None for a single one.
        n: Number of repeats.
    """

    mean: float
    sd: float | None = None
    n: int = 1

    def __post_init__(self) -> None:
        """Refuse figures that no readings can give."""
        if not isfinite(self.mean):
            message = f"a mean must be a finite number, not {self.mean}"
            raise RefusedError(message)
        if self.n < 1:
            message = f"the number of repeats must be 1 or more, not {self.n}"
            raise RefusedError(message)
        if self.sd is not None and not (isfinite(self.sd) and self.sd >= 0):
            message = f"a standard deviation must be 0 or more, not {self.sd}"
            raise RefusedError(message)

    @property
    def standard_error(self) -> float | None:
        """Standard deviation of the mean, ``sd / sqrt(n)``; None for one repeat."""
        return None if self.sd is None or self.n < 2 else self.sd / sqrt(self.n)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothDirection:
    """What was measured when the cloth was pulled in one of its directions.

    Attributes:
        stretch: Extension under test over relaxed length.
        growth: What had not come back after the rest, over relaxed length.
        recovery: Share of the extension that came back.
        contraction: Sideways shrinkage over extension with free sides.
        wet_growth: Growth of the wet cloth.
        rest_minutes: Rest before growth was read.
        tension: Tension against strain from a load test, loading and unloading.
        tension_scale: Tension of one repeat over the mean curve: mean 1, with the
            spread between the repeats of the load test.
    """

    stretch: Estimate
    growth: Estimate | None = None
    recovery: Estimate | None = None
    contraction: Estimate | None = None
    wet_growth: Estimate | None = None
    rest_minutes: float | None = None
    tension: TensionCurve | None = None
    tension_scale: Estimate | None = None

    def __post_init__(self) -> None:
        """Refuse a direction that does not stretch, and figures that no cloth has."""
        if self.stretch.mean <= 0:
            message = f"stretch must be above 0, not {self.stretch.mean}"
            raise RefusedError(message)
        for key, (low, high) in FIGURES.items():
            figure = getattr(self, key)
            if figure is None:
                continue
            if not low <= figure.mean <= high or (figure.sd or 0.0) > high:
                message = (
                    f"{key.replace('_', ' ')} must lie within {low:g} to {high:g}, not "
                    f"{figure.mean:.4g}"
                )
                raise RefusedError(message)
        for key in ("growth", "wet_growth"):
            figure = getattr(self, key)
            if figure is not None and figure.mean >= self.stretch.mean:
                message = (
                    f"{key.replace('_', ' ')}, {100 * figure.mean:.1f} %, must be less "
                    f"than the stretch, {100 * self.stretch.mean:.1f} %"
                )
                raise RefusedError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fabric:
    """A fabric: one or two tested directions, and where the figures come from.

    Attributes:
        name: Short name, as in the file name and on the command line.
        title: What a maker would call the cloth.
        origin: ``measured``, ``published`` or ``invented``.
        source: Who measured, which publication, or that it is invented.
        across: Pulled across, selvedge to selvedge.
        along: Pulled along, with the selvedge.
        note: Free remark.
        mass_gsm: Mass in grams per square metre, if known.
        tested: How it was tested, in words by topic.
        evidence: What worn garments have shown, oldest first.
    """

    name: str
    title: str
    origin: Origin
    source: str
    across: ClothDirection | None = None
    along: ClothDirection | None = None
    note: str = ""
    mass_gsm: float | None = None
    tested: dict[str, str] = field(default_factory=dict)
    evidence: tuple[Evidence, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a fabric without any tested direction."""
        if self.across is None and self.along is None:
            message = f"fabric {self.name}: no direction was tested"
            raise RefusedError(message)
        coupling = self._coupling()
        if coupling is not None and coupling >= 1.0:
            message = (
                f"fabric {self.name}: its contraction ratios are too large together "
                f"({coupling:.2f}, as a geometric mean; below 1 is possible)"
            )
            raise RefusedError(message)

    def _coupling(self) -> float | None:
        """Geometric mean of both contraction ratios; one gives the other by moduli.

        ``nu_a / E_a = nu_b / E_b``; None where neither was measured, or the moduli that
        would give the other were not.
        """
        if self.across is None or self.along is None:
            return None
        first, second = self.across, self.along
        if first.contraction is not None and second.contraction is not None:
            return sqrt(max(first.contraction.mean * second.contraction.mean, 0.0))
        if first.tension is None or second.tension is None:
            return None
        root = sqrt(second.tension.modulus / first.tension.modulus)
        if first.contraction is not None:
            return first.contraction.mean * root
        return None if second.contraction is None else second.contraction.mean / root

    def direction(self, name: DirectionName) -> ClothDirection | None:
        """Return what was measured across or along; None if it was not."""
        return self.across if name == "across" else self.along

    def power(self, name: DirectionName, strain: float) -> float | None:
        """Return the tension of a strip by itself, sides free, N/m.

        Args:
            name: Direction in which it is pulled.
            strain: How far, a fraction.

        Returns:
            None without a load test that way, or where it did not reach that strain.
        """
        cloth = self.direction(name)
        curve = None if cloth is None else cloth.tension
        return None if curve is None else curve.power_at(strain)

    @property
    def round_body(self) -> DirectionName:
        """The direction with the greater stretch, which goes round the body."""
        if self.across is None:
            return "along"
        if self.along is None:
            return "across"
        wider = self.along.stretch.mean > self.across.stretch.mean
        return "along" if wider else "across"
