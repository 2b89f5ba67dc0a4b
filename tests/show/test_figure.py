"""Figures as files: whole, the same bytes every time, and refused before work."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.image import imread

from ease.errors import UsageError, WriteError
from ease.show.figure import (
    AFTER,
    BEFORE,
    GUIDE,
    figure_bytes,
    figure_format,
    save_figure,
    save_panels,
)

FORMATS = ("png", "svg", "pdf")
STARTS = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}


def draw(axes: Axes) -> None:
    axes.plot([0, 1, 2], [0, 1, 0], **AFTER)
    axes.annotate("höher", (1, 1))


def on_figure(figure: Figure) -> None:
    draw(figure.add_subplot())


def made(file_format: str, title: str = "A title") -> bytes:
    return figure_bytes(on_figure, file_format, size_in=(4, 3), title=title)


@pytest.mark.parametrize("file_format", FORMATS)
def test_the_same_input_gives_the_same_bytes(file_format: str) -> None:
    first = made(file_format)
    assert first.startswith(STARTS[file_format])
    assert first == made(file_format)
    # No path of the machine it was drawn on.
    assert str(Path(__file__).parents[2]).encode() not in first


def test_the_readers_own_settings_change_nothing() -> None:
    before = made("png")
    with mpl.rc_context({"font.size": 30, "savefig.bbox": "tight", "lines.color": "r"}):
        assert made("png") == before
        assert mpl.rcParams["font.size"] == 30


def test_size_and_title_are_kept_in_the_file() -> None:
    pixels = imread(io.BytesIO(made("png")), format="png")
    assert pixels.shape[:2] == (450, 600)
    # Ink, not an empty page.
    assert 0.001 < float((pixels[..., :3] < 0.9).any(axis=-1).mean()) < 0.5
    svg = made("svg").decode()
    assert 'width="288pt"' in svg
    assert "A title" in svg
    # Words stay words, so that they can be searched and read aloud.
    assert re.search(r"<text[^>]*>höher</text>", svg)


@pytest.mark.parametrize("file_format", FORMATS)
def test_no_date_is_written(file_format: str) -> None:
    data = made(file_format)
    assert b"CreationDate" not in data
    assert b"<dc:date>" not in data


def test_lines_differ_without_colour() -> None:
    """Told apart by dash and weight, so that they stay apart in grey."""
    assert BEFORE["linestyle"] != AFTER["linestyle"]
    assert AFTER["linewidth"] >= 1.5 * BEFORE["linewidth"]
    assert GUIDE["linestyle"] not in (BEFORE["linestyle"], AFTER["linestyle"])


@pytest.mark.parametrize("name", ["a.png", "a.SVG", "b.c.pdf"])
def test_known_endings(name: str) -> None:
    assert figure_format(Path(name)) == name.rsplit(".", 1)[1].lower()


@pytest.mark.parametrize("name", ["a", "a.jpg", "a.toml", "png"])
def test_other_endings_are_refused(name: str) -> None:
    with pytest.raises(UsageError, match=r"a picture ends in \.png, \.svg or \.pdf"):
        figure_format(Path(name))


def test_panels_lie_side_by_side(tmp_path: Path) -> None:
    drawn: list[Axes] = []

    def keep(axes: Axes) -> None:
        draw(axes)
        drawn.append(axes)

    path = tmp_path / "two.png"
    save_panels(path, [keep, keep], size_in=(6, 3), title="two")
    left, right = (axes.get_position() for axes in drawn)
    assert left.x1 < right.x0
    assert left.y0 == pytest.approx(right.y0)
    assert path.read_bytes().startswith(STARTS["png"])


def test_an_existing_picture_stays_and_nothing_is_drawn(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    path.write_text("mine")

    def never(_: Axes) -> None:
        pytest.fail("drawn though it cannot be written")

    with pytest.raises(WriteError, match="exists already"):
        save_figure(path, never, size_in=(4, 3), title="t")
    assert path.read_text() == "mine"
    save_figure(path, draw, size_in=(4, 3), title="t", force=True)
    assert path.read_bytes().startswith(STARTS["png"])


def test_a_fault_while_drawing_leaves_no_file(tmp_path: Path) -> None:
    def broken(_: Axes) -> None:
        raise RuntimeError

    with pytest.raises(RuntimeError):
        save_figure(tmp_path / "a.svg", broken, size_in=(4, 3), title="t")
    assert list(tmp_path.iterdir()) == []


def test_every_shade_of_the_page_is_seen_in_grey() -> None:
    pixels = imread(io.BytesIO(made("png")), format="png")[..., :3]
    grey = pixels @ np.array([0.299, 0.587, 0.114])
    assert float(grey.min()) < 0.5


def test_a_home_that_cannot_be_written_is_no_matter(tmp_path: Path) -> None:
    """The list of fonts then goes to a temporary folder, without a word on stderr."""
    code = (
        "from ease.show.figure import figure_bytes\n"
        "data = figure_bytes(lambda figure: figure.add_subplot(), 'svg',\n"
        "                    size_in=(2, 2), title='none')\n"
        "assert b'<svg' in data\n"
    )
    (tmp_path / "file").write_text("no folder")
    nowhere = str(tmp_path / "file" / "home")
    kept = {key: v for key, v in os.environ.items() if key != "MPLCONFIGDIR"}
    homes = dict.fromkeys(("HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME"), nowhere)
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).parents[2],
        env={**kept, **homes},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""


def test_drawing_reads_neither_pyplot_nor_the_styles() -> None:
    code = (
        "import sys\n"
        "from ease.show.figure import figure_bytes\n"
        "figure_bytes(lambda figure: figure.add_subplot(), 'png',\n"
        "             size_in=(2, 2), title='none')\n"
        "assert 'matplotlib.figure' in sys.modules\n"
        "assert not {'matplotlib.pyplot', 'matplotlib.style'} & set(sys.modules)\n"
    )
    subprocess.run(
        [sys.executable, "-c", code], cwd=Path(__file__).parents[2], check=True
    )
