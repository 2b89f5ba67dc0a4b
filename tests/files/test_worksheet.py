"""The printed worksheet, read back by another library."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from ease.files.worksheet import worksheet_pdf
from ease.fit.quiz import draw_exercises


def pages(count: int, seed: int = 3) -> tuple[PdfReader, list[str]]:
    reader = PdfReader(BytesIO(worksheet_pdf(draw_exercises(count, seed), seed)))
    texts = [page.extract_text().replace("\xa0", " ") for page in reader.pages]
    return reader, [re.sub(r"\s+", " ", text) for text in texts]


@pytest.mark.parametrize("seed", range(8))
def test_ten_exercises_and_their_answers_are_two_pages(seed: int) -> None:
    _, texts = pages(10, seed)
    assert len(texts) == 2
    for one in draw_exercises(10, seed):
        assert one.question in texts[0]
        assert one.answer not in texts[0]
        assert one.answer in texts[1]
        assert one.working in texts[1]


def test_many_run_on_and_answers_begin_a_page() -> None:
    _, texts = pages(40)
    first = next(i for i, text in enumerate(texts) if "Answers" in text)
    assert first > 1
    assert "Answers" in texts[-1]
    whole = " ".join(texts)
    for one in draw_exercises(40, 3):
        assert one.question in whole
        assert one.answer in whole
    assert all(f"page {i}" in text for i, text in enumerate(texts, start=1))
    assert not any("Exercises on" in text for text in texts[first:])


def test_paper_title_and_seed() -> None:
    reader, texts = pages(3)
    for page in reader.pages:
        # A4: 210 by 297 mm. Source key: iso-216.
        assert float(page.mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(297 / 25.4 * 72, abs=0.01)
    assert reader.metadata is not None
    assert reader.metadata.title == "Exercises on stretch and ease, seed 3"
    assert all("seed 3" in text for text in texts)
    assert "Name:" in texts[0]


def test_a_caution_stands_on_every_page_where_pressure_is_asked_for() -> None:
    _, texts = pages(40)
    assert all("comfort estimates, not medical advice" in text for text in texts)
    plain = [one for one in draw_exercises(40, 3) if "kPa" not in one.question]
    (first, *_) = PdfReader(BytesIO(worksheet_pdf(plain, 3))).pages
    assert "medical" not in first.extract_text()


def test_nothing_runs_over_the_edge() -> None:
    reader, _ = pages(40)
    width = 210 / 25.4 * 72
    for page in reader.pages:
        places: list[tuple[float, float]] = []

        def note(text: str, cm: list[float], tm: list[float], *_: object) -> None:
            if text.strip():
                places.append(  # noqa: B023 - used before the next page
                    (tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5])
                )

        page.extract_text(visitor_text=note)
        assert places
        assert all(0 < x < width and 20 < y < 842 for x, y in places)


def test_the_same_sheet_is_the_same_file() -> None:
    exercises = draw_exercises(12, 5)
    assert worksheet_pdf(exercises, 5) == worksheet_pdf(exercises, 5)
