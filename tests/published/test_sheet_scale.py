"""The print measured by readers that know nothing of this project.

pypdf gives the drawing operators back, which are run here by the rules of the PDF
standard (cm, re, m, l, q, Q, Do; user space of 1/72 inch). Where the program pdftoppm is
there, its pixels are measured too. Source key: pdf-operators (from memory).
"""

import io
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest
from numpy.typing import NDArray

from ease.block.pieces import Block, Edge, Level, Piece, line
from ease.files.sheet import print_block
from ease.files.sheet_paper import PrinterReading, SheetOptions, paper_named

Matrix = tuple[float, ...]
Spot = tuple[float, float]


MM = 25.4 / 72


def straight_block() -> Block:
    """An invented apron of straight edges, 33.3 x 55.5 cm, to be found on the paper."""
    corners = [(0.0, 0.0), (33.3, 0.0), (33.3, 55.5), (0.0, 55.5)]
    names = ("top", "side", "hem", "centre")
    edges = tuple(
        Edge(
            name,
            f"p{i}",
            f"p{(i + 1) % 4}",
            line(corners[i], corners[(i + 1) % 4])[None],
            (True,),
        )
        for i, name in enumerate(names)
    )
    piece = Piece("apron", edges, cut="pair")
    return Block(name="apron", pieces=(piece,), levels=(Level("waist", 10.0),))


def multiply(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5],
    )  # fmt: skip


def placed(matrix: Matrix, x: float, y: float) -> Spot:
    a, b, c, d, e, f = matrix
    return (a * x + c * y + e) * MM, (b * x + d * y + f) * MM


class Reader:
    """Runs the drawing operators of a page; keeps rectangles and legs in mm."""

    def __init__(self, page: Any, pdf: Any) -> None:
        self.pdf = pdf
        self.rectangles: list[tuple[Spot, Spot]] = []
        self.legs: list[tuple[Spot, Spot]] = []
        self.run(page.get_contents(), page["/Resources"], (1, 0, 0, 1, 0, 0))

    def run(self, stream: Any, resources: Any, matrix: Matrix) -> None:
        from pypdf.generic import ContentStream

        stack: list[Matrix] = []
        here = (0.0, 0.0)
        for operands, operator in ContentStream(stream, self.pdf).operations:
            values = (
                [float(v) for v in operands]
                if operator in (b"cm", b"re", b"m", b"l")
                else []
            )
            if operator == b"q":
                stack.append(matrix)
            elif operator == b"Q":
                matrix = stack.pop()
            elif operator == b"cm":
                matrix = multiply(tuple(values), matrix)
            elif operator == b"re":
                x, y, w, h = values
                self.rectangles.append(
                    (placed(matrix, x, y), placed(matrix, x + w, y + h))
                )
            elif operator == b"m":
                here = placed(matrix, *values)
            elif operator == b"l":
                there = placed(matrix, *values)
                self.legs.append((here, there))
                here = there
            elif operator == b"c":
                values = [float(v) for v in operands]
                there = placed(matrix, *values[4:])
                self.legs.append((here, there))
                here = there
            elif operator == b"Do":
                form = resources["/XObject"][operands[0]].get_object()
                inner = tuple(float(v) for v in form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
                self.run(
                    form, form.get("/Resources", resources), multiply(inner, matrix)
                )

    def sizes(self) -> list[Spot]:
        return [(abs(b[0] - a[0]), abs(b[1] - a[1])) for a, b in self.rectangles]

    def spans(self, axis: int) -> list[float]:
        return [abs(b[axis] - a[axis]) for a, b in self.legs]


def pages_of(pdf: bytes) -> list[tuple[Any, Reader]]:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return [(page, Reader(page, reader)) for page in reader.pages]


def has(
    sizes: list[Spot], width: float, height: float, tolerance: float = 0.005
) -> bool:
    return any(
        abs(w - width) < tolerance and abs(h - height) < tolerance for w, h in sizes
    )


PAPERS = ["a4", "letter", "a3", "a0", "roll:914"]


@pytest.mark.parametrize("paper", PAPERS)
def test_squares_measure_100_mm_and_4_inches(paper: str) -> None:
    made = print_block(straight_block(), SheetOptions(paper=paper_named(paper)))
    _, first = pages_of(made.pdf)[0]
    assert has(first.sizes(), 100.0, 100.0)
    assert has(first.sizes(), 4 * 25.4, 4 * 25.4)
    # A ruler of 180 mm each way.
    assert any(abs(span - 180) < 0.005 for span in first.spans(0))
    assert any(abs(span - 180) < 0.005 for span in first.spans(1))


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_have_the_size_of_the_paper(paper: str) -> None:
    wanted = paper_named(paper)
    made = print_block(straight_block(), SheetOptions(paper=wanted))
    for page, _ in pages_of(made.pdf):
        assert float(page.mediabox.width) * MM == pytest.approx(wanted.width, abs=0.001)
        if not wanted.roll:
            assert float(page.mediabox.height) * MM == pytest.approx(
                wanted.height, abs=0.001
            )
        assert "/UserUnit" not in page


@pytest.mark.parametrize("paper", PAPERS)
def test_every_sheet_is_true_and_carries_a_bar(paper: str) -> None:
    made = print_block(straight_block(), SheetOptions(paper=paper_named(paper)))
    skip = 1 if made.layout.key_at is None else 0
    pages = pages_of(made.pdf)[skip:]
    assert len(pages) == len(made.layout.printed)
    for _, reader in pages:
        assert any(abs(span - 333.0) < 0.005 for span in reader.spans(0))
        assert any(abs(span - 555.0) < 0.005 for span in reader.spans(1))
        assert any(abs(span - 100.0) < 0.005 for span in reader.spans(0))


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("overlap", [0.0, 15.0])
def test_lines_meet_across_joins(paper: str, overlap: float) -> None:
    """Sheets laid edge on line: the same corner lies at the same place on all of them."""
    made = print_block(
        straight_block(), SheetOptions(paper=paper_named(paper), overlap=overlap)
    )
    places = []
    for (page, reader), sheet in zip(
        pages_of(made.pdf)[1:], made.layout.printed, strict=True
    ):
        leg = next(
            leg for leg in reader.legs if abs(abs(leg[1][0] - leg[0][0]) - 333) < 0.01
        )
        left = min(leg[0][0], leg[1][0]) - 10 + sheet.column * made.layout.step[0]
        height = float(page.mediabox.height) * MM
        top = height - leg[0][1] - 10 + sheet.row * made.layout.step[1]
        places.append((left, top))
    assert len(places) > 1
    assert np.ptp(np.array(places), axis=0).max() < 0.005


@pytest.mark.parametrize("paper", PAPERS)
def test_correction_undoes_what_the_printer_does(paper: str) -> None:
    reading = PrinterReading(99.2, 101.5)
    made = print_block(
        straight_block(), SheetOptions(paper=paper_named(paper), printer=reading)
    )
    _, first = pages_of(made.pdf)[0]
    # The printer shrinks 100 to 99.2 across and stretches to 101.5 down.
    printed = [(w * 0.992, h * 1.015) for w, h in first.sizes()]
    assert has(printed, 100.0, 100.0)
    for page, reader in pages_of(made.pdf)[1 if made.layout.key_at is None else 0 :]:
        assert any(abs(span * 0.992 - 333) < 0.005 for span in reader.spans(0))
        assert any(abs(span * 1.015 - 555) < 0.005 for span in reader.spans(1))
        # What is clipped in, the first rectangle, stays inside the margins.
        (left, low), (right, high) = reader.rectangles[0]
        assert min(left, low) > 10 - 0.01
        assert (
            max(
                right - float(page.mediabox.width) * MM,
                high - float(page.mediabox.height) * MM,
            )
            < -10 + 0.01
        )


def pixels(pdf: bytes, folder: Path, resolution: int, page: int) -> NDArray[np.uint8]:
    name = folder / "print.pdf"
    name.write_bytes(pdf)
    subprocess.run(
        [
            "pdftoppm",
            "-r",
            str(resolution),
            "-gray",
            "-f",
            str(page),
            "-l",
            str(page),
            name,
            folder / "p",
        ],
        check=True,
    )
    data = next(folder.glob("p-*.pgm")).read_bytes()
    for path in folder.glob("p-*.pgm"):
        path.unlink()
    magic, size, _, rest = data.split(b"\n", 3)
    assert magic == b"P5"
    width, height = (int(v) for v in size.split())
    return np.frombuffer(rest[: width * height], dtype=np.uint8).reshape(height, width)


needs_raster = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="pdftoppm is not here"
)


@needs_raster
def test_square_in_pixels(tmp_path: Path) -> None:
    """At 600 dots to the inch a pixel is 0.042 mm."""
    made = print_block(straight_block(), SheetOptions(paper=paper_named("a4")))
    image = pixels(made.pdf, tmp_path, 600, 1) < 128
    dot = 25.4 / 600
    # Lines of 100 mm: rows and columns with a run of dark pixels of that length.
    columns = np.flatnonzero(image.sum(axis=0) * dot > 99)
    rows = np.flatnonzero(image.sum(axis=1) * dot > 99)
    left = columns[0] + np.flatnonzero(np.diff(columns) > 5)[0]
    starts = [
        group.mean()
        for group in np.split(columns, np.flatnonzero(np.diff(columns) > 5) + 1)
    ]
    gaps = np.abs(np.subtract.outer(starts, starts)) * dot
    assert np.abs(gaps - 100.0).min() < 0.05
    assert np.abs(gaps - 101.6).min() < 0.05
    starts = [
        group.mean() for group in np.split(rows, np.flatnonzero(np.diff(rows) > 5) + 1)
    ]
    gaps = np.abs(np.subtract.outer(starts, starts)) * dot
    assert np.abs(gaps - 100.0).min() < 0.05
    assert np.abs(gaps - 101.6).min() < 0.05
    assert left > 0


@needs_raster
def test_neighbouring_sheets_show_the_same_strip(tmp_path: Path) -> None:
    """Laid on its line, the next sheet shows the same picture in the shared strip."""
    options = SheetOptions(paper=paper_named("a4"), overlap=50.0)
    made = print_block(straight_block(), options)
    order = [sheet.code for sheet in made.layout.printed]
    first, second = order.index("A1"), order.index("A2")
    dot = 25.4 / 300
    a = pixels(made.pdf, tmp_path, 300, first + 2)
    b = pixels(made.pdf, tmp_path, 300, second + 2)

    def strip(image: NDArray[np.uint8], x: float) -> NDArray[np.bool_]:
        # A window in the shared strip, clear of the joining marks and the sheet's letter.
        left, top = round((x + 25) / dot), round(10 / dot)
        return image[top : top + round(50 / dot), left : left + round(10 / dot)] < 128

    one, other = strip(a, 10 + made.layout.step[0]), strip(b, 10.0)
    dark = [np.flatnonzero(image.mean(axis=1) > 0.9) for image in (one, other)]
    assert all(
        len(rows) for rows in dark
    )  # the upper edge of the piece runs through it
    assert abs(dark[0].mean() - dark[1].mean()) <= 1.0  # one dot is 0.085 mm
    assert np.mean(one != other) < 0.01
