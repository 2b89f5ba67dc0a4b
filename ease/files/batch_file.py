"""The result file of a long run: whole rows only, and a run that stopped goes on.

Beside ``result.csv`` stands ``result.csv.toml`` with the settings it was made with, so
that rows made with others are never mixed in.
"""

from __future__ import annotations

import csv
import io
import json
import os
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from ease.errors import UsageError, WriteError
from ease.write import check_writable, write_bytes

__all__ = ["SCHEMA", "ResultFile", "settings_path"]

SCHEMA: Final = "ease/batch/1"
_TAIL: Final = 1 << 20  # bytes at the end in which the last body's rows must lie

Settings = Mapping[str, object]
"""Texts, numbers, flags and lists of texts by name."""


def settings_path(path: Path) -> Path:
    """Return the file that holds the settings of a result file."""
    return path.with_name(path.name + ".toml")


class ResultFile:
    """A table that grows by whole rows; use as a context.

    Attributes:
        path: The file.
        after_line: Line of the input up to which all is done.
    """

    def __init__(self, path: Path, whole: int, after_line: int) -> None:
        """Keep an open file; :meth:`begin` and :meth:`resume` make one."""
        self.path, self.after_line = path, after_line
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
        write_bytes(beside, _toml(settings), force=force)
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
        _check_settings(path, settings)
        first = _line(header)
        try:
            with path.open("rb") as file:
                if file.readline() != first:
                    message = f"{path}: its columns are not those of this run"
                    raise UsageError(message)
                size = file.seek(0, os.SEEK_END)
                start = max(len(first), size - _TAIL)
                file.seek(start)
                tail = file.read()
        except OSError as error:
            raise _unwritable(path, error) from error
        if start > len(first):
            cut = tail.find(b"\n") + 1
            start, tail = start + cut, tail[cut:]
        kept, line = _whole_rows(tail, last)
        if start > len(first) and not kept:
            message = f"{path}: its end is not that of a table of this run"
            raise UsageError(message)
        return cls(path, start + kept, line)

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


def _toml(settings: Settings) -> bytes:
    """Return settings as TOML; a JSON string, number or list of strings is also TOML."""
    rows = {"schema": SCHEMA, **settings}
    text = "".join(
        f"{key} = {json.dumps(value, ensure_ascii=False)}\n"
        for key, value in rows.items()
    )
    return text.encode()


def _check_settings(path: Path, settings: Settings) -> None:
    beside = settings_path(path)
    try:
        found = tomllib.loads(beside.read_text(encoding="utf-8"))
    except FileNotFoundError:
        message = f"{path}: cannot go on without its settings, {beside.name}"
        raise UsageError(message) from None
    except (OSError, ValueError) as error:
        message = f"{beside}: cannot be read ({error})"
        raise UsageError(message) from error
    wanted = tomllib.loads(_toml(settings).decode())
    for key in dict.fromkeys([*wanted, *found]):
        if found.get(key) != wanted.get(key):
            message = (
                f"{path}: was made with {key} {found.get(key)}, "
                f"this run has {wanted.get(key)}"
            )
            hint = "give the same options and files, or begin anew with --force"
            raise UsageError(message, hint=hint)


def _whole_rows(tail: bytes, last: str) -> tuple[int, int]:
    """Return how many bytes of a table's end are whole groups, and the last one's line.

    A row that a killed run left torn is cut off, and so are the rows of a body whose
    other fabrics are missing.
    """
    end = tail.rfind(b"\n") + 1
    begins = [0, *(i + 1 for i, byte in enumerate(tail[:end]) if byte == 10)]
    rows = list(csv.reader(io.StringIO(tail[:end].decode("utf-8", "replace"))))
    for number in range(len(rows), 0, -1):
        row = rows[number - 1]
        if len(row) > 2 and row[2] == last and row[0].isdigit():
            return begins[number], int(row[0])
    return 0, 0


def _unwritable(path: Path, error: OSError) -> WriteError:
    message = f"{path}: cannot be written ({error.strerror or error})"
    return WriteError(message)
