"""``ease convert`` and ``ease trace``: exit code, stream, then text."""

import io
import json
import re
from pathlib import Path

import pypdf
import pytest
import shapely
from typer.testing import CliRunner, Result

from cli.app import app
from ease.block.curves import flatten
from ease.block.measure import outline
from ease.demo import shipped_block
from ease.files.any_block import load_any_block

runner = CliRunner()


def run(*words: object) -> Result:
    return runner.invoke(app, [str(word) for word in words])


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_demo_goes_through_every_kind_of_file(here: Path) -> None:
    for source, target in (
        ("demo", "a.svg"), ("a.svg", "b.dxf"), ("b.dxf", "c.toml"), ("c.toml", "d.pdf"),
    ):  # fmt: skip
        result = run("convert", source, target)
        assert result.exit_code == 0, result.stderr
        assert "front: net 234 x 721 mm, cut 1 on fold" in result.stdout
        assert f"wrote {target}" in result.stderr
    pages = len(pypdf.PdfReader(here / "d.pdf").pages)
    assert f"{pages} pages, A4" in result.stdout
    first, last = load_any_block(Path("a.svg")), load_any_block(Path("c.toml"))
    assert [p.name for p in first.pieces] == [p.name for p in last.pieces]
    assert first.seams == last.seams


def test_a_pair_without_its_middle_seam_is_printed_with_a_word(here: Path) -> None:
    Path("t.csv").write_text(
        "# fold back = pair\n# level waist = 10\n# seam side = back.side, back.crotch\n"
        "piece,edge,point,across,down,hint\nback,waist,a,0,0,\nback,side,b,23,0,\n"
        "back,leg,c,23,20,\nback,crotch,d,20,20,\nback,centre,e,0,20,\n",
        encoding="utf-8",
    )
    assert run("trace", "t.csv", "--out", "t.toml").exit_code == 0
    for target in ("t.pdf", "t.svg"):
        told = run("convert", "t.toml", target, "--json")
        (note,) = json.loads(told.stdout)["notes"]
        assert "back.centre is in no seam" in note


def test_sizes_in_inches(here: Path) -> None:
    result = run("convert", "demo", "a.svg", "--units", "in")
    assert "front: net 9 1/4 x 28 3/8 in" in result.stdout


def test_json_is_one_document(here: Path) -> None:
    result = run("convert", "demo", "a.pdf", "--json", "--paper", "a0")
    document = json.loads(result.stdout)
    assert document["schema"] == "ease/convert/1"
    assert (document["pages"], document["sheets"]) == (1, 1)
    assert document["pieces"][0]["width_mm"] == pytest.approx(234.24)
    block = shipped_block("demo")
    assert block is not None
    front = load_any_block(block).piece("front")
    ring = shapely.Polygon(flatten(outline(front), 0.001))
    assert document["pieces"][0]["area_cm2"] == pytest.approx(ring.area, abs=0.1)
    assert document["levels"][1] == {"name": "waist", "y_cm": 41.0, "loop": "closed"}


def test_quiet_leaves_the_notes_out(here: Path) -> None:
    assert run("convert", "demo", "a.svg", "-q").stderr == ""


def test_print_takes_allowances_paper_and_correction(here: Path) -> None:
    result = run(
        "convert", "demo", "a.pdf", "--paper", "letter", "--seam-allowance", "6mm",
        "--turning", "1", "--turning", "front.leg=1.5", "--margin", "12",
        "--overlap", "0.5in",
        "--grain", "across", "--unfold", "--measured", "99.5x100.5",
    )  # fmt: skip
    assert result.exit_code == 0, result.stderr
    said = "10 mm at neckline, armhole; 6 mm at strap, side, crotch; 15 mm at leg"
    assert "cut 1 on fold, printed whole" in result.stdout
    assert f"front: with {said}" in " ".join(result.stdout.split())
    page = pypdf.PdfReader(here / "a.pdf").pages[0]
    assert float(page.mediabox.width) == pytest.approx(612)
    text = page.extract_text()
    assert "leg 15 mm, other openings 10 mm" in text.replace("\n", " ")
    assert "99.5" in text


def test_allowances_are_said_in_inches_where_inches_are_asked_for(here: Path) -> None:
    result = run(
        *("convert", "demo", "a.pdf", "--units", "in"),
        *("--seam-allowance", "0.6", "--turning", "1"),
    )
    assert result.exit_code == 0, result.stderr
    text = pypdf.PdfReader(here / "a.pdf").pages[0].extract_text().replace("\n", " ")
    assert "allowances included: seams 0.6 in, openings 1 in" in text
    assert "15.24" not in text


SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 400 400">'
    '<path id="front" d="M20 30 C60 30 80 20 80 10 L120 25 L150 200 L20 210 Z"/>'
    '<path id="waist" d="M10 110H200"/></svg>'
)


def test_drawing_without_a_size_asks_for_a_known_length(here: Path) -> None:
    Path("a.svg").write_text(SVG.format(size=""), encoding="utf-8")
    result = run("convert", "a.svg", "a.toml")
    assert result.exit_code == 3
    assert "how large it is on paper" in result.stderr
    assert "--known-length" in result.stderr
    assert not Path("a.toml").exists()
    result = run("convert", "a.svg", "a.toml", "--known-length", "waist=19cm")
    assert result.exit_code == 0
    assert "front: net 130 x 200 mm, cut 1 on fold" in result.stdout
    assert "left edge is taken as the fold" in result.stderr


def test_adjusted_drawing_comes_out_as_a_print(here: Path) -> None:
    """A drawing from a drawing program goes through ``adjust`` to the cutting table."""
    Path("a.svg").write_text(
        SVG.format(size='width="400mm" height="400mm"'), encoding="utf-8"
    )
    result = run(
        "adjust", "a.svg", "--from-factors", "1", "1", "--to-factors", "0.8", "0.95",
        "--out", "b.svg",
    )  # fmt: skip
    assert result.exit_code == 0, result.stderr
    result = run("convert", "b.svg", "b.pdf")
    assert result.exit_code == 0, result.stderr
    assert "front: net 104 x 190 mm" in result.stdout
    assert Path("b.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("words", "code", "match"),
    [
        (["demo", "a.doc"], 2, "a block is written as .toml"),
        (["nothing.svg", "a.pdf"], 3, "no such file"),
        (["here.doc", "a.pdf"], 3, "read from .toml, .svg, .dxf"),
        (["here.csv", "a.pdf"], 3, "`ease trace here.csv --out block.toml` makes"),
        (["nothing", "a.pdf"], 3, "the shipped blocks are demo and demo-soft"),
        (["demo", "gone/a.pdf"], 4, "does not exist"),
        (["demo", "there.svg"], 4, "exists already"),
        (["demo", "a.pdf", "--paper", "a9"], 2, "no paper 'a9'"),
        (["demo", "a.pdf", "--turning", "wide"], 2, "--turning wide: 'wide' is not"),
        (["demo", "a.pdf", "--seam-allowance", "6"], 2, "6 cm is wide; write its unit"),
        (["demo", "a.pdf", "--turning", "sleeve=1"], 2, "no edge is named 'sleeve'"),
        (["demo", "a.pdf", "--turning", "50cm"], 2, "between 0 and 10 cm"),
        (["demo", "a.pdf", "--measured", "90"], 2, "more than 3 % off"),
        (["demo", "a.pdf", "--measured", "98x"], 2, "--measured 98x: write 99.4, or"),
        (["demo", "a.pdf", "--measured", "x98"], 2, "--measured x98: write 99.4, or"),
        (["demo", "a.pdf", "--margin", "9cm"], 2, "between 0 and 50 mm"),
        (["demo", "a.toml", "--units-in", "mm"], 2, "not for TOML"),
        (["there.svg", "a.toml", "--known-length", "3cm"], 2, "write NAME=LENGTH"),
        (["there.svg", "a.toml", "--known-length", "waist=-3cm"], 2, "--known-length"),
        (["there.svg", "a.toml", "--map", "gone.toml"], 3, "no such file"),
        (["there.svg", "there.svg"], 4, "exists already"),
    ],
)
def test_faults_have_a_clear_line_and_code(
    here: Path, words: list[str], code: int, match: str
) -> None:
    Path("there.svg").write_text(SVG.format(size=""), encoding="utf-8")
    result = run("convert", *words)
    assert result.exit_code == code, result.stderr
    assert match in result.stderr.replace("\n", " ")
    assert "Traceback" not in result.stderr
    assert result.stdout == ""
    assert sorted(path.name for path in here.iterdir()) == ["there.svg"]


def test_force_replaces(here: Path) -> None:
    Path("a.svg").write_text("old", encoding="utf-8")
    assert run("convert", "demo", "a.svg", "--force").exit_code == 0
    assert Path("a.svg").read_text(encoding="utf-8").startswith("<?xml")


POINTS = """# name = invented
# fold = 0
# level waist = 5
piece,edge,point,across,down,hint
front,top,a,0,0,
,side,b,8,1,
,,,7,5,
,hem,c,9,10,
,fold,d,0,10,
"""


def test_trace_shows_the_curves_and_writes_block_and_picture(here: Path) -> None:
    Path("p.csv").write_text(POINTS, encoding="utf-8")
    result = run("trace", "p.csv", "--out", "b.toml", "--picture", "b.svg")
    assert result.exit_code == 0, result.stderr
    assert "front: net 90 x 100 mm, cut 1 on fold" in result.stdout
    assert "front.side" in result.stdout
    assert load_any_block(Path("b.toml")).name == "invented"
    assert "points of front" in Path("b.svg").read_text(encoding="utf-8")


def test_trace_in_inches(here: Path) -> None:
    Path("p.csv").write_text(POINTS, encoding="utf-8")
    result = run("trace", "p.csv", "--units", "in")
    assert "length (in)" in result.stdout
    fold = next(line for line in result.stdout.splitlines() if "front.fold" in line)
    assert fold.split()[1:3] == ["3", "7/8"]  # 10 cm


def test_trace_json(here: Path) -> None:
    Path("p.csv").write_text(POINTS, encoding="utf-8")
    document = json.loads(run("trace", "p.csv", "--json").stdout)
    assert document["schema"] == "ease/trace/1"
    assert document["fits"][1]["edge"] == "front.side"
    assert document["fits"][1]["deviation_cm"] < 0.05


def test_trace_faults(here: Path) -> None:
    Path("p.csv").write_text(POINTS.replace("8,1", "8,one"), encoding="utf-8")
    result = run("trace", "p.csv", "--out", "b.toml")
    assert result.exit_code == 3
    assert "line 6" in result.stderr
    assert "'one'" in result.stderr
    assert not Path("b.toml").exists()
    assert run("trace", "p.csv", "--picture", "b.doc").exit_code == 2
    assert run("trace", "gone.csv").exit_code == 3


def test_pdf_measures_what_the_command_says(here: Path) -> None:
    run("convert", "demo", "a.pdf", "--paper", "a3")
    pages = pypdf.PdfReader(io.BytesIO((here / "a.pdf").read_bytes())).pages
    assert float(pages[0].mediabox.height) * 25.4 / 72 == pytest.approx(420, abs=0.01)


TOP = """<svg xmlns="http://www.w3.org/2000/svg" width="30cm" height="50cm"
 viewBox="0 0 30 50"><path id="front" d="M2,2 L12,2 L22,14 L22,44 L2,44 Z"/>
<path id="bust" d="M2,16 L22,16"/></svg>"""


def test_an_allowance_that_no_edge_would_get_is_refused(here: Path) -> None:
    Path("top.svg").write_text(TOP, encoding="utf-8")
    result = run("convert", "top.svg", "top.pdf", "--seam-allowance", "6mm")
    assert result.exit_code == 2
    assert "the block names no seams, so no edge would get it" in result.stderr
    assert not Path("top.pdf").exists()
    own = run("convert", "top.svg", "top.pdf", "--seam-allowance", "edge 3=6mm")
    assert own.exit_code == 0, own.stderr
    assert (
        "front: with none at edge 1, edge 2, edge 4, edge 5; 6 mm at edge 3"
        in own.stdout
    )


def test_a_drawing_without_own_data_is_sewn_by_names(here: Path) -> None:
    """What a drawing program leaves of a block: lines and their names."""
    run("convert", "demo", "own.svg")
    text = Path("own.svg").read_text(encoding="utf-8")
    bare = re.sub(
        r"<metadata.*?</metadata>| data-ease-[a-z-]+=\"[^\"]*\"",
        "",
        text,
        flags=re.DOTALL,
    )
    Path("bare.svg").write_text(bare, encoding="utf-8")
    result = run("convert", "bare.svg", "bare.toml")
    assert result.exit_code == 0, result.stderr
    told = " ".join(result.stderr.split())
    assert "front.strap to back.strap, front.side to back.side" in told
    assert len(load_any_block("bare.toml").seams) == 3


def test_seams_of_a_map_that_do_not_match_are_told(here: Path) -> None:
    Path("top.svg").write_text(TOP, encoding="utf-8")
    Path("map.toml").write_text(
        'schema = "ease/map/1"\n[[seam]]\nedges = ["front.edge 1", "front.edge 3"]\n',
        encoding="utf-8",
    )
    result = run("convert", "top.svg", "top.toml", "--map", "map.toml")
    assert result.exit_code == 0, result.stderr
    told = " ".join(result.stderr.split())
    assert (
        "front.edge 1 is 10.0 cm and front.edge 3 30.0 cm long, 200.0 mm apart" in told
    )


def test_a_curve_that_swings_past_its_fold_says_how_to_mend_it(here: Path) -> None:
    text = POINTS_PAST_THE_FOLD
    Path("p.csv").write_text(text, encoding="utf-8")
    result = run("trace", "p.csv", "--out", "b.toml")
    assert result.exit_code == 3
    assert "edge waist: to meet the fold square, its curve swings past" in result.stderr
    mended = text.replace("0,0.25,", "0,0.25,free")
    Path("p.csv").write_text(mended, encoding="utf-8")
    assert run("trace", "p.csv", "--out", "b.toml").exit_code == 0


POINTS_PAST_THE_FOLD = """# units = in
# fold front = 0
# level waist = 1
piece,edge,point,across,down,hint
front,waist,waist centre,0,0.25,
front,waist,,3.5,0,
front,side,waist side,6.5,0,
front,leg,leg side,8.5,6.75,
front,crotch,crotch side,1.5,12.5,
front,fold,crotch centre,0,12.5,
"""
