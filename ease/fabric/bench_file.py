"""The file that a guided bench test fills: written whole after every repeat."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from ease.errors import ReadingError, UsageError
from ease.fabric.bench import QUESTIONS
from ease.fabric.readings import COLUMNS, load_readings
from ease.read import read_text
from ease.table import parse_table
from ease.write import check_writable, write_text

__all__ = ["BenchFile"]

_UNFINISHED: Final = "# unfinished = "


class BenchFile:
    """Repeats taken so far, and the answers of one that was broken off.

    Attributes:
        path: The CSV file.
        unit: Unit of its lengths, ``cm`` or ``in``.
        repeats: Cells by column of every complete repeat.
        unfinished: Answers of a repeat that was broken off.
    """

    def __init__(self, path: Path, unit: str) -> None:
        """Begin a new file, or take up one that was begun before.

        Raises:
            WriteError: If it cannot be written.
            UsageError: If a file of that name was not begun here.
            ReadingError: If its readings have become impossible.
        """
        self.path = path
        self.unit = unit
        self.repeats: list[dict[str, str]] = []
        self.unfinished: dict[str, str] = {}
        self._comments = ["# hand test of a swatch"]
        check_writable(path, force=True)
        if path.exists():
            self._take_up()

    def _take_up(self) -> None:
        text, _ = read_text(self.path, ReadingError)
        lines = text.splitlines()
        for unit in ("cm", "in"):
            if any(_begun_here(line, unit) for line in lines):
                self.unit = unit
                break
        else:
            message = f"{self.path}: was not begun with --ask; name a new file for it"
            raise UsageError(message)
        table = parse_table(
            text, source=str(self.path), known=COLUMNS, error=ReadingError
        )
        self.repeats = [dict(row.cells) for row in table.rows]
        self._comments = [
            line
            for line in lines
            if line.startswith("#") and not line.startswith(_UNFINISHED)
        ]
        self.unfinished = _answers(table.meta.get("unfinished", ""))
        if self.repeats:
            load_readings(self.path)

    def number(self, direction: str) -> int:
        """Return the number of the next repeat in a direction."""
        taken = [
            int(row["repeat"]) for row in self.repeats if row["direction"] == direction
        ]
        return max(taken, default=0) + 1

    def add(self, answers: Mapping[str, str]) -> int:
        """Keep a complete repeat at once and return its number."""
        number = self.number(answers["direction"])
        self.repeats.append({**answers, "repeat": str(number)})
        self.unfinished = {}
        self._write()
        return number

    def reopen(self) -> dict[str, str]:
        """Take the last repeat out of the file and return its answers."""
        row = self.repeats.pop()
        self.break_off({q.column: row.get(q.column, "") for q in QUESTIONS})
        return dict(self.unfinished)

    def break_off(self, answers: Mapping[str, str]) -> None:
        """Keep the answers of a repeat that is not complete."""
        self.unfinished = dict(answers)
        if self.unfinished or self.path.exists():
            self._write()

    def _write(self) -> None:
        text = io.StringIO()
        for comment in self._comments:
            text.write(comment + "\n")
        text.write(_header(self.unit) + "\n")
        writer = csv.DictWriter(
            text, COLUMNS, restval="", extrasaction="ignore", lineterminator="\n"
        )
        writer.writerows(self.repeats)
        if self.unfinished:
            text.write(_UNFINISHED + json.dumps(self.unfinished) + "\n")
        write_text(self.path, text.getvalue(), force=True)


def _begun_here(line: str, unit: str) -> bool:
    """Whether a line is a header of this file, or of one begun before a column came."""
    heads = _header(unit).split(",")
    earlier = [head for head in heads if not head.startswith("wet_rested")]
    return line.split(",") in (heads, earlier)


def _header(unit: str) -> str:
    units = {q.column: unit for q in QUESTIONS if q.kind == "length"}
    units |= {"rest_minutes": "min", "load": "N"}
    return ",".join(
        f"{name} ({units[name]})" if name in units else name for name in COLUMNS
    )


def _answers(text: str) -> dict[str, str]:
    """Return the answers of a broken-off repeat; none where the line was damaged."""
    try:
        answers = json.loads(text) if text else {}
    except json.JSONDecodeError:
        return {}
    known = [question.column for question in QUESTIONS]
    if not isinstance(answers, dict):
        return {}
    return {key: answers[key] for key in known if isinstance(answers.get(key), str)}
