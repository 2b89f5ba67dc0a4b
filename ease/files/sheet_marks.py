"""The sheet's own marks: test squares, rulers, assembly map, key, joining marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.files.sheet_cover import inside
from ease.files.sheet_ink import InkPen, clear_place
from ease.files.sheet_layout import KEY_SIZE_MM, Layout
from ease.files.sheet_nest import size_key
from ease.files.sheet_paper import MM_PER_INCH
from ease.files.sheet_pen import LINES, LineType, Pen, text_corners

__all__ = ["CAUTIONS", "INCH_SQUARE_MM", "SQUARE_MM", "draw_key"]

FloatArray = NDArray[np.float64]
SQUARE_MM: Final = 100.0
INCH_SQUARE_MM: Final = 4 * MM_PER_INCH
CAUTIONS: Final = (
    "Fit and pressure figures are comfort estimates, not medical advice.",
    "A swimsuit is not a flotation aid.",
)
_SQUARE_AT: Final = (0.0, 24.0)
_INCH_AT: Final = (0.0, 132.0)
_RULER_MM: Final = 180.0
_MAP_NAME_MM: Final = 2.2


def draw_key(pen: Pen, layout: Layout, title: str, lines: Sequence[str]) -> None:
    """Draw the test squares, both rulers, the map and the key.

    Args:
        pen: A pen whose origin is the upper left corner of the panel.
        layout: The layout.
        title: Name of the block.
        lines: What the print holds, one line each.
    """
    _title(pen, title)
    pen.text(
        (0, 13),
        "Print at 100 % (actual size), never fitted to the page.",
        4.0,
        bold=True,
    )
    pen.text(
        (0, 18.5), "Then measure a square: only if it is right are the pieces.", 4.0
    )
    _squares(pen, layout)
    _rulers(pen)
    _map(pen, layout, (122.0, 24.0), (66.0, 84.0))
    y = 120.0
    for line in lines:
        for part in _wrapped(pen, line, 3.0, 66.0):
            pen.text((122, y), part, 3.0)
            y += 4.2
        y += 0.8
    for i, line in enumerate(CAUTIONS):
        pen.text((0, 247.5 + 4.0 * i), line, 2.8)


def _title(pen: Pen, title: str) -> None:
    """Write the whole title, as large as it fits."""
    fits = KEY_SIZE_MM[0] / max(pen.width_of(title, 1.0, bold=True), 1.0)
    pen.text((0, 7), title, min(fits, 7.0), bold=True)


_ADVICE: Final = (
    "If it measures otherwise, set the print dialogue",
    "to 100 % and print this sheet again.",
    "If it still does, type what it measures:",
    "--measured 99.4x100.2 (across x down, mm)",
    "and the next print is corrected, up to 3 %.",
)
_JOINING: Final = (
    "Cut each sheet along its full left and upper line.",
    "Lay that edge on the dashed line of the sheet",
    "before: half diamonds become whole ones.",
    "Tape, then cut the pieces out.",
)
_KEY_LINES: Final = ("cut", "stitch", "fold", "level", "notch", "grain")


def _squares(pen: Pen, layout: Layout) -> None:
    pen.use("thin")
    x, y = _SQUARE_AT
    pen.rectangle(x, y, SQUARE_MM, SQUARE_MM)
    pen.text((x + 4, y + 9), "100 mm square", 5.0, bold=True)
    for i, row in enumerate(_ADVICE):
        pen.text((x + 4, y + 17 + 5 * i), row, 3.4)
    pen.text((x + 4, y + 48), "To join sheets", 4.0, bold=True)
    for i, row in enumerate(_JOINING):
        pen.text((x + 4, y + 54 + 5 * i), row, 3.4)
    x, y = _INCH_AT
    pen.rectangle(x, y, INCH_SQUARE_MM, INCH_SQUARE_MM)
    pen.text((x + 4, y + 9), "4 inch square", 5.0, bold=True)
    for i, (kind, line) in enumerate(_key_lines(layout).items()):
        _sample(pen, kind, line, (x + 4, y + 18 + 8 * i))


def _key_lines(layout: Layout) -> dict[str, LineType]:
    """Return the lines that the print holds, by kind."""
    sizes = size_key(layout.pieces)
    if not sizes:
        whole = any(piece.centre is not None for piece in layout.pieces)
        kinds = ("centre" if whole and kind == "fold" else kind for kind in _KEY_LINES)
        return {kind: LINES[kind] for kind in kinds}
    level = replace(LINES["level"], meaning="level at which all sizes lie together")
    rest = {kind: LINES[kind] for kind in ("fold", "notch", "grain")}
    return {**sizes, "level": level, **rest}


def _sample(pen: Pen, kind: str, line: LineType, at: tuple[float, float]) -> None:
    """Draw one kind of line with what it means."""
    x, y = at
    pen.take(line)
    ends = (
        [(x + 10, y - 3), (x + 10, y + 3)] if kind == "notch" else [(x, y), (x + 24, y)]
    )
    pen.line(ends)
    if kind == "grain":
        pen.arrowhead(np.array(ends[0]), np.array([-1.0, 0.0]))
        pen.arrowhead(np.array(ends[1]), np.array([1.0, 0.0]))
    words = _wrapped(pen, line.meaning, 3.4, INCH_SQUARE_MM - 34.0)
    if len(words) > 2:
        words = [words[0], f"{words[1]} ..."]
    for i, row in enumerate(words):
        pen.text((x + 29, y + 1 + 3.8 * i), row, 3.4)


def _rulers(pen: Pen) -> None:
    """Draw a ruler down, in cm, and one across, in cm and inches."""
    pen.use("thin")
    x, y = 108.0, 24.0
    pen.line([(x, y), (x, y + _RULER_MM)])
    for tick in range(int(_RULER_MM) + 1):
        long = 5.0 if tick % 10 == 0 else 3.0 if tick % 5 == 0 else 1.5
        pen.line([(x, y + tick), (x + long, y + tick)])
        if tick % 10 == 0:
            pen.text((x + 6, y + tick + 1), f"{tick // 10}", 2.6)
    pen.text((x + 1, y + _RULER_MM + 5), "cm", 2.6)
    x, y = 0.0, 239.0
    pen.line([(x, y), (x + _RULER_MM, y)])
    for tick in range(int(_RULER_MM) + 1):
        long = 3.0 if tick % 10 == 0 else 2.0 if tick % 5 == 0 else 1.0
        pen.line([(x + tick, y), (x + tick, y - long)])
        if tick % 10 == 0 and tick:
            pen.text((x + tick + 0.5, y - 1.8), f"{tick // 10}", 2.4)
    for eighth in range(7 * 8 + 1):
        at = x + eighth * MM_PER_INCH / 8
        long = 3.0 if eighth % 8 == 0 else 2.0 if eighth % 4 == 0 else 1.0
        pen.line([(at, y), (at, y + long)])
        if eighth % 8 == 0 and eighth:
            pen.text((at + 0.5, y + 3.8), f"{eighth // 8}", 2.4)
    pen.text((x + _RULER_MM + 4.5, y - 1.8), "cm", 2.4)
    pen.text((x + _RULER_MM + 1.5, y + 3.8), "inch", 2.4)


def _map(
    pen: Pen, layout: Layout, at: tuple[float, float], room: tuple[float, float]
) -> None:
    """Draw the grid of sheets small, with the pieces and the sheets that are empty."""
    step, tile = np.array(layout.step), np.array(layout.tile)
    whole = step * [layout.columns - 1, layout.rows - 1] + tile
    scale = float(min(room[0] / whole[0], room[1] / whole[1]))
    own = InkPen()
    for each in (own, pen):
        _map_lines(each, layout, np.array(at), scale, whole)
    _map_names(pen, layout, np.array(at), scale, own.ink)


def _map_lines(
    pen: Pen, layout: Layout, corner: FloatArray, scale: float, whole: FloatArray
) -> None:
    at, step = corner, np.array(layout.step)
    pen.text((at[0], at[1] - 1.5), "How the sheets lie", 3.0, bold=True)
    letter = float(np.clip(0.3 * step.min() * scale, 1.6, 5.0))
    for sheet in layout.sheets:
        place = corner + scale * step * [sheet.column, sheet.row]
        size = scale * np.minimum(step, whole)
        pen.use("thin")
        if sheet.empty:
            pen.text(
                place + size / 2 + [0, letter / 3],
                "empty",
                0.5 * letter,
                align="centre",
                grey=0.5,
            )
        pen.rectangle(*place.tolist(), *size.tolist())
        shade = 0.5 if sheet.empty else 0.0
        pen.text(
            place + np.array([0.8, letter]),
            sheet.code,
            letter,
            grey=shade,
            bold=not sheet.empty,
        )
    pen.use("thin")
    for piece in layout.pieces:
        pen.line(corner + scale * piece.cut, close=True)


def _map_names(
    pen: Pen, layout: Layout, corner: FloatArray, scale: float, ink: FloatArray
) -> None:
    """Write the pieces' names into them, clear of the sheets' codes, or on white."""
    for piece in layout.pieces:
        outline = corner + scale * piece.cut
        at = corner + scale * piece.label_at
        corners = text_corners(at, piece.name, _MAP_NAME_MM, align="centre")
        low, high = outline.min(axis=0) - at, outline.max(axis=0) - at
        across, down = (np.arange(a, b, 0.5) for a, b in zip(low, high, strict=True))
        shifts = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
        middle = corners.mean(axis=0)
        held = inside(middle + shifts, np.concatenate([outline, outline[:1]]))
        shifts = np.concatenate([np.zeros((1, 2)), shifts[held]])
        shifts = shifts[np.argsort(np.hypot(*shifts.T), kind="stable")]
        box = np.stack([corners.min(axis=0), corners.max(axis=0)])
        shift = shifts[clear_place(ink, box + shifts[:, None], 0.3)]
        pen.plate(at + shift, piece.name, _MAP_NAME_MM, align="centre")


def _wrapped(pen: Pen, text: str, size: float, width: float) -> list[str]:
    """Break a text at its blanks so that each line fits a width."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and pen.width_of(longer, size) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
