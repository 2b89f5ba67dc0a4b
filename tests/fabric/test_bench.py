from __future__ import annotations

from pathlib import Path

import pytest

from ease.errors import EaseError, RefusedError, UnitError, UsageError, WriteError
from ease.fabric.bench import QUESTIONS, Question, checked_answer, next_question, undo
from ease.fabric.bench_file import BenchFile
from ease.fabric.readings import load_readings

BY_COLUMN = {question.column: question for question in QUESTIONS}
WHOLE = {
    "direction": "across",
    "gauge": "10",
    "width": "5",
    "load": "",
    "extended": "16",
    "width_extended": "4.2",
    "rest_minutes": "30",
    "rested": "10.2",
    "wet_rested": "10.3",
}


def asked(answers: dict[str, str]) -> list[str]:
    """The columns in the order in which they are asked for these answers."""
    given: dict[str, str] = {}
    order = []
    while (question := next_question(given)) is not None:
        order.append(question.column)
        given[question.column] = answers.get(question.column, "")
    return order


def answer(column: str, text: str, unit: str = "cm", **before: str) -> str:
    return checked_answer(BY_COLUMN[column], text, before, unit)


def test_only_what_applies_is_asked() -> None:
    assert asked(WHOLE) == list(WHOLE)
    assert "width_extended" not in asked({**WHOLE, "width": ""})
    assert "strip_width" in asked({**WHOLE, "load": "5"})
    assert "wet_rested" not in asked({**WHOLE, "rested": ""})


def test_undo_goes_back_through_every_answer() -> None:
    answers = dict(WHOLE)
    back: list[Question | None] = []
    while answers:
        answers = undo(answers)
        back.append(next_question(answers))
    assert [one.column for one in back if one] == list(reversed(WHOLE))
    assert undo({}) == {}


@pytest.mark.parametrize(
    ("column", "text", "unit", "kept"),
    [
        ("direction", "al", "cm", "along"),
        ("direction", "Across", "cm", "across"),
        ("gauge", "10,5", "cm", "10.5"),
        ("gauge", "105 mm", "cm", "10.5"),
        ("gauge", "3 7/8", "in", "3.875"),
        ("gauge", "25.4 cm", "in", "10"),
        ("load", "1 kg", "cm", "9.80665"),
        ("load", "-", "cm", ""),
        ("rest_minutes", "30", "cm", "30"),
        ("rest_minutes", "30 min", "in", "30"),
        ("rested", "", "cm", ""),
    ],
)
def test_answers_are_kept_in_the_unit_of_the_file(
    column: str, text: str, unit: str, kept: str
) -> None:
    assert answer(column, text, unit) == kept


@pytest.mark.parametrize(
    ("column", "text", "what"),
    [
        ("direction", "a", "neither across nor along"),
        ("direction", "", "this one is needed"),
        ("gauge", "", "this one is needed"),
        ("gauge", "0", "must be above 0"),
        ("gauge", "ten", "is not a number"),
        ("gauge", "5 N", "no unit of length"),
        ("load", "500", "needs its unit"),
        ("extended", "9", "9 cm is shorter than the gauge, 10 cm"),
        ("extended", "160", "was it read in mm"),
        ("rest_minutes", "2 h", "not a number of minutes"),
        ("rest_minutes", "-5", "must be 0 or more"),
    ],
)
def test_an_impossible_answer_is_refused_at_once(
    column: str, text: str, what: str
) -> None:
    with pytest.raises((RefusedError, UnitError), match=what):
        answer(column, text, gauge="10")


def test_each_answer_is_checked_against_those_before() -> None:
    with pytest.raises(RefusedError, match="longer than extended"):
        answer("rested", "17", gauge="10", extended="16")
    with pytest.raises(RefusedError, match="wider than before"):
        answer("width_extended", "2 1/2", "in", gauge="4", extended="6", width="2")


def test_every_repeat_is_in_the_file_at_once(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    file = BenchFile(path, "cm")
    assert not path.exists()
    assert file.add(WHOLE) == 1
    assert len(load_readings(path)) == 1
    assert file.add({**WHOLE, "extended": "16.2"}) == 2
    assert file.add({**WHOLE, "direction": "along"}) == 1
    taken = load_readings(path)
    assert [(one.direction, one.repeat) for one in taken] == [
        ("across", 1),
        ("across", 2),
        ("along", 1),
    ]
    assert taken[1].extended == pytest.approx(16.2)
    assert taken[0].load is None


def test_a_broken_off_repeat_waits_and_is_not_counted(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    file = BenchFile(path, "in")
    inches = {"gauge": "4", "extended": "6.5", "rested": "4.1", "wet_rested": "4.2"}
    file.add({**WHOLE, **inches})
    file.break_off({"direction": "along", "gauge": "4"})
    assert len(load_readings(path)) == 1
    again = BenchFile(path, "cm")
    assert again.unit == "in"
    assert again.unfinished == {"direction": "along", "gauge": "4"}
    assert again.number("across") == 2
    again.add({**WHOLE, "direction": "along"})
    assert BenchFile(path, "cm").unfinished == {}


def test_a_sitting_begun_before_strips_were_soaked_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    file = BenchFile(path, "cm")
    file.add({**WHOLE, "wet_rested": ""})
    rows = [line.split(",") for line in path.read_text().splitlines()]
    at = rows[1].index("wet_rested (cm)")
    older = [
        ",".join(row[:at] + row[at + 1 :]) if len(row) > 1 else row[0] for row in rows
    ]
    path.write_text("\n".join(older) + "\n")
    again = BenchFile(path, "in")
    assert (again.unit, again.number("across")) == ("cm", 2)
    again.add(WHOLE)
    assert [one.wet_rested for one in load_readings(path)] == [None, 10.3]


def test_the_last_repeat_can_be_opened_again(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    file = BenchFile(path, "cm")
    file.add(WHOLE)
    assert file.reopen() == {**WHOLE, "strip_width": ""}
    assert BenchFile(path, "cm").repeats == []
    assert BenchFile(path, "cm").unfinished["extended"] == "16"


def test_remarks_in_the_file_stay(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    BenchFile(path, "cm").add(WHOLE)
    path.write_text("# blue lycra from the market\n" + path.read_text())
    BenchFile(path, "cm").add(WHOLE)
    assert path.read_text().startswith("# blue lycra from the market\n# hand test")


def test_a_damaged_note_is_no_obstacle(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    BenchFile(path, "cm").add(WHOLE)
    before = path.read_text()
    for note in ("{", "[1]", '{"gauge": 3}'):
        path.write_text(before + f"# unfinished = {note}\n")
        assert BenchFile(path, "cm").unfinished == {}


def test_other_files_are_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("direction,gauge,extended\nalong,10,16\n")
    with pytest.raises(UsageError, match="was not begun with --ask"):
        BenchFile(path, "cm")
    with pytest.raises(WriteError, match="does not exist"):
        BenchFile(tmp_path / "no" / "a.csv", "cm")
    with pytest.raises(EaseError, match="is a folder"):
        BenchFile(tmp_path, "cm")
