"""How large an SVG drawing is: from its page size, or from one known length."""

from __future__ import annotations

import re
from typing import Final
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from ease.errors import InputError, RefusedError
from ease.files.svg_shapes import svg_number
from ease.units import CM_PER

__all__ = ["root_scale", "viewport"]

FloatArray = NDArray[np.float64]
# Only units that mean a length on paper; a pixel has meant 1/72, 1/90 and 1/96 inch.
_PAPER_CM: Final = {
    "mm": CM_PER["mm"],
    "cm": 1.0,
    "in": CM_PER["in"],
    "q": CM_PER["mm"] / 4,
    "pt": CM_PER["in"] / 72,
    "pc": CM_PER["in"] / 6,
}
_LEAST: Final = 1e-9  # size of a view box


def _box(text: str, source: str) -> tuple[float, ...]:
    parts = re.split(r"[\s,]+", text.strip())
    try:
        box = tuple(svg_number(part, "viewBox")[0] for part in parts)
    except RefusedError as error:
        raise InputError(source, str(error)) from error
    if len(box) != 4 or not min(box[2:]) > _LEAST:
        message = (
            f"its viewBox {text[:40]!r} is not four numbers with a size above zero"
        )
        raise InputError(source, message)
    return box


def root_scale(
    root: ElementTree.Element, source: str
) -> tuple[FloatArray | None, tuple[str, ...]]:
    """Return the matrix from user units to cm, shape (3, 3), and notes.

    None comes back where the file does not say how large it is on paper: then one
    length in it must be known.

    Raises:
        InputError: If width, height or viewBox are not what they should be.
    """
    sizes: list[float] = []
    for key in ("width", "height"):
        text = root.get(key, "")
        if not text.strip():
            continue
        try:
            value, unit = svg_number(text, key)
        except RefusedError as error:
            raise InputError(source, str(error)) from error
        if unit in _PAPER_CM:
            sizes.append(value * _PAPER_CM[unit])
    if len(sizes) < 2 or "viewBox" not in root.attrib:
        return None, ()
    width, height = sizes
    if not (0 < width < 1e5 and 0 < height < 1e5):
        message = f"its size {root.get('width')} x {root.get('height')} is no page size"
        raise InputError(source, message)
    return viewport(root, _box(root.get("viewBox", ""), source), width, height)


def viewport(
    element: ElementTree.Element, box: tuple[float, ...], width: float, height: float
) -> tuple[FloatArray, tuple[str, ...]]:
    """Return the matrix that fits a view box into a width and height, and notes."""
    x, y, across, down = box
    sx, sy = width / across, height / down
    notes: tuple[str, ...] = ()
    rule = element.get("preserveAspectRatio", "xMidYMid meet").split() or [""]
    if rule[0] != "none" and abs(sx / sy - 1) > 1e-9:
        wide = max(sx, sy) if "slice" in rule else min(sx, sy)
        if abs(sx / sy - 1) > 1e-3:
            notes = (
                "width and height do not match the viewBox; "
                f"{wide * 10:.6g} mm to the unit is taken both ways",
            )
        sx = sy = wide
    return np.array([[sx, 0, -x * sx], [0, sy, -y * sy], [0, 0, 1.0]]), notes
