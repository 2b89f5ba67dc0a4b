"""The result file of a long run: whole rows only, and a run that stopped goes on.

Beside it stand the settings it was made with; see ``ease.files.batch_settings``.
"""

from __future__ import annotations

import csv
import io
import os
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Final, Self

from ease.errors import UsageError, WriteError
from ease.files.batch_settings import (
    Settings,
    check_settings,
    settings_path,
    settings_toml,
)
from ease.write import check_writable, write_bytes

__all__ = ["ResultFile"]

_TAIL: Final = 1 << 20  # bytes at the end in which the last body's rows must lie


class ResultFile:
    """A table that grows by whole rows; use as a context.

    Attributes:
        path: The file.
        after_line: Line of the input up to which all is done.
        rows: How many rows it holds below the header; whoever adds them counts them.
    """

    def __init__(self, path: Path, whole: int, after_line: int) -> None:
        """Keep an open file; :meth:`begin` and :meth:`resume` make one."""
        self.path, self.after_line, self.rows = path, after_line, 0
        self._whole = whole  # bytes that are whole rows
        try:
            self._handle = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
            os.truncate(self._handle, whole)
            os.lseek(self._handle, whole, os.SEEK_SET)
        except OSError as error:
            raise _unwritable(path, error) from error

    @classmethod
    def begin(
        cls, path: Path, header: Sequence[str], settings: Settings, *, force: bool
    ) -> Self:
        """Write the header and the settings.

        Args:
            path: The file.
            header: Names of the columns.
            settings: All that the rows depend on.
            force: Whether existing files may be replaced.

        Raises:
            WriteError: If a file cannot be written, or is there already.
        """
        beside = settings_path(path)
        for file in (path, beside):
            check_writable(file, force=force)
        first = _line(header)
        # The settings last of all: rows without settings can never be taken up again.
        write_bytes(path, first, force=force)
        write_bytes(beside, settings_toml(settings), force=force)
        return cls(path, len(first), 0)

    @classmethod
    def resume(
        cls, path: Path, header: Sequence[str], settings: Settings, last: str
    ) -> Self:
        """Take up a file where it stopped.

        Args:
            path: The file.
            header: Names of the columns.
            settings: All that the rows depend on.
            last: What stands in the third column of the last row of a whole group: a
                group with the same number in the first column is done or not begun.

        Raises:
            UsageError: If it was made with another header or other settings.
            WriteError: If it cannot be opened.
        """
        first = _line(header)
        if first.startswith(_read(path, 0, len(first) + 1)):
            # Stopped before its first row: no row is lost, none can be mixed in.
            return cls.begin(path, header, settings, force=True)
        check_settings(path, settings)
        if _read(path, 0, len(first)) != first:
            message = f"{path}: its columns are not those of this run"
            raise UsageError(message)
        start = max(len(first), path.stat().st_size - _TAIL)
        tail = _read(path, start, _TAIL)
        if start > len(first):
            cut = tail.find(b"\n") + 1
            start, tail = start + cut, tail[cut:]
        kept, line = _whole_rows(path, tail, last)
        if start > len(first) and not kept:
            message = f"{path}: its end is not that of a table of this run"
            raise UsageError(message)
        return cls(path, start + kept, line)

    def tally(self, column: int) -> Counter[str]:
        """Count what stands in a column of the rows that are there already.

        Args:
            column: Place of the column, from 0.

        Raises:
            WriteError: If the file cannot be read.
        """
        try:
            with self.path.open("rb") as file:
                rows = _rows(self.path, file)
                return Counter(row[column] for row in rows if len(row) > column)
        except OSError as error:
            raise _unwritable(self.path, error) from error

    def append(self, text: str) -> None:
        """Add whole rows; if that fails, the file ends as it was.

        Raises:
            WriteError: If they cannot be written, such as on a full disk.
        """
        data = memoryview(text.encode("utf-8"))
        done = 0
        try:
            while done < len(data):
                done += os.write(self._handle, data[done:])
        except BaseException as error:
            os.truncate(self._handle, self._whole)
            os.lseek(self._handle, self._whole, os.SEEK_SET)
            if isinstance(error, OSError):
                raise _unwritable(self.path, error) from error
            raise
        self._whole += len(data)

    def __enter__(self) -> Self:
        """Return the file itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        os.close(self._handle)


def _line(cells: Sequence[str]) -> bytes:
    page = io.StringIO()
    csv.writer(page, lineterminator="\n").writerow(cells)
    return page.getvalue().encode()


def _read(path: Path, start: int, count: int) -> bytes:
    """Return some bytes of a file."""
    try:
        with path.open("rb") as file:
            file.seek(start)
            return file.read(count)
    except OSError as error:
        raise _unwritable(path, error) from error


def _cells(path: Path, data: bytes) -> list[list[str]]:
    """Return the rows that stand in some bytes of a table."""
    try:
        return list(csv.reader(io.StringIO(data.decode("utf-8", "replace"))))
    except csv.Error as error:
        message = f"{path}: does not hold a table of this run ({error})"
        raise UsageError(message) from error


def _rows(path: Path, file: BinaryIO) -> Iterator[list[str]]:
    """Yield the rows below the header, in bounded memory."""
    file.readline()
    while lines := file.readlines(_TAIL):
        yield from _cells(path, b"".join(lines))


def _whole_rows(path: Path, tail: bytes, last: str) -> tuple[int, int]:
    """Return how many bytes of a table's end are whole groups, and the last one's line.

    A row that a killed run left torn is cut off, and so are the rows of a body whose
    other fabrics are missing.
    """
    end = tail.rfind(b"\n") + 1
    begins = [0, *(i + 1 for i, byte in enumerate(tail[:end]) if byte == 10)]
    rows = _cells(path, tail[:end])
    for number in range(len(rows), 0, -1):
        row = rows[number - 1]
        if len(row) > 2 and row[2] == last and row[0].isdigit():
            return begins[number], int(row[0])
    return 0, 0


def _unwritable(path: Path, error: OSError) -> WriteError:
    message = f"{path}: cannot be written ({error.strerror or error})"
    return WriteError(message)
