from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.demo import TOILE
from ease.errors import ReadingError, RefusedError
from ease.fabric.toile_marks import Mark, Remark
from ease.fabric.toile_readings import TAPE_SD_CM, ToileFile, read_toile

PLACES = ("bust", "waist", "hip")


def read(folder: Path, text: str, name: str = "toile.csv") -> ToileFile:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read_toile(path, PLACES)


def faults(folder: Path, text: str, name: str = "toile.csv") -> list[str]:
    with pytest.raises(ReadingError) as caught:
        read(folder, text, name)
    return [str(problem) for problem in caught.value.problems]


def test_marks_and_remarks(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        "place,direction,repeat,relaxed (mm),worn (mm),remark\n"
        "Bust,round,2,100,125,\n"
        "hip,down,,50,53,pulls at the seam\n"
        "hip,down,,50,54,\n"
        "waist,,,,,gapes\n",
    )
    assert found.marks[0] == Mark(
        place="bust",
        direction="round",
        repeat=2,
        relaxed=10.0,
        worn=12.5,
        where="line 2",
    )
    assert [mark.repeat for mark in found.marks] == [2, 1, 2]
    assert found.marks[1].strain == pytest.approx(0.06)
    assert [(one.place, one.kind) for one in found.remarks] == [
        ("hip", "pulls"),
        ("waist", "gapes"),
    ]
    assert found.tape_sd == TAPE_SD_CM
    assert found.origin == "measured"


def test_the_shipped_file_says_that_it_is_invented() -> None:
    found = read_toile(TOILE, PLACES)
    assert found.origin == "invented"
    assert "invented" in found.read_by
    assert TOILE.read_text(encoding="utf-8").startswith("# invented")


def test_decimal_commas_inches_and_the_tape(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        "# units = in\n# tape_sd = 1/16 in\n"
        "place;direction;relaxed;worn\nbust;round;4;5\nbust;round;4;5 1/8\n",
    )
    assert found.marks[1].worn == pytest.approx(5.125 * 2.54)
    assert found.tape_sd == pytest.approx(2.54 / 16)


def test_toml(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        'schema = "ease/toile/1"\norigin = "invented"\ntape_sd = "2 mm"\n'
        '[[reading]]\nplace = "waist"\ndirection = "down"\nrelaxed = 10\nworn = 10.5\n',
        "toile.toml",
    )
    assert found.marks[0].where == "reading 1"
    assert found.tape_sd == pytest.approx(0.2)
    assert found.origin == "invented"


def test_every_fault_at_once(tmp_path: Path) -> None:
    found = faults(
        tmp_path,
        "# origin = guessed\n# tape_sd = 9 cm\n"
        "place,direction,repeat,relaxed,worn\n"
        "busst,round,1,10,12\n"
        "bust,across,1,10,12\n"
        "bust,round,1,10,\n"
        "bust,round,1.5,10,12\n"
        "hip,round,1,0,12\n"
        "hip,round,1,10,126\n"
        "hip,round,1,10,12\n"
        "hip,round,1,10,12\n",
    )
    assert found == [
        "tape_sd: must lie within 0.005 to 2 cm, not 9 cm",
        "origin: must be one of measured, published, invented",
        "line 4, column place: 'busst' is none of bust, waist, hip; did you mean bust?",
        "line 5, column direction: 'across' is none of round, down",
        "line 6, column worn: is empty",
        "line 7, column repeat: must be a whole number from 1, not 1.5",
        "line 8, column relaxed: must be above 0, not 0",
        "line 9, column worn: 126 cm on a mark of 10 cm is no cloth on a body; was one "
        "of them read in another unit?",
        "line 11, column repeat: hip round 1 is on line 10 already",
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("place,direction,relaxed\nbust,round,10\n", "column worn: is missing"),
        ("place,direction,relaxed,worn\n", "holds no readings"),
        (
            "place,direction,relaxed,worn,remark\nbust,,,,pulls\n",
            "holds remarks only; no mark was measured",
        ),
        (
            "# units = stone\nplace,direction,relaxed,worn\nbust,round,10,12\n",
            "units: 'stone' is no unit of length",
        ),
        (
            "# tape_sd = wide\nplace,direction,relaxed,worn\nbust,round,10,12\n",
            "tape_sd: 'wide' is not a number",
        ),
    ],
)
def test_what_cannot_be_read(text: str, fault: str, tmp_path: Path) -> None:
    assert any(one.startswith(fault) for one in faults(tmp_path, text))


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ('schema = "ease/toile/9"\n', 'schema: accepted is "ease/toile/1"'),
        ("tape = 1\n", "tape: is not a known key"),
        ("reading = 3\n", "reading: must be a list of tables [[reading]]"),
    ],
)
def test_wrong_toml(text: str, fault: str, tmp_path: Path) -> None:
    assert faults(tmp_path, text, "toile.toml")[0].startswith(fault)


@given(
    st.floats(1e-3, 1e6) | st.floats(max_value=0) | st.just(float("nan")),
    st.sampled_from(["relaxed", "worn"]),
)
def test_a_mark_is_refused_or_has_a_strain(value: float, field: str) -> None:
    lengths = {"relaxed": 10.0, "worn": 12.0, field: value}

    def make() -> Mark:
        return Mark(
            place="bust",
            direction="round",
            repeat=1,
            relaxed=lengths["relaxed"],
            worn=lengths["worn"],
        )

    if 0 < value < float("inf"):
        assert make().strain > -1
    else:
        with pytest.raises(RefusedError, match=f"{field} must be above 0"):
            make()


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Pulls.", "pulls"),
        ("tight", "pulls"),
        ("Too tight!", "pulls"),
        ("a bit tight at the side", "pulls"),
        ("digs in", "pulls"),
        ("cuts into the leg", "pulls"),
        ("gaping at the leg", "gapes"),
        ("very loose", "gapes"),
        ("sags", "gapes"),
        ("folds below the bust", "gapes"),
        ("it stands off", "gapes"),
        ("puller", ""),
        ("not tight", ""),
        ("no longer loose", ""),
        ("wrinkles", ""),
        ("cuts nicely", ""),
        ("a bit", ""),
        ("", ""),
    ],
)
def test_kinds_of_remarks(text: str, kind: str) -> None:
    assert Remark("bust", text).kind == kind


SWAPPED = "place,direction,relaxed,worn\nbust,round,11.6,10\nhip,round,11.65,10\n"


@pytest.mark.parametrize("more", ["", "bust,down,10.4,10\n", "bust,down,10,10.4\n"])
def test_exchanged_columns_are_refused(tmp_path: Path, more: str) -> None:
    (found,) = faults(tmp_path, SWAPPED + more)
    assert found.startswith(
        "column worn: is shorter than relaxed on every mark round: are the two columns "
        "exchanged?"
    )


@pytest.mark.parametrize(
    ("worn", "shorter"),
    [((9.0, 9.0, 12.0), 2), ((9.0,), 1), ((9.0, 12.0), 0), ((9.9, 9.85, 9.9), 0)],
)
def test_columns_that_may_be_exchanged_are_noted_first(
    tmp_path: Path, worn: tuple[float, ...], shorter: int
) -> None:
    rows = "".join(f"bust,round,10,{value},\n" for value in worn)
    found = read(tmp_path, "place,direction,relaxed,worn,extra\n" + rows)
    assert found.notes[-1].endswith("column extra is not used")
    assert len(found.notes) == 1 + bool(shorter)
    if shorter:
        said = f"shorter than relaxed on {shorter} of {len(worn)} marks round"
        assert said in found.notes[0]


@pytest.mark.parametrize(
    ("relaxed", "worn", "times"),
    # The middle of 1.16 and 1.04 times 2.54, and 1.38 over 2.54, by hand.
    [("cm", "in", ((11.6, 10.4), "2.79")), ("in", "cm", ((13.8, 13.8), "0.54"))],
)
def test_two_units_are_refused(
    tmp_path: Path, relaxed: str, worn: str, times: tuple[tuple[float, float], str]
) -> None:
    """Each mark by itself could be cloth; all of them together could not."""
    (around, down), ratio = times
    (found,) = faults(
        tmp_path,
        f"place,direction,relaxed ({relaxed}),worn ({worn})\n"
        f"bust,round,10,{around}\nhip,down,10,{down}\n",
    )
    assert found == (
        f"column worn: is {ratio} times relaxed (median of the marks); no toile is worn "
        "so: do the columns worn and relaxed have the same unit?"
    )
