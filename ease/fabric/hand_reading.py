"""One reading of the hand test: a marked strip pulled, held, let go and left to rest."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Final

from ease.errors import RefusedError
from ease.fabric.profile import MOST_REST_MINUTES, DirectionName
from ease.sentence import Length, Sentence
from ease.units import CM_PER

__all__ = ["FIGURES", "HandReading", "impossible"]

FIGURES: Final = (
    *("gauge", "extended", "rested", "wet_rested", "rest_minutes"),
    *("load", "strip_width", "width", "width_extended"),
)
MOST_STRETCH: Final = 5.0  # no knit reaches 500 %; past it a unit was mistaken
LEAST_RESTED: Final = 0.8  # of the gauge: a strip may shrink a little, not by a fifth


@dataclass(frozen=True, slots=True, kw_only=True)
class HandReading:
    """One repeat of the hand test; lengths in cm.

    Attributes:
        direction: ``across`` or ``along``, the way the strip was pulled.
        repeat: Number of the repeat in its direction, from 1.
        gauge: Distance of the marks on the relaxed strip.
        extended: Their distance under the pull.
        rested: Their distance after release and rest.
        wet_rested: The same, once the strip was soaked, pulled as far and let go again.
        rest_minutes: Rest before ``rested`` was read, and ``wet_rested``.
        load: Load on the strip, N.
        strip_width: Cut width of the strip, which carries the load.
        width: Width across the strip before the pull, where contraction is read.
        width_extended: The same width under the pull.
    """

    direction: DirectionName
    repeat: int
    gauge: float
    extended: float
    rested: float | None = None
    wet_rested: float | None = None
    rest_minutes: float | None = None
    load: float | None = None
    strip_width: float | None = None
    width: float | None = None
    width_extended: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no strip can do."""
        faults = list(impossible(self.figures()))
        if faults:
            message = "; ".join(f"{column} {what}" for column, what in faults)
            raise RefusedError(message)

    def figures(self) -> dict[str, float | None]:
        """Return the figures by column name."""
        return {name: getattr(self, name) for name in FIGURES}

    @property
    def stretch(self) -> float:
        """Extension over relaxed length, ``(extended - gauge) / gauge``.

        Source key: astm-d2594
        """
        return (self.extended - self.gauge) / self.gauge

    @property
    def growth(self) -> float | None:
        """What has not come back, ``(rested - gauge) / gauge``.

        Source key: astm-d2594
        """
        return None if self.rested is None else (self.rested - self.gauge) / self.gauge

    @property
    def wet_growth(self) -> float | None:
        """Growth of the soaked strip from its dry gauge, as cloth is cut dry.

        The tool's own protocol, no source: what the dry pull has left is in it.
        """
        if self.wet_rested is None:
            return None
        return (self.wet_rested - self.gauge) / self.gauge

    @property
    def recovery(self) -> float | None:
        """Share of the extension that came back, ``(L1 - L2) / (L1 - L0)``.

        Source key: jis-l-1096
        """
        if self.rested is None:
            return None
        return (self.extended - self.rested) / (self.extended - self.gauge)

    @property
    def recovered_elongation(self) -> float | None:
        """The strip standard's figure, ``1 - growth``: not the same as recovery.

        Source key: en-14704-1
        """
        return None if self.growth is None else 1 - self.growth

    @property
    def contraction(self) -> float | None:
        """Sideways shrinkage over extension, free sides."""
        if self.width is None or self.width_extended is None:
            return None
        return (self.width - self.width_extended) / self.width / self.stretch

    @property
    def tension(self) -> float | None:
        """Load over cut width, N/m."""
        if self.load is None or self.strip_width is None:
            return None
        return self.load / (self.strip_width / 100)


def impossible(figures: Mapping[str, float | None]) -> Iterator[tuple[str, str]]:
    """Yield column and fault for each figure that no strip can give.

    Figures that are missing are left alone, so that a reading can be checked while it
    is taken.

    Args:
        figures: Values by column name; lengths in cm.
    """
    bad = set()
    for column, value in figures.items():
        least = 0.0 if column == "rest_minutes" else None
        if value is None:
            continue
        if not isfinite(value):
            bad.add(column)
            yield column, f"must be a finite number, not {value}"
        elif value < 0 or (value == 0 and least is None):
            bad.add(column)
            yield (
                column,
                f"must be {'0 or more' if least == 0 else 'above 0'}, not {value:g}",
            )
        elif column == "rest_minutes" and value > MOST_REST_MINUTES:
            bad.add(column)
            yield (
                column,
                f"must be at most {MOST_REST_MINUTES:g} minutes, not {value:g}",
            )
    good = {key: value for key, value in figures.items() if key not in bad}
    yield from _length_faults(good)
    yield from _width_faults(good)


def _length_faults(figures: Mapping[str, float | None]) -> Iterator[tuple[str, str]]:
    gauge, extended = figures.get("gauge"), figures.get("extended")
    if gauge is None:
        return
    if extended is not None:
        if extended < gauge:
            yield "extended", _two("{} is shorter than the gauge, {}", extended, gauge)
        elif extended == gauge:
            yield (
                "extended",
                "is the gauge; leave out a direction that does not stretch",
            )
        elif extended > gauge * (1 + MOST_STRETCH):
            yield "extended", _too_far(gauge, extended)
            extended = None
    for column in ("rested", "wet_rested"):
        if (rested := figures.get(column)) is not None:
            yield from _rested_faults(column, rested, gauge, extended)


def _rested_faults(
    column: str, rested: float, gauge: float, extended: float | None
) -> Iterator[tuple[str, str]]:
    if extended is not None and extended > gauge and rested > extended:
        yield column, _two("{} is longer than extended, {}", rested, extended)
    if rested < gauge * LEAST_RESTED:
        short = (
            "{} is shorter than the gauge, {}, by a fifth or more; read the distance of "
            "the marks, not the growth"
        )
        yield column, _two(short, rested, gauge)


def _too_far(gauge: float, extended: float) -> str:
    stretch = 100 * (extended / gauge - 1)
    why = "no knit does that"
    for factor, unit in ((CM_PER["mm"], "mm"), (1 / CM_PER["in"], "inches")):
        if 1 < extended * factor / gauge <= 3:
            wrong = "mm" if unit == "mm" else "another unit"
            why = f"was it read in {wrong} and headed cm?"
            break
    return Sentence(
        "{} is a stretch of {:.0f} % on {}; {}",
        *(Length(extended, None), stretch, Length(gauge, None), why),
    )


def _two(pattern: str, first: float, second: float) -> Sentence:
    """Return a sentence on two lengths as they were read."""
    return Sentence(pattern, Length(first, None), Length(second, None))


def _width_faults(figures: Mapping[str, float | None]) -> Iterator[tuple[str, str]]:
    width, narrow = figures.get("width"), figures.get("width_extended")
    if width is not None and narrow is not None and narrow > width:
        yield (
            "width_extended",
            _two("{} is wider than before the pull, {}", narrow, width),
        )
