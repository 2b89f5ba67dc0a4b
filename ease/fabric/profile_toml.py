"""The fabric profile as TOML: every fault of a file found at once, and the way back."""

from __future__ import annotations

from math import isfinite
from typing import Any, Final

import numpy as np

from ease.errors import EaseError, Problem, ProfileError, RefusedError
from ease.fabric.evidence import evidence_from_tables
from ease.fabric.profile import (
    DIRECTIONS,
    FIGURES,
    MOST_REST_MINUTES,
    ORIGINS,
    ClothDirection,
    Estimate,
    Fabric,
)
from ease.fabric.tension import Branch, TensionCurve
from ease.nearest import nearest_text

__all__ = ["SCHEMA", "fabric_from_table"]

SCHEMA: Final = "ease/fabric/1"
_TEXTS: Final = ("name", "title", "origin", "source")
_TOP: Final = (*_TEXTS, "schema", "note", "mass_gsm", "tested", "evidence", *DIRECTIONS)
_DIRECTION: Final = (*FIGURES, "rest_minutes", "tension")
# Tables of a tension curve, with the names they had before.
_CURVES: Final = {"loading": "up", "unloading": "down"}
_BRANCH: Final = ("strain", "tension", "slope")


class _Reader:
    """Takes figures out of tables and gathers what is wrong with them."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def fault(self, path: str, what: str) -> None:
        self.problems.append(Problem(path, what))

    def table(self, value: object, path: str, keys: tuple[str, ...]) -> dict[str, Any]:
        """Return a table, with a fault for each unknown key."""
        if not isinstance(value, dict):
            self.fault(path, "must be a table")
            return {}
        for key in value:
            if key not in keys:
                where = f"{path}.{key}" if path else str(key)
                self.fault(where, f"is not a known key{nearest_text(str(key), keys)}")
        return value

    def number(
        self, value: object, path: str, low: float = float("-inf"), high: float = 1e9
    ) -> float | None:
        """Return a finite number between the bounds, or record a fault."""
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.fault(path, f"must be a number, not {value!r}")
        elif not isfinite(value):
            self.fault(path, f"must be a finite number, not {value}")
        elif not low <= value <= high:
            bounds = f"to {high:g}" if low == float("-inf") else f"{low:g} to {high:g}"
            percent = high <= 5 and max(1.0, high) < value <= 500
            slip = "; write fractions, 0.68 for 68 %" if percent else ""
            self.fault(path, f"must lie within {bounds}, not {value:g}{slip}")
        else:
            return float(value)
        return None

    def text(self, table: dict[str, Any], key: str, *, needed: bool) -> str:
        """Return a text; where it is needed it must be there and not be empty."""
        value = table.get(key, "")
        if not isinstance(value, str):
            self.fault(key, f"must be text in quotes, not {value!r}")
            return ""
        if needed and not value.strip():
            self.fault(key, "is missing" if key not in table else "is empty")
        return value

    def estimate(self, value: object, path: str) -> Estimate | None:
        """Return a figure given as a bare number or as mean, sd and n."""
        low, high = FIGURES[path.rpartition(".")[2]]
        if not isinstance(value, dict):
            mean = self.number(value, path, low, high)
            return None if mean is None else Estimate(mean)
        table = self.table(value, path, ("mean", "sd", "n"))
        before = len(self.problems)
        if "mean" not in table:
            self.fault(f"{path}.mean", "is missing")
            return None
        mean = self.number(table["mean"], f"{path}.mean", low, high)
        sd = None
        if "sd" in table:
            sd = self.number(table["sd"], f"{path}.sd", 0.0, high)
        n = table.get("n", 1)
        if isinstance(n, bool) or not isinstance(n, int) or n < 1:
            self.fault(f"{path}.n", f"must be a whole number from 1, not {n!r}")
        if mean is None or len(self.problems) > before:
            return None
        return Estimate(mean, sd, n)

    def column(self, table: dict[str, Any], key: str, path: str) -> list[float]:
        """Return a list of finite numbers."""
        value = table.get(key)
        if not isinstance(value, list) or not value:
            self.fault(f"{path}.{key}", "must be a list of numbers")
            return []
        cells = [
            self.number(item, f"{path}.{key}[{place}]")
            for place, item in enumerate(value, start=1)
        ]
        return [cell for cell in cells if cell is not None]

    def branch(self, value: object, path: str) -> Branch | None:
        """Return one branch of a tension curve; slopes are worked out if not given."""
        table = self.table(value, path, _BRANCH)
        before = len(self.problems)
        keys = _BRANCH if "slope" in table else _BRANCH[:2]
        columns = [self.column(table, key, path) for key in keys]
        if len(self.problems) > before:
            return None
        if len({len(column) for column in columns}) > 1:
            self.fault(path, f"{', '.join(keys)} must be lists of one length")
            return None
        try:
            if len(keys) == 2:
                return Branch.through(*columns)
            return Branch(*(np.array(column) for column in columns))
        except (EaseError, ValueError) as error:
            self.fault(path, str(error))
            return None

    def curve(self, value: object, path: str) -> TensionCurve | None:
        """Return a tension curve; ``up`` and ``down`` are older names of its tables."""
        table = self.table(value, path, (*_CURVES, *_CURVES.values()))
        found: dict[str, Branch | None] = {}
        before = len(self.problems)
        for name, older in _CURVES.items():
            key = name if name in table else older
            if key in table:
                found[name] = self.branch(table[key], f"{path}.{key}")
            if name in table and older in table:
                self.fault(f"{path}.{older}", f"is another name of {name}; give one")
        if "loading" not in found:
            what = "is missing: strain and tension as the load rises"
            self.fault(f"{path}.loading", what)
        loading = found.get("loading")
        if loading is None or len(self.problems) > before:
            return None
        try:
            return TensionCurve(loading, found.get("unloading"))
        except EaseError as error:
            self.fault(path, str(error))
            return None

    def direction(self, value: object, path: str) -> ClothDirection | None:
        """Return one tested direction of the cloth."""
        table = self.table(value, path, _DIRECTION)
        before = len(self.problems)
        if "stretch" not in table:
            self.fault(f"{path}.stretch", "is missing: a tested direction needs it")
        figures = {
            key: self.estimate(table[key], f"{path}.{key}")
            for key in FIGURES
            if key in table
        }
        rest = None
        if "rest_minutes" in table:
            where = f"{path}.rest_minutes"
            rest = self.number(table["rest_minutes"], where, 0.0, MOST_REST_MINUTES)
        curve = None
        if "tension" in table:
            curve = self.curve(table["tension"], f"{path}.tension")
        if len(self.problems) > before:
            return None
        return self._checked(path, figures, rest, curve)

    def _checked(
        self,
        path: str,
        figures: dict[str, Estimate | None],
        rest: float | None,
        curve: TensionCurve | None,
    ) -> ClothDirection | None:
        stretch = figures["stretch"]
        if stretch is None or stretch.mean <= 0:
            self.fault(f"{path}.stretch", "must be above 0")
            return None
        grown = [
            key
            for key in ("growth", "wet_growth")
            if (figure := figures.get(key)) and figure.mean >= stretch.mean
        ]
        for key in grown:
            self.fault(f"{path}.{key}", "must be less than the stretch")
        if grown:
            return None
        return ClothDirection(
            stretch=stretch,
            growth=figures.get("growth"),
            recovery=figures.get("recovery"),
            contraction=figures.get("contraction"),
            wet_growth=figures.get("wet_growth"),
            rest_minutes=rest,
            tension=curve,
            tension_scale=figures.get("tension_scale"),
        )


def fabric_from_table(data: dict[str, Any], source: str) -> Fabric:
    """Return the fabric that a profile describes.

    Args:
        data: The tables of the TOML file.
        source: The file's name, for messages.

    Raises:
        ProfileError: With every fault found, each with the path of its key.
    """
    schema = data.get("schema")
    if schema != SCHEMA:
        was = "is missing" if schema is None else f"is {schema!r}"
        raise ProfileError(
            source, [Problem("schema", f'{was}; accepted is "{SCHEMA}"')]
        )
    reader = _Reader()
    fields = _fields(reader, reader.table(data, "", _TOP))
    if reader.problems:
        raise ProfileError(source, reader.problems)
    try:
        return Fabric(**fields)
    except RefusedError as error:
        raise ProfileError(source, str(error)) from None


def _fields(reader: _Reader, table: dict[str, Any]) -> dict[str, Any]:
    """Return what a :class:`Fabric` is made of; the reader holds what is wrong."""
    found: dict[str, Any] = {
        key: reader.text(table, key, needed=True) for key in _TEXTS
    }
    if found["origin"] and found["origin"] not in ORIGINS:
        reader.fault("origin", f"must be one of {', '.join(ORIGINS)}")
    if "mass_gsm" in table:
        found["mass_gsm"] = reader.number(table["mass_gsm"], "mass_gsm", 1.0, 5000.0)
    found["note"] = reader.text(table, "note", needed=False)
    found["tested"] = table.get("tested", {})
    if not (
        isinstance(found["tested"], dict)
        and all(isinstance(text, str) for text in found["tested"].values())
    ):
        reader.fault("tested", "must be a table of texts")
    found["evidence"] = evidence_from_tables(table.get("evidence", []), reader.fault)
    cloth = [name for name in DIRECTIONS if name in table]
    for name in cloth:
        found[name] = reader.direction(table[name], name)
    if not cloth:
        reader.fault(
            "", "no direction was tested: a table [across] or [along] is needed"
        )
    return found
