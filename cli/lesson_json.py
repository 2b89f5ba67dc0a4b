"""The JSON of a lesson; figures past the load test are null."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .check_json import number_or_none

if TYPE_CHECKING:
    from ease.block.lesson import Lesson
    from ease.fit.decide import Decision
    from ease.fit.lesson import Falling, Pulled, TwoCuts
    from ease.fit.size_run import SizeRun


def lesson_json(lesson: Lesson) -> dict[str, Any]:
    """Return the JSON body of a lesson, step by step."""
    reduction = lesson.reduction
    return {
        "fabric": reduction.fabric.name,
        "round_body": reduction.round_body,
        "body": reduction.body.name,
        "block": lesson.block.name,
        "hold": reduction.aim.name,
        "pulled": [_pulled(strip) for strip in lesson.pulled],
        "two_cuts": {"taught": _cuts(lesson.taught), "fabric": _cuts(lesson.own)},
        "body_size": [
            {
                "state": state.state,
                "growth_round": state.round,
                "growth_down": state.down,
                "strain": state.strain,
            }
            for state in lesson.grown
        ],
        "window": _window(reduction.girth),
        "sizes": _sizes(lesson.sizes),
        "shortens": {
            "strain": reduction.girth.strain,
            "free_length": reduction.free_length,
            "contraction_strain": reduction.contraction_strain,
            "free_loop_cm": lesson.free_loop_cm,
        },
        "falls": _falls(lesson.falling),
        "levels": [
            {
                "name": row.name,
                "body_cm": row.body_cm,
                "block_cm": row.block_cm,
                "strain": row.strain,
                "cut_cm": row.cut_cm,
                "off_quarter_cm": row.off_quarter_cm,
            }
            for row in lesson.levels
        ],
    }


def _window(girth: Decision) -> dict[str, Any]:
    return {
        "low": None if girth.low is None else girth.low.strain,
        "high": None if girth.high is None else girth.high.strain,
        "strain": girth.strain,
        "bound_by": girth.bound_by,
    }


def _falls(falling: Falling) -> dict[str, Any]:
    return {
        "tension_n_per_m": falling.tension,
        "length_strain": falling.length_strain,
        "is_example": falling.is_example,
        "girths": [
            {"name": name, "girth_cm": float(cm), "pressure_kpa": float(kpa)}
            for name, cm, kpa in zip(
                falling.names, falling.girth, falling.pressure, strict=True
            )
        ],
    }


def _pulled(strip: Pulled) -> dict[str, Any]:
    reading = strip.reading
    return {
        "cloth": strip.cloth,
        "goes": strip.goes,
        "gauge_cm": reading.gauge,
        "extended_cm": reading.extended,
        "rested_cm": reading.rested,
        "stretch": reading.stretch,
        "growth": reading.growth,
        "recovery": reading.recovery,
        "recovered_elongation": reading.recovered_elongation,
        "wet_growth": strip.wet_growth,
    }


def _cuts(cuts: TwoCuts) -> dict[str, float]:
    return {
        "body_cm": cuts.body_cm,
        "strain": cuts.strain,
        "cut_cm": cuts.right_cm,
        "reduction": cuts.reduction,
        "mistaken_cut_cm": cuts.wrong_cm,
        "mistaken_strain": cuts.wrong_strain,
    }


def _sizes(run: SizeRun) -> dict[str, Any]:
    return {
        "fixed_cm": run.fixed_cm,
        "factor": run.factor,
        "rows": [
            {
                "bust_cm": float(bust),
                "fixed_cut_cm": float(run.fixed_cut[i]),
                "fixed_strain": float(run.fixed_strain[i]),
                "fixed_pressure_kpa": number_or_none(run.fixed_pressure, i),
                "hold": run.hold[i] or None,
                "beyond": run.beyond[i] or None,
                "factor_cut_cm": float(run.factor_cut[i]),
                "factor_strain": run.factor_strain,
                "factor_pressure_kpa": number_or_none(run.factor_pressure, i),
                "window": [float(run.low[i]), float(run.high[i])],
                "decided_strain": float(run.decided[i]),
            }
            for i, bust in enumerate(run.bust)
        ],
    }
