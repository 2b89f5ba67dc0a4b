"""Files as spreadsheets, editors and hands write them; each case is a file of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.cells import plain_number
from ease.errors import InputError, ReadingError, UnitError
from ease.read import read_text, read_toml
from ease.table import Cells, Table, parse_table, read_table, table_from_records

KNOWN = ("direction", "repeat", "gauge", "extended", "load", "rest_minutes")


def table(text: str) -> Table:
    return parse_table(text, source="a.csv", known=KNOWN)


def lengths(read: Table, column: str) -> list[float | None]:
    cells = Cells(read)
    values = [cells.length(row, column) for row in read.rows]
    cells.finish()
    return values


def faults(read: Table, column: str = "gauge") -> list[str]:
    cells = Cells(read)
    for row in read.rows:
        cells.length(row, column)
    return [str(problem) for problem in cells.problems]


def test_a_plain_file() -> None:
    read = table("direction,gauge,extended\nacross,10,15.5\nalong,10,16\n")
    assert read.columns == ("direction", "gauge", "extended")
    assert lengths(read, "extended") == [15.5, 16.0]
    assert [row.place for row in read.rows] == ["line 2", "line 3"]


@pytest.mark.parametrize(
    ("data", "noted"),
    [
        ("gauge;note\n12,5;völlig\n".encode(), False),
        ("gauge;note\n12,5;völlig\n".encode("utf-8-sig"), False),
        ("gauge\tnote\n12,5\tvöllig\n".encode("utf-16"), False),
        ("gauge;note\r\n12,5;völlig\r\n".encode("cp1252"), True),
    ],
    ids=["utf-8", "utf-8 with mark", "utf-16", "cp1252"],
)
def test_encodings(tmp_path: Path, data: bytes, noted: bool) -> None:
    file = tmp_path / "a.csv"
    file.write_bytes(data)
    read = read_table(file, known=KNOWN)
    assert lengths(read, "gauge") == [12.5]
    assert read.rows[0].cells["note"] == "völlig"
    assert any("cp1252" in note for note in read.notes) is noted


@pytest.mark.parametrize(
    "text",
    [
        "gauge,extended\n10.5,15.5\n",
        "gauge;extended\n10,5;15,5\n",
        "gauge;extended\n10.5;15.5\n",
        "gauge\textended\n10,5\t15,5\n",
        '"gauge","extended"\n"10,5","15,5"\n',
        "sep=;\ngauge;extended\n10,5;15,5\n",
        '"sep=,"\ngauge,extended\n10.5,15.5\n',
        "gauge   extended\n10.5    15.5\n",
        "gauge,extended\r10.5,15.5\r",
        "gauge , extended\n 10.5 , 15.5 \n",
        "GAUGE,Extended\n10.5,15.5\n",
        "gauge;extended;;\n10,5;15,5;;\n;;;\n",
        "\n# a remark\n\ngauge,extended\n\n# 99,99\n10.5,15.5\n\n",
        "gauge (cm),extended [cm]\n10.5,15.5\n",
        "gauge_mm,extended (mm)\n105,155\n",
        "gauge,extended\n(cm),(cm)\n10.5,15.5\n",
        "gauge,extended\n10.5 cm,155 mm\n",
        "# gauge = 10.5 cm\ngauge,extended\n10.5,15.5\ngauge,extended\n",
    ],
)
def test_one_table_written_in_many_ways(text: str) -> None:
    read = table(text)
    assert lengths(read, "gauge") == [10.5]
    assert lengths(read, "extended") == [15.5]


@pytest.mark.parametrize("text", ["gauge\n12,5\n3\n", "gauge\n12.5\n3\n"])
def test_one_column_alone(text: str) -> None:
    assert lengths(table(text), "gauge") == [12.5, 3.0]


@pytest.mark.parametrize(
    ("cell", "cm"),
    [
        ("3 7/8", 3.875),
        ("3-7/8", 3.875),
        ("3⅞", 3.875),
        ('7/8"', 0.875),
        ('3 7/8"', 3.875),
        ("7/8 in", 0.875),
    ],
)
def test_inches_with_fractions(cell: str, cm: float) -> None:
    assert lengths(table(f"gauge (in);load\n{cell};1\n"), "gauge") == [
        pytest.approx(cm * 2.54)
    ]


def test_the_line_number_counts_comments_and_blanks() -> None:
    read = table("# one\n\ngauge\n10\n# five\nx\n")
    assert faults(read) == [
        "line 6, column gauge: 'x' is not a number; write 12.5, 12,5 or 3 7/8"
    ]


def test_every_fault_is_named_at_once() -> None:
    read = table("gauge (cm)\nnan\n#N/A\n10 mm\n5 N\n1e999\n--\nOVR\n")
    assert len(faults(read)) == 7
    assert "another unit than its column (cm)" in faults(read)[2]
    assert "unit that does not fit" in faults(read)[3]


@pytest.mark.parametrize("head", ["height", "height (in)"])
def test_feet_and_inches_in_a_column(head: str) -> None:
    text = f"{head}\n5 ft 6 in\n5' 4 1/2\"\n"
    cells = Cells(parse_table(text, source="a.csv", known=["height"]))
    assert [cells.length(row, "height") for row in cells.table.rows] == pytest.approx(
        [66 * 2.54, 64.5 * 2.54]
    )
    cells.finish()


def test_an_unfit_unit_in_the_header_is_said_once() -> None:
    assert faults(table("gauge (N)\n1\n2\n")) == [
        "column gauge: the unit 'N' does not fit; accepted are mm, cm, m, in, ft"
    ]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "is empty"),
        ("# only a remark\n\n", "is empty"),
        ("10,15\n11,16\n", "line 1: the first row must name the columns"),
        ("gauge (furlong)\n1\n", "'furlong' is no known unit"),
        ("gauge,gauge\n1,2\n", "line 1, column gauge: is there twice"),
        ("gauge,load\n12,5,3\n", "decimal comma needs semicolons"),
        ('gauge,load\n"12.5,3\n4,5\n', "line 2: a quotation mark is opened"),
        ("gauge;load\n1.234;5\n", "could be read in two ways"),
    ],
)
def test_a_file_that_is_no_table(text: str, what: str) -> None:
    with pytest.raises(InputError, match=r"^a\.csv: ") as caught:
        table(text)
    assert what in str(caught.value)


def test_thousands_are_settled_by_the_rest_of_the_file() -> None:
    assert lengths(table("gauge (mm);load\n1.234;5,5\n"), "gauge") == [
        pytest.approx(123.4)
    ]
    assert lengths(table("gauge (mm);load\n1.000,5;1\n"), "gauge") == [
        pytest.approx(100.05)
    ]
    assert lengths(table("gauge (mm);load\n1\u00a0000,5;1\n"), "gauge") == [
        pytest.approx(100.05)
    ]


def test_a_point_in_a_file_of_commas_is_a_slip() -> None:
    read = table("gauge;load\n10,5;1\n11,5;1\n12.5;1\n")
    assert faults(read) == [
        "line 4, column gauge: '12.5': the rest of the file has decimal commas"
    ]


def test_lines_of_key_and_value() -> None:
    text = (
        '# Gauge = 10,5 cm;;;\n"# strip width = 5 cm, flat"\n# no value here\n'
        "direction;load\nup;1\n"
    )
    assert table(text).meta == {"gauge": "10,5 cm", "strip_width": "5 cm, flat"}


def test_misspelt_and_needless_columns() -> None:
    cells = Cells(table("guage,colour\n1,2\n"))
    cells.require(("gauge", "extended"), KNOWN)
    assert [str(problem) for problem in cells.problems] == [
        "column guage: is not a known column; did you mean gauge?",
        "column extended: is missing; the file has guage, colour",
    ]
    assert cells.notes == ["a.csv: column colour is not used"]


def test_loads_times_and_counts() -> None:
    read = table("repeat,load (g),rest_minutes (h)\n1,500,0.5\n1.5,,\n")
    cells = Cells(read, ReadingError)
    first, second = read.rows
    assert cells.load(first, "load") == pytest.approx(500 * 9.80665e-3)
    assert cells.minutes(first, "rest_minutes") == pytest.approx(30.0)
    assert cells.whole(first, "repeat") == 1
    assert cells.whole(second, "repeat") is None
    assert cells.load(second, "load", needed=False) is None
    assert cells.number(second, "load") is None
    with pytest.raises(ReadingError) as caught:
        cells.finish()
    assert [str(problem) for problem in caught.value.problems] == [
        "line 3, column repeat: must be a whole number from 1, not 1.5",
        "line 3, column load: is empty",
    ]


def test_records_of_toml_are_cells_too() -> None:
    read = table_from_records(
        [{"gauge": 10.0}, {"gauge": "3 7/8 in"}, {"gauge": float("nan")}],
        source="a.toml",
    )
    assert faults(read) == [
        "reading 1, column gauge: '10.0' has no unit; others in it have in",
        "reading 3, column gauge: 'nan' is no reading; leave the cell empty",
    ]


@pytest.mark.parametrize("name", ["missing.csv", "."])
def test_no_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=r"no such file|is a folder"):
        read_text(tmp_path / name)


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    for data in (b"\x89PNG\x00\x00", b"\xff\xfe\x00"):
        file.write_bytes(data)
        with pytest.raises(InputError, match=r"not a text file|damaged"):
            read_text(file)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("gauge = 12,5\n", "TOML wants a decimal point: write 12.5, not 12,5"),
        ("gauge = 3 7/8\n", 'put a fraction in quotes: "3 7/8"'),
        ("gauge = = 3\n", "a line is NAME = VALUE, such as bust = 92.5; put words in "),
        ("a = " + "[" * 3000, ""),
    ],
)
def test_toml_that_cannot_be_read(tmp_path: Path, text: str, hint: str) -> None:
    file = tmp_path / "a.toml"
    file.write_text(text)
    with pytest.raises(InputError) as caught:
        read_toml(file)
    assert caught.value.hint.startswith(hint)
    assert bool(caught.value.hint) == bool(hint)


def test_a_fault_of_toml_has_its_place_first_and_no_words_of_a_parser(
    tmp_path: Path,
) -> None:
    file = tmp_path / "a.toml"
    file.write_text("name = 'a'\nbust\n")
    with pytest.raises(InputError) as caught:
        read_toml(file)
    said = str(caught.value)
    assert said.startswith(f"{file}: line 2, column 5: cannot be read as TOML: ")
    assert "key" not in said
    assert "(at" not in said


def test_toml_with_a_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"\xef\xbb\xbfx = 1\n")
    assert read_toml(file) == {"x": 1}
    file.write_bytes("x = 'ö'\n".encode("cp1252"))
    with pytest.raises(InputError, match="not UTF-8"):
        read_toml(file)


@given(st.decimals(0, 999999, places=2), st.sampled_from([".", ","]))
def test_a_number_reads_the_same_with_either_mark(value: object, mark: str) -> None:
    grouped = f"{value:,}"
    other = "," if mark == "." else "."
    written = grouped.replace(",", "\0").replace(".", mark).replace("\0", other)
    assert float(plain_number(written, mark)) == float(str(value))


def test_the_other_mark_is_refused() -> None:
    with pytest.raises(UnitError, match="decimal points"):
        plain_number("12,5", ".")
