"""What ``ease load`` shows: the table of tension, strips held, JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .tables import make_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.table import Table

    from ease.fabric.load_test import Band, LoadResult, LoadTest
    from ease.fabric.profile import Estimate
    from ease.fabric.tension import Branch


def load_table(test: LoadTest) -> Table:
    """Return tension at 20, 40 and 60 %, energy lost and range of each direction."""
    rows: list[tuple[str, ...]] = []
    for result in test.results:
        curve = result.curve
        rows.append(
            (
                result.direction,
                str(result.repeats),
                *(_power(result.power(strain)) for strain in _strains()),
                _percent(result.energy_lost),
                _percent(result.set_strain),
                _percent(curve.last_strain),
            )
        )
        if result.first is not None:
            rows.append(
                (
                    "  cycle 1",
                    "",
                    *(_tension(result.first, strain) for strain in _strains()),
                    "",
                    "",
                    _percent(result.first.last_strain),
                )
            )
    heads = [f"at {100 * strain:.0f} %\n(N/m)" for strain in _strains()]
    return make_table(
        "Tension of one layer, loading",
        ("pulled", "n", *heads, "lost\n(%)", "set\n(%)", "tested\nto (%)"),
        rows,
        caption=(
            "+-: holds 95 %, by the spread of the repeats. Lost: share of the energy that "
            "does not come back. Set: strain at which it goes slack. Both are means of the "
            "repeats, each over its whole loop. A dash: not tested."
        ),
    )


def _strains() -> tuple[float, ...]:
    from ease.fabric.load_test import POWER_AT

    return POWER_AT


def _power(figure: Estimate | None) -> str:
    from ease.fabric.statistics import interval

    if figure is None:
        return "-"
    digits = 0 if figure.mean >= 100 else 1
    text = f"{figure.mean:.{digits}f}"
    if (ends := interval(figure)) is None:
        return text
    return f"{text} +- {0.5 * (ends[1] - ends[0]):.{digits}f}"


def _tension(branch: Branch, strain: float) -> str:
    value = float(branch.tension_at(strain, outside="nan"))
    return f"{value:.1f}" if value == value else "-"


def _percent(value: float | None) -> str:
    return "-" if value is None else f"{100 * value:.1f}"


def held_lines(test: LoadTest) -> list[str]:
    """Return how far the tension of held strips fell, a line for each direction."""
    return [
        f"{result.direction}: held {result.hold.minutes:.1f} min at the top, tension "
        f"fell by {100 * result.hold.decay:.1f} %"
        for result in test.results
        if result.hold is not None
    ]


def load_json(test: LoadTest, notes: Sequence[str]) -> dict[str, Any]:
    """Return the JSON body of a load test; strains and shares are fractions."""
    return {
        "understood": test.understood,
        "origin": test.origin,
        "notes": list(notes),
        "directions": {one.direction: _result_json(one) for one in test.results},
    }


def _result_json(result: LoadResult) -> dict[str, Any]:
    curve = result.curve
    hold = result.hold
    return {
        "repeats": result.repeats,
        "cycles": result.cycles,
        "tested_to_strain": curve.last_strain,
        "power_n_per_m": {
            f"strain_{100 * strain:.0f}_pct": _figure_json(result.power(strain))
            for strain in _strains()
        },
        "modulus_n_per_m": curve.modulus,
        "energy_lost": result.energy_lost,
        "set_strain": result.set_strain,
        "hold": None
        if hold is None
        else {"minutes": hold.minutes, "tension_lost": hold.decay},
        "loading": _band_json(result.loading),
        "unloading": None if result.unloading is None else _band_json(result.unloading),
    }


def _figure_json(figure: Estimate | None) -> dict[str, Any] | None:
    if figure is None:
        return None
    return {"mean": figure.mean, "sd": figure.sd, "n": figure.n}


def _band_json(band: Band) -> dict[str, Any]:
    return {
        "strain": band.strain,
        "tension_n_per_m": band.mean,
        "least_n_per_m": band.least,
        "most_n_per_m": band.most,
    }
