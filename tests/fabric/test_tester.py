"""Exports shaped unlike each other, all of one invented cloth: T = 250 e, down 200."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from ease.errors import ReadingError
from ease.fabric.load_readings import Given, read_load_test
from ease.fabric.load_test import LoadResult

Floats = NDArray[np.float64]

# Invented cloth: straight going up; coming down straight to a set of 4 % of the gauge.
UP = 250.0
TOP = 0.8
SET = 0.04


def up(strain: Floats) -> Floats:
    return UP * strain


def down(strain: Floats) -> Floats:
    return np.asarray(np.maximum(UP * TOP * (strain - SET) / (TOP - SET), 0.0))


def cycle(points: int = 41) -> tuple[Floats, Floats]:
    """Return strain and tension of one cycle, N/m."""
    e = np.linspace(0, TOP, points)
    back = e[::-1][1:]
    return np.concatenate([e, back]), np.concatenate([up(e), down(back)])


def write(tmp_path: Path, text: str, encoding: str = "utf-8") -> Path:
    path = tmp_path / "export.csv"
    path.write_bytes(text.encode(encoding))
    return path


def check(result: LoadResult, tolerance: float = 0.02) -> None:
    assert result.curve.unloading is not None
    for strain in (0.2, 0.4, 0.6):
        assert result.curve.power_at(strain) == pytest.approx(
            UP * strain, rel=tolerance
        )
    down_40 = float(result.curve.unloading.tension_at(0.4))
    assert down_40 == pytest.approx(float(down(np.array(0.4))), rel=0.03)
    lost = 1 - (TOP - SET) / TOP
    assert result.curve.energy_lost == pytest.approx(lost, abs=0.01)


def test_preamble_unit_row_semicolons_decimal_comma_three_cycles(
    tmp_path: Path,
) -> None:
    # 5 cm strip, gauge 100 mm, extension in mm, load in N, three cycles, cp1252.
    e, t = cycle()
    rows = []
    for k in range(3):
        rows += [
            f"{k * 20 + i * 0.2:.2f};{100 * x:.3f};{y * 0.05:.4f}".replace(".", ",")
            for i, (x, y) in enumerate(zip(e, t, strict=True))
        ]
    text = "\n".join(
        [
            "Prüfbericht;;",
            "Operator;A. B.;",
            "Gauge length;100;mm",
            "Specimen width;50;mm",
            "Direction;course;",
            "",
            "Time;Extension;Load",
            "(s);(mm);(N)",
            *rows,
        ]
    )
    test = read_load_test(write(tmp_path, text, "cp1252"))
    assert test.across is not None
    assert test.along is None
    check(test.across)
    assert test.across.cycles == 3
    assert test.across.first is not None
    for word in ("gauge 100 mm", "strip 50 mm", "3 cycles", "in N", "across"):
        assert word in test.understood


def test_percent_strain_centinewton_tabs_sign_turned_and_slack(tmp_path: Path) -> None:
    # Slack for 5 % of the gauge at the start; load negative; strain in per cent.
    e, t = cycle()
    slack = np.linspace(0, 0.05, 6)[:-1]
    strain = np.concatenate([slack, 0.05 + 1.05 * e])
    load = -np.concatenate([np.zeros(5), t]) * 0.05 * 100
    rows = [f"{100 * x:.3f}\t{y:.2f}" for x, y in zip(strain, load, strict=True)]
    text = "Sample: invented\nWidth (mm): 50\nTensile strain\tForce\n%\tcN\n"
    path = write(tmp_path, text + "\n".join(rows))
    test = read_load_test(path, Given(direction="along"))
    assert test.along is not None
    check(test.along)
    assert any("slack of 5.0 %" in note for note in test.notes)
    assert any("sign" in note for note in test.notes)


def test_loop_in_kilogram_force_with_units_in_the_heading(tmp_path: Path) -> None:
    # A loop carries the load in two layers; inches; commas; utf-16 with a mark.
    e, t = cycle()
    kgf = t * 0.05 * 2 / 9.80665
    rows = [
        f"{i},{4 * x:.5f},{y:.6f}" for i, (x, y) in enumerate(zip(e, kgf, strict=True))
    ]
    text = "Gauge = 4 in\nWidth = 50 mm\nSpecimen type = loop\n"
    text += "Point,Crosshead (in),Load [kgf]\n" + "\n".join(rows)
    path = write(tmp_path, text, "utf-16")
    test = read_load_test(path, Given(direction="across"))
    assert test.across is not None
    check(test.across)
    assert "2 layers" in test.understood


def test_repeats_side_by_side_of_unequal_length(tmp_path: Path) -> None:
    e, t = cycle()
    lines = ["Gauge length: 10 cm", "Strip width: 5 cm", "Orientation: wale"]
    lines += ["Extension mm,Load N,Extension mm,Load N"]
    short = len(e) - 3
    for i in range(len(e)):
        left = f"{100 * e[i]:.3f},{0.05 * t[i] * 1.02:.5f}"
        right = f"{100 * e[i]:.3f},{0.05 * t[i] * 0.98:.5f}" if i < short else ","
        lines.append(f"{left},{right}")
    test = read_load_test(write(tmp_path, "\n".join(lines)))
    assert test.along is not None
    assert test.along.repeats == 2
    check(test.along)
    power = test.along.power(0.4)
    assert power is not None
    assert power.n == 2
    # Two figures 4 % of 100 N/m apart: standard deviation 4 / sqrt(2).
    assert power.sd == pytest.approx(4 / np.sqrt(2), rel=0.02)


def test_repeats_one_below_another_with_aligned_spaces_and_length(
    tmp_path: Path,
) -> None:
    e, t = cycle()
    lines = ["test of 3 strips", "width = 5 cm", "gauge = 200 mm", ""]
    for k in range(3):
        lines += [f"strip {k + 1}", "  Length      Load", "    mm          g"]
        for x, y in zip(e, t, strict=True):
            lines.append(f"{200 * (1 + x):9.3f} {y * 0.05 / 0.00980665:12.3f}")
        lines.append("")
    path = write(tmp_path, "\n".join(lines))
    test = read_load_test(path, Given(direction="across"))
    assert test.across is not None
    assert test.across.repeats == 3
    check(test.across)


def test_preload_load_per_width_and_rows_without_figures(tmp_path: Path) -> None:
    # Load comes per width already; the first row carries a preload of 2 N/m.
    e, t = cycle()
    rows = [f'"{100 * x:.3f}","{y / 100:.5f}"' for x, y in zip(e, t, strict=True)]
    rows[0] = '"0.000","0.020"'
    rows.insert(10, '"OVR","OVR"')
    text = '"Extension (%)","Tension (N/cm)"\n' + "\n".join(rows)
    test = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert test.across is not None
    check(test.across)
    assert any("preload of 2 N/m" in note for note in test.notes)
    assert any("1 row without figures" in note for note in test.notes)


def test_noise_and_a_load_cell_that_was_not_zeroed(tmp_path: Path) -> None:
    # 2,000 points, noise of 0.3 % of the top load, offset 0.4 N, slack at the start.
    random = np.random.default_rng(7)
    e, t = cycle(1000)
    strain = np.concatenate([np.linspace(0, 0.03, 40)[:-1], 0.03 + 1.03 * e])
    load = np.concatenate([np.zeros(39), t]) * 0.05 + 0.4
    load = load + random.normal(0, 0.003 * load.max(), load.size)
    rows = [f"{100 * x:.4f},{y:.4f}" for x, y in zip(strain, load, strict=True)]
    text = "gauge,100 mm\nwidth,50 mm\nExtension (mm),Load (N)\n" + "\n".join(rows)
    test = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert test.across is not None
    check(test.across, tolerance=0.05)
    assert test.across.curve.loading.strain.size <= 30
    assert any("zeroed" in note for note in test.notes)


def test_time_at_the_top_gives_the_stress_decay(tmp_path: Path) -> None:
    # Held 60 s at the top; 12.0 N falls to 10.5 N: decay 12.5 % (EN 14704-1, force
    # decay with time 100 (V - W)/V; formula from memory).
    e = np.linspace(0, 80, 30)
    rows = [f"{i},{x:.3f},{12 * x / 80:.4f}" for i, x in enumerate(e)]
    rows += [f"{30 + i},80.000,{12 - 1.5 * i / 60:.4f}" for i in range(61)]
    rows += [
        f"{91 + i},{x:.3f},{10.5 * x / 80:.4f}" for i, x in enumerate(e[::-1]) if i
    ]
    text = "gauge=100 mm\nwidth=50 mm\nTime (s),Extension (mm),Load (N)\n"
    test = read_load_test(
        write(tmp_path, text + "\n".join(rows)), Given(direction="across")
    )
    assert test.across is not None
    assert test.across.hold is not None
    assert test.across.hold.decay == pytest.approx(0.125, abs=0.002)
    assert test.across.hold.minutes == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("beside", [True, False])
def test_up_and_down_in_two_tables(tmp_path: Path, beside: bool) -> None:
    e, t = cycle()
    ways = [
        [f"{100 * x:.3f},{0.05 * y:.5f}" for x, y in zip(e[part], t[part], strict=True)]
        for part in (slice(0, 41), slice(40, None))
    ]
    head = "gauge,100 mm\nwidth,50 mm\n"
    title = "Extension (mm),Load (N)"
    if beside:
        rows = [f"{a},{b}" for a, b in zip(*ways, strict=True)]
        text = f"{head}{title},{title}\n" + "\n".join(rows)
    else:
        text = head + "\n\n".join("\n".join([title, *way]) for way in ways)
    test = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert test.across is not None
    assert test.across.repeats == 1
    check(test.across)


@pytest.mark.parametrize(
    "row",
    ["{load:.4f},N,{mm:.3f},mm", "{load:.4f} N;{mm:.3f} mm", "{load:.4f}N  {mm:.3f}mm"],
)
def test_units_in_the_rows_and_no_heading(tmp_path: Path, row: str) -> None:
    e, t = cycle()
    rows = [row.format(load=0.05 * y, mm=100 * x) for x, y in zip(e, t, strict=True)]
    path = write(tmp_path, "measured one day\n" + "\n".join(rows))
    given = Given(direction="across", gauge=10.0, strip_width=5.0)
    test = read_load_test(path, given)
    assert test.across is not None
    check(test.across)


def test_positions_of_the_crosshead_are_counted_from_the_first(tmp_path: Path) -> None:
    e, t = cycle()
    rows = [f"{300 + 100 * x:.3f},{0.05 * y:.5f}" for x, y in zip(e, t, strict=True)]
    text = "gauge,100 mm\nwidth,50 mm\nPosition (mm),Load (N)\n" + "\n".join(rows)
    test = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert test.across is not None
    check(test.across)
    assert any("300 mm" in note for note in test.notes)


def test_a_load_cell_at_its_end_is_said(tmp_path: Path) -> None:
    e, t = cycle()
    load = np.minimum(0.05 * t, 7.0)
    rows = [f"{100 * x:.3f},{y:.5f}" for x, y in zip(e, load, strict=True)]
    text = "gauge,100 mm\nwidth,50 mm\nExtension (mm),Load (N)\n" + "\n".join(rows)
    test = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert any("did the load cell reach its end" in note for note in test.notes)


def test_thousands_marks_decimal_comma_and_names_in_another_language(
    tmp_path: Path,
) -> None:
    e, t = cycle()
    lines = ["sep=;", "Breite;50 mm;", "Einspannlänge;100 mm;", "Weg (mm);Kraft (cN);"]
    for x, y in zip(e, t, strict=True):
        load = f"{5 * y:,.1f}".translate(str.maketrans(",.", ".,"))
        lines.append(f"{100 * x:.3f};{load};".replace(".", ",", 1))
    path = write(tmp_path, "\n".join(lines))
    test = read_load_test(path, Given(direction="across"))
    assert test.across is not None
    check(test.across)


@pytest.mark.parametrize(("times", "said"), [(100, "strain in %"), (1, "in fractions")])
def test_what_a_strain_without_a_unit_was_taken_for_is_said(
    tmp_path: Path, times: int, said: str
) -> None:
    e, t = cycle()
    rows = [f"{times * x:.5f},{0.05 * y:.5f}" for x, y in zip(e, t, strict=True)]
    text = "width,50 mm\nStrain,Load (N)\n" + "\n".join(rows)
    test = read_load_test(write(tmp_path, text), Given(direction="along"))
    assert test.along is not None
    check(test.along)
    assert said in test.understood


def test_flags_override_the_file(tmp_path: Path) -> None:
    e, t = cycle()
    rows = [f"{100 * x:.3f},{0.05 * y:.5f}" for x, y in zip(e, t, strict=True)]
    text = "gauge,100 mm\nwidth,50 mm\nExtension (mm),Load (N)\n" + "\n".join(rows)
    given = Given(direction="along", strip_width=2.5, gauge=20.0, layers=2)
    test = read_load_test(write(tmp_path, text), given)
    assert test.along is not None
    told = replace(given, length_unit="cm", gauge=200.0)
    assert "extension in cm" in read_load_test(write(tmp_path, text), told).understood
    # Half the width and two layers cancel; twice the gauge halves every strain.
    assert test.along.curve.power_at(0.2) == pytest.approx(UP * 0.4, rel=0.02)
    assert not any("is that its width?" in note for note in test.notes)
    narrow = replace(given, strip_width=0.5)
    asked = read_load_test(write(tmp_path, text), narrow).notes
    assert sum("said to be 0.5 cm wide" in note for note in asked) == 1


@pytest.mark.parametrize(
    ("head", "word"),
    [
        ("Extension (mm),Load (N)", "--gauge"),
        ("gauge,100 mm\nExtension (mm),Load (N)", "--strip-width"),
        ("gauge,100 mm\nwidth,50 mm\nExtension,Load (N)", "--units-length"),
        ("gauge,100 mm\nwidth,50 mm\nExtension (mm),Load", "--units-load"),
        ("gauge,100 mm\nwidth,50 mm\nMoon,Sun", "Load (N)"),
    ],
)
def test_what_is_lacking_is_asked_for(tmp_path: Path, head: str, word: str) -> None:
    rows = "\n".join(f"{i},{i}" for i in range(20))
    path = write(tmp_path, f"{head}\n{rows}")
    with pytest.raises(ReadingError) as caught:
        read_load_test(path, Given(direction="across"))
    assert word in caught.value.hint


def test_a_strip_that_slips_is_refused_with_its_rows(tmp_path: Path) -> None:
    e, t = cycle()
    t = t.copy()
    t[25:41] -= 60
    rows = [f"{100 * x:.3f},{0.05 * y:.5f}" for x, y in zip(e, t, strict=True)]
    text = "gauge,100 mm\nwidth,50 mm\nExtension (mm),Load (N)\n" + "\n".join(rows)
    with pytest.raises(ReadingError, match=r"line 28 to 29 .*tension falls from"):
        read_load_test(write(tmp_path, text), Given(direction="across"))


def test_a_strip_shorter_than_half_its_gauge_is_refused(tmp_path: Path) -> None:
    e, t = cycle()
    rows = [f"{100 * x:.3f},{0.05 * y:.5f}" for x, y in zip(e, t, strict=True)]
    rows[2] = f"-51,{rows[2].split(',')[1]}"
    text = "gauge,100 mm\nwidth,50 mm\nExtension (mm),Load (N)\n" + "\n".join(rows)
    with pytest.raises(ReadingError, match=r"line 6: .* shorter than half its gauge"):
        read_load_test(write(tmp_path, text), Given(direction="across"))


@pytest.mark.parametrize("mark", [".", ","])
@pytest.mark.parametrize("separator", [";", "\t"])
@pytest.mark.parametrize(
    ("heads", "row"),
    [
        ("extension (mm);load (N)", "{mm:.0f};{newton:.3f}"),
        ("extension (mm);load (N)", "{mm:.3f};{newton:.3f}"),
        ("time (s);extension (mm);load (N)", "{i};{mm:.1f};{newton:.3f}"),
        ("cycle;extension (mm);load (cN)", "1;{mm:.3f};{cn:.3f}"),
        ("point;time;extension;load\nno;s;mm;N", "{i};{s:.3f};{mm:.3f};{newton:.3f}"),
        ("extension (mm);load (g);cycle", "{mm:.1f};{g:.0f};1"),
    ],
)
def test_the_decimal_mark_is_told_from_thousands(
    tmp_path: Path, heads: str, row: str, separator: str, mark: str
) -> None:
    """Three decimals look like thousands, and whole numbers read either way."""
    e, t = cycle()
    lines = []
    for i, (x, y) in enumerate(zip(e, t, strict=True)):
        newton = y * 0.05
        said = {
            "mm": 100 * x,
            "newton": newton,
            "cn": 100 * newton,
            "g": 102 * newton,
        }
        lines.append(row.format(i=i, s=0.01 * i, **said).replace(".", mark))
    text = "\n".join(["gauge;100 mm;", "width;50 mm;", "", heads, *lines])
    text = text.replace(";", separator)
    found = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert found.across is not None
    check(found.across)


def test_thousands_marks_are_no_decimals(tmp_path: Path) -> None:
    """Of whole grams those from a thousand on have a comma."""
    e, t = cycle()
    rows = [f"{100 * x:.0f};{5.1 * y:,.0f}" for x, y in zip(e, t, strict=True)]
    head = ["gauge;100 mm", "width;50 mm", "", "extension (mm);load (g)"]
    text = "\n".join([*head, *rows])
    found = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert found.across is not None
    check(found.across)


@pytest.mark.parametrize("parted", ["", ";;"])
@pytest.mark.parametrize("after", [5, 20, 40, 41, 42, 60, 76, 79, 80])
def test_a_blank_line_parts_no_pull(tmp_path: Path, after: int, parted: str) -> None:
    e, t = cycle()
    head = ["gauge;100 mm;", "width;50 mm;", "", "time (s);extension (mm);load (N)"]
    rows = [
        f"{i};{100 * x:.3f};{y * 0.05:.4f}"
        for i, (x, y) in enumerate(zip(e, t, strict=True))
    ]
    text = "\n".join([*head, *rows[:after], parted, *rows[after:]]) + "\n"
    found = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert found.across is not None
    assert found.across.repeats == 1
    check(found.across)
    assert "81 points" in found.understood
    assert not [note for note in found.notes if "left out" in note]


def test_a_row_of_no_specimen_is_left_out(tmp_path: Path) -> None:
    e, t = cycle()
    rows = [f"1;{100 * x:.3f};{y * 0.05:.4f}" for x, y in zip(e, t, strict=True)]
    rows[20] = rows[20].replace("1;", "?;", 1)
    head = ["gauge;100 mm;", "width;50 mm;", "", "specimen;extension (mm);load (N)"]
    text = "\n".join([*head, *rows])
    found = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert found.across is not None
    check(found.across)


def test_a_few_rows_below_that_go_on_from_nothing_are_said(tmp_path: Path) -> None:
    e, t = cycle()
    rows = [f"{100 * x:.3f};{y * 0.05:.4f}" for x, y in zip(e, t, strict=True)]
    head = ["gauge;100 mm", "width;50 mm", "", "extension (mm);load (N)"]
    text = "\n".join([*head, *rows, "", "60;7.5", "61;7.6"])
    found = read_load_test(write(tmp_path, text), Given(direction="across"))
    assert found.across is not None
    check(found.across)
    assert "2 rows from line 87 on left out: no repeat" in found.notes


def test_words_alone_are_no_table(tmp_path: Path) -> None:
    with pytest.raises(ReadingError, match="no table of"):
        read_load_test(write(tmp_path, "a report\nwithout figures\n"))


def test_a_unit_of_load_that_is_not_known_is_not_taken_for_newtons(
    tmp_path: Path,
) -> None:
    path = tmp_path / "t.csv"
    path.write_text("Extension (mm);Load (daN)\n0;0\n10;1\n20;2\n30;3\n40;4\n")
    with pytest.raises(ReadingError, match=r"daN is no known unit; known are N, cN"):
        read_load_test(path, Given(gauge=10.0, strip_width=5.0, direction="along"))


@pytest.mark.parametrize(
    ("words", "found"), [(("along",), "along"), (("Course", "Wale"), "")]
)
def test_a_direction_in_every_row_is_the_direction(
    tmp_path: Path, words: tuple[str, ...], found: str
) -> None:
    e, t = cycle()
    head = "# Gauge length: 100 mm\n# Width: 50 mm\nDirection,Load (N),Extension (mm)\n"
    rows = "".join(
        f"{word},{0.05 * tension:.6f},{100 * strain:.4f}\n"
        for word in words
        for strain, tension in zip(e, t, strict=True)
    )
    path = write(tmp_path, head + rows)
    if not found:
        for given in (None, Given(direction="across")):
            with pytest.raises(ReadingError, match="both across and along"):
                read_load_test(path, given)
        return
    # What the file names counts, whatever was given.
    test = read_load_test(path, Given(direction="across"))
    assert test.across is None
    assert test.along is not None
    check(test.along)
