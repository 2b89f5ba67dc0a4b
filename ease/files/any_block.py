"""One way in for a block, whatever kind of file it lies in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from ease.block.pieces import Block
from ease.demo import block_names, shipped_block
from ease.endings import file_kind
from ease.errors import InputError, UsageError

if TYPE_CHECKING:
    from ease.files.drawing import Drawing, KnownLength
    from ease.files.drawing_map import DrawingMap
    from ease.files.dxf_out import DxfVersion

__all__ = [
    "READABLE",
    "WRITABLE",
    "BlockFile",
    "block_bytes",
    "load_any_block",
    "read_block_file",
]

READABLE: Final = ("toml", "svg", "dxf")
WRITABLE: Final = ("toml", "svg", "dxf", "pdf")


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
    name_or_path: str | Path,
    *,
    map_path: str | Path | None = None,
    known: KnownLength | None = None,
    units_in: str = "",
) -> Block:
    """Return a block by the name of a shipped one, or from a TOML, SVG or DXF file.

    Args:
        name_or_path: ``demo`` or ``demo-soft``; or a file, whose ending tells its kind.
            A ``Path`` always means a file.
        map_path: A map that says what the lines of a foreign drawing mean.
        known: A line of the drawing and its true length, where it has no size.
        units_in: Unit of a DXF file that does not say: mm, cm, m or in.

    Raises:
        UsageError: If an option does not belong to this kind of file.
        InputError: If there is no such block, or the file is wrong.
    """
    return read_block_file(
        name_or_path, map_path=map_path, known=known, units_in=units_in
    ).block


def read_block_file(
    name_or_path: str | Path,
    *,
    map_path: str | Path | None = None,
    known: KnownLength | None = None,
    units_in: str = "",
) -> BlockFile:
    """Return a block as :func:`load_any_block` does, with what a reader should be told.

    Args:
        name_or_path: See :func:`load_any_block`.
        map_path: See there.
        known: See there.
        units_in: See there.

    Raises:
        UsageError: If an option does not belong to this kind of file.
        InputError: If there is no such block, or the file is wrong.
    """
    shipped = shipped_block(name_or_path) if isinstance(name_or_path, str) else None
    path = shipped or Path(name_or_path)
    kind = file_kind(path)
    _check_options(kind, map_path=map_path, known=known, units_in=units_in)
    mapping = None
    if map_path is not None:
        from ease.files.drawing_map import load_map

        mapping = load_map(Path(map_path))
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
    what = f"a block is read from {accepted}, by its ending"
    hint = _shipped_hint(str(path))
    if kind == "csv":
        hint = f"`ease trace {path} --out block.toml` makes a block of traced points"
    raise InputError(str(path), what, hint=hint)


def _shipped_hint(name: str) -> str:
    names = block_names()
    if name in names:
        return f"a path means a file; a shipped block goes by its bare name, {name!r}"
    return f"the shipped blocks are {' and '.join(names)}"


def _check_options(
    kind: str, *, map_path: str | Path | None, known: KnownLength | None, units_in: str
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
        from ease.files.own_data import block_from_parts
        from ease.files.piece_parts import parts_from_drawing

        parts = parts_from_drawing(drawing)
        block = block_from_parts(parts, drawing.records, drawing.source)
        return BlockFile(block, drawing.notes)
    from ease.files.assemble import block_from_drawing

    return BlockFile(*block_from_drawing(drawing, mapping))


def block_bytes(block: Block, kind: str, *, dxf_version: DxfVersion = "r2000") -> bytes:
    """Return a block as the content of a TOML, SVG or DXF file.

    Args:
        block: The block.
        kind: ``toml``, ``svg`` or ``dxf``; a PDF is made by `sheet.print_block`.
        dxf_version: Which DXF; see `dxf_out.dxf_bytes`.

    Raises:
        UsageError: If the kind is none of these.
    """
    if kind == "toml":
        from ease.files.block_toml import block_to_toml

        return block_to_toml(block).encode()
    if kind == "svg":
        from ease.files.svg_out import svg_text

        return svg_text(block).encode()
    if kind == "dxf":
        from ease.files.dxf_out import dxf_bytes

        return dxf_bytes(block, dxf_version)
    message = f"a block is written as {', '.join(f'.{item}' for item in WRITABLE)}"
    raise UsageError(message)
