"""Every error of the project: what is wrong, where, and what is accepted.

Each class is an :class:`EaseError` and a built-in as well. The values that make up the
message stay on the error as attributes; ``exit_code`` is what the command line returns.
This module imports nothing of the project.
"""

from __future__ import annotations

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
        return f"{self.where}: {self.what}" if self.where else self.what


class EaseError(Exception):
    """Root of every error that the project raises on purpose."""

    exit_code = 1
    hint = ""

    def __init__(self, message: str, *, hint: str = "") -> None:
        """Keep the message and, where there is one, what would mend it."""
        super().__init__(message)
        if hint:
            self.hint = hint


class RefusedError(EaseError, ValueError):
    """The question is well put, and the answer is no."""


class EmptyWindowError(RefusedError):
    """Two limits leave no admissible strain between them."""


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
        """Build the message from the file's name and the faults."""
        if isinstance(problems, str):
            problems = [Problem("", problems)]
        self.source = source
        self.problems = tuple(problems)
        lines = [f"{source}: {problem}" for problem in self.problems[:MOST_SHOWN]]
        if len(self.problems) > MOST_SHOWN:
            lines.append(f"{source}: and {len(self.problems) - MOST_SHOWN} faults more")
        super().__init__("\n".join(lines), hint=hint)


class ReadingError(InputError):
    """A file of bench readings is wrong or impossible."""


class ProfileError(InputError):
    """A fabric profile is wrong, or no fabric has that name."""


class BodyError(InputError):
    """A body measurement file is wrong or implausible."""


class BlockError(InputError):
    """A block is wrong: outline, names, levels or seams."""
