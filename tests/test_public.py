"""The public face: every name loads, is documented, and costs nothing until used."""

from __future__ import annotations

import inspect
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import ease
from ease.demo import SWATCH, shipped_block
from ease.errors import InputError, UsageError, WriteError
from ease.fabric.store import fabric_file
from ease.files.block_toml import block_to_toml

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize("name", ease.__all__)
def test_every_public_name_loads_and_is_documented(name: str) -> None:
    assert getattr(ease, name).__doc__


FUNCTIONS = [name for name in ease.__all__ if inspect.isfunction(getattr(ease, name))]
DOCUMENTED = {name: getattr(ease, name) for name in FUNCTIONS} | {
    f"Membrane.{name}": method
    for name, method in inspect.getmembers(ease.Membrane, inspect.isfunction)
    if not name.startswith("_")
}


@pytest.mark.parametrize("name", DOCUMENTED)
def test_every_argument_of_a_public_function_is_documented(name: str) -> None:
    text = inspect.getdoc(DOCUMENTED[name]) or ""
    arguments = [*inspect.signature(DOCUMENTED[name]).parameters]
    section = text.partition("\nArgs:\n")[2].partition("\n\n")[0]
    missing = [key for key in arguments if f"    {key}: " not in section]
    assert set(missing) <= {"self"}


BODY = 'schema = "ease/body/1"\n[body]\nbust = 92\nwaist = 74\nhip = 98\n'
# A file that each can load, and the name of something shipped where there is any.
LOADERS: dict[str, tuple[Callable[[], bytes], str]] = {
    "load_any_block": (lambda: (shipped_block("demo") or Path()).read_bytes(), "demo"),
    "load_body": (BODY.encode, "demo"),
    "load_fabric": (lambda: fabric_file("rib").read_bytes(), "rib"),
    "load_readings": (SWATCH.read_bytes, ""),
}


def content_of(record: object) -> object:
    """A block as the text that is kept of it, since its arrays do not compare."""
    return block_to_toml(record) if isinstance(record, ease.Block) else record


def test_every_public_loader_is_tried() -> None:
    assert sorted(LOADERS) == [name for name in FUNCTIONS if name.startswith("load_")]


@pytest.mark.parametrize("name", LOADERS)
def test_a_file_is_loaded_by_its_text_or_its_path(name: str, tmp_path: Path) -> None:
    load: Callable[[str | Path], Any] = getattr(ease, name)
    content, shipped = LOADERS[name]
    path = tmp_path / ("x.csv" if name == "load_readings" else "x.toml")
    path.write_bytes(content())
    assert content_of(load(str(path))) == content_of(load(path))
    for missing in (path.with_name("none.toml"), str(path.with_name("none.toml"))):
        with pytest.raises(InputError, match="no such file"):
            load(missing)
    if shipped:
        assert load(shipped).name
        with pytest.raises(InputError):  # a Path means a file, and none is there
            load(Path(shipped))


def test_a_path_for_a_shipped_block_is_put_right() -> None:
    with pytest.raises(InputError) as caught:
        ease.load_any_block(Path("demo"))
    assert "by its bare name, 'demo'" in caught.value.hint
    with pytest.raises(InputError) as caught:
        ease.load_any_block("dem")
    assert caught.value.hint == "the shipped blocks are demo and demo-soft"


def test_every_saver_takes_force_by_name_only() -> None:
    savers = [name for name in FUNCTIONS if name.startswith("save_")]
    assert savers == ["save_block", "save_fabric"]
    for name in savers:
        force = inspect.signature(getattr(ease, name)).parameters["force"]
        assert (force.kind, force.default) == (force.KEYWORD_ONLY, False)


@pytest.mark.parametrize("kind", [str, Path])
def test_a_block_is_saved_under_a_text_or_a_path(
    kind: Callable[[Path], str | Path], tmp_path: Path
) -> None:
    block = ease.load_any_block("demo")
    target = tmp_path / "x.toml"
    ease.save_block(block, kind(target))
    assert content_of(ease.load_any_block(kind(target))) == content_of(block)
    with pytest.raises(WriteError, match="exists already"):
        ease.save_block(block, kind(target))
    ease.save_block(block, kind(target), force=True)


@pytest.mark.parametrize("name", ["x.svg", "x", "x.toml.txt"])
def test_a_block_is_not_saved_under_an_ending_that_lies(
    name: str, tmp_path: Path
) -> None:
    block = ease.load_any_block("demo")
    with pytest.raises(UsageError, match=r"a block is kept as \.toml"):
        ease.save_block(block, str(tmp_path / name))
    assert not list(tmp_path.iterdir())


def test_public_names_and_their_homes_agree() -> None:
    assert sorted(ease._HOME) == sorted(ease.__all__)
    assert set(ease.__all__) <= set(dir(ease))


def test_public_names_stand_in_the_developers_guide() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    missing = [name for name in ease.__all__ if f"`{name}`" not in text]
    assert not missing


def test_unknown_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="no attribute 'stretchy'"):
        _ = ease.stretchy


def test_import_ease_loads_nothing_heavy(
    fresh_python: Callable[[str], subprocess.CompletedProcess[str]],
) -> None:
    code = (
        "import sys, ease\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'rich', 'typer'}\n"
        "sys.stdout.write(','.join(sorted(heavy & set(sys.modules))))\n"
    )
    done = fresh_python(code)
    assert done.stdout == ""
