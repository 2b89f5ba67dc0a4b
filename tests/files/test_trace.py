"""Trace by numbers: points of a known block come back as that block."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ease.block.curves import evaluate
from ease.block.lengths import arc_length
from ease.block.measure import edge_length, level_girths
from ease.block.pieces import Block
from ease.demo import TRACE
from ease.errors import BlockError
from ease.files.trace_file import load_trace
from ease.files.trace_fit import fit_curve
from ease.files.trace_lines import _listed

HEAD = """# name = invented traced block
# fold = {fold}
# level bust = {bust}
# level waist = {waist}
# level hip = {hip} partly
# seam side = front.side, back.side
# hold strap width = front.strap in, front.strap out
# loop front = front.strap in, front.fold crotch
piece,edge,point,across (cm),down (cm),hint
"""


def rows(
    block: Block,
    per_curve: int = 9,
    turn: float = 1.0,
    fold: float = 0.0,
    digits: int = 6,
) -> str:
    """Read points off a block on a board where the fold lies anywhere."""
    lines = []
    for piece in block.pieces:
        for edge in piece.edges:
            for k, control in enumerate(edge.control):
                straight = edge.straight[k]
                t = [0.0] if straight else np.linspace(0, 1, per_curve)[:-1]
                for i, (x, y) in enumerate(evaluate(control, np.asarray(t))):
                    name = edge.start if i == k == 0 else ""
                    lines.append(
                        f"{piece.name},{edge.name},{name},"
                        f"{fold + turn * x:.{digits}f},{y:.{digits}f},"
                    )
    return "\n".join(lines)


@pytest.fixture
def written(tmp_path: Path, block: Block) -> Callable[..., Path]:
    def write(
        text: str | None = None, name: str = "points.csv", fold: float = 0.0, **how: Any
    ) -> Path:
        levels = {level.name: level.y for level in block.levels}
        body = HEAD.format(fold=fold, **levels) + rows(block, fold=fold, **how)
        path = tmp_path / name
        path.write_text(body if text is None else text, encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize(("turn", "fold"), [(1.0, 0.0), (1.0, 12.5), (-1.0, 60.0)])
def test_points_of_a_block_bring_it_back(
    block: Block, written: Callable[..., Path], turn: float, fold: float
) -> None:
    # Points about 1 cm apart, so that between them the curve has nowhere to go.
    path = written(turn=turn, fold=fold, per_curve=25)
    traced = load_trace(path, tolerance_cm=0.01)
    found = traced.block
    assert [p.name for p in found.pieces] == ["front", "back"]
    assert found.level("hip").loop == "partly"
    # Four quarters, each within the tolerance, across a side that slants up to 35 degrees.
    assert level_girths(found) == pytest.approx(level_girths(block), abs=4 * 0.01 / 0.8)
    for piece in block.pieces:
        for edge in piece.edges:
            other = found.edge(f"{piece.name}.{edge.name}")
            assert (other.start, other.end) == (edge.start, edge.end)
            assert edge_length(other) == pytest.approx(edge_length(edge), abs=0.03)
    assert max(fit.deviation_cm for fit in traced.fits) <= 0.01
    lengths = [edge_length(block.edge(f"{half}.side")) for half in ("front", "back")]
    apart = 10 * (lengths[0] - lengths[1])
    note, loop = traced.notes
    assert str(loop).startswith("the torso loop does not close: ")  # one piece alone
    assert str(note).startswith(
        "front.side is {:.1f} cm and back.side {:.1f} cm long, ".format(*lengths)
    )
    told = re.search(r"([0-9.]+) mm apart; they are sewn together", str(note))
    assert told is not None
    assert float(told[1]) == pytest.approx(apart, abs=0.5)


def test_curve_meets_the_fold_square_unless_it_is_free(
    block: Block, written: Callable[..., Path]
) -> None:
    square = load_trace(written(digits=1)).block.edge("front.neckline").control[0]
    assert square[1, 1] == pytest.approx(square[0, 1], abs=1e-9)
    text = (
        written(digits=1)
        .read_text()
        .replace(",neckline,fold neck,", ",neckline,fold neck,", 1)
    )
    first = next(row for row in text.splitlines() if "fold neck" in row)
    free = load_trace(written(text.replace(first, f"{first}free", 1))).block
    assert abs(np.diff(free.edge("front.neckline").control[0, :2, 1])[0]) > 1e-3


def test_corner_breaks_the_curve(tmp_path: Path) -> None:
    path = tmp_path / "corner.toml"
    path.write_text(
        """schema = "ease/trace/1"
name = "corner"
units = "in"
[[level]]
name = "waist"
y = "3 1/2"
[[piece]]
name = "front"
fold = 1
[[piece.edge]]
name = "top"
from = "a"
through = [[1, 0], [3, 0.5], [4, 2, "corner"], [5, 2.2], [6, 3]]
[[piece.edge]]
name = "side"
from = "b"
through = [["7 1/2", 3]]
[[piece.edge]]
name = "hem"
from = "c"
hint = "line"
through = [[7, 8], [4, 8.1]]
[[piece.edge]]
name = "fold"
from = "d"
through = [[1, 8]]
""",
        encoding="utf-8",
    )
    block = load_trace(path).block
    assert block.level("waist").y == pytest.approx(3.5 * 2.54)
    top = block.edge("front.top").control
    corner = next(
        i for i, c in enumerate(top[1:]) if np.allclose(c[0], [3 * 2.54, 2 * 2.54])
    )
    into = top[corner, 3] - top[corner, 2]
    out = top[corner + 1, 1] - top[corner + 1, 0]
    turn = into @ out / np.linalg.norm(into) / np.linalg.norm(out)
    assert turn < 0.95
    assert block.edge("front.hem").straight == (True, True)
    assert block.edge("front.side").first == pytest.approx([6.5 * 2.54, 3 * 2.54])


def test_spreadsheet_with_decimal_commas(
    block: Block, written: Callable[..., Path]
) -> None:
    plain = load_trace(written())
    lines = written().read_text().splitlines()
    text = "\n".join(
        row if row.startswith("#") else row.replace(",", ";").replace(".", ",")
        for row in lines
    )
    found = load_trace(written(text.replace("points;csv", ""), name="comma.csv"))
    assert level_girths(found.block) == pytest.approx(level_girths(plain.block))


def test_fit_follows_one_true_cubic_exactly() -> None:
    cubic = np.array([[0, 13.3], [5.1, 13.3], [7.7, 9], [8.2, 1]], dtype=float)
    points = evaluate(cubic, np.linspace(0, 1, 15) ** 1.3)
    legs, deviation = fit_curve(points, tolerance_cm=0.01)
    assert len(legs) == 1
    assert deviation < 0.01
    assert float(arc_length(legs).sum()) == pytest.approx(
        float(arc_length(cubic)), abs=0.01
    )


@pytest.mark.parametrize("seed", range(5))
def test_fit_smooths_ruler_errors(seed: int) -> None:
    """Points read to the millimetre: the curve runs nearer to the truth than they do."""
    rng = np.random.default_rng(seed)
    cubic = np.array([[0, 0], [8, 0], [12, 6], [13, 20]], dtype=float)
    truth = evaluate(cubic, np.linspace(0, 1, 25))
    read = truth + rng.uniform(-0.05, 0.05, truth.shape)
    read[[0, -1]] = truth[[0, -1]]
    legs, deviation = fit_curve(read, np.array([1.0, 0.0]), tolerance_cm=0.1)
    assert len(legs) == 1
    assert deviation <= 0.1
    dense = evaluate(legs[:, None], np.linspace(0, 1, 500)).reshape(-1, 2)
    off = np.linalg.norm(truth[:, None] - dense, axis=2).min(axis=1)
    noise = np.linalg.norm(read - truth, axis=1)
    assert np.sqrt((off**2).mean()) < np.sqrt((noise**2).mean())


def test_fit_of_a_wave_takes_a_smooth_chain() -> None:
    x = np.linspace(0, 30, 40)
    points = np.stack([x, 3 * np.sin(x / 3)], axis=1)
    legs, deviation = fit_curve(points, tolerance_cm=0.02)
    assert 3 < len(legs) < 25
    assert deviation <= 0.02
    # Direction and curvature run on from one cubic to the next.
    before, after = legs[:-1], legs[1:]
    into, out = before[:, 3] - before[:, 2], after[:, 1] - after[:, 0]
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    assert np.abs(cross).max() < 1e-9 * np.abs(into).max() ** 2 + 1e-9


def test_a_piece_is_kept_out_of_girths(
    written: Callable[..., Path], block: Block
) -> None:
    text = HEAD.format(fold=0.0, bust=25.5, waist=41.3, hip=58.2) + rows(block)
    kept = text.replace("# fold", "# girth back = No\n# fold", 1)
    whole = load_trace(written(text)).block
    half = load_trace(written(kept, name="kept.csv")).block
    assert [piece.in_girth for piece in half.pieces] == [True, False]
    assert level_girths(half)["waist"] < 0.6 * level_girths(whole)["waist"]


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        (
            "front,strap,strap in",
            "front,strap,",
            "edge front.strap begins here",
        ),
        ("# level waist = 41.3", "# level waist = 141.3", "where no piece is"),
        (
            "# seam side = front.side",
            "# seam side = front.sides",
            "no edge 'front.sides'",
        ),
        ("# name =", "# colour =", "is not known; known are name"),
        ("# fold = 0.0", "# girth = no\n# fold = 0.0", "known are name"),
        ("# fold = 0.0", "# girth front = nay\n# fold = 0.0", "must be yes or no"),
        ("# fold = 0.0", "# fold fornt = 0.0", "no piece 'fornt'; did you mean front?"),
        ("front,strap,strap in,8.200000", "front,strap,strap in,wide", "'wide'"),
        ("front,strap,strap in,8.200000", "front,strap,strap in,nan", "nan"),
        (
            "front,strap,strap in,8.200000,1.000000,",
            "front,strap,strap in,8.2,1,round",
            "none of line",
        ),
        ("piece,edge", "pece,edge", "piece"),
        (
            "front,strap,strap in,8.200000,1.000000",
            "front,strap,strap in,13.4,9.0",
            "crosses itself",
        ),
        ("# fold = 0.0", "# fold = wide", "'wide'"),
        (
            "# hold strap width = front.strap in",
            "# hold strap width = front.strip in",
            "no point",
        ),
    ],
)
def test_faults_are_named(
    written: Callable[..., Path], old: Any, new: Any, match: str
) -> None:
    text = written().read_text()
    assert old in text
    with pytest.raises(BlockError, match=match):
        load_trace(written(text.replace(old, new)))


def test_same_point_twice_is_refused(written: Callable[..., Path]) -> None:
    text = written().read_text()
    row = next(line for line in text.splitlines() if line.startswith("front,armhole,,"))
    with pytest.raises(BlockError, match="two points in a row are the same"):
        load_trace(written(text.replace(row, f"{row}\n{row}")))


CORNERS = """# fold = 0
# level waist = 5
piece,edge,point,across,down,hint
front,top,a,0,0,
front,top,,8,1,
front,side,b,8,1,
front,side,,7,5,
front,side,,9,10,corner
front,hem,c,9,10,
front,hem,,0,10,
"""


def test_edges_may_repeat_the_corner_that_the_next_begins_with(tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    fold = "front,fold,d,0,10,\nfront,fold,,0,0,\n"
    path.write_text(CORNERS + fold, encoding="utf-8")
    piece = load_trace(path).block.piece("front")
    assert [edge.name for edge in piece.edges] == ["top", "side", "hem", "fold"]
    # Taken for a curve that meets the fold square, the fold would leave its line.
    assert np.abs(piece.edge("fold").control[..., 0]).max() < 1e-9
    assert edge_length(piece.edge("fold")) == pytest.approx(10)
    assert edge_length(piece.edge("top")) == pytest.approx(np.hypot(8, 1))


def test_an_edge_that_is_missing_between_repeated_corners_is_named(
    tmp_path: Path,
) -> None:
    path = tmp_path / "p.csv"
    path.write_text(CORNERS, encoding="utf-8")
    match = "piece front: edge hem ends at 0, 10 cm and top begins at 0, 0 cm"
    with pytest.raises(BlockError, match=match):
        load_trace(path)


def test_points_in_mm_under_cm_are_named(written: Callable[..., Path]) -> None:
    text = written().read_text(encoding="utf-8")
    large = written(text.replace("(cm)", "(m)"))
    with pytest.raises(BlockError, match="cm long; were the points read in mm"):
        load_trace(large)


@pytest.mark.parametrize("name", ["points.txt", "points.svg"])
def test_other_endings_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BlockError, match=r"\.toml or \.csv"):
        load_trace(tmp_path / name)


def test_tolerance_that_is_none_is_refused(written: Callable[..., Path]) -> None:
    with pytest.raises(BlockError, match=r"not between 0\.001 and 2 cm"):
        load_trace(written(), tolerance_cm=0.0)


NATURAL = """# level waist = 5
# fold = 0
piece,edge,point,across,down
front,top,1,0,0
front,top,2,9,0
front,side,1,9,0
front,side,2,14,20
front,hem,1,14,20
front,hem,2,0,20
front,fold,1,0,20
front,fold,2,0,0
"""


def faults(tmp_path: Path, text: str, name: str = "p.csv") -> list[str]:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BlockError) as caught:
        load_trace(path)
    return [str(problem) for problem in caught.value.problems]


def test_points_numbered_afresh_on_each_edge_are_told_by_name_and_line(
    tmp_path: Path,
) -> None:
    assert faults(tmp_path, NATURAL) == [
        "piece front: point name 1 stands for four places, (0, 0 cm) in line 4, "
        "(9, 0 cm) in line 6, (14, 20 cm) in line 8 and (0, 20 cm) in line 10: "
        "give each place its own name"
    ]
    two = NATURAL.replace("side,1", "side,b").replace("hem,1", "hem,c")
    assert faults(tmp_path, two) == [
        "piece front: point name 1 stands for two places, (0, 0 cm) in line 4 and "
        "(0, 20 cm) in line 10: give each place its own name"
    ]
    # What only the second point of an edge is called does no harm.
    path = tmp_path / "good.csv"
    path.write_text(two.replace("fold,1", "fold,d"), encoding="utf-8")
    assert [e.start for e in load_trace(path).block.pieces[0].edges] == [*"1bcd"]


def test_the_same_in_a_toml_file_has_its_line(tmp_path: Path) -> None:
    text = """schema = "ease/trace/1"
name = "t"
[[level]]
name = "waist"
y = 5
[[piece]]
name = "front"
fold = 0
[[piece.edge]]
name = "top"
from = "a"
through = [[0, 0]]
[[piece.edge]]
name = "side"
from = "b"
through = [[9, 0]]
[[piece.edge]]
name = "hem"
from = "a"
through = [[9, 20]]
[[piece.edge]]
name = "fold"
from = "d"
through = [[0, 20]]
"""
    (told,) = faults(tmp_path, text, "p.toml")
    assert "point name a stands for two places, (0, 0 cm) in line 9 and (9, 20" in told
    assert "in line 17" in told


PLAIN = """piece,edge,point,across,down
front,top,neck mid,0,0
front,side,arm,9,0
front,hem,low side,14,20
front,fold,low,0,20
back,top,neck mid,0,0
back,side,arm,9,0
back,hem,low side,14,20
back,fold,low,0,20
"""
LINES = "# level waist = 5\n# fold = 0\n"


@pytest.mark.parametrize("mark", [", ", ",", "; ", " ", "   "])
def test_names_stand_between_commas_or_blanks(tmp_path: Path, mark: str) -> None:
    path = tmp_path / "p.csv"
    lines = (
        f"# seam side = front.side{mark}back.side\n"
        f"# hold w = front.neck mid{mark}front.arm\n"
        f"# loop a = front.neck mid{mark}front.low side{mark}front.low\n"
        f"# loop b = back.low{mark}back.neck mid\n"
    )
    path.write_text(LINES + lines + PLAIN, encoding="utf-8")
    block = load_trace(path).block
    assert [(seam.first, seam.second) for seam in block.seams] == [
        ("front.side", "back.side")
    ]
    (hold,) = block.holds
    assert (hold.first.point, hold.second.point) == ("neck mid", "arm")
    assert [[ref.point for ref in run] for run in block.loop_path] == [
        ["neck mid", "low side", "low"],
        ["low", "neck mid"],
    ]


def test_blanks_that_could_part_names_in_two_ways_part_nothing() -> None:
    assert _listed("x.a b x.c", ["x.a", "x.a b", "b x.c", "x.c"]) == ["x.a b x.c"]
    assert _listed("x.a b x.c", ["x.a b", "x.c"]) == ["x.a b", "x.c"]


def test_all_faults_of_the_lines_come_at_once_in_their_own_words(
    tmp_path: Path,
) -> None:
    lines = (
        "# level hip = 12\n# level high = wide\n# seam x = front.sid back.side\n"
        "# hold w = front.arm\n# loop f = front.arm, front.q\n"
    )
    assert faults(tmp_path, "# fold = 0\n" + lines + PLAIN) == [
        "# seam x: the block has no edge 'front.sid'; did you mean front.side?",
        "# hold w: must name two points, such as front.neck mid, back.low, "
        "not 'front.arm'",
        "# loop f: the block has no point 'front.q'; did you mean front.low?",
        "# anchor: no level waist is there to stay in place when the block is "
        "adjusted; name one, such as `# anchor = hip`",
    ]
    none = faults(tmp_path, "# fold = 0\n" + PLAIN)
    assert none == ["names no level; write at least one, `# level waist = 41`"]
    wide = faults(tmp_path, "# fold = 0\n# level waist = wide\n" + PLAIN)
    assert len(wide) == 1
    assert wide[0].startswith("# level waist: 'wide' is not a number")


def test_no_fault_of_a_csv_speaks_of_tables(tmp_path: Path) -> None:
    """Names with full stops, and points far off the board, get their lines and names."""
    for old, new, said in (
        (
            "front,side",
            "front,si.de",
            "line 5, piece front, edge si.de: a name holds no",
        ),
        ("front,", "fr.ont,", "piece fr.ont: a name holds no full stop"),
    ):
        found = faults(tmp_path, LINES + PLAIN.replace(old, new))
        assert any(fault.startswith(said) for fault in found), found
        assert not any("[" in fault for fault in found), found
    far = PLAIN.replace(",0\n", ",390\n").replace(",20\n", ",410\n")
    found = faults(tmp_path, LINES + far)
    assert found == [
        f"piece {name}: it reaches 410 cm from the fold or the top of the board; "
        "accepted is 300 cm"
        for name in ("front", "back")
    ]


@pytest.mark.parametrize(
    ("lines", "head", "cm"),
    [
        ("# units = in\n", "across,down", 2.54),
        ("# units = inches\n", "across,down", 2.54),
        ("# units = mm\n", "across,down", 0.1),
        ("# units = cm\n", "across,down", 1.0),
        ("", "across (in),down (in)", 2.54),
        ("", "across,down", 1.0),
    ],
)
def test_the_unit_of_all_bare_numbers(
    tmp_path: Path, lines: str, head: str, cm: float
) -> None:
    path = tmp_path / "p.csv"
    text = lines + LINES + PLAIN.replace("across,down", head)
    path.write_text(text, encoding="utf-8")
    block = load_trace(path).block
    assert block.level("waist").y == pytest.approx(5 * cm)
    assert edge_length(block.edge("front.top")) == pytest.approx(9 * cm)


def test_a_unit_of_columns_goes_before_that_of_the_lines(tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    text = PLAIN.replace("across,down", "across (mm),down (mm)")
    path.write_text("# units = cm\n# level waist = 1\n# fold = 0\n" + text)
    block = load_trace(path).block
    assert block.level("waist").y == pytest.approx(1.0)
    assert edge_length(block.edge("front.top")) == pytest.approx(0.9)
    told = faults(tmp_path, "# units = ft\n" + LINES + PLAIN)
    assert told == ["# units: 'ft' is none of cm, mm, in"]


def test_the_shipped_example_says_that_it_is_invented_and_uses_most_forms() -> None:
    traced = load_trace(TRACE)
    assert "invented" in traced.block.note
    assert traced.notes == ()
    assert [len(piece.edges) for piece in traced.block.pieces] == [5, 5]
    assert all(piece.on_fold for piece in traced.block.pieces)
    assert level_girths(traced.block)["hip"] == pytest.approx(4 * 19.2, abs=0.2)
    assert len(traced.block.seams) == 2
    assert len(traced.block.holds) == 1


# Invented: a top on the fold, drawn left or right of it, with an armhole of three points.
TOP = """# name = top
# fold = {fold}
# level bust = 20
# anchor = bust
piece,edge,point,across,down,hint
front,neck,a,{0},8,line
front,strap,b,{6},0,
front,armhole,c,{10},1,
front,armhole,,{12},8,
front,armhole,,{inside},13,
front,side,d,{18},16,
front,hem,e,{18},{low},line
front,fold,f,{0},30,line
"""


def top(folder: Path, fold: float, side: int, inside: float, low: float) -> Path:
    places = [fold + side * x for x in range(19)]
    path = folder / "top.csv"
    wide = fold + side * inside
    path.write_text(TOP.format(*places, fold=fold, inside=wide, low=low), "utf-8")
    return path


@pytest.mark.parametrize(("fold", "side"), [(0.0, 1), (40.0, 1), (70.0, -1)])
def test_a_slipped_point_is_told_as_on_the_board(
    tmp_path: Path, fold: float, side: int
) -> None:
    """A hem that rises above the armhole crosses it between 12 and 18 from the fold."""
    assert load_trace(top(tmp_path, fold, side, 14, 30)).block.pieces
    with pytest.raises(BlockError, match="near") as told:
        load_trace(top(tmp_path, fold, side, 14, 3))
    found = re.search(r"near ([\d.]+) across and ([\d.]+) cm down", str(told.value))
    assert found is not None
    across, down = map(float, found.groups())
    assert 10 < side * (across - fold) < 18
    assert 1 < down < 16


def test_an_edge_that_does_not_meet_the_fold_is_not_told_to_be_free(
    tmp_path: Path,
) -> None:
    with pytest.raises(
        BlockError, match="which it does not meet: is one of its points"
    ):
        load_trace(top(tmp_path, 0.0, 1, 0.3, 30))
