"""A pen for PDF pages: millimetres, y down, the line types of the print.

Lines differ by their dashes, never by colour, so that any printer will do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from ease.files.sheet_paper import MM_PER_POINT

__all__ = [
    "LINES",
    "Align",
    "LineType",
    "Pen",
    "arrow_corners",
    "text_corners",
    "text_width",
]

FloatArray = NDArray[np.float64]
Align = Literal["left", "centre", "right"]


@dataclass(frozen=True, slots=True)
class LineType:
    """A kind of line.

    Attributes:
        meaning: What it says to the maker.
        width: Width, mm.
        dash: Lengths on and off, mm; empty for a full line.
    """

    meaning: str
    width: float
    dash: tuple[float, ...] = ()


LINES: Final[dict[str, LineType]] = {
    "cut": LineType("cut along here", 0.5),
    "stitch": LineType("stitch line (net outline)", 0.3, (4.0, 2.0)),
    "fold": LineType("fold of the cloth: do not cut", 0.4, (12.0, 2.0, 2.0, 2.0)),
    "centre": LineType("centre of the piece: do not cut", 0.2, (6.0, 1.5, 1.5, 1.5)),
    "level": LineType("level at which a girth is read", 0.25, (0.6, 2.0)),
    "notch": LineType("notch: snip or mark", 0.5),
    "grain": LineType("direction of the cloth, as written on it", 0.35),
    "thin": LineType("frame, ruler", 0.2),
    "lay": LineType("lay the next sheet's edge here", 0.2, (1.5, 1.5)),
}


class Pen:
    """Draws on a page or a form; the origin is the upper left corner of its area."""

    def __init__(self, canvas: Any, height: float) -> None:  # noqa: ANN401 - a canvas of the PDF library
        """Keep the canvas, whose unit must be mm, and the height of its area."""
        self.canvas = canvas
        self.height = height
        canvas.setLineJoin(0)
        canvas.setLineCap(0)

    def use(self, kind: str) -> None:
        """Take up a line type by its name in ``LINES``."""
        self.take(LINES[kind])

    def take(self, line: LineType) -> None:
        """Take up a line type."""
        self.canvas.setLineWidth(line.width)
        self.canvas.setDash(list(line.dash))

    def line(
        self,
        points: FloatArray | Sequence[Sequence[float] | FloatArray],
        *,
        close: bool = False,
    ) -> None:
        """Draw straight legs through points."""
        path = self.canvas.beginPath()
        for i, (x, y) in enumerate(points):
            (path.lineTo if i else path.moveTo)(float(x), self.height - float(y))
        if close:
            path.close()
        self.canvas.drawPath(path, stroke=1, fill=0)

    def curves(self, control: FloatArray) -> None:
        """Draw a chain of cubics, shape (k, 4, 2)."""
        path = self.canvas.beginPath()
        flipped = control * [1.0, -1.0] + [0.0, self.height]
        path.moveTo(*map(float, flipped[0, 0]))
        for cubic in flipped:
            path.curveTo(*map(float, cubic[1:].ravel()))
        self.canvas.drawPath(path, stroke=1, fill=0)

    def rectangle(self, x: float, y: float, width: float, height: float) -> None:
        """Draw a rectangle; x, y is its upper left corner."""
        self.canvas.rect(x, self.height - y - height, width, height, stroke=1, fill=0)

    def arrowhead(
        self, tip: FloatArray, towards: FloatArray, size: float = 3.0
    ) -> None:
        """Draw a filled arrowhead whose tip lies at a place."""
        self._polygon(arrow_corners(tip, towards, size))

    def _polygon(self, corners: FloatArray) -> None:
        """Fill a polygon."""
        path = self.canvas.beginPath()
        for i, (x, y) in enumerate(corners.tolist()):
            (path.lineTo if i else path.moveTo)(x, self.height - y)
        path.close()
        self.canvas.drawPath(path, stroke=0, fill=1)

    def text(
        self,
        at: Sequence[float] | FloatArray,
        text: str,
        size: float = 3.0,
        *,
        align: Align = "left",
        bold: bool = False,
        turn: float = 0.0,
        grey: float = 0.0,
    ) -> None:
        """Write text with its base line at a place.

        Args:
            at: Place of the start, middle or end of the base line.
            text: The text.
            size: Height of the letters' body, mm.
            align: Which part of the text stands at the place.
            bold: Whether it is bold.
            turn: Degrees turned to the left.
            grey: 0 black to 1 white.
        """
        canvas = self.canvas
        canvas.saveState()
        canvas.setFillGray(grey)
        canvas.translate(float(at[0]), self.height - float(at[1]))
        if turn:
            canvas.rotate(turn)
        canvas.setFont(font_for(text, bold=bold), size)
        draw = {
            "left": canvas.drawString,
            "centre": canvas.drawCentredString,
            "right": canvas.drawRightString,
        }[align]
        draw(0, 0, text)
        canvas.restoreState()

    def plate(
        self,
        at: Sequence[float] | FloatArray,
        text: str,
        size: float,
        *,
        align: Align = "left",
        bold: bool = False,
        turn: float = 0.0,
        grey: float = 0.0,
    ) -> None:
        """Write text on white, as :meth:`text` does, over whatever is drawn there."""
        corners = text_corners(at, text, size, align=align, bold=bold, turn=turn)
        canvas = self.canvas
        canvas.saveState()
        canvas.setFillGray(1.0)
        self._polygon(corners)
        canvas.restoreState()
        self.text(at, text, size, align=align, bold=bold, turn=turn, grey=grey)

    def inset(self, at: FloatArray, along: FloatArray, text: str, size: float) -> None:
        """Write text into a gap that it leaves in the line it names, never overhead.

        Args:
            at: Place on the line.
            along: Which way the line runs there.
            text: The text.
            size: Height of the letters' body, mm.
        """
        canvas = self.canvas
        turn = float(np.degrees(np.arctan2(-along[1], along[0])))
        wide = self.width_of(text, size) + 0.5 * size
        canvas.saveState()
        canvas.translate(float(at[0]), self.height - float(at[1]))
        canvas.rotate((turn + 90.0) % 180.0 - 90.0)
        canvas.setFillGray(1.0)
        canvas.rect(-wide / 2, -0.5 * size, wide, size, stroke=0, fill=1)
        canvas.setFillGray(0.0)
        canvas.setFont(font_for(text), size)
        canvas.drawCentredString(0, -0.36 * size, text)
        canvas.restoreState()

    def width_of(self, text: str, size: float, *, bold: bool = False) -> float:
        """Return how wide a text will be, mm."""
        return text_width(text, size, bold=bold)


def arrow_corners(tip: FloatArray, towards: FloatArray, size: float) -> FloatArray:
    """Return the corners of an arrowhead, its tip first, shape (3, 2)."""
    ahead = np.asarray(towards, dtype=float)
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-12)
    side = np.array([-ahead[1], ahead[0]])
    back = tip - size * ahead
    return np.stack([tip, back + size / 3 * side, back - size / 3 * side])


def text_corners(
    at: Sequence[float] | FloatArray,
    text: str,
    size: float,
    *,
    align: Align = "left",
    bold: bool = False,
    turn: float = 0.0,
) -> FloatArray:
    """Return the corners of the room that text takes, y down, shape (4, 2)."""
    wide = text_width(text, size, bold=bold)
    left = {"left": 0.0, "centre": -0.5 * wide, "right": -wide}[align]
    x0, x1 = left - 0.1 * size, left + wide + 0.1 * size
    top, foot = -0.8 * size, 0.25 * size  # of letters over and under the base line
    box = np.array([[x0, top], [x1, top], [x1, foot], [x0, foot]])
    cos, sin = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    return np.asarray(box @ np.array([[cos, -sin], [sin, cos]]) + np.asarray(at))


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text of a height is, in the unit of the height."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(text, font_for(text, bold=bold), size))


def font_for(text: str, *, bold: bool = False) -> str:
    """Return a font that has the letters of a text.

    Every PDF reader has Helvetica with the letters of western Europe. For others a font
    that comes with the plotting library is put into the file.
    """
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return _wide_font(bold=bold)
    return "Helvetica-Bold" if bold else "Helvetica"


def _wide_font(*, bold: bool) -> str:
    from importlib.util import find_spec
    from pathlib import Path

    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = "DejaVuSans-Bold" if bold else "DejaVuSans"
    if name not in pdfmetrics.getRegisteredFontNames():
        # Found without being imported: the plotting library takes a second to load.
        spec = find_spec("matplotlib")
        folder = Path(spec.origin or "").parent if spec else Path()
        pdfmetrics.registerFont(
            TTFont(name, folder / "mpl-data/fonts/ttf" / f"{name}.ttf")
        )
    return name


def to_millimetres(canvas: Any) -> None:  # noqa: ANN401 - a canvas of the PDF library
    """Make the unit of a fresh page or form 1 mm."""
    canvas.scale(1 / MM_PER_POINT, 1 / MM_PER_POINT)
