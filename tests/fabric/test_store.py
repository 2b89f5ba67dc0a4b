from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ease.errors import ProfileError, RefusedError, UsageError, WriteError
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.profile_toml import fabric_from_table
from ease.fabric.store import (
    check_name,
    fabric_names,
    fabric_to_toml,
    load_fabric,
    own_folder,
    profile_folder,
    readable_fabrics,
    save_fabric,
)
from ease.fabric.tension import Branch, TensionCurve

SHIPPED = tuple(sorted(path.stem for path in profile_folder().glob("*.toml")))
# Those made up in one go, whose figures therefore agree to the last digit.
MADE_UP = tuple(
    name
    for name in SHIPPED
    if load_fabric(profile_folder() / f"{name}.toml").source
    == "invented for demonstration, not measured"
)
GOOD = """
schema = "ease/fabric/1"
name = "a"
title = "A"
origin = "measured"
source = "me"
[along]
stretch = { mean = 0.6, sd = 0.01, n = 3 }
"""


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def faults(text: str) -> list[str]:
    with pytest.raises(ProfileError) as caught:
        fabric_from_table(tomllib.loads(text), "a.toml")
    assert caught.value.exit_code == 3
    return [str(problem) for problem in caught.value.problems]


def cloth(stretch: float = 0.6) -> Fabric:
    return Fabric(
        name="my-cloth",
        title="Mine",
        origin="measured",
        source="me",
        along=ClothDirection(stretch=Estimate(stretch, 0.01, 3)),
    )


def test_the_shipped_fabrics() -> None:
    assert {"soft-tricot", "firm-tricot", "rib"} <= set(MADE_UP)
    assert fabric_names() == SHIPPED
    known, left_out = readable_fabrics()
    assert left_out == ()
    for name, fabric in zip(SHIPPED, known, strict=True):
        assert fabric.name == name
        assert (fabric.origin == "invented") == ("invented" in fabric.source)


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_fabric_can_be_worn_as_far_as_it_was_tested(name: str) -> None:
    fabric = load_fabric(name)
    for way in ("across", "along"):
        one = fabric.direction(way)
        if one is None or one.tension is None:
            continue
        # The strip ends near where the hand test ended, one way or the other.
        assert 0.5 < one.tension.last_strain / one.stretch.mean < 1.5
        inside = np.linspace(0, one.tension.last_strain, 200)
        up, down = one.tension.loading, one.tension.unloading
        assert np.all(np.diff(up.tension_at(inside)) >= 0)
        if down is not None:
            back = down.tension_at(np.minimum(inside, down.last_strain))
            assert np.all(back <= up.tension_at(inside) + 1e-9)


@pytest.mark.parametrize("name", MADE_UP)
def test_a_made_up_fabric_is_a_possible_cloth(name: str) -> None:
    fabric = load_fabric(name)
    modulus, ratio = {}, {}
    for way in ("across", "along"):
        one = fabric.direction(way)
        assert one is not None
        assert one.growth is not None
        assert one.recovery is not None
        assert one.contraction is not None
        assert one.wet_growth is not None
        assert one.tension is not None
        up, down = one.tension.loading, one.tension.unloading
        assert down is not None
        stretch, growth = one.stretch.mean, one.growth.mean
        assert up.last_strain == stretch
        assert down.strain[0] == growth
        assert one.recovery.mean == pytest.approx(
            (stretch - growth) / stretch, abs=0.0006
        )
        assert one.wet_growth.mean > growth
        inside = np.linspace(0, stretch, 200)
        assert np.all(down.tension_at(inside) <= up.tension_at(inside) + 1e-9)
        small = min(0.1, stretch)
        modulus[way] = float(up.tension_at(small)) / small
        ratio[way] = one.contraction.mean
    # Elastic reciprocity nu1 E2 = nu2 E1, and an energy that is convex at rest.
    gap = ratio["across"] * modulus["along"] / (ratio["along"] * modulus["across"])
    assert 1 / 1.15 < gap < 1.15
    assert ratio["across"] * ratio["along"] < 1


@pytest.mark.parametrize("name", SHIPPED)
def test_stored_slopes_are_those_of_the_knots(name: str) -> None:
    """Slopes are printed to 0.01 N/m; a profile without them gives the same curve."""
    fabric = load_fabric(name)
    for one in (fabric.across, fabric.along):
        assert one is not None
        assert one.tension is not None
        for branch in (one.tension.loading, one.tension.unloading):
            assert branch is not None
            again = Branch.through(branch.strain, branch.tension)
            np.testing.assert_allclose(again.slope, branch.slope, atol=0.006)


@pytest.mark.parametrize("name", SHIPPED)
def test_writing_brings_the_same_fabric_back(name: str) -> None:
    fabric = load_fabric(name)
    assert fabric_from_table(tomllib.loads(fabric_to_toml(fabric)), "a") == fabric


@given(st.floats(1e-6, 5), st.floats(0, 1), st.integers(1, 99))
def test_figures_come_back_exactly(mean: float, sd: float, n: int) -> None:
    fabric = Fabric(
        name="a",
        title='A "quoted" \\ name',
        origin="measured",
        source="me",
        across=ClothDirection(stretch=Estimate(mean, sd, n)),
        tested={"method": "hand test"},
    )
    assert fabric_from_table(tomllib.loads(fabric_to_toml(fabric)), "a") == fabric


def test_a_curve_without_slopes_or_way_down() -> None:
    text = (
        GOOD
        + "[along.tension.loading]\nstrain = [0.0, 0.3, 0.6]\ntension = [0, 30, 80]\n"
    )
    fabric = fabric_from_table(tomllib.loads(text), "a")
    assert fabric.along is not None
    assert fabric.along.tension == TensionCurve(
        Branch.through([0, 0.3, 0.6], [0, 30, 80])
    )


def test_the_older_names_of_the_curves_are_read_as_well() -> None:
    text = GOOD + (
        "[along.tension.loading]\nstrain = [0.0, 0.3, 0.6]\ntension = [0, 30, 80]\n"
        "[along.tension.unloading]\nstrain = [0.02, 0.3, 0.6]\ntension = [0, 20, 80]\n"
    )
    older = text.replace(".loading]", ".up]").replace(".unloading]", ".down]")
    new = fabric_from_table(tomllib.loads(text), "a")
    assert fabric_from_table(tomllib.loads(older), "a") == new
    both = text.replace("[along.tension.unloading]", "[along.tension.up]")
    assert faults(both) == ["along.tension.up: is another name of loading; give one"]
    written = fabric_to_toml(new)
    assert "[along.tension.loading]" in written
    assert "[along.tension.unloading]" in written


def test_a_bare_number_is_a_mean() -> None:
    text = GOOD.replace("{ mean = 0.6, sd = 0.01, n = 3 }", "0.6")
    fabric = fabric_from_table(tomllib.loads(text), "a")
    assert fabric.along is not None
    assert fabric.along.stretch == Estimate(0.6)


def test_every_fault_has_the_path_of_its_key() -> None:
    text = """
schema = "ease/fabric/1"
name = "a"
titel = "A"
origin = "guessed"
source = ""
mass_gsm = nan
tested = 3
[across]
stretch = { mean = 1e999, sd = -1, n = 0 }
growth = { sd = 0.1 }
recovery = 96
rest_minutes = "long"
[along]
strech = 0.5
growth = inf
contraction = { mean = true }
[along.tension.loading]
strain = [0.0, 0.1, nan]
tension = [0.0, "x"]
[along.tension.sideways]
"""
    assert faults(text) == [
        "titel: is not a known key; did you mean title?",
        "title: is missing",
        "source: is empty",
        "origin: must be one of measured, published, invented",
        "mass_gsm: must be a finite number, not nan",
        "tested: must be a table of texts",
        "across.stretch.mean: must be a finite number, not inf",
        "across.stretch.sd: must lie within 0 to 5, not -1",
        "across.stretch.n: must be a whole number from 1, not 0",
        "across.growth.mean: is missing",
        "across.recovery: must lie within 0 to 1.5, not 96; write fractions, 0.68 for 68 %",
        "across.rest_minutes: must be a number, not 'long'",
        "along.strech: is not a known key; did you mean stretch?",
        "along.stretch: is missing: a tested direction needs it",
        "along.growth: must be a finite number, not inf",
        "along.contraction.mean: must be a number, not True",
        "along.tension.sideways: is not a known key",
        "along.tension.loading.strain[3]: must be a finite number, not nan",
        "along.tension.loading.tension[2]: must be a number, not 'x'",
    ]


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('schema = "ease/fabric/1"', "", "schema: is missing"),
        ("fabric/1", "fabric/2", "schema: is 'ease/fabric/2'; accepted is"),
        ("[along]", "[sideways]", "no direction was tested"),
        ("mean = 0.6", "mean = 0", "along.stretch: must be above 0"),
        (
            "n = 3 }",
            "n = 3 }\ngrowth = 0.7",
            "along.growth: must be less than the stretch",
        ),
        ("[along]\n", "along = 3\n#", "along: must be a table"),
        ("n = 3 }", "n = 3 }\ntension = {}", "along.tension.loading: is missing"),
        (
            "n = 3 }",
            "n = 3 }\ntension = {loading = {strain = [0, 0.2], tension = [0]}}",
            "along.tension.loading: strain, tension must be lists of one length",
        ),
        (
            "n = 3 }",
            "n = 3 }\ntension = {loading = {strain = [0.2, 0], tension = [0, 5]}}",
            "along.tension.loading: a tension curve cannot have these points",
        ),
        (
            "n = 3 }",
            "n = 3 }\ntension = {loading = {strain = [0, 0.2], tension = [0, 5]}, "
            "unloading = {strain = [0.1, 0.3], tension = [0, 9]}}",
            "along.tension: ",
        ),
    ],
)
def test_one_fault(old: str, new: str, fault: str) -> None:
    assert any(fault in line for line in faults(GOOD.replace(old, new)))


def test_an_unknown_name_gets_the_nearest() -> None:
    with pytest.raises(
        ProfileError,
        match="sft-tricot: no fabric has that name; did you mean soft-tricot",
    ):
        load_fabric("sft-tricot")
    with pytest.raises(ProfileError, match=f"known are {SHIPPED[0]}, {SHIPPED[1]}"):
        load_fabric("xyzzy")


def test_a_profile_by_path(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert load_fabric(file).name == load_fabric(str(file)).name == "a"
    file.write_text(GOOD.replace("0.6", "0,6"))
    with pytest.raises(ProfileError, match="line 8") as caught:
        load_fabric(file)
    assert str(file) in str(caught.value)
    with pytest.raises(ProfileError, match="no such file"):
        load_fabric("missing.toml")


def test_an_own_fabric_is_saved_found_and_not_overwritten(home: Path) -> None:
    path = save_fabric(cloth())
    assert path == home / "fabrics" / "my-cloth.toml"
    assert load_fabric("my-cloth") == cloth()
    assert "my-cloth" in fabric_names()
    with pytest.raises(WriteError, match="exists already"):
        save_fabric(cloth(0.7))
    assert load_fabric("my-cloth") == cloth()
    save_fabric(cloth(0.7), force=True)
    assert load_fabric("my-cloth") == cloth(0.7)


def test_a_folder_that_cannot_be_made(home: Path) -> None:
    home.write_text("in the way")
    with pytest.raises(WriteError, match="cannot be made"):
        save_fabric(cloth())


@pytest.mark.parametrize(
    "name",
    [
        "",
        "..",
        "../a",
        "a/b",
        "A",
        "a b",
        "a_b",
        "-a",
        "a-",
        "a.toml",
        "nul",
        "a\n",
        "x" * 61,
    ],
)
def test_names_that_cannot_be_files(name: str) -> None:
    with pytest.raises(UsageError, match="cannot name a fabric"):
        check_name(name)


def test_folders(monkeypatch: pytest.MonkeyPatch) -> None:
    assert (profile_folder() / "rib.toml").is_file()
    monkeypatch.delenv("EASE_HOME")
    assert own_folder().parts[-2:] == ("block-ease", "fabrics")


def test_a_broken_own_profile_hides_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("EASE_HOME", str(tmp_path))
    (tmp_path / "fabrics").mkdir()
    (tmp_path / "fabrics" / "torn.toml").write_text("schema = ", encoding="utf-8")
    fabrics, notes = readable_fabrics()
    assert [fabric.name for fabric in fabrics] == list(SHIPPED)
    assert len(notes) == 1
    assert "torn.toml" in notes[0]
    assert notes[0].startswith("left out: ")


def test_contraction_ratios_that_no_cloth_has_are_refused() -> None:
    """Their product must stay below 1: 1.5 x 0.8 = 1.2, a mean of 1.10."""
    table = {
        "schema": "ease/fabric/1",
        "name": "odd",
        "title": "Odd",
        "origin": "invented",
        "source": "invented",
        "across": {"stretch": {"mean": 0.5}, "contraction": {"mean": 1.5}},
        "along": {"stretch": {"mean": 0.5}, "contraction": {"mean": 0.8}},
    }
    with pytest.raises(ProfileError, match=r"odd.toml: .*too large together \(1\.10"):
        fabric_from_table(table, "odd.toml")


@pytest.mark.parametrize("key", ["growth", "wet_growth"])
def test_a_cloth_that_keeps_all_it_was_pulled_is_refused(key: str) -> None:
    more: dict[str, Any] = {key: Estimate(0.65)}
    with pytest.raises(RefusedError, match="must be less than the stretch"):
        ClothDirection(stretch=Estimate(0.65), **more)
    assert ClothDirection(stretch=Estimate(0.66), **more).stretch.mean == 0.66
