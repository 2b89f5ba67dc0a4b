"""What a block knows besides its lines, as "KEY: value" records and back.

SVG and DXF files of the project carry these records, so that a block comes back with
its levels, seams, holds and torso loop. Each value is JSON, in plain ASCII.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from ease.block.block_limits import name_from_file
from ease.block.pieces import (
    LOOP_SHARE,
    Block,
    DraftedFor,
    FoundMeasure,
    Hold,
    Level,
    PointRef,
    Seam,
    Toiled,
)
from ease.errors import BlockError, Problem, RefusedError
from ease.files.piece_parts import PieceParts, placed_piece

__all__ = [
    "SCHEMA",
    "block_from_parts",
    "block_records",
]

SCHEMA: Final = "ease/drawing/1"
_KEYS: Final = frozenset(
    {"SCHEMA", "BLOCK NAME", "ANCHOR", "LEVEL", "SEAM", "HOLD", "LOOP", "DRAFTED FOR",
     "LEVEL FACTOR", "ROUND BODY", "TOILED", "NOTE"}
)  # fmt: skip


def block_records(block: Block) -> list[tuple[str, str]]:
    """Return all that is no geometry as records, (key, JSON value)."""
    made = block.drafted_for
    records: list[tuple[str, object]] = [
        ("SCHEMA", SCHEMA),
        ("BLOCK NAME", block.name),
        ("ANCHOR", block.anchor),
    ]
    records += [("LEVEL", [item.name, item.y, item.loop]) for item in block.levels]
    records += [("SEAM", [item.first, item.second]) for item in block.seams]
    records += [
        ("HOLD", [item.name, *_split(item.first), *_split(item.second)])
        for item in block.holds
    ]
    records += [("LOOP", [_split(ref) for ref in run]) for run in block.loop_path]
    records += [
        ("DRAFTED FOR", [made.girth_factor, made.length_factor, made.fabric, made.body])
    ]
    records += [("ROUND BODY", made.round_body)] if made.round_body else []
    records += [] if made.toiled == Toiled() else [("TOILED", _toiled(made.toiled))]
    records += [("LEVEL FACTOR", list(item)) for item in made.level_factors]
    if block.note:
        records.append(("NOTE", block.note))
    return [(key, json.dumps(value, allow_nan=False)) for key, value in records]


def _toiled(toiled: Toiled) -> list[object]:
    measures = [[m.key, m.taped, m.found, m.sure, m.lay] for m in toiled.measures]
    known = [toiled.girth, toiled.length, toiled.wearer, measures]
    return [*known, toiled.meant, toiled.meant_length]


def _toiled_of(values: list[Any]) -> Toiled:
    girth, length, wearer, measures, meant, meant_length = values
    return Toiled(
        float(girth),
        float(length),
        str(wearer),
        tuple(
            FoundMeasure(str(key), float(taped), float(found), bool(sure), _pair(lay))
            for key, taped, found, sure, lay in measures
        ),
        tuple((str(name), float(strain)) for name, strain in meant),
        None if meant_length is None else float(meant_length),
    )


def _pair(values: Sequence[float] | None) -> tuple[float, float] | None:
    return None if values is None else (float(values[0]), float(values[1]))


def _split(ref: PointRef) -> list[str]:
    return [ref.piece, ref.point]


def _values(records: Iterable[tuple[str, str]], source: str) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    problems: list[Problem] = []
    for key, text in records:
        if key not in _KEYS:
            continue
        try:
            found.setdefault(key, []).append(json.loads(text))
        except (ValueError, RecursionError):
            shown = text if len(text) < 40 else f"{text[:40]}..."
            problems.append(Problem(f"record {key}", f"{shown!r} cannot be read"))
    if problems:
        raise BlockError(source, problems)
    return found


def block_from_parts(
    parts: Sequence[PieceParts], records: Iterable[tuple[str, str]], source: str
) -> Block:
    """Return the block that pieces and records make up.

    Each piece is moved so that its anchor level lies at one height and its fold at
    x = 0: in a drawing program pieces are pushed about.

    Args:
        parts: The pieces, each in its own frame.
        records: As :func:`block_records` wrote them.
        source: The file's name for messages.

    Raises:
        BlockError: If a record is wrong or the parts make up no block.
    """
    values = _values(records, source)
    schema = (values.get("SCHEMA") or [""])[-1]
    if schema != SCHEMA:
        message = f"its own data says schema {schema!r}; this version reads {SCHEMA!r}"
        raise BlockError(source, message)
    try:
        block = _build(parts, values)
        return (
            block if block.name.strip() else replace(block, name=name_from_file(source))
        )
    except RefusedError as error:
        raise BlockError(source, str(error)) from error
    except (TypeError, ValueError, IndexError, AttributeError) as error:
        message = f"its own data is damaged ({error})"
        raise BlockError(
            source, message, hint="read it as a foreign drawing with --map"
        ) from error


def _build(parts: Sequence[PieceParts], values: Mapping[str, list[Any]]) -> Block:
    anchor = str((values.get("ANCHOR") or ["waist"])[-1])
    levels = _levels(parts, values, anchor)
    anchor_y = next((item.y for item in levels if item.name == anchor), 0.0)
    made = (values.get("DRAFTED FOR") or [[None, None, "", ""]])[-1]
    factors = tuple((str(name), float(f)) for name, f in values.get("LEVEL FACTOR", []))
    toile = (values.get("TOILED") or [None])[-1]
    return Block(
        name=str((values.get("BLOCK NAME") or [""])[-1]),
        pieces=tuple(placed_piece(item, anchor, anchor_y) for item in parts),
        levels=levels,
        seams=tuple(Seam(str(a), str(b)) for a, b in values.get("SEAM", [])),
        holds=tuple(
            Hold(
                str(name).strip() or "held",
                PointRef(str(p), str(q)),
                PointRef(str(r), str(s)),
            )
            for name, p, q, r, s in values.get("HOLD", [])
        ),
        loop_path=tuple(
            tuple(PointRef(str(p), str(q)) for p, q in run)
            for run in values.get("LOOP", [])
        ),
        anchor=anchor,
        drafted_for=DraftedFor(
            None if made[0] is None else float(made[0]),
            None if made[1] is None else float(made[1]),
            str(made[2]),
            str(made[3]),
            factors,
            str((values.get("ROUND BODY") or [""])[-1]),
            Toiled() if toile is None else _toiled_of(toile),
        ),
        note=str((values.get("NOTE") or [""])[-1]),
    )


def _levels(
    parts: Sequence[PieceParts], values: Mapping[str, list[Any]], anchor: str
) -> tuple[Level, ...]:
    """Return the levels; a line moved in the drawing counts, relative to the anchor."""
    levels = []
    recorded = {str(name): float(y) for name, y, _ in values.get("LEVEL", [])}
    for name, y, loop in values.get("LEVEL", []):
        if loop not in LOOP_SHARE:
            message = f"level {name}: {loop!r} is not one of {', '.join(LOOP_SHARE)}"
            raise RefusedError(message)
        height = float(y)
        for item in parts:
            if name in item.level_y and anchor in item.level_y:
                drawn = item.level_y[name] - item.level_y[anchor] + recorded[anchor]
                height = height if abs(drawn - height) < 1e-6 else drawn
                break
        levels.append(Level(str(name), height, loop))
    return tuple(levels)
