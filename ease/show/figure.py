"""Figures without global state: make one, save it whole, the same bytes every time."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from ease.endings import file_kind
from ease.errors import UsageError
from ease.write import check_writable, write_bytes

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = [
    "AFTER",
    "BEFORE",
    "GUIDE",
    "figure_bytes",
    "figure_format",
    "save_figure",
    "save_panels",
]

# Two outlines are told apart by dash and weight first and by colour second, so that
# they stay apart in black-and-white print.
BEFORE: Final[dict[str, Any]] = {
    "color": "#000000",
    "linestyle": (0, (5, 3)),
    "linewidth": 1.0,
}
AFTER: Final[dict[str, Any]] = {
    "color": "#0072B2",
    "linestyle": "solid",
    "linewidth": 2.0,
}
GUIDE: Final[dict[str, Any]] = {
    "color": "#767676",
    "linestyle": (0, (1, 2)),
    "linewidth": 0.8,
}

_FORMATS: Final = ("png", "svg", "pdf")
_SETTINGS: Final[Any] = {
    "font.size": 9.0,
    "svg.hashsalt": "ease",
    "svg.fonttype": "none",
    "pdf.fonttype": 42,
    "axes.spines.top": False,
    "axes.spines.right": False,
}


def figure_bytes(
    draw: Callable[[Figure], object],
    file_format: str,
    *,
    size_in: tuple[float, float],
    title: str,
    dpi: int = 150,
) -> bytes:
    """Return a figure as PNG, SVG or PDF; the same input gives the same bytes.

    Args:
        draw: Draws on a new figure.
        file_format: ``png``, ``svg`` or ``pdf``.
        size_in: Width and height in inches.
        title: Title kept in the file.
        dpi: Dots per inch of a PNG.
    """
    with _silent_import():
        import matplotlib as mpl
        from matplotlib.figure import Figure

    # The reader's own settings file must not change size or content of the page. Not by
    # rcdefaults(), which reads all of matplotlib's styles first.
    settings = {k: v for k, v in mpl.rcParamsDefault.items() if k != "backend"}
    with mpl.rc_context(settings | _SETTINGS):
        figure = Figure(figsize=size_in, layout="constrained", facecolor="white")
        draw(figure)
        buffer = BytesIO()
        figure.savefig(
            buffer, format=file_format, dpi=dpi, metadata=_metadata(file_format, title)
        )
    return buffer.getvalue()


@contextmanager
def _silent_import() -> Iterator[None]:
    """Let the first import tell nobody where it keeps its list of fonts.

    Without a home that can be written it takes a temporary folder, and says so at
    length on stderr; the picture is the same.
    """
    logger = logging.getLogger("matplotlib")
    before = logger.level
    logger.setLevel(logging.ERROR)
    try:
        yield
    finally:
        logger.setLevel(before)


def _metadata(file_format: str, title: str) -> dict[str, Any]:
    if file_format == "svg":
        return {"Title": title, "Date": None}
    if file_format == "pdf":
        return {"Title": title, "CreationDate": None}
    return {"Title": title}


def figure_format(path: Path) -> str:
    """Return the format that a file's ending names.

    Raises:
        UsageError: If it is none of PNG, SVG and PDF.
    """
    ending = file_kind(path)
    if ending not in _FORMATS:
        message = f"{path}: a picture ends in .png, .svg or .pdf"
        raise UsageError(message)
    return ending


def save_figure(
    path: Path,
    draw: Callable[[Axes], object],
    *,
    size_in: tuple[float, float],
    title: str,
    force: bool = False,
) -> None:
    """Write a figure of one panel; see :func:`save_panels`."""
    save_panels(path, [draw], size_in=size_in, title=title, force=force)


def save_panels(
    path: Path,
    draws: Sequence[Callable[[Axes], object]],
    *,
    size_in: tuple[float, float],
    title: str,
    force: bool = False,
) -> None:
    """Write a figure of panels side by side to a PNG, SVG or PDF file.

    Args:
        path: The file; its ending names the format.
        draws: Each draws on the axes of its panel.
        size_in: Width and height in inches.
        title: Title kept in the file.
        force: Whether an existing file may be replaced.

    Raises:
        UsageError: If the ending names no known format.
        WriteError: If the file cannot be written.
    """
    file_format = figure_format(path)
    check_writable(path, force=force)

    def draw_all(figure: Figure) -> None:
        for index, draw in enumerate(draws, start=1):
            draw(figure.add_subplot(1, len(draws), index))

    data = figure_bytes(draw_all, file_format, size_in=size_in, title=title)
    write_bytes(path, data, force=force)
