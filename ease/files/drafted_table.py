"""The table of a block file that says what the block was drafted for."""

from __future__ import annotations

from typing import Any, Final

from ease.block.pieces import DraftedFor, Toiled
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
    keys = ("girth", "length", "unsure_length", "meant", "meant_length")
    table = reader.table(item, path, keys)
    girth, length, unsure = (reader.factor(table, key, path) for key in keys[:3])
    by_level = table.get("meant", {})
    if not isinstance(by_level, dict):
        reader.fault(f"{path}.meant", "must be a table of strains by level")
        by_level = {}
    strains = [
        (name, reader.strain(by_level, name, f"{path}.meant")) for name in by_level
    ]
    return Toiled(
        1.0 if girth is None else girth,
        1.0 if length is None else length,
        1.0 if unsure is None else unsure,
        tuple((name, strain) for name, strain in strains if strain is not None),
        reader.strain(table, "meant_length", path),
    )


def _round_body(reader: Tables, table: dict[str, Any]) -> str:
    value = reader.text(table, "round", "drafted_for", "")
    if value in ("", "along", "across"):
        return value
    reader.fault("drafted_for.round", f"{value!r} is none of along, across")
    return ""
