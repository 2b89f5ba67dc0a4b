"""Which sweeps of a load test count: the last whole cycle of each repeat."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ease.fabric.repeats import Line
from ease.fabric.sweep import ARRIVED, BACK, Sweep
from ease.fabric.sweep_line import line_of

__all__ = ["counted", "joined"]


def counted(sweeps: Sequence[Sweep]) -> tuple[list[Sweep], list[Sweep], list[str]]:
    """Return loading and unloading of the last whole cycle of each repeat, with notes.

    Args:
        sweeps: All sweeps of one direction.
    """
    ups: list[Sweep] = []
    downs: list[Sweep] = []
    notes: list[str] = []
    for repeat in sorted({sweep.repeat for sweep in sweeps}):
        mine = [sweep for sweep in sweeps if sweep.repeat == repeat]
        up = {sweep.cycle: sweep for sweep in mine if sweep.branch == "loading"}
        down = {sweep.cycle: sweep for sweep in mine if sweep.branch == "unloading"}
        if not up:
            continue
        whole = [
            cycle
            for cycle, way in down.items()
            if cycle in up and way.tension.min() <= BACK * up[cycle].tension.max()
        ]
        counts = max(whole) if whole else max(up)
        ups.append(up[counts])
        if whole:
            downs.append(down[counts])
        elif down:
            notes.append(
                f"{up[counts].direction} {repeat}: the unloading stops under load far from "
                "zero and is left out"
            )
    if downs and len(downs) < len(ups):
        notes.append(f"{len(downs)} of {len(ups)} repeats only were read unloading")
    return ups, downs, notes


def joined(ups: list[Sweep], downs: list[Sweep]) -> list[tuple[Sweep, Line]]:
    """Return unloadings as lines; each begins at the top of its own loading.

    Args:
        ups: Loading of each repeat.
        downs: Unloading of those that were let back.
    """
    lines: list[tuple[Sweep, Line]] = []
    tops = {sweep.repeat: sweep for sweep in ups}
    for sweep in downs:
        x, y, _ = line_of(sweep)
        top = tops[sweep.repeat]
        short = float(top.strain[-1] - x[-1])
        if abs(short) <= ARRIVED * top.strain[-1]:
            x = np.append(x[:-1], top.strain[-1])
        elif short > 0:
            x, y = np.append(x, top.strain[-1]), np.append(y, top.tension[-1])
        lines.append((sweep, (x, y)))
    return lines
