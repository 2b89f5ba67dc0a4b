"""What worn garments have shown about a cloth, kept in its profile beside the bench."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any, Final, Literal

from ease.errors import RefusedError
from ease.units import NORMAL_95

__all__ = [
    "Evidence",
    "WornRatio",
    "evidence_from_tables",
    "evidence_notes",
    "evidence_table",
    "newest_clear",
]

RATIO_RANGE: Final = (0.3, 3.0)
_KEYS: Final = ("date", "kind", "block", "fabric", "across", "along")
_RATIO_KEYS: Final = ("ratio", "sd", "n", "clear")


@dataclass(frozen=True, slots=True)
class WornRatio:
    """How far the cloth lay stretched against what block and body said.

    Attributes:
        ratio: Worn length of the cloth over the length predicted; 1 where it behaved
            like the swatch.
        sd: Standard deviation of the ratio itself, not of one mark.
        n: Number of marks.
        clear: Whether the cloth was told to lie so, and no other cause; what the swatch
            says as well, where an earlier toile had shown it otherwise.
    """

    ratio: float
    sd: float
    n: int
    clear: bool = False

    def __post_init__(self) -> None:
        """Refuse what no toile can show."""
        low, high = RATIO_RANGE
        if not low <= self.ratio <= high:
            message = f"a ratio must lie within {low:g} to {high:g}, not {self.ratio:g}"
            raise RefusedError(message)
        if not (isfinite(self.sd) and self.sd >= 0):
            message = f"a standard deviation must be 0 or more, not {self.sd:g}"
            raise RefusedError(message)
        if self.n < 1:
            message = f"the number of marks must be 1 or more, not {self.n}"
            raise RefusedError(message)

    @property
    def half(self) -> float:
        """Half of the 95 % interval of the ratio."""
        return NORMAL_95 * self.sd

    @property
    def differs(self) -> bool:
        """Whether the interval leaves out 1."""
        return abs(self.ratio - 1.0) > self.half


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One garment worn and measured.

    Attributes:
        day: When it was measured.
        kind: What was measured, such as ``toile``.
        block: Name of the block that it was cut by.
        fabric: Name that its fabric had then; empty if it was not kept.
        across: The cloth pulled across; None where no mark lay that way.
        along: The cloth pulled along.
    """

    day: date
    kind: str
    block: str
    fabric: str = ""
    across: WornRatio | None = None
    along: WornRatio | None = None

    def __post_init__(self) -> None:
        """Refuse evidence that says nothing."""
        if self.across is None and self.along is None:
            message = "evidence needs a ratio across or along the cloth"
            raise RefusedError(message)

    @property
    def marks(self) -> int:
        """Number of marks, both ways."""
        return sum(one.n for one in (self.across, self.along) if one is not None)


def newest_clear(
    evidence: Iterable[Evidence],
) -> dict[Literal["across", "along"], tuple[Evidence, WornRatio]]:
    """Return the newest clear ratio across and along, with its garment.

    Args:
        evidence: The evidence of a profile.
    """
    found: dict[Literal["across", "along"], tuple[Evidence, WornRatio]] = {}
    for one in sorted(evidence, key=lambda one: one.day):
        if one.across is not None and one.across.clear:
            found["across"] = one, one.across
        if one.along is not None and one.along.clear:
            found["along"] = one, one.along
    return found


def evidence_notes(evidence: Iterable[Evidence]) -> tuple[str, ...]:
    """Return what worn garments ask for: a note for the newest clear ratio of each way.

    Args:
        evidence: The evidence of a profile.
    """
    return tuple(
        f"a {one.kind} of {one.day} lay {ratio.ratio:.3f} times as long {way} the cloth "
        f"as predicted, +- {ratio.half:.3f}: multiply the factor that runs {way} "
        "by that"
        for way, (one, ratio) in newest_clear(evidence).items()
        if ratio.differs
    )


def evidence_table(evidence: Evidence) -> dict[str, Any]:
    """Return evidence as it stands in a profile, each ratio a table of its own."""
    table: dict[str, Any] = {
        "date": evidence.day,
        "kind": evidence.kind,
        "block": evidence.block,
    }
    if evidence.fabric:
        table["fabric"] = evidence.fabric
    for key, one in (("across", evidence.across), ("along", evidence.along)):
        if one is not None:
            figures = (float(one.ratio), float(one.sd), one.n, one.clear)
            table[key] = dict(zip(_RATIO_KEYS, figures, strict=True))
    return table


def evidence_from_tables(
    value: object, fault: Callable[[str, str], None]
) -> tuple[Evidence, ...]:
    """Return the evidence of a profile's ``[[evidence]]`` tables.

    Args:
        value: What stands under the key.
        fault: Called with the path of a key and what is wrong there.
    """
    if not (isinstance(value, list) and all(isinstance(one, dict) for one in value)):
        fault("evidence", "must be a list of tables [[evidence]]")
        return ()
    return tuple(_each(value, fault))


def _each(
    tables: list[dict[str, Any]], fault: Callable[[str, str], None]
) -> Iterator[Evidence]:
    for place, table in enumerate(tables, start=1):
        path = f"evidence[{place}]"
        sound = True
        for key in table:
            if key not in _KEYS:
                accepted = ", ".join(_KEYS)
                fault(f"{path}.{key}", f"is not a known key; accepted are {accepted}")
                sound = False
        for key in ("kind", "block", "fabric"):
            if not isinstance(table.get(key, ""), str):
                fault(f"{path}.{key}", f"must be text in quotes, not {table[key]!r}")
                sound = False
        day = _day(table.get("date"), f"{path}.date", fault)
        given = [key for key in ("across", "along") if key in table]
        ratios = {key: _ratio(table[key], f"{path}.{key}", fault) for key in given}
        if not given:
            fault(path, "needs a ratio across or along the cloth")
        if sound and day is not None and given and None not in ratios.values():
            yield Evidence(
                day=day,
                kind=table.get("kind", ""),
                block=table.get("block", ""),
                fabric=table.get("fabric", ""),
                across=ratios.get("across"),
                along=ratios.get("along"),
            )


def _day(value: object, path: str, fault: Callable[[str, str], None]) -> date | None:
    """Return a day written as a TOML date or in quotes."""
    if type(value) is date:
        return value
    if isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    fault(path, f"must be a date such as 2026-05-31, not {value!r}")
    return None


def _ratio(
    value: object, path: str, fault: Callable[[str, str], None]
) -> WornRatio | None:
    table = value if isinstance(value, dict) else {}
    ratio, sd, n = (table.get(key) for key in _RATIO_KEYS[:3])
    clear = table.get("clear", False)
    numbers = all(
        isinstance(one, (int, float)) and not isinstance(one, bool)
        for one in (ratio, sd, n)
    )
    if not (numbers and isinstance(n, int) and isinstance(clear, bool)):
        fault(path, "must be a table with ratio, sd, n and, if told, clear")
        return None
    if stray := [key for key in table if key not in _RATIO_KEYS]:
        fault(f"{path}.{stray[0]}", f"is not a known key; {', '.join(_RATIO_KEYS)} are")
        return None
    try:
        return WornRatio(float(table["ratio"]), float(table["sd"]), n, clear)
    except RefusedError as error:
        fault(path, str(error))
        return None
