"""The guided bench test: one question at a time, nothing lost on the way."""

from __future__ import annotations

import sys
import textwrap
from typing import TYPE_CHECKING

import typer

from .tables import WIDTH

if TYPE_CHECKING:
    from pathlib import Path

    from ease.fabric.bench import Question
    from ease.fabric.bench_file import BenchFile

_INTRO = (
    "Answer with a figure, such as 12.5, 12,5 or 3 7/8, or one with a unit, 125 mm.\n"
    "Enter takes what stands in square brackets; - leaves a figure out.\n"
    "back corrects the answer before, done finishes, Ctrl-C breaks off; all is kept."
)


def ask_readings(path: Path, units: str, *, quiet: bool = False) -> None:
    """Fill a file of readings by asking, until the user is done.

    Args:
        path: The file; one that was begun before is taken up again.
        units: Unit of length of a new file.
        quiet: Leave out how to do the test.

    Raises:
        UsageError: If nobody can be asked, or the file was not begun here.
        RefusedError: If no reading was taken.
        WriteError: If nothing can be kept there.
    """
    from ease.errors import RefusedError, UsageError
    from ease.fabric.bench_file import BenchFile

    if not _is_terminal():
        message = "--ask needs a terminal to ask on; give a file of readings instead"
        raise UsageError(message)
    file = BenchFile(path, units)
    _check_place(path)
    if not quiet:
        _say(_INTRO)
    if file.repeats or file.unfinished:
        count = len(file.repeats)
        there = "1 repeat is" if count == 1 else f"{count} repeats are"
        _say(f"Going on with {path}: {there} in it.")
    answers = dict(file.unfinished)
    try:
        _Talk(file, answers, quiet=quiet).run()
    except KeyboardInterrupt:
        kept = f"All answers are in {path}; go on with: {_command(path)}"
        none = "No answer was given; nothing is kept."
        _say(f"\nBroken off. {kept if path.exists() else none}")
        raise typer.Exit(130) from None
    if not file.repeats:
        message = "no complete repeat was taken, so there is nothing to summarise"
        raise RefusedError(message)


def _check_place(path: Path) -> None:
    """Refuse a place that takes no file before half an hour of test is lost to it."""
    import os

    from ease.errors import WriteError

    if not os.access(path if path.exists() else path.parent, os.W_OK):
        message = f"{path}: cannot be written (no permission)"
        raise WriteError(message)


def _is_terminal() -> bool:
    return sys.stdin.isatty()


def _command(path: Path) -> str:
    import shlex

    return f"ease swatch {shlex.quote(str(path))} --ask"


def _say(text: str, end: str = "\n") -> None:
    """Write to stderr: stdout is for the result."""
    sys.stderr.write(text + end)
    sys.stderr.flush()


class _Talk:
    """The questions of one sitting."""

    def __init__(
        self, file: BenchFile, answers: dict[str, str], *, quiet: bool
    ) -> None:
        self.file = file
        self.answers = answers
        self.quiet = quiet
        self._told: set[str] = set()

    def run(self) -> None:
        """Ask until the user is done; a broken-off repeat is kept as it stands."""
        from ease.fabric.bench import next_question

        try:
            while True:
                question = next_question(self.answers)
                if question is None:
                    self._keep()
                elif not self._put(question):
                    break
        finally:
            if self.answers != self.file.unfinished:
                self.file.break_off(self.answers)
        if self.answers:
            _say(f"The unfinished repeat waits in {self.file.path} and is not counted.")

    def _put(self, question: Question) -> bool:
        """Ask one question; return False where the user is done."""
        from ease.errors import RefusedError, UnitError
        from ease.fabric.bench import checked_answer
        from ease.sentence import in_units

        offered = self._offered(question)
        if not self.quiet and question.column not in self._told:
            self._told.add(question.column)
            _say("\n" + textwrap.fill(question.do, WIDTH))
        _say(self._prompt(question, offered), end="")
        try:
            typed = input().strip()
        except EOFError:
            _say("")
            return False
        if typed.lower() == "done":
            return False
        if typed.lower() == "back":
            self._back()
            return True
        try:
            text = typed or offered
            self.answers[question.column] = checked_answer(
                question, text, self.answers, self.file.unit
            )
        except (RefusedError, UnitError) as error:
            told = in_units(getattr(error, "message", str(error)), self.file.unit)
            _say(f"  not taken: {told}")
        return True

    def _offered(self, question: Question) -> str:
        """Return the last repeat's answer, with the unit that a load needs."""
        if not (question.carried and self.file.repeats):
            return ""
        last = self.file.repeats[-1].get(question.column, "")
        return f"{last} N" if last and question.kind == "load" else last

    def _prompt(self, question: Question, offered: str) -> str:
        unit = f" ({self.file.unit})" if question.kind == "length" else ""
        empty = "none" if question.optional else ""
        shown = f" [{offered or empty}]" if offered or empty else ""
        return f"{question.ask}{unit}{shown}: "

    def _back(self) -> None:
        from ease.fabric.bench import undo

        if self.answers:
            self.answers = undo(self.answers)
        elif self.file.repeats:
            last = self.file.repeats[-1]
            _say(f"  back in {last['direction']} {last['repeat']}")
            self.answers = undo(self.file.reopen())
        else:
            _say("  this is the first question")

    def _keep(self) -> None:
        number = self.file.add(self.answers)
        gauge = float(self.answers["gauge"])
        parts = [f"stretch {100 * (float(self.answers['extended']) / gauge - 1):.1f} %"]
        if self.answers["rested"]:
            growth = 100 * (float(self.answers["rested"]) / gauge - 1)
            parts.append(f"growth {growth:.1f} %")
        if self.answers.get("wet_rested"):
            growth = 100 * (float(self.answers["wet_rested"]) / gauge - 1)
            parts.append(f"wet growth {growth:.1f} %")
        name = f"{self.answers['direction']} {number}"
        _say(f"  kept {name} in {self.file.path}: {', '.join(parts)}")
        _say("\nNext repeat, or done.")
        self.answers = {}
