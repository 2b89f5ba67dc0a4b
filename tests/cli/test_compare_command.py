"""``ease compare``: exit code, stream, then text."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.app import app
from cli.loading import read_block
from ease.fabric.profile import Fabric
from ease.fabric.store import fabric_names, fabric_to_toml
from ease.files.block_toml import save_block

Make = Callable[..., Fabric]
FOUR = ["soft-tricot", "firm-tricot", "recycled-polyamide", "one-way-stretch"]


@pytest.fixture(autouse=True)
def _plain_terminal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("EASE_HOME", str(tmp_path / "home"))


def run(command: str, *arguments: object) -> Result:
    return CliRunner().invoke(app, [command, *map(str, arguments)])


def compare(*arguments: object) -> Result:
    return run("compare", *arguments)


def flat(text: str) -> str:
    return " ".join(text.split())


def row(done: Result, first: str) -> str:
    return next(line for line in done.stdout.splitlines() if line.startswith(first))


def test_cloth_side_by_side() -> None:
    done = compare("soft-tricot", "firm-tricot")
    assert done.exit_code == 0
    assert "Cloth: round / down the body" in done.stdout
    assert row(done, "stretch (%)").split()[2:] == ["90", "/", "72", "80", "/", "62"]
    assert row(done, "N/m at 20 %").split()[4:] == ["22", "/", "25", "50", "/", "56"]
    assert "factor" not in done.stdout
    assert done.stderr == ""


def test_on_a_body_each_as_factors_says_it() -> None:
    done = compare("soft-tricot", "firm-tricot", "--body", "demo", "--hold", "firm")
    assert done.exit_code == 0
    assert "Cut for each on demo, hold firm" in done.stdout
    for place, name in enumerate(("soft-tricot", "firm-tricot")):
        alone = json.loads(
            run("factors", name, "--body", "demo", "--hold", "firm", "--json").stdout
        )
        assert row(done, "round: factor").split()[2 + place] == (
            f"{alone['girth']['factor']:.3f}"
        )
        assert row(done, "down: factor").split()[2 + place] == (
            f"{alone['length']['factor']:.3f}"
        )
    assert "not medical advice" in flat(done.stderr)


def test_the_block_cut_for_each_as_adjust_does_it() -> None:
    names = ("soft-tricot", "firm-tricot")
    document = json.loads(compare(*names, "--block", "demo-soft", "--json").stdout)
    assert document["schema"] == "ease/compare/1"
    sizes = {one["name"]: one for one in document["sizes"]}
    for place, name in enumerate(names):
        alone = json.loads(run("adjust", "demo-soft", "--to", name, "--json").stdout)
        for girth in alone["girths"]:
            after = sizes[girth["name"]]["after_cm"][place]
            assert after == pytest.approx(girth["after_cm"])
    bust = sizes["bust"]
    assert bust["swapped_cm"][1] == pytest.approx(
        bust["after_cm"][1] - bust["after_cm"][0]
    )
    shown = compare(*names, "--block", "demo-soft")
    assert f"(+{bust['swapped_cm'][1]:.1f})" in shown.stdout
    assert "what changes when soft-tricot is swapped for it" in shown.stdout


def test_a_block_without_a_torso_loop_keeps_its_length_as_adjust_says(
    tmp_path: Path,
) -> None:
    path = tmp_path / "brief.toml"
    save_block(replace(read_block("demo-soft"), loop_path=()), path)
    done = compare("soft-tricot", "firm-tricot", "--block", path, "--body", "demo")
    assert row(done, "down: factor").split()[2:] == ["0.938", "0.938"]
    assert row(done, "pull (N)").split()[2:] == ["-", "-"]
    assert "as it is" in done.stdout.split("down: factor")[1].splitlines()[1]
    assert "pulled twice" not in done.stderr
    # Nor need a loop be measured that nothing hangs from.
    body = tmp_path / "own.csv"
    body.write_text("bust;88\nwaist;70\nhip;96\n", encoding="utf-8")
    own = ("soft-tricot", "firm-tricot", "--block", path, "--body", body)
    for more in ((), ("--need",)):
        assert "TORSO LOOP" not in compare(*own, *more).stderr
    assert "TORSO LOOP" in compare(*own[:2], "--body", body).stderr


@pytest.mark.parametrize("units", ["cm", "in"])
def test_four_fit_and_one_refused_stands_beside_them(units: str) -> None:
    done = compare(*FOUR, "--block", "demo-soft", "--units", units)
    assert done.exit_code == 0
    assert max(len(line.rstrip()) for line in done.stdout.splitlines()) <= 78
    assert "…" not in done.stdout
    assert row(done, "round: factor").split()[-1] == "-"
    assert "one-way-stretch: refused, no strain down meets both limits" in flat(
        done.stderr
    )


def test_can_i_cut_my_old_block_in_this() -> None:
    done = compare("soft-tricot", "power-net", "--block", "demo-soft")
    assert row(done, "block as it is").split()[4:] == ["fits", "does", "not", "go"]
    assert "power-net, block as it is: does not go on" in flat(done.stderr)


def test_an_overlay_of_those_that_can_be_cut(tmp_path: Path) -> None:
    path = tmp_path / "cuts.svg"
    done = compare(*FOUR, "--block", "demo-soft", "--overlay", path)
    assert done.exit_code == 0
    assert f"wrote {path}" in done.stderr
    text = path.read_text(encoding="utf-8")
    for name in FOUR[:3]:
        assert f">{name}<" in text
    assert ">one-way-stretch<" not in text
    assert compare(*FOUR, "--block", "demo-soft", "--overlay", path).exit_code == 4


def test_what_the_block_needs_and_who_has_it() -> None:
    done = compare("--need", "--block", "demo-soft")
    assert done.exit_code == 0
    assert max(len(line.rstrip()) for line in done.stdout.splitlines()) <= 78
    said = flat(done.stdout)
    assert "this block needs 90 % stretch round or more" in said
    assert "Has all of it: soft-tricot." in said
    for name in fabric_names():
        assert row(done, name)
    document = json.loads(compare("--need", "--block", "demo-soft", "--json").stdout)
    assert document["schema"] == "ease/compare-need/1"
    ranked = json.loads(run("check", "demo-soft", "--body", "demo", "--json").stdout)
    assert document["tension_n_per_m"] == pytest.approx(
        ranked["need"]["tension_n_per_m"]
    )
    suits = [one["name"] for one in document["fabrics"] if one["suits"]]
    assert suits == ["soft-tricot"]


def test_need_of_named_fabrics_only() -> None:
    done = compare("lining-mesh", "--need", "--block", "demo-soft", "--body", "demo")
    said = flat(done.stdout)
    assert "None of these has all of it." in said
    assert "Fits, but holds less than easy or more than firm: lining-mesh." in said
    assert "soft-tricot" not in said


def test_a_fabric_without_a_load_test_is_said(
    make_fabric: Make, tmp_path: Path
) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(
        fabric_to_toml(make_fabric({"stretch": 1.2}, {"stretch": 0.9}, name="bare"))
    )
    done = compare(path, "--need", "--block", "demo-soft")
    assert "Fits as far as it was tested, without a load test: bare." in flat(
        done.stdout
    )
    both = compare(path, "soft-tricot", "--body", "demo")
    assert row(both, "bust, mean (kPa)").split()[3] == "-"


def test_a_body_size_block_needs_what_no_cloth_has() -> None:
    done = compare("--need", "--block", "demo")
    assert done.exit_code == 0
    assert "no cloth can hold" in flat(done.stdout)
    document = json.loads(compare("--need", "--block", "demo", "--json").stdout)
    assert document["possible"] is False


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        ([], 2, "2 to 4 fabrics can be compared, not 0"),
        (["soft-tricot"], 2, "not 1"),
        (["soft-tricot", "soft-tricot"], 2, "soft-tricot is named twice"),
        (["soft-tricot", "no-such"], 3, "no fabric has that name"),
        (["--need"], 2, "--need goes with --block"),
        (["--need", "--block", "demo", "--overlay", "a.png"], 2, "without --overlay"),
        (["soft-tricot", "rib", "--overlay", "a.png"], 2, "name it with --block"),
        (["soft-tricot", "rib", "--overlay", "a.gif"], 2, "ends in .png"),
        (["soft-tricot", "rib", "--block", "no.toml"], 3, "no such file"),
    ],
)
def test_what_is_refused(arguments: list[object], code: int, said: str) -> None:
    done = compare(*arguments)
    assert done.exit_code == code
    assert done.stdout == ""
    assert said in flat(done.stderr)
    assert "Traceback" not in done.stderr


def test_a_block_that_opens_or_goes_over_the_head_needs_less(tmp_path: Path) -> None:
    """A high neck must pass the hip, unless it opens or goes over the head."""
    block = tmp_path / "high.toml"
    style = ("--neck-front", "1", "--neck-back", "4", "--strap-width", "6")
    cut = ("--strap-place", "0.3", "--fabric", "firm-tricot", "--out", block)
    draft = ("draft", "demo", *style, *cut)
    assert run(*draft).exit_code == 0
    body = ("compare", "--need", "--block", block, "--body", "demo")
    closed, opened, over = (
        json.loads(run(*body, "--json", *way).stdout)
        for way in ([], ["--opens"], ["--over-head"])
    )
    assert over["stretch_for"] == "the leg to pass the shoulder girth"
    assert closed["stretch_for"] == "the neck to pass the hip"
    assert closed["stretch"] > opened["stretch"]
    assert opened["stretch_for"] == ""
    shown = " ".join(run(*body).stdout.split())
    assert "% stretch or more for the neck to pass the hip, and" in shown
    assert run(*body, "--opens", "--over-head").exit_code == 2
