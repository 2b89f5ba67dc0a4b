"""Who wore the toiles of a block: by the name of the body, or by what its file says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from ease.block.as_worn import as_worn, found_notes, other_wearer
from ease.block.pieces import Block
from ease.block.plan import factors_of_block
from ease.block.toile_correct import Correction
from ease.body.measures import Body
from ease.fabric.profile import Fabric

from .test_toile import BODY
from .test_toile_again import taken_again
from .test_toile_meant import after, round_cloth, sewn, truly

CASES = [
    ("waist", truly(waist=0.06), round_cloth(0.0)),
    ("torso_loop", truly(), round_cloth(0.0, 0.05)),
]
Sew = Callable[[Block, Body], Correction]


@pytest.fixture(params=CASES, ids=[case[0] for case in CASES])
def case(
    request: pytest.FixtureRequest, block: Block, fabric: Fabric
) -> tuple[str, Block, Sew]:
    """A measure that a toile found, the corrected block, and how it is sewn again."""
    key, worn, cloth = request.param

    def sew(made: Block, body: Body) -> Correction:
        return sewn(made, body, fabric, worn, cloth)

    return key, after(sew(block, BODY)), sew


def test_a_measure_that_reads_the_same_in_a_file_of_another_name_is_the_wearers(
    case: tuple[str, Block, Sew],
) -> None:
    """A toile of the corrected block that is worn as meant moves it no further."""
    key, made, sew = case
    again = taken_again(key)
    renamed = replace(again, name="second-look")
    assert as_worn(made, renamed).notes == as_worn(made, again).notes
    assert factors_of_block(made, renamed) == factors_of_block(made, again)
    for person in (again, renamed):
        assert sew(made, person).moved == ()


def test_who_is_taken_for_someone_else_is_told_how_to_say_that_it_is_not(
    case: tuple[str, Block, Sew], block: Block
) -> None:
    key, made, sew = case
    values = {**BODY.values, key: BODY[key] + 0.5}
    other = replace(BODY, name="second-look", values=values)
    says = f"a line `# name = {BODY.name}` in the file of second-look says so"
    seen = as_worn(made, other)
    assert seen.values == other.values
    (note,) = seen.notes
    assert str(note).endswith(says)
    assert as_worn(made, seen) == seen
    assert [str(one) for one in found_notes(made, seen)] == [str(note)]
    # By that name it is the wearer, and what was meant of the block is met.
    named = replace(other, name=BODY.name)
    assert other_wearer(made, named) is None
    assert sew(made, named).moved == ()
    assert other_wearer(block, other) is None
