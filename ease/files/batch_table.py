"""Answers for many bodies and fabrics as lines of a table, one for each pair."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from itertools import chain
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ease.body.stream import Bodies
from ease.fit.aims import Aim, Allowed
from ease.fit.batch import Cloth, Many, decide_many
from ease.fit.cases import BodyArrays
from ease.fit.notes import WARNINGS
from ease.units import CM_PER

__all__ = [
    "ANSWERED",
    "MOST_DECIMALS",
    "REFUSED",
    "STATUS",
    "BatchTable",
    "table_header",
]

FloatArray = NDArray[np.float64]
ANSWERED: Final = "ok"
REFUSED: Final = "refused"
STATUS: Final = 3  # place of the column of either
MOST_DECIMALS: Final = 15  # of a number in double precision
FINER: Final = 2  # decimals that factors, strains and kPa have over lengths
_GIRTHS: Final = ("bust", "waist", "hip")
_SIZES: Final = (*_GIRTHS, "torso_loop")


def table_header(units: str = "cm") -> tuple[str, ...]:
    """Return the names of the columns, with their units."""
    return (
        "line",
        "name",
        "fabric",
        "status",
        "girth_factor",
        "length_factor",
        "girth_strain",
        "length_strain",
        "girth_bound_by",
        "length_bound_by",
        *(f"body_{name}_{units}" for name in _SIZES),
        *(f"cut_{name}_{units}" for name in _SIZES),
        "pressure_kpa",
        "side_pressure_kpa",
        "pull_n",
        "filled_in",
        "warnings",
        "reason",
    )


class BatchTable:
    """Turns chunks of bodies into lines of text, and counts them.

    Attributes:
        rows: Lines made so far, and those that an earlier run had made.
        refused: How many of them have no answer.
    """

    def __init__(
        self,
        cloths: Sequence[Cloth],
        aim: Aim,
        allowed: Allowed,
        *,
        units: str = "cm",
        decimals: int | None = None,
    ) -> None:
        """Begin with no lines.

        Args:
            cloths: The fabrics, in the order of the lines of a body.
            aim: How firmly to hold.
            allowed: Numbers of the limits.
            units: Units of the lengths.
            decimals: Decimal places of lengths and pull; fractions and pressures have
                two more, so that a factor is as exact on 100 cm as the lengths are.
                None for all there are.
        """
        self.cloths, self.aim, self.allowed = tuple(cloths), aim, allowed
        self.units, self.decimals = units, decimals
        self.rows = self.refused = 0

    def lines(self, bodies: Bodies, after_line: int = 0) -> str:
        """Return the lines of a chunk, body after body and fabric after fabric.

        Args:
            bodies: The chunk.
            after_line: Leave out bodies up to this line of their file. Those that stand
                in a chunk with others are worked out all the same: the last bits of an
                answer may depend on its company.
        """
        first = int(np.searchsorted(bodies.lines, after_line, side="right"))
        if first == len(bodies):
            return ""
        per_cloth = []
        for cloth in self.cloths:
            columns = [column[first:] for column in self._columns(bodies, cloth)]
            self.refused += columns[STATUS].count(REFUSED)
            per_cloth.append(list(zip(*columns, strict=True)))
        page = io.StringIO()
        rows = chain.from_iterable(zip(*per_cloth, strict=True))
        csv.writer(page, lineterminator="\n").writerows(rows)
        self.rows += (len(bodies) - first) * len(self.cloths)
        return page.getvalue()

    def _columns(self, bodies: Bodies, cloth: Cloth) -> list[list[Any]]:
        """Return the columns of one fabric, in the order of the header."""
        arrays = BodyArrays(
            **{
                key: bodies.values[key]
                for key in ("bust", "waist", "hip", "shoulder_girth")
            }
        )
        many = decide_many(cloth, arrays, self.aim, self.allowed)
        per = CM_PER[self.units]
        body = [bodies.values[key] / per for key in _SIZES]
        factors = [many.girth_factor] * len(_GIRTHS) + [many.length_factor]
        count = len(bodies)
        status = np.where(many.answered, ANSWERED, REFUSED).tolist()
        return [
            bodies.lines.tolist(),
            list(bodies.names),
            [cloth.fabric.name] * count,
            status,
            self._numbers(many.girth_factor, FINER),
            self._numbers(many.length_factor, FINER),
            self._numbers(many.girth_strain, FINER),
            self._numbers(many.length_strain, FINER),
            many.girth_bound.tolist(),
            many.length_bound.tolist(),
            *(self._numbers(size) for size in body),
            *(
                self._numbers(size * factor)
                for size, factor in zip(body, factors, strict=True)
            ),
            self._numbers(many.pressure, FINER),
            self._numbers(many.side_pressure, FINER),
            self._numbers(many.pull),
            _named(self._filled(bodies)),
            self._warnings(bodies, cloth, many),
            _reasons(many),
        ]

    def _numbers(self, values: FloatArray, finer: int = 0) -> list[Any]:
        """Return numbers for a table; an empty text where there is none.

        Args:
            values: The numbers.
            finer: Decimal places that they have over those asked for.
        """
        if self.decimals is not None:
            places = min(self.decimals + finer, MOST_DECIMALS)
            values = np.round(values, places) + 0.0  # no -0.0
        numbers: list[Any] = values.tolist()
        if not np.isnan(values).any():
            return numbers
        return ["" if number != number else number for number in numbers]

    def _filled(self, bodies: Bodies) -> dict[str, NDArray[np.bool_]]:
        """Return where measures that a line rests on were filled in."""
        used = ("torso_loop", "shoulder_girth")[: 1 + self.allowed.over_head]
        return {key: bodies.filled[key] for key in used}

    def _warnings(self, bodies: Bodies, cloth: Cloth, many: Many) -> list[str]:
        filled = self._filled(bodies)
        nowhere = np.zeros(len(bodies), dtype=bool)
        own = {
            **many.warnings,
            "torso_loop_filled_in": filled["torso_loop"],
            "shoulders_filled_in": filled.get("shoulder_girth", nowhere),
            "outside_fill_in_range": bodies.outside,
        }
        always = dict.fromkeys(cloth.warnings, ~nowhere)
        found = always | own
        return _named({key: found[key] for key in WARNINGS if key in found})


def _named(where: Mapping[str, NDArray[np.bool_]]) -> list[str]:
    """Return, for each row, the names of what holds there, with spaces between."""
    code = sum(holds.astype(int) << bit for bit, holds in enumerate(where.values()))
    codes, row = np.unique(code, return_inverse=True)
    texts = np.array(
        [
            " ".join(name for bit, name in enumerate(where) if number >> bit & 1)
            for number in codes.tolist()
        ],
        dtype=object,
    )
    return list(texts[row])


def _reasons(many: Many) -> list[str]:
    """Return why each body has no answer; empty where it has one."""
    reasons = [""] * len(many.answered)
    for row in np.flatnonzero(~many.answered).tolist():
        reasons[row] = many.clash(row)
    return reasons
