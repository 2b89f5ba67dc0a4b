"""Texts "KEY: value" of a DXF file, and the pieces of the project's own files."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import signed_area
from ease.errors import BlockError, RefusedError
from ease.files.drawing import JOIN_CM, Shape, Spot
from ease.files.outline import Run, chain

__all__ = ["Text", "joined_texts", "own_shapes", "piece_name"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """One text of a drawing.

    Attributes:
        text: As written.
        at: Where it stands, cm, shape (2,).
    """

    text: str
    at: FloatArray

    @property
    def key(self) -> str:
        """What stands before the colon, in capitals; empty where there is none."""
        head, colon, _ = self.text.partition(":")
        return head.strip().upper() if colon else ""

    @property
    def value(self) -> str:
        """What stands after the colon."""
        return self.text.partition(":")[2].strip()


def joined_texts(texts: Sequence[Text]) -> list[Text]:
    """Put long texts together again: what has the key MORE goes on from the one before."""
    joined: list[Text] = []
    for text in texts:
        if text.key == "MORE" and joined:
            more = text.text.partition("|")[2].removesuffix("|")
            joined[-1] = replace(joined[-1], text=joined[-1].text + more)
        else:
            joined.append(text)
    return joined


def piece_name(texts: Sequence[Text]) -> str:
    """Return the name that a block's texts give its piece, or nothing."""
    return next((t.value for t in texts if t.key == "PIECE NAME" and t.value), "")


def _list(text: Text, length: int) -> list[Any]:
    try:
        value = json.loads(text.value)
    except (ValueError, RecursionError):
        value = None
    if not isinstance(value, list) or len(value) != length:
        message = f"its own text {text.text[:60]!r} is damaged"
        raise RefusedError(message)
    return value


def own_shapes(
    shapes: Sequence[Shape], texts: Sequence[Text], origin: FloatArray, source: str
) -> tuple[list[Shape], list[Spot]] | None:
    """Return the edges, levels and marks of a piece of the project's own, or None.

    Args:
        shapes: Lines of one block.
        texts: Texts of the same block.
        origin: Where the block's own (0, 0) lies.
        source: The file's name for messages.

    Raises:
        BlockError: If its texts do not fit its lines.
    """
    flags = [text for text in texts if text.key == "PIECE"]
    edges = [text for text in texts if text.key == "EDGE"]
    if len(flags) != 1 or not edges:
        return None
    try:
        name, cut, in_girth, clockwise = _list(flags[0], 4)
        if isinstance(cut, bool):  # older files tell only whether it lies on the fold
            cut = "fold" if cut else "pair"
        common = {
            "piece": str(name),
            "cut": str(cut),
            "girth": str(int(in_girth)),
        }
        if not any(s.fields.get("id") == "1" for s in shapes):
            message = f"piece {name}: it has no line on layer 1"
            raise RefusedError(message)
        outline = _joined(chain([s for s in shapes if s.fields.get("id") == "1"]))
        if (signed_area(outline.control) > 0) != bool(clockwise):
            outline = outline.reversed()
        found = _cut(outline, edges, common)
        lines = [s for s in shapes if s.fields.get("id") == "8"]
        found += [
            _level(text, lines, common) for text in texts if text.key == "LEVEL LINE"
        ]
    except RefusedError as error:
        raise BlockError(source, str(error)) from error
    spots = [Spot("origin", "", str(name), _place(origin))]
    spots += [
        Spot("mark", str(_list(text, 1)[0]), str(name), _place(text.at))
        for text in texts
        if text.key == "MARK"
    ]
    return found, spots


def _place(at: FloatArray) -> tuple[float, float]:
    return float(at[0]), float(at[1])


def _joined(runs: Sequence[Run]) -> Run:
    control = np.concatenate([run.control for run in runs])
    return Run("", control, tuple(flag for run in runs for flag in run.straight))


def _cut(run: Run, edges: Sequence[Text], common: dict[str, str]) -> list[Shape]:
    """Cut a closed outline at the texts of its edges, in their order."""
    for walked in (run, run.reversed()):
        nodes, count = walked.control[:, 0], len(walked.control)
        places = np.array([text.at for text in edges])
        gaps = np.abs(nodes[None] - places[:, None]).max(axis=2)
        if gaps.min(axis=1).max() > 2 * JOIN_CM:
            which = int(gaps.min(axis=1).argmax())
            name = _list(edges[which], 4)[0]
            message = f"edge {name!r}: its text does not stand on the outline"
            raise RefusedError(message)
        starts = gaps.argmin(axis=1)
        legs = (np.roll(starts, -1) - starts) % count
        if legs.sum() == count and legs.all():
            rows = [
                (start + np.arange(n)) % count
                for start, n in zip(starts, legs, strict=True)
            ]
            return [
                _edge(text, walked, row, common)
                for text, row in zip(edges, rows, strict=True)
            ]
    message = "its edges do not follow each other round the outline"
    raise RefusedError(message)


def _edge(
    text: Text, run: Run, rows: NDArray[np.intp], common: dict[str, str]
) -> Shape:
    name, start, end, straight = (str(item) for item in _list(text, 4))
    fields = {**common, "is": "edge", "name": name, "start": start, "end": end}
    flags = tuple(run.straight[row] for row in rows)
    return Shape(name, (), run.control[rows], flags, {**fields, "straight": straight})


def _level(text: Text, lines: Sequence[Shape], common: dict[str, str]) -> Shape:
    name = str(_list(text, 1)[0])
    gaps = [float(np.abs(line.control[0, 0] - text.at).max()) for line in lines]
    if not gaps or min(gaps) > 2 * JOIN_CM:
        message = f"level {name}: its line is not where its text stands"
        raise RefusedError(message)
    fields = {**common, "is": "level", "name": name}
    line = lines[int(np.argmin(gaps))]
    return replace(line, name=name, fields=fields)
