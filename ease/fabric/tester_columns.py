"""Which column of a tester's export holds what: names, units, and lines on top."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, cast

from ease.fabric.profile import DirectionName
from ease.units import CM_PER, MINUTES_PER, NEWTON_PER, canonical_unit

__all__ = ["DIRECTION_HEAD", "Column", "direction_of", "facts_on_top", "understand"]

Role = Literal["load", "extension", "strain", "length", "time", "specimen", ""]

# Words of a heading, the first role that fits; English with a few neighbours.
_ROLES: Final[tuple[tuple[Role, str], ...]] = (
    ("specimen", r"\b(specimen|sample|test piece|repeat|probe|pr[uü]fling)\b"),
    ("time", r"\b(time|elapsed|zeit|temps|tiempo)\b"),
    ("", r"\b(cycle|point|index|no|nr|energy|work|modulus|rate|speed|temp\w*)\b"),
    ("load", r"\b(load|force|tension|pull|kraft|last|fuerza|carga)\b"),
    ("strain", r"\b(strain|dehnung|d[eé]formation|deformaci[oó]n)\b"),
    (
        "extension",
        r"\b(ext\w*|elong\w*|displ\w*|stroke|crosshead|travel|position|deflection|weg"
        r"|traverse\w*|verl[aä]ngerung|allongement|alargamiento)\b",
    ),
    ("length", r"\b(length|l[aä]nge|longueur)\b"),
)
LONGEST_NAME: Final = (
    200  # signs of a heading, or of a line on top that states one fact
)
_PER_WIDTH: Final = re.compile(
    r"(?P<force>[a-z]+)\s*/\s*(?P<wide>(?:[0-9]{1,6}(?:\.[0-9]{1,6})?)?)\s*(?P<unit>mm|cm|m|in)$",
    re.I,
)
_UNIT_IN_NAME = re.compile(r"(?P<name>.*?)\s*[(\[<](?P<unit>[^)\]>]*)[)\]>]\s*$")
_TRAILING_UNIT = re.compile(r"(?P<name>.*?)[\s_,/]+(?P<unit>%|[A-Za-z]{1,3}f?)$")
_RATIOS: Final = {"%": 0.01, "pct": 0.01, "percent": 0.01, "mm/mm": 1.0, "-": 1.0}

_FACTS: Final[tuple[tuple[str, str], ...]] = (
    ("gauge", r"gauge|gage|grip sep\w*|initial length|jaw sep\w*|l0|einspannl\w*"),
    ("strip_width", r"(strip |specimen |sample )?width|breite|largeur"),
    ("layers", r"layers|plies|thicknesses|lagen"),
    ("direction", r"(cloth |fabric |test )?direction|orientation|richtung"),
    ("specimen_type", r"(specimen |sample )?(type|form|geometry)|method"),
)

DIRECTION_HEAD: Final = r"(cloth |fabric |test )?(direction|orientation|richtung)"
_CROSS: Final = ("across", "course", "width", "weft", "cross", "quer")
_ALONG: Final = ("along", "wale", "length", "warp", "machine", "längs")


@dataclass(frozen=True, slots=True)
class Column:
    """What one column holds.

    Attributes:
        role: What is measured; empty for a column of no use.
        factor: To N, N/m, cm, minutes or a fraction.
        unit: The unit as found; empty where none was written.
        per_width: Whether a load is given per width already.
        title: The heading.
    """

    role: Role
    factor: float
    unit: str
    per_width: bool
    title: str


def understand(heading: str, unit_below: str) -> Column:
    """Return what a column holds by its heading and the unit below it.

    Examples:
        >>> understand("Load (cN)", "")
        Column(role='load', factor=0.01, unit='cN', per_width=False, title='Load (cN)')
        >>> understand("Tensile strain", "%").factor
        0.01
    """
    name, unit = heading.strip(), unit_below.strip().strip("()[]<>")
    if len(name) > LONGEST_NAME:
        return Column("", 1.0, "", False, name[:LONGEST_NAME])
    inside = _UNIT_IN_NAME.fullmatch(name)
    if inside is not None:
        name, unit = inside["name"], unit or inside["unit"].strip()
    elif not unit:
        tail = _TRAILING_UNIT.fullmatch(name)
        if tail is not None and _known(tail["unit"]):
            name, unit = tail["name"], tail["unit"]
    words = re.sub(r"[_\W]+", " ", name.lower()).strip()
    role: Role = next((role for role, pat in _ROLES if re.search(pat, words)), "")
    if role in ("extension", "length") and unit in _RATIOS:
        role = "strain"
    elif role == "strain" and canonical_unit(unit) in CM_PER:
        role = "extension"
    factor, shown, per_width = _factor(role, unit)
    return Column(role, factor, shown, per_width, heading.strip())


def _known(unit: str) -> bool:
    found = canonical_unit(unit)
    return found in {*CM_PER, *NEWTON_PER, *MINUTES_PER} or unit in _RATIOS


def _factor(role: Role, unit: str) -> tuple[float, str, bool]:
    """Return the factor of a unit in its role, the unit, and whether it is per width.

    The unit comes back empty where none fits.
    """
    if role == "load":
        wide = _PER_WIDTH.fullmatch(unit)
        number = float(wide["wide"] or 1) if wide is not None else 0.0
        if wide is not None and number and canonical_unit(wide["force"]) in NEWTON_PER:
            metres = number * CM_PER[wide["unit"].lower()] / 100
            return NEWTON_PER[canonical_unit(wide["force"])] / metres, unit, True
    if role == "strain":
        return _RATIOS.get(unit.lower(), 1.0), unit if unit in _RATIOS else "", False
    tables: dict[str, Mapping[str, float]] = {
        "load": NEWTON_PER,
        "extension": CM_PER,
        "length": CM_PER,
        "time": MINUTES_PER,
    }
    table = tables.get(role, {})
    found = canonical_unit(unit)
    if found in table:
        return table[found], found, False
    return 1.0, "", False


def facts_on_top(lines: Sequence[Sequence[str]]) -> dict[str, str]:
    """Return what the lines above the table say, text by key.

    A line may be ``Gauge length: 100 mm``, ``Width = 50 mm``, or cells such as
    ``"Gauge length","100","mm"``. The unit may stand with the name: ``Width (mm)``.

    Args:
        lines: The cells of each line.
    """
    facts: dict[str, str] = {}
    for cells in lines:
        filled = [cell.strip().lstrip("#").strip() for cell in cells if cell.strip()]
        if not filled or max(map(len, filled)) > LONGEST_NAME:
            continue  # nothing, or running text
        head, *rest = filled
        parts = re.split(r"\s*[:=]\s*|\s+(?=[0-9])", head, maxsplit=1)
        if len(parts) == 2:
            head, rest = parts[0], [parts[1], *rest]
        rest = [cell for cell in rest if cell]
        inside = _UNIT_IN_NAME.fullmatch(head)
        if inside is not None and len(rest) == 1:
            head, rest = inside["name"], [rest[0], inside["unit"]]
        key = re.sub(r"[_\W]+", " ", head.lower()).strip()
        for fact, pattern in _FACTS:
            if rest and re.fullmatch(rf"({pattern})( length| of \w+)?", key):
                facts.setdefault(fact, " ".join(rest))
    return facts


def direction_of(word: str) -> DirectionName | None:
    """Return the direction of the cloth that a word tells; None where it tells none.

    Examples:
        >>> direction_of("Course"), direction_of("warp"), direction_of("up")
        ('across', 'along', None)
    """
    for name, words in (("across", _CROSS), ("along", _ALONG)):
        if any(part in word.lower() for part in words):
            return cast("DirectionName", name)
    return None
