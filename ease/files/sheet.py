"""The full-scale print: a block as a PDF that is cut from, exact to 0.05 mm.

All pieces are drawn once, at true size, on one large plane; each sheet shows its part of
it. So lines and dashes run on unbroken from sheet to sheet, and the file stays small.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ease.block.pieces import Block
from ease.errors import UsageError
from ease.files.sheet_draw import draw_piece
from ease.files.sheet_ink import InkPen, ink_within
from ease.files.sheet_joints import draw_joints, draw_sheet_words
from ease.files.sheet_layout import KEY_SIZE_MM, Layout, Sheet, lay_out
from ease.files.sheet_marks import draw_key
from ease.files.sheet_nest import draw_sizes, nest_pieces
from ease.files.sheet_paper import MM_PER_POINT, SheetOptions
from ease.files.sheet_pen import Pen, to_millimetres
from ease.files.sheet_pieces import PrintPiece, print_pieces

__all__ = ["Print", "print_block", "print_nest"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Print:
    """A finished print.

    Attributes:
        pdf: The file's content.
        layout: What lies where.
        pages: Number of pages.
    """

    pdf: bytes
    layout: Layout
    pages: int


def print_block(block: Block, options: SheetOptions) -> Print:
    """Return a block as a PDF at full size.

    Raises:
        UsageError: If the paper leaves no room, or would take far too many sheets; or if
            seams are to have an allowance and the block names none.
    """
    _refuse_unsewn(block, options)
    return _printed(print_pieces(block, options), block.name, options)


def print_nest(
    blocks: Sequence[Block], labels: Sequence[str], title: str, options: SheetOptions
) -> Print:
    """Return several sizes of a block over each other, as a PDF at full size.

    Args:
        blocks: The sizes, smallest first; all with the same pieces and edges.
        labels: Name of each size, printed at the ends of its lines.
        title: Name of the whole.
        options: Wishes for the print.

    Raises:
        UsageError: As `print_block` does.
    """
    for block in blocks[:1]:
        _refuse_unsewn(block, options)
    return _printed(nest_pieces(blocks, labels, options), title, options)


def _refuse_unsewn(block: Block, options: SheetOptions) -> None:
    """Refuse an allowance for seams that no edge would get."""
    if options.seam_allowance and not block.seams:
        edge = next(
            edge.name for p in block.pieces for edge in p.edges if not p.is_fold(edge)
        )
        message = (
            "--seam-allowance: the block names no seams, so no edge would get it; name "
            f"its seams, or give each edge its own, such as {edge}=6mm"
        )
        raise UsageError(message)


def _printed(pieces: Sequence[PrintPiece], title: str, options: SheetOptions) -> Print:
    from reportlab.pdfgen.canvas import Canvas

    layout = lay_out(pieces, options)
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setTitle(f"{title}, full size")
    canvas.setSubject("Pieces at full size: print at 100 %")
    canvas.setCreator("ease")
    lines = _summary(layout, options)
    _plane(canvas, layout, title, lines)
    pages = 0
    if layout.key_at is None:
        _key_page(canvas, layout, options, title, lines)
        pages += 1
    total = len(layout.printed) + pages
    ink = _ink(layout)
    for number, sheet in enumerate(layout.printed, start=pages + 1):
        # Alone, a code such as A1 would be taken for the size of the paper.
        code = f"sheet {sheet.code}, " if len(layout.sheets) > 1 else ""
        foot = f"{title}: {code}page {number} of {total}"
        _sheet_page(canvas, layout, options, sheet, foot, ink)
        pages += 1
    canvas.save()
    return Print(stream.getvalue(), layout, pages)


def _summary(layout: Layout, options: SheetOptions) -> list[str]:
    """Return what the print holds, in short lines for its key."""
    printed, all_sheets = layout.printed, layout.sheets
    several = "s" if len(printed) != 1 else ""
    count = f"{len(printed)} sheet{several}, {options.paper.title}"
    empty = [sheet.code for sheet in all_sheets if sheet.empty]
    if empty:
        count += f"; empty and not printed: {', '.join(empty[:12])}"
        count += ", ..." if len(empty) > 12 else ""
    lines = [count]
    for piece in layout.pieces:
        width, height = np.ptp(piece.box, axis=0).tolist()
        net = "with allowances" if piece.has_allowance else "net"
        size = options.size_text(width, height)
        lines.append(f"{piece.name}: {size} {net}, {piece.label[-2]}")
    allowances = [piece.label[-1] for piece in layout.pieces]
    lines += (
        allowances[:1]
        if len(set(allowances)) == 1
        else [f"{p.name}: {p.label[-1]}" for p in layout.pieces]
    )
    across, down = options.correction
    if (across, down) != (1.0, 1.0):
        lines.append(
            f"corrected for a printer whose 100 mm measure {options.printer.across:g} "
            f"across and {options.printer.down:g} down"
        )
    return lines


def _plane(canvas: Any, layout: Layout, title: str, lines: list[str]) -> None:  # noqa: ANN401 - a canvas of the PDF library
    """Draw everything once, as a form that the pages show parts of."""
    width, height = layout.width, layout.height
    canvas.beginForm("plane", 0, 0, width / MM_PER_POINT, height / MM_PER_POINT)
    to_millimetres(canvas)
    pen = Pen(canvas, height)
    for piece in layout.pieces:
        draw_piece(pen, piece)
        draw_sizes(pen, piece)
    if layout.key_at is not None:
        canvas.saveState()
        x, y = (float(v) for v in layout.key_at)
        canvas.translate(x, height - y - KEY_SIZE_MM[1])
        draw_key(Pen(canvas, KEY_SIZE_MM[1]), layout, title, lines)
        canvas.restoreState()
    canvas.endForm()


def _ink(layout: Layout) -> FloatArray:
    """Return where the pieces and the key have ink, mm on the plane, shape (n, 2)."""
    pen = InkPen()
    for piece in layout.pieces:
        draw_piece(pen, piece)
        draw_sizes(pen, piece)
    if layout.key_at is not None:
        pen.block(layout.key_at, KEY_SIZE_MM)
    return pen.ink


def _key_page(
    canvas: Any,  # noqa: ANN401 - a canvas of the PDF library
    layout: Layout,
    options: SheetOptions,
    title: str,
    lines: list[str],
) -> None:
    paper = options.paper
    across, down = options.correction
    canvas.setPageSize((paper.width / MM_PER_POINT, paper.height / MM_PER_POINT))
    to_millimetres(canvas)
    room = paper.width - across * KEY_SIZE_MM[0], paper.height - down * KEY_SIZE_MM[1]
    canvas.translate(room[0] / 2, room[1] / 2)
    canvas.scale(across, down)
    draw_key(Pen(canvas, KEY_SIZE_MM[1]), layout, title, lines)
    canvas.showPage()


def _sheet_page(
    canvas: Any,  # noqa: ANN401 - a canvas of the PDF library
    layout: Layout,
    options: SheetOptions,
    sheet: Sheet,
    foot: str,
    ink: FloatArray,
) -> None:
    paper, margin = options.paper, options.margin
    across, down = options.correction
    width, height = layout.tile
    page_height = down * height + 2 * margin if paper.roll else paper.height
    canvas.setPageSize((paper.width / MM_PER_POINT, page_height / MM_PER_POINT))
    to_millimetres(canvas)
    if margin >= 5:
        _foot(Pen(canvas, page_height), options, page_height, foot)
    canvas.saveState()
    canvas.translate(margin, page_height - margin - down * height)
    canvas.scale(across, down)
    clip = canvas.beginPath()
    clip.rect(0, 0, width, height)
    canvas.clipPath(clip, stroke=0, fill=0)
    pen = Pen(canvas, height)
    draw_joints(pen, layout, sheet)
    x, y = sheet.column * layout.step[0], sheet.row * layout.step[1]
    canvas.saveState()
    canvas.translate(-x, height + y - layout.height)
    canvas.scale(MM_PER_POINT, MM_PER_POINT)
    canvas.doForm("plane")
    canvas.restoreState()
    draw_sheet_words(pen, layout, sheet, ink_within(ink, (x, y), layout.tile))
    canvas.restoreState()
    canvas.showPage()


def _foot(pen: Pen, options: SheetOptions, height: float, foot: str) -> None:
    """Write into the lower margin what sheet it is, with a 100 mm bar to check it by."""
    margin = options.margin
    y = height - margin + 3.2
    pen.text((margin, y), f"{foot}; bar: 100 mm", 2.4)
    right = options.paper.width - margin
    left = right - 100 * options.correction[0]
    pen.use("thin")
    pen.line([(left, y), (right, y)])
    for x in (left, right):
        pen.line([(x, y - 1.2), (x, y + 1.2)])
