"""Result files of long runs: whole rows only, and never rows of other settings."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from ease.errors import UsageError, WriteError
from ease.files.batch_file import ResultFile
from ease.files.batch_settings import settings_path

HEADER = ("line", "name", "fabric", "number")
SETTINGS: dict[str, object] = {
    "hold": "regular",
    "pressure_kpa": 0.4,
    "fabrics": ["soft", "Zoë's 😀"],
}
ROWS = '2,a,soft,1.5\n2,a,firm,2.5\n3,"b, c",soft,3.5\n3,"b, c",firm,4.5\n'


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "result.csv"


def begin(path: Path, rows: str = "", *, force: bool = False) -> None:
    with ResultFile.begin(path, HEADER, SETTINGS, force=force) as result:
        result.append(rows)


def resume(path: Path, **settings: str | float) -> ResultFile:
    return ResultFile.resume(path, HEADER, SETTINGS | settings, "firm")


def test_rows_follow_the_header(path: Path) -> None:
    begin(path, ROWS)
    assert path.read_text() == "line,name,fabric,number\n" + ROWS


@pytest.mark.parametrize("cut", range(len(ROWS) + 1))
def test_a_file_cut_anywhere_goes_on_to_the_same_end(path: Path, cut: int) -> None:
    begin(path, ROWS[:cut])
    with resume(path) as result:
        assert result.after_line in (0, 2, 3)
        first = ROWS.find(f"\n{result.after_line + 1},") + 1
        rest = {0: ROWS, 2: ROWS[first:], 3: ""}[result.after_line]
        result.append(rest)
    assert path.read_text() == "line,name,fabric,number\n" + ROWS


def test_the_end_of_a_long_file_is_found(path: Path) -> None:
    rows = "".join(
        f"{n},name {n},soft,1\n{n},name {n},firm,2\n" for n in range(2, 60_000)
    )
    begin(path, rows + "60000,x,soft")
    with resume(path) as result:
        assert result.after_line == 59_999
    assert path.read_text() == "line,name,fabric,number\n" + rows


def test_a_long_file_of_something_else_is_refused(path: Path) -> None:
    begin(path, "x,y\n" * 400_000)
    with pytest.raises(UsageError, match="its end is not that of a table"):
        resume(path)


def test_other_settings_are_refused_and_nothing_is_touched(path: Path) -> None:
    begin(path, ROWS)
    with pytest.raises(UsageError, match="hold regular -> firm"):
        resume(path, hold="firm")
    assert path.read_text().endswith(ROWS)


@pytest.mark.parametrize("cut", range(len(",".join(HEADER)) + 2))
@pytest.mark.parametrize("settings", [True, False])
def test_a_file_cut_before_its_first_row_is_begun_again(
    path: Path, cut: int, settings: bool
) -> None:
    begin(path)
    path.write_text(path.read_text()[:cut])
    if not settings:  # they are written last
        settings_path(path).unlink()
    with resume(path) as result:
        assert result.after_line == 0
        result.append(ROWS)
    assert path.read_text() == "line,name,fabric,number\n" + ROWS
    with resume(path) as result:
        assert result.after_line == 3


def test_the_rows_that_are_there_are_counted(path: Path) -> None:
    begin(path, ROWS + "4,x,so")
    with resume(path) as result:
        assert result.tally(2) == {"soft": 2, "firm": 2}
        assert result.tally(1) == {"a": 2, "b, c": 2}
        result.append("4,x,soft,5\n4,x,firm,6\n")
    with resume(path) as result:
        assert result.tally(2) == {"soft": 3, "firm": 3}


def test_a_table_that_was_spoilt_by_hand_is_refused(path: Path) -> None:
    begin(path, ROWS + '"' + "x" * 200_000 + "\n" + ROWS)
    with pytest.raises(UsageError, match="does not hold a table of this run"):
        resume(path)


def test_other_columns_are_refused(path: Path) -> None:
    begin(path, ROWS)
    with pytest.raises(UsageError, match="columns are not those"):
        ResultFile.resume(path, (*HEADER, "more"), SETTINGS, "firm")


def test_lost_or_broken_settings_are_refused(path: Path) -> None:
    begin(path, ROWS)
    settings_path(path).write_text("hold = ")
    with pytest.raises(UsageError, match="cannot be read"):
        resume(path)
    settings_path(path).unlink()
    with pytest.raises(UsageError, match="without its settings"):
        resume(path)


def test_nothing_is_replaced_unasked(path: Path) -> None:
    begin(path, ROWS)
    with pytest.raises(WriteError, match="exists already"):
        begin(path)
    begin(path, force=True)
    assert path.read_text() == "line,name,fabric,number\n"


@pytest.mark.parametrize(
    "stop", [OSError(errno.ENOSPC, "No space"), KeyboardInterrupt()]
)
def test_a_write_that_stops_half_way_leaves_whole_rows(
    path: Path, monkeypatch: pytest.MonkeyPatch, stop: BaseException
) -> None:
    write = os.write

    def half(handle: int, data: bytes) -> int:
        if len(data) < len(ROWS) // 2:
            raise stop
        return write(handle, data[: len(data) // 2 + 1])

    with ResultFile.begin(path, HEADER, SETTINGS, force=False) as result:
        result.append("1,z,firm,0\n")
        monkeypatch.setattr(os, "write", half)
        expected = WriteError if isinstance(stop, OSError) else KeyboardInterrupt
        with pytest.raises(expected):
            result.append(ROWS)
        monkeypatch.undo()
        assert path.read_text() == "line,name,fabric,number\n1,z,firm,0\n"
        result.append(ROWS)
    assert path.read_text() == "line,name,fabric,number\n1,z,firm,0\n" + ROWS


def test_no_folder_is_told_before_work(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match="does not exist"):
        begin(tmp_path / "none" / "result.csv")
