"""Shared by all tests: the public body survey, plain cloths and a plain block."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from hypothesis import settings
from numpy.typing import NDArray

from ease.block.pieces import Block, Edge, Level, Loop, Piece, PointRef, Seam, line
from ease.body.equations import natural_waist
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.tension import Branch, TensionCurve

# Own fabrics of whoever runs the tests are no part of them, and lists of fabrics are made
# as the tests are collected.
_NO_FABRICS = TemporaryDirectory(prefix="ease-tests-")
os.environ["EASE_HOME"] = _NO_FABRICS.name

# How long one example takes is the machine's affair; a busy one must fail no test.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

# Survey data beside the checkout, where somebody has laid it there.
BESIDE = Path(__file__).resolve().parents[2] / "shared" / "data" / "ansur2_women_a.csv"

Columns = dict[str, NDArray[np.float64]]


@pytest.fixture(scope="session")
def survey_as_published() -> Columns:
    """993 women, cm, column names as published. Source key: ansur-2012."""
    path = Path(os.environ.get("EASE_SURVEY", BESIDE))
    if not path.is_file():
        # The project stands alone: the rows are no part of it, and a checkout without
        # them must pass.
        pytest.skip("no survey data beside the checkout; EASE_SURVEY can name them")
    with path.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    # Published in mm, the weight in tenths of a kg: both become cm and kg by 1/10.
    return {key: np.array([float(row[key]) / 10 for row in rows]) for key in rows[0]}


@pytest.fixture(scope="session")
def survey(survey_as_published: Columns) -> Columns:
    """The survey in the project's keys, turned from the navel to the natural waist.

    The survey took every waist measure at the navel. The natural waist lies half way
    between the tenth rib and the hip bone crest, `up` cm above it on each woman; lengths
    move by that (surface change taken as the vertical one), the girth by a regression.
    """
    raw = survey_as_published
    middle = (raw["tenthribheight"] + raw["iliocristaleheight"]) / 2
    up = middle - raw["waistheightomphalion"]
    hip = raw["buttockcircumference"]
    return {
        "bust": raw["chestcircumference"],
        "waist": natural_waist(raw["waistcircumference"], hip),
        "hip": hip,
        "thigh": raw["thighcircumference"],
        "stature": raw["stature"],
        "weight_kg": raw["weightkg"],
        "nape_to_waist": raw["waistbacklength"] - up,
        "front_neck_to_waist": raw["waistfrontlengthsitting"] - up,
        "waist_to_hip": middle - raw["buttockheight"],
        "body_rise": middle - raw["crotchheight"],
        "crotch_length": raw["crotchlengthomphalion"] + 2 * up,
        "torso_loop": raw["verticaltrunkcircumferenceusa"],
        "back_width": raw["interscyeii"],
        "shoulder": raw["shoulderlength"],
        "neck_base": raw["neckcircumferencebase"],
        "shoulder_girth": raw["shouldercircumference"],
    }


@pytest.fixture(scope="session")
def make_fabric() -> Callable[..., Fabric]:
    """An invented fabric from plain numbers, a table for each direction.

    ``stretch``, ``growth``, ``wet_growth``, ``contraction`` are means; with ``sd`` and
    ``n`` the stretch has a spread. ``load`` is N/m per unit strain, straight up to
    ``tested`` (the stretch if not given); ``down`` a list of strains and one of N/m.
    """

    def direction(table: Mapping[str, Any]) -> ClothDirection:
        figures: dict[str, Any] = {
            key: Estimate(table[key])
            for key in ("growth", "wet_growth", "contraction")
            if key in table
        }
        tension = None
        if "load" in table:
            ends = np.array([0.0, table.get("tested", table["stretch"])])
            down = Branch.through(*table["down"]) if "down" in table else None
            tension = TensionCurve(Branch.through(ends, table["load"] * ends), down)
        stretch = Estimate(table["stretch"], table.get("sd"), table.get("n", 1))
        return ClothDirection(
            stretch=stretch,
            tension=tension,
            tension_scale=table.get("tension_scale"),
            **figures,
        )

    def make(
        along: Mapping[str, Any] | None = None,
        across: Mapping[str, Any] | None = None,
        name: str = "test-cloth",
    ) -> Fabric:
        return Fabric(
            name=name,
            title="Cloth of plain numbers",
            origin="invented",
            source="invented for tests",
            along=None if along is None else direction(along),
            across=None if across is None else direction(across),
        )

    return make


@pytest.fixture(scope="session")
def without() -> Callable[[Fabric, tuple[str, ...]], Fabric]:
    """Return a fabric of which some readings were not taken."""

    def left_out(fabric: Fabric, keys: tuple[str, ...]) -> Fabric:
        nothing: dict[str, Any] = dict.fromkeys(keys)
        ways = (fabric.across, fabric.along)
        across, along = (way and replace(way, **nothing) for way in ways)
        return replace(fabric, across=across, along=along)

    return left_out


@pytest.fixture(scope="session")
def fresh_python() -> Callable[..., subprocess.CompletedProcess[str]]:
    """Run code in an interpreter of its own, from the root of the project."""

    def run(code: str, **given: Any) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", code],
            cwd=Path(__file__).resolve().parents[1],
            capture_output=True,
            text=True,
            check=True,
            **given,
        )

    return run


@pytest.fixture(scope="session")
def make_tube() -> Callable[..., Block]:
    """A block of two half pieces on the fold with girths at three levels, 160 cm round.

    The sides are straight between bust (y 20), waist (40) and hip (60), upright above
    and below; the loop path runs down one fold and up the other.
    """
    heights = (0.0, 20.0, 40.0, 60.0, 80.0)

    def piece(name: str, girths: tuple[float, float, float]) -> Piece:
        bust, waist, hip = (girth / 4 for girth in girths)
        outer = list(zip((bust, bust, waist, hip, hip), heights, strict=True))
        side = np.stack([line(a, b) for a, b in pairwise(outer)])
        top, bottom = heights[0], heights[-1]
        return Piece(
            name,
            (
                Edge("top", "neck", "arm", line((0, top), outer[0])[None], (True,)),
                Edge("side", "arm", "hem", side, (True,) * 4),
                Edge(
                    "bottom", "hem", "low", line(outer[-1], (0, bottom))[None], (True,)
                ),
                Edge("fold", "low", "neck", line((0, bottom), (0, top))[None], (True,)),
            ),
        )

    def make(
        bust: float = 88.0,
        waist: float = 70.0,
        hip: float = 96.0,
        loops: tuple[Loop, Loop, Loop] = ("closed", "closed", "closed"),
        **fields: Any,
    ) -> Block:
        names = ("bust", "waist", "hip")
        girths = (bust, waist, hip)
        loop = [[PointRef("front", "neck"), PointRef("front", "low")]]
        loop.append([PointRef("back", "low"), PointRef("back", "neck")])
        given = {
            "name": "tube",
            "pieces": (piece("front", girths), piece("back", girths)),
            "levels": tuple(
                Level(*level) for level in zip(names, heights[1:4], loops, strict=True)
            ),
            "seams": (Seam("front.side", "back.side"),),
            "loop_path": tuple(tuple(run) for run in loop),
        }
        return Block(**{**given, **fields})

    return make
