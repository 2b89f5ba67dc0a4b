"""Paper sizes against their standards.

Source key: iso-216 (A series, mm; from memory: A0 841 x 1189, A4 210 x 297; each size is
the one above cut in half and rounded down). Source key: ansi-y14-1 (letter, size A of
ANSI/ASME Y14.1: 8.5 x 11 inch; from memory).
"""

import math

import pytest

from ease.files.sheet_paper import LONGEST_MM, PAPERS, paper_named


def test_a_series_halves_from_size_to_size() -> None:
    """ISO 216: A0 has an area of one square metre and sides as 1 to the root of 2."""
    width, height = PAPERS["a0"]
    assert width * height == pytest.approx(1e6, rel=1e-3)
    for name in ("a0", "a1", "a2", "a3", "a4"):
        assert PAPERS[name] == (width, height)
        assert height / width == pytest.approx(math.sqrt(2), rel=2e-3)
        width, height = height // 2, width


def test_a4_as_printed_in_the_standard() -> None:
    assert PAPERS["a4"] == (210.0, 297.0)


def test_letter_in_inches() -> None:
    width, height = PAPERS["letter"]
    assert (width / 25.4, height / 25.4) == pytest.approx((8.5, 11.0), abs=1e-12)


def test_roll_of_36_inches_is_914_mm() -> None:
    """A 36 inch plotter roll is sold as 914 mm: 36 x 25.4 = 914.4."""
    assert paper_named("roll:914").width == pytest.approx(36 * 25.4, abs=0.5)


def test_longest_page_is_200_inches() -> None:
    """A PDF page has at most 14 400 units of 1/72 inch. Source key: pdf-page-limit."""
    assert pytest.approx(200 * 25.4) == LONGEST_MM
