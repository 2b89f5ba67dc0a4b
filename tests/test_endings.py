"""What a file's ending says is asked in one place, and says the same in any case."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ease import load_any_block, load_body, load_fabric
from ease.body.sizes import load_size_run
from ease.demo import shipped_block
from ease.endings import TABLES, file_kind, names_file
from ease.errors import BodyError, EaseError, ProfileError
from ease.fabric.store import fabric_file, fabric_names
from ease.files.block_toml import block_to_toml

ROOT = Path(__file__).resolve().parents[1]
HAS_ITS_OWN = {"trace_file.py"}  # reads .toml or .csv, in any case


@pytest.mark.parametrize("name", ["a.toml", "a.TOML", "b.c/a.Toml", "a.svg.toml"])
def test_the_kind_is_the_last_ending_in_any_case(name: str) -> None:
    assert file_kind(Path(name)) == "toml"


@pytest.mark.parametrize("name", ["toml", ".toml", "a.toml/b"])
def test_a_name_without_ending_has_no_kind(name: str) -> None:
    assert file_kind(Path(name)) == ""


@pytest.mark.parametrize(
    ("given", "meant"),
    [
        ("rib", False),
        ("rib.old", False),
        ("", False),
        ("rib.toml", True),
        ("RIB.TOML", True),
        ("./rib", True),
        ("own/rib", True),
        ("/rib", True),
        (Path("rib"), True),
    ],
)
def test_what_means_a_file(given: str | Path, meant: bool) -> None:
    assert names_file(given, ["toml"]) is meant


def test_endings_are_taken_apart_in_one_place() -> None:
    files = [path for room in ("ease", "cli") for path in (ROOT / room).rglob("*.py")]
    own = {p.name for p in files if ".suffix.lower()" in p.read_text(encoding="utf-8")}
    assert own - HAS_ITS_OWN == {"endings.py"}
    exact = {p.name for p in files if ".suffix ==" in p.read_text(encoding="utf-8")}
    assert not exact


def test_endings_in_capitals_are_the_same_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    block = shipped_block("demo")
    assert block is not None
    (tmp_path / "RIB.TOML").write_bytes(fabric_file("rib").read_bytes())
    (tmp_path / "BLOCK.TOML").write_bytes(block.read_bytes())
    (tmp_path / "BODY.CSV").write_text("bust,92\nwaist,74\nhip,98\n", encoding="utf-8")
    (tmp_path / "SIZES.TSV").write_text(
        "bust\twaist\thip\n88\t70\t94\n92\t74\t98\n", encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path)
    for name in ("RIB.TOML", "./RIB.TOML"):
        assert load_fabric(name) == load_fabric("rib")
    loaded = block_to_toml(load_any_block("BLOCK.TOML"))
    assert loaded == block_to_toml(load_any_block("demo"))
    assert load_body("BODY.CSV")["waist"] == 74.0
    assert [body["bust"] for body in load_size_run("SIZES.TSV").bodies] == [88.0, 92.0]


def test_a_report_finds_the_file_behind_a_name_in_capitals(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("RIB.TOML", "./RIB.TOML", Path("RIB.TOML")):
        assert fabric_file(name) == Path("RIB.TOML")
    assert fabric_file("rib").is_file()


def test_an_own_fabric_may_end_in_capitals(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path))
    (tmp_path / "fabrics").mkdir()
    text = fabric_file("rib").read_text(encoding="utf-8")
    own = text.replace('name = "rib"', 'name = "mine"')
    (tmp_path / "fabrics" / "mine.TOML").write_text(own, encoding="utf-8")
    assert "mine" in fabric_names()
    assert load_fabric("mine").name == "mine"


@pytest.mark.parametrize("ending", ["toml", "TOML"])
def test_a_fault_of_a_body_has_the_same_place_in_any_case(
    tmp_path: Path, ending: str
) -> None:
    path = tmp_path / f"b.{ending}"
    text = 'schema = "ease/body/1"\n[body]\nbust = 92\nhip = 98\n'
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BodyError) as caught:
        load_body(path)
    (problem,) = caught.value.problems
    assert problem.told("cm").startswith("[body]: waist is missing")


@pytest.mark.parametrize(
    ("load", "kinds"),
    [
        (load_body, ("toml", *TABLES)),
        (load_size_run, TABLES),
        (load_fabric, ("toml",)),
        (load_any_block, ("toml", "svg", "dxf")),
    ],
)
def test_a_file_that_is_missing_is_called_that(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    load: Callable[[str], object],
    kinds: tuple[str, ...],
) -> None:
    monkeypatch.chdir(tmp_path)
    for kind in (*kinds, *(kind.upper() for kind in kinds)):
        with pytest.raises(
            EaseError, match=rf"^none\.{kind}: (there is )?no such file"
        ):
            load(f"none.{kind}")


def test_a_folder_in_a_name_means_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ProfileError, match="no such file"):
        load_fabric("./rib")
    with pytest.raises(BodyError, match="no such file"):
        load_body("./demo")
