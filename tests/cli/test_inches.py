"""With ``--units in`` no length is told in cm: results, notes, refusals and pages.

Every command that takes ``--units`` is run: on the demonstration data, on size tables, and
on input that it refuses. us-1968-20 has a rare nape and no loop, en-140 lies outside the
range of the fill-in.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from cli.group import SUMMARIES
from ease.demo import SWATCH, TRACE

RUN = CliRunner()
# A number with cm behind it.
IN_CM = re.compile(r"\d[\d.,/]*\s?cm\b")
# And left alone are lengths whose unit does not follow the user's choice:
LEFT = re.compile(
    r"`[^`]*`"  # a heading or a line of a file that is to be typed as it stands
    # Sizes of EN 13402-3 are named in cm by the standard itself.
    r"|EN 13402-3, bust \d+, \w+ \(\d+ cm\)"
    # Said in both units at once.
    r"|\d+ to \d+ cm \([^)]* in\)"
)
TABLE = "piece,edge,point,across,down,hint\n"
FILES = {
    "wrong-body.toml": (
        'schema = "ease/body/1"\nname = "w"\nunits = "in"\n'
        "[body]\nbust = 350\nwaist = 28\nhip = 38\n"
    ),
    "odd-body.toml": (
        'schema = "ease/body/1"\nname = "o"\nunits = "in"\n[body]\nbust = 35\n'
        "waist = 28\nhip = 38\nthigh = 30\nneck_base = 11.5\nwaist_to_hip = 10.5\n"
        "body_rise = 10.2\ntorso_loop = 49\n"
    ),
    "wrong-swatch.csv": (
        "direction,repeat,gauge (in),extended (in),rested (in)\n"
        "across,1,4,3,4\nacross,2,4,7,8\nacross,3,4,70,4\nacross,4,4,6,2\n"
    ),
    "odd-swatch.csv": (
        "direction,repeat,gauge (in),extended (in),rested (in)\nacross,1,1/2,3/4,1/2\n"
    ),
    "bodies.csv": "name,bust (in),waist (in),hip (in)\na,35,28,38\n",
    "wrong-bodies.csv": "name,bust (in),waist (in),hip (in)\na,35,28,38\nb,350,28,38\n",
    "wrong-toile.csv": "place,direction,relaxed (in),worn (in)\nbust,across,4,40\n",
    "far.toml": 'schema = "ease/block/1"\nname = "f"\nunits = "in"\nanchor = "waist"\n'
    '[[level]]\nname = "waist"\ny = 9000\n',
    "gap.csv": (
        "# level waist = 5\n# fold front = 0\n" + TABLE
        + "front,top,1,0,0,\nfront,top,2,10,0,\nfront,side,1,10,0,\nfront,side,2,10,20,\n"
        "front,hem,1,10,20,\nfront,hem,2,3,20,\n"
    ),
    "double.csv": (
        "# level waist = 5\n# fold front = 0\n" + TABLE
        + "front,top,1,0,0,\nfront,side,1,10,0,\nfront,fold,2,0,20,\n"
    ),
    "far.csv": (
        "# level waist = 5\n# fold front = 0\n" + TABLE
        + "front,top,1,0,380,\nfront,side,2,10,390,\nfront,fold,3,0,400,\n"
    ),
    "long.csv": (
        "# level waist = 5\n# fold front = 0\n" + TABLE
        + "front,top,1,0,0,\nfront,top,2,900,0,\nfront,side,1,900,0,\n"
        "front,side,2,900,20,\nfront,hem,1,900,20,\nfront,hem,2,0,20,\n"
        "front,fold,1,0,20,\nfront,fold,2,0,0,\n"
    ),
}  # fmt: skip
LINES: dict[str, tuple[int, str]] = {
    "demo": (0, "demo --out shown"),
    "swatch": (0, "swatch d/swatch.csv"),
    "swatch wrong": (3, "swatch wrong-swatch.csv"),
    "swatch odd": (0, "swatch odd-swatch.csv"),
    "body": (0, "body demo"),
    "body list": (0, "body --list"),
    "body how": (0, "body --how"),
    "body rare": (0, "body us-1968-20"),
    "body large": (0, "body en-140"),
    "body odd": (1, "body odd-body.toml"),
    "body wrong": (3, "body wrong-body.toml"),
    "factors": (0, "factors firm-tricot --body us-1968-20 --why"),
    "factors refused": (1, "factors one-way-stretch --body demo"),
    "draft": (0, "draft us-1968-12 --fabric firm-tricot"),
    "draft leg": (1, "draft demo --leg-height 7.5"),
    "draft neck": (1, "draft demo --neck-back 1/4"),
    "draft strap": (1, "draft demo --strap-width 4"),
    "draft odd": (1, "draft odd-body.toml"),
    "trace": (3, "trace gap.csv"),
    "trace long": (3, "trace long.csv"),
    "trace double": (3, "trace double.csv"),
    "trace far": (3, "trace far.csv"),
    "trace tolerance": (3, "trace long.csv --tolerance 30"),
    "adjust": (0, "adjust demo-soft --to firm-tricot --body us-1968-20"),
    "adjust said": (0, "adjust demo-soft --to firm-tricot --from body --body demo"),
    "check": (0, "check demo-soft --body demo --fabric soft-tricot"),
    "check small": (1, "check demo-soft --body en-140 --fabric power-net"),
    "check ranking": (0, "check demo-soft --body en-140"),
    "compare": (
        0,
        "compare soft-tricot firm-tricot --body us-1968-20 --block demo-soft",
    ),
    "compare small": (0, "compare power-net rib --body en-140 --block demo-soft"),
    "compare need": (0, "compare --need --block demo-soft"),
    "lesson": (0, "lesson --body us-1968-20"),
    "lesson fixed": (2, "lesson --fixed 9"),
    "lesson quiz": (0, "lesson --quiz 30"),
    "toile": (0, "toile demo --block demo-soft --fabric soft-tricot --body demo"),
    "toile wrong": (
        3,
        "toile wrong-toile.csv --block demo-soft --fabric soft-tricot --body demo",
    ),
    "grade": (0, "grade us-1968 --fabric firm-tricot --only 10,12"),
    "grade block": (
        0,
        "grade us-1968 --block demo-soft --fabric firm-tricot --only 10,12",
    ),
    "batch": (0, "batch bodies.csv --fabric firm-tricot"),
    "batch wrong": (3, "batch wrong-bodies.csv --fabric firm-tricot"),
    "convert": (0, "convert demo out.pdf"),
    "convert far": (3, "convert far.toml far.svg"),
}
PAGES = ("adjust", "check small", "check ranking", "lesson")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with what the lines read."""
    made = tmp_path_factory.mktemp("inches")
    for name, text in FILES.items():
        (made / name).write_text(text, encoding="utf-8")
    (made / "d").mkdir()
    (made / "d" / "swatch.csv").write_bytes(SWATCH.read_bytes())
    return made


def in_cm(text: str) -> list[str]:
    plain = " ".join(LEFT.sub("", text).split())
    return [plain[max(0, m.start() - 30) : m.end()] for m in IN_CM.finditer(plain)]


@pytest.fixture(autouse=True)
def _there(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    monkeypatch.setenv("EASE_HOME", str(folder / "home"))


@pytest.mark.parametrize("name", LINES)
def test_no_length_is_told_in_cm(name: str) -> None:
    code, line = LINES[name]
    done = RUN.invoke(app, [*line.split(), "--units", "in"])
    assert done.exit_code == code, done.output
    assert in_cm(done.output) == []


@pytest.mark.parametrize("name", PAGES)
def test_no_page_tells_a_length_in_cm(name: str, tmp_path: Path) -> None:
    code, line = LINES[name]
    page = tmp_path / "page.html"
    done = RUN.invoke(app, [*line.split(), "--units", "in", "--report", str(page)])
    assert done.exit_code == code, done.output
    text = re.sub(
        "<style>.*?</style>", "", page.read_text(encoding="utf-8"), flags=re.S
    )
    # What a picture measures on paper stands in no sentence.
    assert in_cm(re.sub('(width|height)="[^"]*"', "", text)) == []


PICTURES = {
    "draft": "draft demo --picture",
    "draft cut": "draft demo --fabric firm-tricot --overlay",
    "adjust": "adjust demo-soft --to firm-tricot --overlay",
    "compare": "compare soft-tricot rib --body demo --block demo-soft --overlay",
    "grade": "grade en --only 84,88 --fabric firm-tricot --overlay",
    "check": "check demo-soft --body demo --fabric soft-tricot --picture",
    "lesson": "lesson --out",
    "trace": f"trace {TRACE} --picture",
}


@pytest.mark.parametrize("name", PICTURES)
def test_no_picture_tells_a_length_in_cm(name: str, tmp_path: Path) -> None:
    path = tmp_path / "picture.svg"
    line = [*PICTURES[name].split(), str(path), "--units", "in"]
    done = RUN.invoke(app, line)
    assert done.exit_code == 0, done.output
    # Texts stay texts in an SVG; a matplotlib comment repeats each.
    texts = " ".join(re.findall(r">([^<>]+)<", path.read_text(encoding="utf-8")))
    assert "in" in texts
    assert in_cm(texts) == []
    if name not in ("check", "lesson", "trace"):
        assert "4 in (not to scale for cutting)" in texts


@pytest.mark.parametrize(
    "name", ["swatch wrong", "body odd", "draft neck", "check small", "lesson"]
)
def test_the_same_is_told_in_cm_where_nothing_was_asked_for(name: str) -> None:
    """What the tests above look for is found where it is said."""
    done = RUN.invoke(app, LINES[name][1].split())
    assert in_cm(done.output)


def test_every_command_that_takes_units_is_run() -> None:
    takes = {
        name
        for name in SUMMARIES
        if "--units " in RUN.invoke(app, [name, "--help"]).stdout
    }
    assert takes == {line.split()[0] for _, line in LINES.values()}
