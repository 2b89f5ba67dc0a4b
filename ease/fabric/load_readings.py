"""Load-test readings from a file: the hand-made table, or whatever a tester wrote."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from ease.errors import Problem, ReadingError
from ease.fabric.given import Given
from ease.fabric.hand_load import COLUMNS, HandLoadFile, is_hand_made
from ease.fabric.load_test import LoadResult, LoadTest, load_result
from ease.fabric.profile import DIRECTIONS
from ease.fabric.sweep import Hold, Series, Sweep, from_first_tension, split_cycles
from ease.fabric.tester import read_tester
from ease.read import read_text

__all__ = ["COLUMNS", "Given", "read_load_test"]


def read_load_test(path: Path, given: Given | None = None) -> LoadTest:
    """Return the load test in a file, hand-made or a tester's export.

    Args:
        path: The file. It counts as hand-made if its first row names the columns
            ``direction``, ``load`` and ``length``.
        given: What overrides the file: gauge, strip width, layers, units, direction.

    Raises:
        ReadingError: With every fault found, each with its line.
    """
    given = given or Given()
    text, _ = read_text(path, ReadingError)
    source = str(path)
    if not is_hand_made(text):
        return _finished(source, *read_tester(path, text, given))
    hand = HandLoadFile(path, given).load_test()
    test = _test(source, hand.understood, _results(source, hand.sweeps, {}), hand.notes)
    return replace(test, origin=hand.origin)


def _finished(
    source: str,
    series: list[Series],
    understood: str,
    notes: tuple[str, ...],
) -> LoadTest:
    """Return the load test of series that still hold several cycles."""
    sweeps: list[Sweep] = []
    holds: dict[str, Hold] = {}
    more: list[str] = []
    for one in series:
        moved, note = from_first_tension(one)
        parts, hold = split_cycles(moved)
        sweeps += parts
        more += [note] if note else []
        if hold is not None:
            holds[one.direction] = hold
    results = _results(source, sweeps, holds)
    return _test(source, understood, results, (*notes, *more))


def _results(
    source: str, sweeps: list[Sweep], holds: dict[str, Hold]
) -> list[LoadResult]:
    """Return a result for each direction; the faults of all of them at once."""
    results: list[LoadResult] = []
    problems: list[Problem] = []
    for name in DIRECTIONS:
        ways = [sweep for sweep in sweeps if sweep.direction == name]
        if not any(sweep.branch == "loading" for sweep in ways):
            continue
        try:
            results.append(load_result(source, name, ways, holds.get(name)))
        except ReadingError as error:
            problems += error.problems
    if problems:
        raise ReadingError(source, problems)
    if not results:
        raise ReadingError(source, "no strip is pulled from low load to high load")
    return results


def _test(
    source: str,
    understood: str,
    results: list[LoadResult],
    notes: tuple[str, ...],
) -> LoadTest:
    by_name = {result.direction: result for result in results}
    if len(results) == 1:
        only = results[0].direction
        other = "along" if only == "across" else "across"
        notes = (*notes, f"only {only} was loaded; pressure needs {other} as well")
    return LoadTest(
        source=source,
        understood=understood,
        across=by_name.get("across"),
        along=by_name.get("along"),
        notes=(*notes, *(note for result in results for note in result.notes)),
    )
