"""The JSON document of ``ease toile``."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from .toile_words import doubts

if TYPE_CHECKING:
    from ease.block.toile_correct import Correction, Move
    from ease.block.toile_rows import Cause, WornRow


def toile_json(result: Correction) -> dict[str, Any]:
    """Return the JSON body of a toile; strains and shares are fractions."""
    toile = result.toile
    refit = result.result
    return {
        "block": toile.block.name,
        "body": toile.body.name,
        "fabric": toile.fabric.name,
        "round_body": toile.round_body,
        "strains": [_strain_json(row) for row in toile.rows],
        "not_judged": [
            {"place": mark.place, "direction": mark.direction, "strain": mark.strain}
            for mark in toile.aside
        ],
        "causes": [_cause_json(cause) for cause in toile.causes],
        "cannot_tell": [
            [[{"kind": one.kind, "name": one.name} for one in rows] for rows in choice]
            for choice in doubts(toile)
        ],
        "away_limit": toile.limit,
        "tape_spread_multiplied_by": toile.fit.widened,
        "factors": [_move_json(move) for move in result.moves],
        "move_limit_sd": result.limit,
        "moved": [move.name for move in result.moved],
        "body_found": [
            {
                "measure": change.key,
                "taped_cm": change.taped,
                "found_cm": change.found,
                "found_ci95_cm": [
                    change.found - change.half,
                    change.found + change.half,
                ],
            }
            for change in result.body
        ],
        "girths": None
        if refit is None
        else [
            {"name": row.name, "before_cm": row.before_cm, "after_cm": row.after_cm}
            for row in refit.girths
        ],
        "remarks": [
            {**asdict(remark), "kind": remark.kind or None} for remark in toile.remarks
        ],
    }


def _strain_json(row: WornRow) -> dict[str, Any]:
    def both(value: float, half: float) -> dict[str, Any]:
        return {"strain": value, "ci95": [value - half, value + half]}

    return {
        "place": row.place,
        "direction": row.direction,
        "marks": row.n,
        "measured": both(row.measured, row.measured_half),
        "predicted": both(row.predicted, row.predicted_half),
        "weighed": both(row.worn, row.worn_half),
    }


def _cause_json(cause: Cause) -> dict[str, Any]:
    unit = "cm" if cause.kind in ("tape", "body") else "share"
    return {
        "kind": cause.kind,
        "name": cause.name,
        "unit": unit,
        "stated_sd": cause.stated,
        "off": cause.off,
        "off_sd": cause.sd,
        "away_sd": cause.away,
        "explains": cause.explains,
        "verdict": cause.verdict,
    }


def _move_json(move: Move) -> dict[str, Any]:
    return {
        "name": move.name,
        "before": move.old,
        "marks_say_times": move.found,
        "marks_say_ci95": [move.found - move.half, move.found + move.half],
        "kept_times": move.kept,
        "after": move.new,
    }
