"""A worksheet to print: exercises with room to work, then the answers on a new page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from io import BytesIO
from typing import Any, Final

from ease.files.sheet_paper import MM_PER_POINT, paper_named
from ease.files.sheet_pen import Pen, to_millimetres
from ease.fit.exercises import Exercise

__all__ = ["worksheet_pdf"]

MARGIN: Final = 18.0
SIZE: Final = 4.6  # type of the questions, mm: 13 points
SMALL: Final = 3.0  # at the foot
CAUTION: Final = "Pressure figures are comfort estimates, not medical advice."
STEP: Final = 6.4  # from line to line
ROOM: Final = 15.0  # to work in, under each question, where several pages are needed
LEAST_ROOM, MOST_ROOM = 7.0, 28.0  # on a single page
INDENT: Final = 10.0
FOOT: Final = 14.0
UNIT: Final = re.compile(r"(\d) (cm\b|in\b|N\b|kPa\b|%)")


def worksheet_pdf(exercises: Sequence[Exercise], seed: int) -> bytes:
    """Return the worksheet as A4 pages; the same input gives the same bytes.

    Args:
        exercises: The exercises in their order.
        seed: Printed, so that the answers find their sheet again.
    """
    from reportlab.pdfgen.canvas import Canvas

    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(f"Exercises on stretch and ease, seed {seed}")
    pressed = any("kPa" in one.question for one in exercises)
    sheet = _Sheet(canvas, f"seed {seed}", CAUTION if pressed else "")
    sheet.start("Exercises on stretch and ease", "Name:")
    room = sheet.even_room([one.question for one in exercises])
    for number, one in enumerate(exercises, start=1):
        sheet.item(f"{number}", [(one.question, False)], room)
    sheet.end()
    sheet.start("Answers", f"for the exercises of seed {seed}")
    for number, one in enumerate(exercises, start=1):
        sheet.item(f"{number}", [(one.answer, True), (one.working, False)], 2.5)
    sheet.end()
    canvas.save()
    return buffer.getvalue()


class _Sheet:
    """Fills pages from the top, and begins another one where an item does not fit."""

    def __init__(self, canvas: Any, foot: str, caution: str) -> None:  # noqa: ANN401 - a canvas of the PDF library
        """Keep the canvas and the two lines for the foot of each page."""
        paper = paper_named("a4")
        self.canvas, self.foot, self.caution = canvas, foot, caution
        self.width, self.height = paper.width, paper.height
        self.title, self.page, self.y = "", 0, 0.0
        self.pen: Pen

    def start(self, title: str, beside: str) -> None:
        """Begin a part on a new page."""
        self.title = title
        self._open()
        self.pen.text((0.58 * self.width, self.y), beside, SIZE)
        self.y += 6.0
        self.pen.use("thin")
        self.pen.line([(MARGIN, self.y), (self.width - MARGIN, self.y)])
        self.y += 9.0

    def even_room(self, texts: Sequence[str]) -> float:
        """Return the room under each text that fills the rest of this page, mm."""
        lines = sum(len(self._wrapped(text, bold=False)) for text in texts)
        each = (self._bottom - self.y - lines * STEP) / len(texts)
        return min(each, MOST_ROOM) if each >= LEAST_ROOM else ROOM

    def item(self, number: str, texts: list[tuple[str, bool]], room: float) -> None:
        """Write an item of paragraphs, each bold or not, with room under it."""
        lines = [
            (line, bold)
            for text, bold in texts
            for line in self._wrapped(text, bold=bold)
        ]
        if self.y + len(lines) * STEP + room > self._bottom + 1e-9:
            self.end()
            self._open()
            self.y += 15.0
        self.pen.text((MARGIN, self.y), number, SIZE, bold=True)
        for line, bold in lines:
            self.pen.text((MARGIN + INDENT, self.y), line, SIZE, bold=bold)
            self.y += STEP
        self.y += room

    def end(self) -> None:
        """Close the page."""
        place = (self.width - MARGIN, self.height - FOOT)
        said = f"{self.foot}, page {self.page}; all numbers invented for exercise"
        self.pen.text(place, said, SMALL, align="right")
        self.pen.text((MARGIN, place[1]), self.caution, SMALL)
        self.canvas.showPage()

    @property
    def _bottom(self) -> float:
        return self.height - FOOT - 4.0

    def _open(self) -> None:
        self.page += 1
        size = (self.width / MM_PER_POINT, self.height / MM_PER_POINT)
        self.canvas.setPageSize(size)
        to_millimetres(self.canvas)
        self.pen = Pen(self.canvas, self.height)
        self.y = MARGIN + 4.0
        self.pen.text((MARGIN, self.y), self.title, 6.0, bold=True)

    def _wrapped(self, text: str, *, bold: bool) -> list[str]:
        """Break a text into lines that fit; a unit stays with its number."""
        width = self.width - 2 * MARGIN - INDENT
        lines, line = [], ""
        for word in UNIT.sub("\\1\u00a0\\2", text).split(" "):
            longer = f"{line} {word}".strip()
            if line and self.pen.width_of(longer, SIZE, bold=bold) > width:
                lines.append(line)
                longer = word
            line = longer
        return [*lines, line]
