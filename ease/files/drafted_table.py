"""The table of a block file that says what the block was drafted for."""

from __future__ import annotations

from typing import Any, Final

from ease.block.fittings import MOST_CM
from ease.block.pieces import DraftedFor, FoundMeasure, Toiled
from ease.errors import RefusedError
from ease.files.block_table import Tables

__all__ = ["drafted_for_of"]

_DRAFTED: Final = (
    "girth_factor",
    "length_factor",
    "fabric",
    "body",
    "round",
    "level_factors",
    "toiled",
)
_TOILED: Final = (
    "girth",
    "length",
    "wearer",
    "measures",
    "lay",
    "unsure",
    "meant",
    "meant_length",
)


def drafted_for_of(reader: Tables, item: object) -> DraftedFor:
    """Return what a block was drafted for; each fault goes to the reader."""
    table = reader.table(item, "drafted_for", _DRAFTED)
    path = "drafted_for.level_factors"
    by_level = table.get("level_factors", {})
    if not isinstance(by_level, dict):
        reader.fault(path, "must be a table of factors by level")
        by_level = {}
    factors = [(name, reader.factor(by_level, name, path)) for name in by_level]
    return DraftedFor(
        girth_factor=reader.factor(table, "girth_factor", "drafted_for"),
        length_factor=reader.factor(table, "length_factor", "drafted_for"),
        fabric=reader.text(table, "fabric", "drafted_for", ""),
        body=reader.text(table, "body", "drafted_for", ""),
        level_factors=tuple((n, f) for n, f in factors if f is not None),
        round_body=_round_body(reader, table),
        toiled=_toiled(reader, table.get("toiled", {})),
    )


def _toiled(reader: Tables, item: object) -> Toiled:
    path = "drafted_for.toiled"
    table = reader.table(item, path, _TOILED)
    girth, length = (reader.factor(table, key, path) for key in ("girth", "length"))
    by_level = _table(reader, table, "meant", path)
    strains = [
        (name, reader.strain(by_level, name, f"{path}.meant")) for name in by_level
    ]
    unsure = table.get("unsure", [])
    if not isinstance(unsure, list):
        reader.fault(f"{path}.unsure", "must be a list of measures")
        unsure = []
    measures = _table(reader, table, "measures", path)
    lay = _table(reader, table, "lay", path)
    for key, named in (("unsure", unsure), ("lay", list(lay))):
        if strange := [one for one in named if one not in list(measures)]:
            what = f"{strange[0]!r} is none of the measures found"
            reader.fault(f"{path}.{key}", what)
    found = [
        _measure(reader, path, key, pair, lay.get(key), key not in unsure)
        for key, pair in measures.items()
    ]
    return Toiled(
        1.0 if girth is None else girth,
        1.0 if length is None else length,
        reader.text(table, "wearer", path, ""),
        tuple(one for one in found if one is not None),
        tuple((name, strain) for name, strain in strains if strain is not None),
        reader.strain(table, "meant_length", path),
    )


def _table(
    reader: Tables, table: dict[str, Any], key: str, path: str
) -> dict[str, Any]:
    value = table.get(key, {})
    if isinstance(value, dict):
        return value
    reader.fault(f"{path}.{key}", "must be a table by level or measure")
    return {}


def _measure(
    reader: Tables, path: str, key: str, pair: object, lay: object, sure: bool
) -> FoundMeasure | None:
    sizes, ratio = _two(pair), None if lay is None else _two(lay)
    if sizes is None:
        what = f"must be [taped, found] in cm, not {pair!r}"
        reader.fault(f"{path}.measures.{key}", what)
        return None
    if ratio is None and lay is not None:
        what = f"must be [times as taped, its spread], not {lay!r}"
        reader.fault(f"{path}.lay.{key}", what)
        return None
    try:
        return FoundMeasure(key, *sizes, sure, ratio)
    except RefusedError as error:
        reader.fault(f"{path}.measures.{key}", error.message)
        return None


def _two(pair: object) -> tuple[float, float] | None:
    """Return two numbers above 0; None where it is no such pair."""
    if isinstance(pair, list) and len(pair) == 2:
        numbers = [v for v in pair if isinstance(v, (int, float)) and v is not True]
        if len(numbers) == 2 and all(0 < v < MOST_CM for v in numbers):
            return float(numbers[0]), float(numbers[1])
    return None


def _round_body(reader: Tables, table: dict[str, Any]) -> str:
    value = reader.text(table, "round", "drafted_for", "")
    if value in ("", "along", "across"):
        return value
    reader.fault("drafted_for.round", f"{value!r} is none of along, across")
    return ""
