"""Lines of a batch: the warnings of single runs, and decimals that suit each number."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from ease.body.fill_in import complete
from ease.body.measures import Body
from ease.body.stream import stream_bodies
from ease.body.table_head import read_head
from ease.errors import EmptyWindowError
from ease.fabric.evidence import Evidence, WornRatio
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.store import fabric_names, load_fabric
from ease.files.batch_table import BatchTable, table_header
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth
from ease.fit.decide import decide
from ease.fit.notes import WARNINGS

KEYS = ("bust", "waist", "hip", "stature", "torso_loop", "shoulder_girth")
BODIES = (
    "88,70,96,168,155,",
    "92,76,100,,158,104",
    "110,94,117,,,",
    "150,140,101,,,",
    "66,50,80,150,,90",
    "130,110,136,,,",
)
NUMBERS = [
    key
    for key in table_header()
    if key.endswith(("_cm", "_factor", "_strain", "_kpa", "_n"))
]
# What a note of a single run says, by the name that a row has for it.
SAID = {
    "rule_of_thumb": "the aim is a share of the stretch",
    "readings_disagree": "an elastic cloth cannot",
    "growth_not_read": "growth was not read, so sagging",
    "wet_growth_not_read": "wet growth was not read",
    "contraction_assumed": "contraction was not measured",
    "length_not_tested": "only one direction was tested",
    "worn_otherwise": "multiply the factor",
    "length_pulled_twice": "the length is pulled twice",
    "straps_slack_later": "the straps hang slack",
    "torso_loop_filled_in": "THE TORSO LOOP WAS NOT MEASURED",
    "shoulders_filled_in": "the girth over the shoulders was not measured",
    "outside_fill_in_range": "lies outside",
}


def names_of(notes: Iterable[str]) -> set[str]:
    """Names of the notes; each note must be one that a row can tell."""
    found = set()
    for note in notes:
        (name,) = (name for name, text in SAID.items() if text in note)
        found.add(name)
    return found


def one_way() -> Fabric:
    """A cloth tested across only, with a toile that says it lies otherwise."""
    worn = WornRatio(1.04, 0.005, 4, clear=True)
    return Fabric(
        name="one-way",
        title="One way",
        origin="invented",
        source="t",
        across=ClothDirection(stretch=Estimate(0.8)),
        evidence=(
            Evidence(day=date(2026, 5, 31), kind="toile", block="b", across=worn),
        ),
    )


def bodies() -> list[Body]:
    """The same bodies one by one, completed."""
    cells = [dict(zip(KEYS, line.split(","), strict=True)) for line in BODIES]
    return [
        complete(Body(name="x", values={k: float(v) for k, v in row.items() if v}))
        for row in cells
    ]


def bodies_file(tmp_path: Path) -> Path:
    path = tmp_path / "bodies.csv"
    path.write_text("\n".join([",".join(KEYS), *BODIES]) + "\n")
    return path


def rows_of(
    tmp_path: Path,
    fabric: Fabric,
    allowed: Allowed | None = None,
    decimals: int | None = None,
) -> list[dict[str, str]]:
    head = read_head(bodies_file(tmp_path))
    table = BatchTable(
        [Cloth.of(fabric)], AIMS["regular"], allowed or Allowed(), decimals=decimals
    )
    text = "".join(table.lines(chunk) for chunk in stream_bodies(head))
    return list(csv.DictReader(io.StringIO(text), table_header()))


@pytest.mark.parametrize("over_head", [False, True])
def test_a_row_carries_every_warning_of_a_single_run(
    over_head: bool, tmp_path: Path
) -> None:
    allowed = Allowed(over_head=over_head)
    told: set[str] = set()
    for fabric in (*map(load_fabric, fabric_names()), one_way()):
        rows = rows_of(tmp_path, fabric, allowed)
        for row, body in zip(rows, bodies(), strict=True):
            try:
                one = decide(fabric, body, allowed=allowed)
            except EmptyWindowError:
                assert row["status"] == "refused"
                continue
            found = set(row["warnings"].split())
            assert found == names_of([*body.notes, *one.notes]), (fabric.name, row)
            told |= found
    # All but these two occur, so that none is equal for want of a case.
    assert set(SAID) - told == {"readings_disagree"} | (
        set() if over_head else {"shoulders_filled_in"}
    )


def test_readings_that_disagree_are_told_in_every_row(tmp_path: Path) -> None:
    fabric = load_fabric("soft-tricot")
    assert fabric.across is not None
    # Along 0.29 as it is: beside 0.9 across no elastic cloth has it.
    other = replace(fabric.across, contraction=Estimate(0.9))
    fabric = replace(fabric, across=other)
    for row, body in zip(rows_of(tmp_path, fabric), bodies(), strict=True):
        assert "readings_disagree" in row["warnings"].split()
        assert row["status"] == "refused" or "readings_disagree" in names_of(
            decide(fabric, body).notes
        )


def test_the_pull_that_comes_twice_is_told_in_some_rows_and_not_in_others(
    tmp_path: Path,
) -> None:
    rows = rows_of(tmp_path, load_fabric("soft-tricot"))
    told = {"length_pulled_twice" in row["warnings"] for row in rows}
    assert told == {True, False}


def test_every_name_has_a_note_but_for_the_pressure() -> None:
    # A single run tells the pressure and its band in its sentences.
    assert set(WARNINGS) - set(SAID) == {"unsafe_pressure"}


def test_a_body_measured_in_full_is_not_judged_by_the_fill_in(tmp_path: Path) -> None:
    whole = complete(Body(name="x", values={"bust": 130, "waist": 110, "hip": 136}))
    cells = {key: f"{value:.1f}" for key, value in whole.values.items()}
    path = tmp_path / "bodies.csv"
    path.write_text(f"{','.join(cells)}\n{','.join(cells.values())}\n130,110,136\n")
    (chunk,) = stream_bodies(read_head(path))
    assert chunk.outside.tolist() == [False, True]
    taken = Body(name="x", values={key: float(cell) for key, cell in cells.items()})
    assert complete(taken).notes == ()


@pytest.mark.parametrize("decimals", [0, 1, 2, 3])
def test_a_factor_is_as_exact_on_100_cm_as_the_lengths(
    decimals: int, tmp_path: Path
) -> None:
    fabric = load_fabric("soft-tricot")
    exact, rounded = (
        rows_of(tmp_path, fabric),
        rows_of(tmp_path, fabric, None, decimals),
    )
    half = 0.5 * 10.0**-decimals + 1e-12
    for full, row in zip(exact, rounded, strict=True):
        for key, cell in row.items():
            if not cell or key not in NUMBERS:
                continue
            miss = abs(float(full[key]) - float(cell))
            per_cm = 1 if key.endswith("_cm") or key == "pull_n" else 100
            assert miss * per_cm <= half, key
            assert len(cell.partition(".")[2]) <= max(1, decimals + 2 * (per_cm == 100))
        cut = float(row["body_hip_cm"]) * float(row["girth_factor"])
        # Half a digit each of body, cut and factor, the last on a hip of 136 cm at most.
        assert cut == pytest.approx(float(row["cut_hip_cm"]), abs=(1 + 1 + 1.36) * half)


def test_all_digits_are_kept_where_nothing_is_rounded(tmp_path: Path) -> None:
    one = decide(load_fabric("rib"), bodies()[0])
    row = rows_of(tmp_path, load_fabric("rib"))[0]
    assert float(row["girth_factor"]) == pytest.approx(one.girth.factor, rel=1e-13)
    loop = float(row["cut_torso_loop_cm"])
    assert loop == pytest.approx(one.cut("torso_loop"), rel=1e-13)
