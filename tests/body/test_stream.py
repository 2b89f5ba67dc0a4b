"""Tables of bodies read chunk by chunk: the same bodies as one by one, faults placed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.body.dictionary import MEASURES, NEEDED, Measure
from ease.body.fill_in import complete
from ease.body.measures import Body
from ease.body.stream import Bodies, _left_open, stream_bodies
from ease.body.table_head import LONGEST_LINE, read_head
from ease.errors import BodyError, UsageError

HEAD = "name,bust,waist,hip,stature\n"


def write(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "bodies.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def read(path: Path, units_in: str = "", **how: int) -> list[Bodies]:
    return list(stream_bodies(read_head(path, units_in), **how))


def one(tmp_path: Path, text: str | bytes, units_in: str = "") -> Bodies:
    (bodies,) = read(write(tmp_path, text), units_in)
    return bodies


def test_bodies_are_completed_as_one_by_one(tmp_path: Path) -> None:
    rows = ["a,92,76,100,168", "b,81.3,61,87.6,", "c,110.25,94,117,171.5"]
    bodies = one(tmp_path, HEAD + "\n".join(rows))
    assert bodies.names == ("a", "b", "c")
    assert bodies.lines.tolist() == [2, 3, 4]
    assert bodies.faults == ()
    for row, line in enumerate(rows):
        keys = ("bust", "waist", "hip", "stature")
        cells = dict(zip(keys, line.split(",")[1:], strict=True))
        values = {key: float(cell) for key, cell in cells.items() if cell}
        whole = complete(Body(name="x", values=values))
        assert {k: float(v[row]) for k, v in bodies.values.items()} == dict(
            whole.values
        )
        assert {k for k, v in bodies.filled.items() if v[row]} == set(whole.filled)


@pytest.mark.parametrize(
    ("text", "units_in"),
    [
        ("bust (in),waist (in),hip [in]\n36,30,40\n", ""),
        ("bust_in,waist_in,hip_in\n36,30,40\n", ""),
        ("bust,waist,hip\nin,in,in\n36,30,40\n", ""),
        ("# units = in\nbust,waist,hip\n36,30,40\n", ""),
        ("bust,waist,hip\n36,30,40\n", "in"),
        ('bust,waist,hip\n"36""",30 in,40 inches\n', ""),
        ("bust (mm);waist (mm);hip (mm)\n914,4;762;1016\n", ""),
        ("sep=;\nbust;waist;hip\n91,44;76,2;101,6\n", ""),
        ("bust\twaist\thip\n91.44\t76.2\t101.6\n", ""),
        ('bust,waist,hip\n"91,44","76,2","101,6"\n', ""),
        ("\ufeffbust,waist,hip\r\n91.44,76.2,101.6\r\n", ""),
        ("bust,waist,hip,\n91.44,76.2,101.6,\n", ""),
    ],
)
def test_units_separators_and_decimal_commas(
    tmp_path: Path, text: str, units_in: str
) -> None:
    bodies = one(tmp_path, text, units_in)
    assert bodies.faults == ()
    found = [float(bodies.values[key][0]) for key in ("bust", "waist", "hip")]
    assert found == pytest.approx([91.44, 76.2, 101.6], rel=1e-12)


@pytest.mark.parametrize("encoding", ["utf-16", "cp1252", "utf-8-sig"])
def test_encodings_of_spreadsheets(tmp_path: Path, encoding: str) -> None:
    text = "name\tbust\twaist\thip\nZoë\t92\t76\t100\n"
    assert one(tmp_path, text.encode(encoding)).names == ("Zoë",)


def test_weight_keeps_its_own_unit(tmp_path: Path) -> None:
    bodies = one(tmp_path, "bust,waist,hip,weight_kg (lb)\n92,76,100,132\n", "cm")
    assert float(bodies.values["weight_kg"][0]) == pytest.approx(132 * 0.45359237)


def test_bad_rows_are_named_and_the_others_done(tmp_path: Path) -> None:
    text = HEAD + (
        "good,92,76,100,168\n"
        "text,92,wide,100,168\n"
        "\n"
        "# a remark\n"
        "gap,92,,100,168\n"
        "inches,36,30,40,66\n"
        "comma,92,5,76,100,168\n"
        'open,"92,76,100,168\n'
        "not a number,nan,76,100,168\n"
        "endless,inf,76,100,168\n"
        "short,92\n"
        "also good,96,80,104,170\n"
    )
    bodies = one(tmp_path, text)
    assert bodies.names == ("good", "also good")
    assert bodies.lines.tolist() == [2, 13]
    assert bodies.bad == 8
    said = [str(fault) for fault in bodies.faults]
    starts = (
        "line 3, column waist: 'wide' is not a number",
        "line 6, column waist: is missing",
        "line 7, column bust: 36 cm is outside a grown body; accepted are 55 to 180 cm "
        "(given in inches?",
        "line 7, column waist: 30 cm",
        "line 7, column hip: 40 cm",
        "line 7, column stature: 66 cm",
        "line 8: '168' stands under no column name; a decimal comma",
        "line 9: a quotation mark is opened",
        "line 10, column bust: 'nan' is not a number",
        "line 11, column bust: 'inf' is not a number",
        "line 12, column waist: is missing",
        "line 12, column hip: is missing",
    )
    assert len(said) == len(starts)
    for line, start in zip(said, starts, strict=True):
        assert line.startswith(start), (line, start)


def test_a_stray_quotation_mark_costs_its_own_row_only(tmp_path: Path) -> None:
    text = HEAD + 'a", "92,76,100,168\nb,92,76,100,168\nc,92,76,100,168\n'
    bodies = one(tmp_path, text)
    assert bodies.names == ("b", "c")
    assert bodies.bad == 1


def test_a_measure_that_would_be_filled_in_impossibly_is_asked_for(
    tmp_path: Path,
) -> None:
    bodies = one(tmp_path, "bust,waist,hip\n56,46,61\n92,76,100\n")
    assert bodies.lines.tolist() == [3]
    assert any(
        fault.what.startswith("would be filled in as 33.5 cm")
        for fault in bodies.faults
    )


def test_bodies_beyond_the_survey_are_marked(tmp_path: Path) -> None:
    bodies = one(tmp_path, "bust,waist,hip\n92,76,100\n130,110,136\n")
    assert bodies.outside.tolist() == [False, True]


def test_chunks_join_to_the_whole(tmp_path: Path) -> None:
    text = HEAD + "".join(f"n{i},{80 + i},{60 + i},90,\n" for i in range(23))
    path = write(tmp_path, text.replace("n7,87", "n7,x"))
    (whole,) = read(path)
    parts = read(path, chunk=5)
    assert len(parts) == 5
    assert sum(part.bad for part in parts) == whole.bad == 1
    assert tuple(name for part in parts for name in part.names) == whole.names
    for key, column in whole.values.items():
        joined = np.concatenate([part.values[key] for part in parts])
        assert joined.tolist() == column.tolist()
    assert parts[-1].at_byte == path.stat().st_size


@given(
    st.lists(st.tuples(*[st.decimals(70, 120, places=2)] * 3), min_size=1, max_size=20)
)
def test_figures_are_read_to_the_last_digit(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[object, ...]]
) -> None:
    lines = [",".join(str(cell) for cell in row) for row in rows]
    folder = tmp_path_factory.mktemp("rows")
    bodies = one(folder, "bust,waist,hip\n" + "\n".join(lines))
    columns = (bodies.values[key].tolist() for key in ("bust", "waist", "hip"))
    found = zip(*columns, strict=True)
    assert [tuple(float(str(cell)) for cell in row) for row in rows] == list(found)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("bust,waist\n92,76\n", "column hip: is missing"),
        ("bust,waist,hip,bust\n92,76,100,92\n", "is there twice"),
        (
            "bust,waist,hip,height,stature\n92,76,100,170,170\n",
            "stature is there twice",
        ),
        ("bust,waist,hip,heigth\n92,76,100,170\n", "did you mean height"),
        ("bsut,waist,hip\n92,76,100\n", "did you mean bust"),
        ("bust (kg),waist,hip\n92,76,100\n", "the unit 'kg' does not fit"),
        ("bust (elephants),waist,hip\n1,2,3\n", "no known unit"),
        ("92,76,100\n", "must name the columns"),
        ("# units = kg\nbust,waist,hip\n92,76,100\n", "is no unit of length"),
        (b"\x00\x01\x02bust", "is not a text file"),
    ],
)
def test_heads_that_cannot_be_used(
    tmp_path: Path, text: str | bytes, said: str
) -> None:
    with pytest.raises(BodyError, match=said):
        read_head(write(tmp_path, text))


def test_no_file_a_folder_and_no_unit(tmp_path: Path) -> None:
    with pytest.raises(BodyError, match="no such file"):
        read_head(tmp_path / "none.csv")
    with pytest.raises(BodyError, match="is a folder"):
        read_head(tmp_path)
    with pytest.raises(UsageError, match="'stone' is no unit of length"):
        read_head(write(tmp_path, HEAD), "stone")


def test_a_line_without_end_is_no_table(tmp_path: Path) -> None:
    path = write(tmp_path, HEAD + "x" * (LONGEST_LINE + 5))
    with pytest.raises(BodyError, match="line 2 is longer than"):
        read(path)


@pytest.mark.parametrize("head", ["Height (in)", "height_in", "stature [in]"])
def test_columns_go_by_every_name_that_a_body_file_takes(
    tmp_path: Path, head: str
) -> None:
    text = f"bust,waist,hip,{head},Nape to waist,weight (lb)\n92,76,100,71,41,140\n"
    bodies = one(tmp_path, text)
    assert read_head(write(tmp_path, text)).notes == ()
    assert bodies.values["stature"][0] == pytest.approx(71 * 2.54)
    assert bodies.values["nape_to_waist"][0] == 41.0
    # 1 lb = 0.45359237 kg exactly.
    assert bodies.values["weight_kg"][0] == pytest.approx(140 * 0.45359237)
    assert not bodies.filled["nape_to_waist"][0]


@pytest.mark.parametrize("measure", MEASURES.values(), ids=lambda one: one.key)
def test_a_name_on_screen_is_a_column(tmp_path: Path, measure: Measure) -> None:
    others = [key for key in NEEDED if key != measure.key]
    head = read_head(write(tmp_path, ",".join([*others, measure.title])))
    assert head.columns[-1] == measure.key
    assert head.notes == ()


def test_a_column_that_is_not_used_is_said(tmp_path: Path) -> None:
    head = read_head(write(tmp_path, "shop,bust,waist,hip\nx,92,76,100\n"))
    assert any("column shop is not used" in note for note in head.notes)


def test_a_table_without_bodies_yields_nothing(tmp_path: Path) -> None:
    assert read(write(tmp_path, HEAD)) == []
    (only_remarks,) = read(write(tmp_path, HEAD + "# nobody yet\n"))
    assert len(only_remarks) == 0


@pytest.mark.parametrize("marks", range(1, 5))
def test_inch_marks_open_nothing(tmp_path: Path, marks: int) -> None:
    cells = ["34", "28", "38", "66"]
    told = [f'{cell}"' if i < marks else f"{cell} in" for i, cell in enumerate(cells)]
    path = tmp_path / "marks.csv"
    path.write_text("name,bust,waist,hip,stature\n" + "a," + ",".join(told) + "\n")
    (chunk,) = stream_bodies(read_head(path))
    assert chunk.faults == ()
    found = [float(chunk.values[key][0]) for key in ("bust", "waist", "hip", "stature")]
    assert found == pytest.approx([34 * 2.54, 28 * 2.54, 38 * 2.54, 66 * 2.54])


@pytest.mark.parametrize(
    ("line", "opened"),
    [
        ('a,"b', True),
        ('"a,b', True),
        ('a, "b,c"', False),
        ('"a, ""b""",c', False),
        ('"a, ""b,c', True),
        ("a,5' 6\"", False),
        ('a,"b, ""c"", d",5"', False),
        ('a,"b","c', True),
    ],
)
def test_only_the_start_of_a_cell_opens_a_quotation(line: str, opened: bool) -> None:
    assert _left_open(line, ",") is opened
