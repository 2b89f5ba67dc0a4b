"""Every tenth woman of the public survey drafts exactly; see the benchmark for all.

The survey's navel waist is turned into the natural waist first, woman by woman, in the
fixture `survey`. Source key: ansur-2012.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from ease.block.curves import flatten
from ease.block.draft import Drafts, draft_blocks
from ease.block.measure import level_girths, outline, torso_loop, walk_seams

Columns = dict[str, NDArray[np.float64]]
STEP = 10


@pytest.fixture(scope="module")
def sample(survey: Columns) -> tuple[Columns, Drafts]:
    columns = {key: value[::STEP] for key, value in survey.items()}
    return columns, draft_blocks(columns)


def test_girths_loop_and_mates_are_exact(sample: tuple[Columns, Drafts]) -> None:
    columns, drafts = sample
    for row in range(len(drafts)):
        block = drafts.block(row)
        girths = level_girths(block)
        for key in ("bust", "waist", "hip"):
            assert abs(girths[key] - columns[key][row]) < 1e-6
        loop = torso_loop(block)
        assert loop is not None
        assert abs(loop - columns["torso_loop"][row]) < 1e-6
        assert max(abs(seam.difference_cm) for seam in walk_seams(block)) < 1e-9


def test_outlines_are_simple(sample: tuple[Columns, Drafts]) -> None:
    _, drafts = sample
    for row in range(len(drafts)):
        for piece in drafts.block(row).pieces:
            assert shapely.Polygon(flatten(outline(piece))).is_valid


def test_the_two_rows_with_landmarks_out_of_order_draft_too(
    survey: Columns, survey_as_published: Columns
) -> None:
    ids = np.round(survey_as_published["subjectid"] * 10).astype(int)
    rows = np.isin(ids, [25378, 25665])
    assert rows.sum() == 2
    drafts = draft_blocks({key: value[rows] for key, value in survey.items()})
    assert drafts.faults == ((), ())


def test_at_the_navel_the_drafts_are_as_exact(survey_as_published: Columns) -> None:
    # One waist line throughout is what counts: with every waist measure at the navel, as
    # published, girth and lengths still go together.
    raw = {key: value[::STEP] for key, value in survey_as_published.items()}
    columns = {
        "bust": raw["chestcircumference"],
        "waist": raw["waistcircumference"],
        "hip": raw["buttockcircumference"],
        "stature": raw["stature"],
        "nape_to_waist": raw["waistbacklength"],
        "waist_to_hip": raw["waistheightomphalion"] - raw["buttockheight"],
        "body_rise": raw["waistheightomphalion"] - raw["crotchheight"],
        "crotch_length": raw["crotchlengthomphalion"],
        "torso_loop": raw["verticaltrunkcircumferenceusa"],
    }
    drafts = draft_blocks(columns)
    drafted = [row for row, faults in enumerate(drafts.faults) if not faults]
    assert len(drafted) >= 0.97 * len(drafts)
    for row in drafted:
        girths = level_girths(drafts.block(row))
        assert abs(girths["waist"] - columns["waist"][row]) < 1e-6
