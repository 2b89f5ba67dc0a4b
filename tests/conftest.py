"""Shared by all tests: the public body survey, where it lies beside the checkout."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from ease.body.equations import natural_waist

FILE = "ansur2_women_a.csv"
BESIDE = Path(__file__).resolve().parents[1].parent / "shared" / "data" / FILE

Columns = dict[str, NDArray[np.float64]]


@pytest.fixture(scope="session")
def survey_as_published() -> Columns:
    """993 women, cm, column names as published. Source key: ansur-2012."""
    path = Path(os.environ.get("EASE_SURVEY", BESIDE))
    if not path.is_file():
        pytest.skip("the survey file is not here; name it in EASE_SURVEY")
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
