"""The files of ``ease grade``: picture, nested print, table, and a block a size."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from ease.block.grade import Grading
    from ease.body.measures import Body
    from ease.files.sheet_paper import SheetOptions

PRINT, PICTURE, TABLE = "nest.pdf", "nest.png", "sizes.csv"


def _file_name(label: str) -> str:
    return f"block-{re.sub(r'[^A-Za-z0-9._-]+', '-', label)}.toml"


def _is_print(out: Path) -> bool:
    from ease.endings import file_kind

    return file_kind(out) == "pdf"


def check_targets(
    bodies: Sequence[Body], overlay: Path | None, out: Path | None, *, force: bool
) -> None:
    """Refuse targets that cannot be written, before any work is done."""
    from ease.errors import UsageError
    from ease.show.figure import figure_format
    from ease.write import check_writable

    if overlay is not None:
        figure_format(overlay)
        check_writable(overlay, force=force)
        if overlay == out:
            message = f"{out}: --out and --overlay need a file each"
            raise UsageError(message)
    if out is None:
        return
    if _is_print(out):
        check_writable(out, force=force)
    else:
        _check_folder(bodies, out, force=force)


def _check_folder(bodies: Sequence[Body], out: Path, *, force: bool) -> None:
    from ease.block.grade import size_labels
    from ease.errors import UsageError, WriteError
    from ease.write import check_writable

    if out.suffix and not out.is_dir():
        message = f"{out}: --out is a .pdf or a folder"
        raise UsageError(message)
    if out.exists() and not out.is_dir():
        message = f"{out}: is a file; name a folder or a .pdf"
        raise WriteError(message)
    if not out.parent.is_dir():
        message = f"{out}: the folder {out.parent} does not exist"
        raise WriteError(message)
    names = [_file_name(label) for label in size_labels([b.name for b in bodies])]
    if len(set(names)) < len(names):
        message = (
            "two sizes would have the same file name; name them with letters and digits"
        )
        raise UsageError(message)
    if out.is_dir():
        for name in (PRINT, PICTURE, TABLE, *names):
            check_writable(out / name, force=force)


def write_grading(
    result: Grading,
    overlay: Path | None,
    out: Path | None,
    options: SheetOptions,
    *,
    force: bool,
) -> list[Path]:
    """Write what was asked for; return the files."""
    written = []
    if overlay is not None:
        _write_picture(result, overlay, options.units, force=force)
        written.append(overlay)
    if out is None:
        return written
    if _is_print(out):
        _write_print(result, out, options, force=force)
        return [*written, out]
    return written + _write_folder(result, out, options, force=force)


def _write_folder(
    result: Grading, out: Path, options: SheetOptions, *, force: bool
) -> list[Path]:
    import csv
    import io

    from ease.errors import WriteError
    from ease.files.block_toml import save_block
    from ease.write import write_text

    from .grade_report import grade_rows

    try:
        out.mkdir(exist_ok=True)
    except OSError as error:
        message = f"{out}: cannot be made ({error.strerror or error})"
        raise WriteError(message) from error
    page = io.StringIO()
    header, rows = grade_rows(result)
    csv.writer(page, lineterminator="\n").writerows([header, *rows])
    write_text(out / TABLE, page.getvalue(), force=force)
    _write_picture(result, out / PICTURE, options.units, force=force)
    _write_print(result, out / PRINT, options, force=force)
    files = [out / TABLE, out / PICTURE, out / PRINT]
    for size, block in zip(result.made, result.blocks, strict=True):
        path = out / _file_name(size.label)
        save_block(block, path, force=force)
        files.append(path)
    return files


def _write_picture(result: Grading, path: Path, units: str, *, force: bool) -> None:
    from ease.show.figure import save_figure
    from ease.show.nest import draw_nest, nest_size

    from .grade_report import title_of

    labels = [size.label for size in result.made]
    title = title_of(result)
    save_figure(
        path,
        lambda axes: draw_nest(axes, result.blocks, labels, units=units, title=title),
        size_in=nest_size(result.blocks),
        title=title,
        force=force,
    )


def _write_print(
    result: Grading, path: Path, options: SheetOptions, *, force: bool
) -> None:
    from ease.files.sheet import print_nest
    from ease.write import write_bytes

    from .grade_report import title_of

    labels = [size.label for size in result.made]
    printed = print_nest(result.blocks, labels, title_of(result), options)
    write_bytes(path, printed.pdf, force=force)
