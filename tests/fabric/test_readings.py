from __future__ import annotations

from pathlib import Path

import pytest

from ease.demo import SWATCH
from ease.errors import ReadingError, RefusedError
from ease.fabric.hand_reading import HandReading
from ease.fabric.readings import load_readings, read_reading_file

HEAD = (
    "direction,repeat,gauge,extended,rested,rest_minutes,"
    "load,strip_width,width,width_extended\n"
)


def written(tmp_path: Path, text: str, name: str = "a.csv") -> Path:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return file


def problems(tmp_path: Path, text: str, name: str = "a.csv") -> list[str]:
    with pytest.raises(ReadingError) as caught:
        load_readings(written(tmp_path, text, name))
    assert caught.value.exit_code == 3
    return [str(problem) for problem in caught.value.problems]


def test_all_columns(tmp_path: Path) -> None:
    text = HEAD + "across,1,10,16,10.3,30,5,5,5,4.1\n"
    (one,) = load_readings(written(tmp_path, text))
    assert one.stretch == pytest.approx(0.6)
    assert one.growth == pytest.approx(0.03)
    assert one.recovery == pytest.approx((16 - 10.3) / (16 - 10))
    assert one.contraction == pytest.approx(0.9 / 5 / 0.6)
    assert one.tension == pytest.approx(5 / 0.05)
    assert one.wet_growth is None


def test_the_soaked_strip_grows_from_its_dry_gauge(tmp_path: Path) -> None:
    text = "direction,gauge,extended,wet_rested\nalong,10,16,10.4\nalong,10,16,9.9\n"
    first, second = load_readings(written(tmp_path, text))
    assert first.wet_growth == pytest.approx(0.04)
    assert second.wet_growth == pytest.approx(-0.01)
    assert first.growth is None


@pytest.mark.parametrize(
    ("cell", "what"),
    [
        ("17", "17 cm is longer than extended, 16 cm"),
        ("0.4", "0.4 cm is shorter than the gauge, 10 cm, by a fifth or more; read"),
        ("-1", "must be above 0, not -1"),
    ],
)
def test_a_wet_rest_that_no_strip_takes_is_named(
    tmp_path: Path, cell: str, what: str
) -> None:
    text = f"direction,gauge,extended,wet_rested\nalong,10,16,{cell}\n"
    (problem,) = problems(tmp_path, text)
    assert problem.startswith(f"line 2, column wet_rested: {what}")


@pytest.mark.parametrize("column", ["wet", "wet growth", "growth_wet (cm)", "Wet rest"])
def test_wet_readings_in_another_column_are_not_passed_over(
    tmp_path: Path, column: str
) -> None:
    text = f"direction,gauge,extended,rested,{column}\nalong,10,16,10.2,10.4\n"
    found = problems(tmp_path, text)
    assert any("rests of the soaked strip go into wet_rested" in one for one in found)


def test_three_columns_are_enough(tmp_path: Path) -> None:
    text = "direction,gauge,extended\nalong,10,16\nalong,10,16.2\nacross,10,15\n"
    taken = load_readings(written(tmp_path, text))
    assert [(one.direction, one.repeat) for one in taken] == [
        ("along", 1),
        ("along", 2),
        ("across", 1),
    ]
    assert taken[0].growth is None
    assert taken[0].recovery is None
    assert taken[0].contraction is None
    assert taken[0].tension is None


def test_every_impossible_reading_is_named_at_once(tmp_path: Path) -> None:
    rows = [
        "across,1,10,8,,,,,,",
        "across,2,10,15,16,,,,,",
        "accross,3,0,15,,,,,,",
        "across,4,-10,15,,,,,,",
        "across,5,nan,15,,,,,,",
        "across,6,10,15,7,,,,,",
        "across,7,10,15,,-3,0,,,",
        "across,8,10,15,,,,,4,5",
        "across,9,10,15,,,,,,4",
        "along,1,10,10,,,,,,",
        "along,2,10,150,,,,,,",
        "along,3,10,15,,,,,,",
        "along,3,10,15,,,,,,",
        "along,,,15,,,,,,",
    ]
    assert problems(tmp_path, HEAD + "\n".join(rows)) == [
        "line 2, column extended: 8 cm is shorter than the gauge, 10 cm",
        "line 3, column rested: 16 cm is longer than extended, 15 cm",
        "line 4, column direction: 'accross' is none of across, along; "
        "did you mean across?",
        "line 4, column gauge: must be above 0, not 0",
        "line 5, column gauge: must be above 0, not -10",
        "line 6, column gauge: 'nan' is no reading; leave the cell empty",
        "line 7, column rested: 7 cm is shorter than the gauge, 10 cm, by a fifth or "
        "more; read the distance of the marks, not the growth",
        "line 8, column rest_minutes: must be 0 or more, not -3",
        "line 8, column load: must be above 0, not 0",
        "line 9, column width_extended: 5 cm is wider than before the pull, 4 cm",
        "line 10, column width: is empty; contraction needs both widths",
        "line 11, column extended: is the gauge; leave out a direction that does not "
        "stretch",
        "line 12, column extended: 150 cm is a stretch of 1400 % on 10 cm; was it read "
        "in mm and headed cm?",
        "line 14, column repeat: along 3 is on line 13 already",
        "line 15, column gauge: is empty",
    ]


def test_header_and_rows_are_judged_together(tmp_path: Path) -> None:
    text = "direction,gauge,extended,widht\nacross,10,8,5\n"
    assert problems(tmp_path, text) == [
        "column widht: is not a known column; did you mean width?",
        "line 2, column extended: 8 cm is shorter than the gauge, 10 cm",
    ]


def test_the_unit_of_a_file_is_a_length(tmp_path: Path) -> None:
    rows = "direction,gauge,extended\nacross,10,15\n"
    for unit in ("stone", "kg"):
        assert problems(tmp_path, f"# units = {unit}\n{rows}") == [
            f"units: '{unit}' is no unit of length; accepted are mm, cm, m, in, ft"
        ]


def test_no_rows_and_no_columns(tmp_path: Path) -> None:
    assert problems(tmp_path, HEAD) == ["holds no readings"]
    assert problems(tmp_path, "direction,load\nacross,5\n") == [
        "column gauge: is missing; the file has direction, load",
        "column extended: is missing; the file has direction, load",
    ]


@pytest.mark.parametrize(
    "text",
    [
        "direction;gauge (in);extended (in)\nalong;3 7/8;6 1/2\n",
        'direction,gauge,extended\nalong,"3⅞""",6½ in\n',
        "# units = in\ndirection\tgauge\textended\nAlong\t3,875\t6,5\n",
        "direction,gauge (mm),extended (mm)\nalong,98.425,165.1\n",
        "# gauge = 3 7/8 in\ndirection,extended (cm)\nalong,16.51\n",
    ],
)
def test_inch_and_cm_give_the_same_reading(tmp_path: Path, text: str) -> None:
    (one,) = load_readings(written(tmp_path, text))
    assert one.gauge == pytest.approx(3.875 * 2.54, rel=1e-12)
    assert one.extended == pytest.approx(6.5 * 2.54, rel=1e-12)


def test_figures_that_hold_for_all_are_said(tmp_path: Path) -> None:
    text = (
        "# gauge = 10 cm\n# rest_minutes = 30\n"
        "direction,extended,rested\nalong,16,10.2\n"
    )
    file = read_reading_file(written(tmp_path, text))
    assert file.readings[0].rest_minutes == 30
    assert file.notes == (
        f"{file.source}: for every reading, gauge = 10 cm, rest_minutes = 30",
    )


def test_readings_as_toml(tmp_path: Path) -> None:
    text = """
schema = "ease/readings/1"
units = "in"
gauge = 4
origin = "published"
[[reading]]
direction = "along"
extended = "6 1/2"
[[reading]]
direction = "across"
extended = 6.0
load = "500 g"
strip_width = 2
"""
    file = read_reading_file(written(tmp_path, text, "a.toml"))
    along, across = file.readings
    assert along.stretch == pytest.approx(6.5 / 4 - 1)
    assert across.tension == pytest.approx(500 * 9.80665e-3 / 0.0508)
    assert file.origin == "published"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (
            "[[reading]]\ndirection='along'\ngauge=nan\nextended=15\n",
            "reading 1, column gauge",
        ),
        (
            "[[reading]]\ndirection='along'\ngauge=1e999\nextended=15\n",
            "reading 1, column gauge",
        ),
        (
            "[[reading]]\ndirection='along'\ngauge=10\nextended=true\n",
            "'True' is not a number",
        ),
        ("schema='ease/fabric/1'\n", "schema: accepted is"),
        ("speed=3\nreading=4\nunits=2\n", "speed: is not a known key"),
        (
            "origin='guessed'\n[[reading]]\ndirection='along'\ngauge=1\nextended=2\n",
            "origin: must be",
        ),
        ("", "holds no readings"),
    ],
)
def test_toml_that_is_wrong(tmp_path: Path, text: str, what: str) -> None:
    assert any(what in problem for problem in problems(tmp_path, text, "a.toml"))


def test_a_record_refuses_what_no_strip_can_do() -> None:
    with pytest.raises(RefusedError, match="extended 8 cm is shorter"):
        HandReading(direction="along", repeat=1, gauge=10, extended=8)
    with pytest.raises(RefusedError, match="finite"):
        HandReading(direction="along", repeat=1, gauge=10, extended=float("inf"))


def test_the_shipped_readings_are_invented_and_say_so() -> None:
    file = read_reading_file(SWATCH)
    assert SWATCH.read_text().startswith("# invented")
    assert file.origin == "invented"
    assert {(one.direction, one.repeat) for one in file.readings} == {
        (way, n) for way in ("across", "along") for n in range(1, 6)
    }
