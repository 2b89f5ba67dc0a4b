"""Every sum that a lesson prints comes out as printed, worked from the printed text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from ease.fabric.store import fabric_names

USABLE = [name for name in fabric_names() if name != "one-way-stretch"]  # no window
BODIES = ("demo", "en-76-short", "en-92", "en-128", "us-1968-20")
_FIGURE = r"\d+(?:\.\d+)?"
_SUM = re.compile(
    rf"((?:[(]*{_FIGURE}[)]*(?: (?:cm|in|N/m|m))? [-x/] )+[(]*(?:1 \+ )?{_FIGURE}"
    rf"(?: [-x] {_FIGURE})?[)]*(?: (?:cm|in|N/m|m))?(?: - 1)?) = ({_FIGURE})( %)?"
)


def sums_in(text: str) -> Iterator[tuple[str, str, bool]]:
    """Yield each sum of a text, its answer, and whether that is in per cent."""
    flat = " ".join(text.split())
    for found in _SUM.finditer(flat):
        yield found[1], found[2], bool(found[3])


def worked(sum_: str) -> float:
    """Work a sum of printed figures; units are left out."""
    bare = re.sub(r" (?:cm|in|N/m|m)(?= |$)", "", sum_).replace("x", "*")
    assert re.fullmatch(r"[\d. ()*/+-]+", bare), sum_
    return float(eval(bare))


def check(text: str, least: int) -> None:
    found = list(sums_in(text))
    assert len(found) >= least, found
    for sum_, answer, percent in found:
        # 100 - growth is a sum of per cents.
        scale = 100.0 if percent and not sum_.startswith("100 - ") else 1.0
        half = 0.5 * 10.0 ** -len(answer.partition(".")[2])
        gap = abs(scale * worked(sum_) - float(answer))
        assert gap <= half + 1e-9, f"{sum_} = {answer}"


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("name", USABLE)
def test_sums_of_the_lesson(
    name: str, body: str, units: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    words = ["lesson", "--fabric", name, "--body", body, "--units", units, "-q"]
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 0
    # 4 of step 1, 5 of 2, 5 of 4, 3 of 5, 1 of 6 and of 7.
    check(done.stdout, 19)


@pytest.mark.parametrize("amount", ["3.3 cm", "1 3/8 in", "47 mm"])
def test_sums_of_an_odd_amount(amount: str) -> None:
    for units in ("cm", "in"):
        words = ["lesson", "--fixed", amount, "--units", units, "-q"]
        check(CliRunner().invoke(app, words).stdout, 19)


def test_growth_in_inches_is_what_students_work_out(tmp_path: Path) -> None:
    """5.165 in of a gauge of 5: 3.3 %, not the 3.4 % of 5.17."""
    path = tmp_path / "own.toml"
    path.write_text(
        'schema = "ease/fabric/1"\nname = "own"\ntitle = "own"\n'
        'origin = "invented"\nsource = "invented for tests"\n'
        "[across]\nstretch = { mean = 0.8, n = 3 }\n"
        "growth = { mean = 0.033, n = 3 }\n"
    )
    done = CliRunner().invoke(
        app, ["lesson", "--fabric", str(path), "--units", "in", "-q"]
    )
    assert "(5.165 - 5.00) / 5.00 = 3.3 %" in " ".join(done.stdout.split())


def test_the_check_finds_a_sum_that_does_not_come_out() -> None:
    with pytest.raises(AssertionError, match=r"= 3\.3"):
        check("Growth = (5.17 - 5.00) / 5.00 = 3.3 %.", 1)
