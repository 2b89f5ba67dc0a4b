"""One way in for a block, whatever kind of file it lies in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ease.block.pieces import Block
from ease.errors import InputError, UsageError
from ease.files.drawing import Drawing, KnownLength
from ease.files.drawing_map import DrawingMap, load_map

__all__ = ["READABLE", "BlockFile", "load_any_block", "read_block_file"]

READABLE: Final = ("toml", "svg", "dxf")


@dataclass(frozen=True, slots=True, eq=False)
class BlockFile:
    """A block as read, with what a reader should be told.

    Attributes:
        block: The block.
        notes: What was left out or taken for granted, one sentence each.
    """

    block: Block
    notes: tuple[str, ...] = ()


def load_any_block(
    path: Path,
    *,
    map_path: Path | None = None,
    known: KnownLength | None = None,
    units_in: str = "",
) -> Block:
    """Return the block in a TOML, SVG or DXF file; see :func:`read_block_file`."""
    return read_block_file(
        path, map_path=map_path, known=known, units_in=units_in
    ).block


def read_block_file(
    path: Path,
    *,
    map_path: Path | None = None,
    known: KnownLength | None = None,
    units_in: str = "",
) -> BlockFile:
    """Return the block in a TOML, SVG or DXF file, by its extension, with notes.

    Args:
        path: The file.
        map_path: A map that says what the lines of a foreign drawing mean.
        known: A line of the drawing and its true length, where it has no size.
        units_in: Unit of a DXF file that does not say: mm, cm, m or in.

    Raises:
        UsageError: If an option does not belong to this kind of file.
        InputError: If the file is wrong.
    """
    kind = path.suffix.lower().removeprefix(".")
    _check_options(kind, map_path=map_path, known=known, units_in=units_in)
    mapping = load_map(map_path) if map_path is not None else None
    if kind == "toml":
        from ease.files.block_toml import load_block

        return BlockFile(load_block(path))
    if kind == "svg":
        from ease.files.svg_in import read_svg

        return _from_drawing(read_svg(path, known), mapping)
    if kind == "dxf":
        from ease.files.dxf_in import read_dxf

        return _from_drawing(read_dxf(path, units_in, known), mapping)
    accepted = ", ".join(f".{item}" for item in READABLE)
    raise InputError(str(path), f"a block is read from {accepted}, by its ending")


def _check_options(
    kind: str, *, map_path: Path | None, known: KnownLength | None, units_in: str
) -> None:
    if kind == "toml" and (map_path is not None or known is not None or units_in):
        message = "--map, --known-length and --units-in are for drawings, not for TOML"
        raise UsageError(message)
    if kind == "svg" and units_in:
        message = "--units-in is for DXF; an SVG says its size, or give --known-length"
        raise UsageError(message)


def _from_drawing(drawing: Drawing, mapping: DrawingMap | None) -> BlockFile:
    own = any(shape.fields.get("is") == "edge" for shape in drawing.shapes)
    if own and drawing.records and mapping is None:
        from ease.files.own_data import block_from_parts, parts_from_drawing

        parts = parts_from_drawing(drawing)
        block = block_from_parts(parts, drawing.records, drawing.source)
        return BlockFile(block, drawing.notes)
    from ease.files.assemble import block_from_drawing

    return BlockFile(*block_from_drawing(drawing, mapping))
