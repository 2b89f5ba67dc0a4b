"""Every reader of files under one rule: a result or an `EaseError`, nothing else.

Each reader is given any bytes as a file, and what it made of them is used as a command
would use it. Warnings count as faults, for they reach the user's terminal.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Final

from rich.console import Console

from ease.block.cut_levels import cut_levels
from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.stream import stream_bodies
from ease.body.table_head import read_head
from ease.errors import EaseError
from ease.fabric.advice import advice
from ease.fabric.classes import class_table
from ease.fabric.load_readings import Given, read_load_test
from ease.fabric.load_test import add_tension
from ease.fabric.profile import Fabric
from ease.fabric.profile_toml import fabric_from_table
from ease.fabric.readings import read_reading_file
from ease.fabric.store import fabric_to_toml, load_fabric
from ease.fabric.swatch import summarise, to_fabric
from ease.fabric.toile_readings import read_toile
from ease.files.any_block import read_block_file
from ease.files.assemble import block_from_drawing
from ease.files.block_toml import block_to_toml
from ease.files.drawing import KnownLength, piece_size_mm
from ease.files.drawing_map import load_map
from ease.files.svg_in import read_svg
from ease.files.svg_out import svg_text
from ease.files.trace_file import load_trace

CORPUS: Final = Path(__file__).parent / "corpus"
ROOT: Final = Path(__file__).parents[2]


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader of files.

    Attributes:
        read: Reads a file and uses what it holds.
        endings: Each file is read under each of these endings.
        seeds: Good files to start from, besides the corpus.
        most_bytes: Longest file that is tried.
    """

    read: Callable[[Path], None]
    endings: tuple[str, ...]
    seeds: tuple[str, ...] = ()
    most_bytes: int = 4096


def offer(name: str, data: bytes, folder: Path) -> int:
    """Give bytes to a reader as a file; return how often it made something of them.

    Raises:
        Exception: Whatever the reader raises besides an `EaseError`.
    """
    reader = READERS[name]
    read = 0
    for ending in reader.endings:
        path = folder / f"offered{ending}"
        path.write_bytes(data)
        try:
            reader.read(path)
            read += 1
        except EaseError as error:
            _show(f"error: {error}\nhint: {error.hint}")
    return read


def _show(text: str) -> None:
    """Print as the command line does, to a terminal that shows ASCII only."""
    Console(file=StringIO(), width=40).print(text, markup=False, highlight=False)
    text.encode("ascii", errors="replace")


def _hand(path: Path) -> None:
    file = read_reading_file(path)
    summary = summarise(file.readings)
    _show("\n".join([*file.notes, *summary.notes]))
    _show("\n".join(advice(summary, class_table("ranges"))))
    _keep(to_fabric(summary, name="a", origin=file.origin))


def _load(path: Path) -> None:
    told = Given(
        gauge=10.0,
        strip_width=5.0,
        layers=1,
        load_unit="cN",
        length_unit="cm",
        direction="across",
    )
    refused: EaseError | None = None
    for given in (Given(), told):
        try:
            test = read_load_test(path, given)
            kept = add_tension(load_fabric("soft-tricot"), test)
        except EaseError as error:
            refused = error
            continue
        refused = None
        _show("\n".join([test.understood, *test.notes]))
        _keep(kept)
    if refused is not None:
        raise refused


def _toile(path: Path) -> None:
    file = read_toile(path, ("bust", "waist", "hip"))
    _show("\n".join([*file.notes, *(f"{m.strain}" for m in file.marks)]))


def _body(path: Path) -> None:
    body = complete(load_body(str(path)))
    _show("\n".join([body.name, body.title, *body.notes]))


def _bodies(path: Path) -> None:
    for bodies in stream_bodies(read_head(path)):
        len(bodies)


def _fabric(path: Path) -> None:
    _keep(load_fabric(path))


def _block(path: Path) -> None:
    _use(read_block_file(path).block, path.parent)


def _drawing(path: Path) -> None:
    """Read a drawing as it is, then with what its user would have to add."""
    for more in (
        {},
        {"units_in": "mm"} if path.suffix == ".dxf" else {},
        {"known": KnownLength("front", 60.0)},
    ):
        try:
            file = read_block_file(path, **more)
        except EaseError as error:
            refused = error
            continue
        _show("\n".join(file.notes))
        _use(file.block, path.parent)
        return
    raise refused


def _map(path: Path) -> None:
    drawing = read_svg(CORPUS / "svg" / "good-foreign.svg")
    block, notes = block_from_drawing(drawing, load_map(path))
    _show("\n".join(notes))
    _use(block, path.parent)


def _trace(path: Path) -> None:
    traced = load_trace(path)
    _show("\n".join(traced.notes))
    _use(traced.block, path.parent)


def _keep(fabric: Fabric) -> None:
    """Write a fabric so that it can be read again."""
    text = fabric_to_toml(fabric)
    try:
        fabric_from_table(tomllib.loads(text), "again")
    except (EaseError, tomllib.TOMLDecodeError) as error:
        message = f"what was read is written as a profile that is refused: {error}"
        raise AssertionError(message) from error


def _use(block: Block, folder: Path) -> None:
    """Measure a block, and write it so that it can be read again."""
    level_girths(block)
    cut_levels(block)
    for piece in block.pieces:
        piece_size_mm(piece)
    for ending, text in (("toml", block_to_toml(block)), ("svg", svg_text(block))):
        path = folder / f"again.{ending}"
        path.write_text(text, encoding="utf-8")
        try:
            read_block_file(path)
        except EaseError as error:
            message = f"what was read is written as {ending} that is refused: {error}"
            raise AssertionError(message) from error


READERS: Final[dict[str, Reader]] = {
    "hand": Reader(_hand, (".csv", ".toml"), ("ease/demo/swatch.csv",)),
    "load": Reader(_load, (".csv",), ("ease/demo/load.csv",)),
    "toile": Reader(_toile, (".csv", ".toml"), ("ease/demo/toile.csv",)),
    "body": Reader(_body, (".toml", ".csv"), ("ease/demo/body.toml",)),
    "bodies": Reader(_bodies, (".csv",)),
    "fabric": Reader(
        _fabric,
        (".toml",),
        ("fabric_profiles/soft-tricot.toml", "fabric_profiles/rib.toml"),
    ),
    "block": Reader(_block, (".toml",), ("tests/block/hand_block.toml",)),
    "map": Reader(_map, (".toml",)),
    "trace": Reader(_trace, (".csv", ".toml")),
    "svg": Reader(_drawing, (".svg",)),
    "dxf": Reader(_drawing, (".dxf",), most_bytes=8192),
}


def block_endings() -> set[str]:
    """Return the endings of the files from which a reader here makes a block."""
    return {
        ending.removeprefix(".")
        for reader in READERS.values()
        if reader.read in (_block, _drawing)
        for ending in reader.endings
    }


def seeds(name: str) -> list[Path]:
    """Return the good files and the corpus of a reader."""
    shipped = [ROOT / seed for seed in READERS[name].seeds]
    return [*shipped, *sorted((CORPUS / name).iterdir())]
