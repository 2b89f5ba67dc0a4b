"""Bring a drawing to its true size by one length that is known."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from ease.block.lengths import arc_length
from ease.errors import InputError
from ease.files.drawing import Drawing, KnownLength, box_round
from ease.files.roles import answers
from ease.sentence import Length, Sentence

__all__ = ["scaled_to"]

_TOLD_CM: Final = 0.05  # a smaller difference is lost in the one decimal that is told


def scaled_to(drawing: Drawing, known: KnownLength, *, sized: bool) -> Drawing:
    """Return a drawing scaled until one line has its known length.

    Of an open line the length along it counts, of a closed outline the longer side of
    the box round it. A size of the drawing's own is set aside, with a note.

    Args:
        drawing: The drawing, in cm where it is sized.
        known: A line of it and its true length.
        sized: Whether the file says by itself how large it is.

    Raises:
        InputError: If no line, or more than one, has that name.
    """
    found = [shape for shape in drawing.shapes if answers(shape, known.name)]
    if len(found) != 1:
        names = ", ".join(dict.fromkeys(s.label for s in drawing.shapes if s.label))
        what = "no line is" if not found else f"{len(found)} lines are"
        message = f"{what} named {known.name!r}, whose length is given"
        raise InputError(drawing.source, message, hint=f"lines are named {names[:200]}")
    control = found[0].control
    drawn = (
        float(np.ptp(box_round([control]), axis=0).max())
        if found[0].closed
        else float(arc_length(control).sum())
    )
    if not drawn > 0:
        raise InputError(drawing.source, f"{known.name!r} has no length")
    factor = known.length_cm / drawn
    said = Sentence(
        "scaled so that {} is {}", known.name, Length(known.length_cm, None)
    )
    if sized and abs(drawn - known.length_cm) > _TOLD_CM:
        text = "{}; by the size that the drawing gives it is {}, which is set aside"
        said = Sentence(text, said, Length(drawn))
    notes = (*drawing.notes, said)
    return replace(
        drawing,
        shapes=tuple(replace(s, control=s.control * factor) for s in drawing.shapes),
        spots=tuple(
            replace(s, at=(s.at[0] * factor, s.at[1] * factor)) for s in drawing.spots
        ),
        notes=notes,
    )
