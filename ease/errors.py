"""Every error of the project: what is wrong, where, and what is accepted.

Each class is an :class:`EaseError` and a built-in as well. The values that make up the
message stay on the error as attributes; ``exit_code`` is what the command line returns.
This module imports nothing of the project.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

__all__ = [
    "BlockError",
    "BodyError",
    "EaseError",
    "EmptyWindowError",
    "InputError",
    "Problem",
    "ProfileError",
    "ReadingError",
    "RefusedError",
    "TensionRangeError",
    "UnitError",
    "UsageError",
    "WriteError",
]

MOST_SHOWN: Final = 100  # faults of one file that its message names
MOST_ALIKE: Final = 3  # of them, those of one kind in one column

_ROW = re.compile(r"(line|reading) \d")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")
_FIGURE = re.compile(r"-?\d[\d.,]*(e[-+]?\d+)?")


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault in an input: the place, and what is wrong there.

    Attributes:
        where: Line and column, or table path, such as ``line 3, column extended``.
        what: What is wrong and what is accepted, in one sentence without a full stop.
    """

    where: str
    what: str

    def __str__(self) -> str:
        """Return ``where: what`` (or only what, where there is no place)."""
        return self.told("cm")

    def told(self, units: str) -> str:
        """Return the same with lengths in ``cm`` or ``in``."""
        what = _told(self.what, units)
        return f"{self.where}: {what}" if self.where else what


def _kind(problem: Problem) -> tuple[str, str]:
    """Return what faults of one kind in one column share, their figures left out.

    Where no column is named, what stands in quotes is the fault itself.
    """
    if not _ROW.match(problem.where):
        return problem.where, str(problem.what)
    what = problem.what
    if "column" in problem.where:
        what = _QUOTED.sub("''", what)
    return _FIGURE.sub("#", problem.where), _FIGURE.sub("#", what)


def _told(text: str, units: str) -> str:
    # A sentence with lengths says them in any unit; this module knows only that much.
    said = getattr(text, "in_units", None)
    return str(said(units)) if said else text


class EaseError(Exception):
    """Root of every error that the project raises on purpose.

    Attributes:
        units: ``cm`` or ``in``, in which ``str`` says the lengths of the message.
    """

    exit_code = 1
    hint = ""
    units = "cm"

    def __init__(self, message: str, *, hint: str = "") -> None:
        """Keep the message and, where there is one, what would mend it."""
        super().__init__(message)
        self.message = message
        if hint:
            self.hint = hint

    def __str__(self) -> str:
        """Return the message, its lengths in ``units``."""
        return _told(self.message, self.units)


class RefusedError(EaseError, ValueError):
    """The question is well put, and the answer is no."""


class EmptyWindowError(RefusedError):
    """Two limits leave no admissible strain between them.

    Attributes:
        clash: Keys of the low and of the high limit.
    """

    def __init__(
        self, message: str, *, hint: str = "", clash: tuple[str, str] = ("", "")
    ) -> None:
        """Keep the message, what would mend it, and which two limits clash."""
        super().__init__(message, hint=hint)
        self.clash = clash


class TensionRangeError(RefusedError):
    """A strain or tension lies past what was tested."""


class UsageError(EaseError, ValueError):
    """A command was given options or names that do not go together."""

    exit_code = 2


class UnitError(EaseError, ValueError):
    """A figure with its unit cannot be read."""

    exit_code = 2


class WriteError(EaseError, OSError):
    """A result cannot be written."""

    exit_code = 4


class InputError(EaseError, ValueError):
    """A file cannot be used; every fault found is listed at once.

    Attributes:
        source: The file's name as the user gave it.
        problems: Every fault that was found, in the order of the file.
    """

    exit_code = 3

    def __init__(
        self, source: str, problems: Sequence[Problem] | str, *, hint: str = ""
    ) -> None:
        """Keep the file's name and the faults."""
        if isinstance(problems, str):
            problems = [Problem("", problems)]
        self.source = source
        self.problems = tuple(problems)
        super().__init__(self._listed("cm"), hint=hint)

    def __str__(self) -> str:
        """Return every fault, a line each, its lengths in ``units``.

        Of faults of one kind in many rows of a column, the first and the number of the
        others; ``problems`` holds them all.
        """
        return self._listed(self.units)

    def _listed(self, units: str) -> str:
        kinds = Counter(map(_kind, self.problems))
        seen: Counter[object] = Counter()
        lines: list[str] = []
        shown = counted = 0
        for problem in self.problems:
            kind = _kind(problem)
            seen[kind] += 1
            more = kinds[kind] - MOST_ALIKE
            # One row more is shown rather than counted: it takes a line either way.
            if more > 1 and seen[kind] > MOST_ALIKE:
                continue
            if shown == MOST_SHOWN:
                break
            shown, counted = shown + 1, counted + 1
            lines.append(f"{self.source}: {problem.told(units)}")
            if more > 1 and seen[kind] == MOST_ALIKE:
                counted += more
                lines.append(f"{self.source}: ... and {more} more rows like it")
        if rest := len(self.problems) - counted:
            lines.append(f"{self.source}: and {rest} fault{'s' * (rest > 1)} more")
        return "\n".join(lines)


class ReadingError(InputError):
    """A file of bench readings is wrong or impossible."""


class ProfileError(InputError):
    """A fabric profile is wrong, or no fabric has that name."""


class BodyError(InputError):
    """A body measurement file is wrong or implausible."""


class BlockError(InputError):
    """A block is wrong: outline, names, levels or seams."""
