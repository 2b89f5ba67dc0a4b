"""Tables and JSON of a tested swatch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .tables import make_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.table import Table

    from ease.fabric.classes import ClassTable
    from ease.fabric.hand_reading import HandReading
    from ease.fabric.profile import Estimate
    from ease.fabric.swatch import DirectionSummary, SwatchSummary

# Figures in the order of the bench, with what they are a share of.
FIGURES = {
    "stretch": "stretch (%)",
    "growth": "growth (%)",
    "wet_growth": "wet growth (%)",
    "recovery": "recovery (% of extension)",
    "contraction": "contraction (% of extension)",
    "recovered_elongation": "recovered elongation (%)",
}

_SPREAD = "sd: standard deviation of n readings"
_TWO_RECOVERIES = (
    "recovery: share of the extension that came back; recovered elongation, as the "
    "strip standard has it: 100 - growth"
)


def readings_tables(readings: Sequence[HandReading], units: str) -> list[Table]:
    """Return the readings as they were understood, with what each of them gives.

    Soaked strips, where there are any, stand in a table of their own.
    """
    rows = [
        (
            f"{one.direction} {one.repeat}",
            *(_length(cm, units) for cm in (one.gauge, one.extended, one.rested)),
            *map(_percent, (one.stretch, one.growth, one.recovery, one.contraction)),
        )
        for one in readings
    ]
    heads = ("gauge", "extended", "rested", "stretch", "growth", "recovery", "contr.")
    lengths = f"lengths in {'inches' if units == 'in' else units}, the rest in %"
    dry = make_table(f"Readings, {lengths}", ("", *heads), rows)
    wet = [
        (
            f"{one.direction} {one.repeat}",
            *(_length(cm, units) for cm in (one.gauge, one.wet_rested)),
            _percent(one.wet_growth),
        )
        for one in readings
        if one.wet_rested is not None
    ]
    if not wet:
        return [dry]
    caption = "wet growth: of the soaked strip, from its dry gauge"
    columns = ("", "gauge, dry", "wet rested", "wet growth")
    return [dry, make_table(f"Soaked, {lengths}", columns, wet, caption=caption)]


def _length(cm: float | None, units: str) -> str:
    from ease.units import length_text

    # A ruler is read to sixteenths; eighths would hide the growth.
    return "-" if cm is None else length_text(cm, units, 2, parts=16)


def _percent(fraction: float | None) -> str:
    from ease.units import percent_text

    return "-" if fraction is None else percent_text(fraction)


def summary_table(summary: SwatchSummary) -> Table:
    """Return each direction's figures with their spread."""
    rows: list[tuple[str, ...]] = []
    for one in summary.directions:
        for key, label in FIGURES.items():
            figure = getattr(one, key)
            if figure is not None:
                rows.append((one.name, label, *_numbers(figure, 100)))
        if one.tension is not None:
            rows.append(
                (one.name, "tension at the load (N/m)", *_numbers(one.tension, 1))
            )
    columns = ("", "figure", "mean", "sd", "n", "95 % interval")
    return make_table(
        "Swatch",
        columns,
        rows,
        text_columns=(0, 1),
        caption=f"{_SPREAD}\n{_TWO_RECOVERIES}"
        if any(one.growth for one in summary.directions)
        else _SPREAD,
    )


def _numbers(figure: Estimate, scale: float) -> tuple[str, str, str, str]:
    from ease.fabric.statistics import interval

    ends = interval(figure)
    return (
        f"{scale * figure.mean:.1f}",
        "-" if figure.sd is None else f"{scale * figure.sd:.1f}",
        str(figure.n),
        "-" if ends is None else f"{scale * ends[0]:.1f} to {scale * ends[1]:.1f}",
    )


def swatch_json(summary: SwatchSummary, table: ClassTable) -> dict[str, Any]:
    """Return the JSON body of a tested swatch; ratios are fractions."""
    from ease.fabric.classes import stretch_class

    classes = {
        one.name: stretch_class(one.stretch.mean, table) for one in summary.directions
    }
    return {
        "directions": {one.name: _direction_json(one) for one in summary.directions},
        "round_body": summary.round_body,
        "round_body_sure": summary.round_body_sure,
        "class": {"table": table.name, **classes},
        "outliers": [
            {
                "direction": out.direction,
                "repeat": out.repeat,
                "figure": out.figure,
                "value": out.value,
                "grubbs_g": out.statistic,
                "critical": out.critical,
                "dropped": out.dropped,
            }
            for out in summary.outliers
        ],
        "notes": list(summary.notes),
    }


def _direction_json(one: DirectionSummary) -> dict[str, Any]:
    figures = {key: _estimate_json(getattr(one, key)) for key in FIGURES}
    return {
        **figures,
        "tension_n_per_m": _estimate_json(one.tension),
        "rest_minutes": one.rest_minutes,
        "more_repeats": one.more_repeats,
    }


def _estimate_json(figure: Estimate | None) -> dict[str, Any] | None:
    from ease.fabric.statistics import interval

    if figure is None:
        return None
    return {
        "mean": figure.mean,
        "sd": figure.sd,
        "n": figure.n,
        "ci95": interval(figure),
    }
