"""A fabric as the text of a profile file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ease.fabric.evidence import Evidence, evidence_table
from ease.fabric.profile import (
    DIRECTIONS,
    FIGURES,
    ClothDirection,
    Estimate,
    Fabric,
)
from ease.fabric.profile_toml import SCHEMA

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ease.fabric.tension import Branch

__all__ = ["fabric_to_toml"]


def fabric_to_toml(fabric: Fabric) -> str:
    """Return a fabric as the text of a profile file.

    Figures are written with as many digits as bring the same number back.
    """
    import tomlkit

    document = tomlkit.document()
    document["schema"] = SCHEMA
    for key in ("name", "title", "origin", "source", "note"):
        if getattr(fabric, key):
            document[key] = getattr(fabric, key)
    if fabric.mass_gsm is not None:
        document["mass_gsm"] = fabric.mass_gsm
    if fabric.tested:
        document["tested"] = dict(fabric.tested)
    for name in DIRECTIONS:
        direction = fabric.direction(name)
        if direction is not None:
            document[name] = _direction_table(direction)
    if fabric.evidence:
        document["evidence"] = _evidence_tables(fabric.evidence)
    return tomlkit.dumps(document)


def _evidence_tables(evidence: Sequence[Evidence]) -> Any:  # noqa: ANN401 - tomlkit's
    import tomlkit

    tables = tomlkit.aot()
    for one in evidence:
        table = tomlkit.table()
        for key, value in evidence_table(one).items():
            if isinstance(value, dict):
                ratio = tomlkit.inline_table()
                ratio.update(value)
                value = ratio
            table[key] = value
        tables.append(table)
    return tables


def _direction_table(direction: ClothDirection) -> Any:  # noqa: ANN401 - a tomlkit table
    import tomlkit

    table = tomlkit.table()
    for key in FIGURES:
        figure = getattr(direction, key)
        if figure is not None:
            table[key] = _estimate_table(figure)
    if direction.rest_minutes is not None:
        table["rest_minutes"] = direction.rest_minutes
    if direction.tension is not None:
        curve = tomlkit.table(is_super_table=True)
        curve["loading"] = _branch_table(direction.tension.loading)
        if direction.tension.unloading is not None:
            curve["unloading"] = _branch_table(direction.tension.unloading)
        table["tension"] = curve
    return table


def _estimate_table(figure: Estimate) -> Any:  # noqa: ANN401 - a tomlkit table
    import tomlkit

    table = tomlkit.inline_table()
    table["mean"] = float(figure.mean)
    if figure.sd is not None:
        table["sd"] = float(figure.sd)
    table["n"] = figure.n
    return table


def _branch_table(branch: Branch) -> dict[str, list[float]]:
    return {
        "strain": [float(value) for value in branch.strain],
        "tension": [float(value) for value in branch.tension],
        "slope": [float(value) for value in branch.slope],
    }
