"""Hand-made load tests: hung weights, repeats, loops, faults; figures invented."""

from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from ease.errors import ReadingError, RefusedError
from ease.fabric.load_readings import Given, read_load_test
from ease.fabric.load_test import LoadTest, add_tension
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.sweep_line import never_falling

HEAD = "# gauge = 10 cm\n# strip_width = 5 cm\n"


def read(tmp_path: Path, text: str, given: Given | None = None) -> LoadTest:
    path = tmp_path / "weights.csv"
    path.write_text(text, encoding="utf-8")
    return read_load_test(path, given)


def test_six_weights_up_and_down(tmp_path: Path) -> None:
    text = HEAD + (
        "direction,repeat,branch,load (g),length (cm)\n"
        "across,1,up,0,10.0\nacross,1,up,50,11.0\nacross,1,up,100,12.0\n"
        "across,1,up,200,14.0\nacross,1,up,300,15.5\nacross,1,down,200,14.4\n"
        "across,1,down,100,12.6\nacross,1,down,50,11.6\nacross,1,down,0,10.4\n"
    )
    test = read(tmp_path, text)
    assert test.across is not None
    curve = test.across.curve
    # 100 g on 5 cm: 0.1 x 9.80665 / 0.05 N/m.
    assert curve.power_at(0.2) == pytest.approx(19.6133)
    assert curve.power_at(0.4) == pytest.approx(2 * 19.6133)
    assert curve.power_at(0.6) is None
    assert curve.set_strain == pytest.approx(0.04)
    assert curve.unloading is not None
    assert curve.unloading.last_tension == pytest.approx(curve.loading.last_tension)
    assert float(curve.unloading.tension_at(0.26)) == pytest.approx(19.6133)
    assert 0 < (curve.energy_lost or 0) < 0.4
    assert any("only across" in note for note in test.notes)
    assert "strip 50 mm" in test.understood
    assert "load in g" in test.understood


def test_a_loop_has_two_layers(tmp_path: Path) -> None:
    rows = "direction,load,length\nalong,0 N,10\nalong,2 N,12\nalong,4 N,13\n"
    strip = read(tmp_path, HEAD + rows)
    loop = read(tmp_path, HEAD + "# layers = 2\n" + rows)
    flag = read(tmp_path, HEAD + rows, Given(layers=2))
    assert strip.along is not None
    assert loop.along is not None
    assert flag.along is not None
    assert strip.along.curve.power_at(0.2) == pytest.approx(40.0)
    assert loop.along.curve.power_at(0.2) == pytest.approx(20.0)
    assert flag.along.curve == loop.along.curve


def test_repeats_meet_at_the_union_of_strains_where_all_reach(tmp_path: Path) -> None:
    text = HEAD + "direction,repeat,load,length\n"
    for repeat, (a, b) in enumerate([(12, 14), (11, 13)], start=1):
        text += f"across,{repeat},0,10\nacross,{repeat},1,{a}\nacross,{repeat},2,{b}\n"
    test = read(tmp_path, text)
    assert test.across is not None
    band = test.across.loading
    np.testing.assert_allclose(band.strain, [0, 0.1, 0.2, 0.3], atol=1e-12)
    # 1 N on 5 cm is 20 N/m. At 10 %: 10 and 20; at 20 %: 20 and 30; at 30 %: 30, 40.
    np.testing.assert_allclose(band.mean, [0, 15, 25, 35], atol=1e-9)
    np.testing.assert_allclose(band.least, [0, 10, 20, 30], atol=1e-9)
    np.testing.assert_allclose(band.most, [0, 20, 30, 40], atol=1e-9)
    assert test.across.repeats == 2
    # The scale of a repeat is its work to 30 % over the mean work.
    assert test.across.scale is not None
    line = [(0, 0), (0.2, 20), (0.3, 30)], [(0, 0), (0.1, 20), (0.3, 40)]
    works = [np.trapezoid([y for _, y in one], [x for x, _ in one]) for one in line]
    expected = np.std(np.array(works) / np.mean(works), ddof=1)
    assert test.across.scale.sd == pytest.approx(expected)


def test_loops_of_one_shape_lose_one_share_wherever_they_turn(tmp_path: Path) -> None:
    """Under one weight strips turn at unlike lengths, and each loop is whole."""
    shape = [(0, 0.0), (1, 0.1), (2.1, 0.2), (3.4, 0.3), (5, 0.4)]
    back = [(3.1, 0.3), (1.8, 0.2), (0.75, 0.1), (0, 0.02)]
    head = HEAD + "direction,repeat,branch,load,length\n"

    def rows(repeat: int, times: float) -> str:
        return "".join(
            f"across,{repeat},{way},{load},{10 * (1 + times * strain):.9f}\n"
            for way, points in (("up", shape), ("down", back))
            for load, strain in points
        )

    alone = read(tmp_path, head + rows(1, 1.0)).across
    several = (1.0, 1.08, 1.15)
    text = "".join(rows(at, times) for at, times in enumerate(several, start=1))
    three = read(tmp_path, head + text).across
    assert alone is not None
    assert three is not None
    assert alone.energy_lost == pytest.approx(alone.curve.energy_lost)
    assert three.energy_lost == pytest.approx(alone.energy_lost, rel=1e-6)
    areas = []
    for points in (shape, [*back[::-1], shape[-1]]):
        load, strain = np.transpose(sorted(points, key=lambda point: point[1]))
        areas.append(PchipInterpolator(strain, load).integrate(strain[0], strain[-1]))
    assert alone.energy_lost == pytest.approx(1 - areas[1] / areas[0], rel=1e-6)
    assert three.set_strain == pytest.approx(0.02 * np.mean(several))


def test_an_extension_stands_for_the_length(tmp_path: Path) -> None:
    """Both directions in one table, the gauge of 10 cm taken off the length."""
    rows = [("across", "up", 0, 0), ("across", "up", 1, 2), ("across", "down", 0, 0.3)]
    rows += [("along", "up", 1, 3), ("along", "up", 2, 5)]
    tests = []
    for name, start in (("length", 10), ("extension", 0)):
        text = HEAD + f"direction,branch,load,{name} (cm)\n"
        text += "".join(f"{d},{b},{load},{start + cm}\n" for d, b, load, cm in rows)
        tests.append(read(tmp_path, text))
    by_length, by_extension = tests
    for one, same in zip(by_length.results, by_extension.results, strict=True):
        assert one.direction == same.direction
        np.testing.assert_allclose(one.loading.strain, same.loading.strain, atol=1e-12)
        np.testing.assert_allclose(one.loading.mean, same.loading.mean)
    assert by_extension.across is not None
    assert by_extension.across.set_strain == pytest.approx(0.03)
    bare = "# strip_width = 5 cm\n" + text.split("\n", 2)[2]
    with pytest.raises(ReadingError, match="gauge"):
        read(tmp_path, bare)


def test_the_spread_counts_each_strip_from_zero(tmp_path: Path) -> None:
    """The first weight lies beyond 20 %: straight lines from no load lead to it."""
    text = "# gauge = 10 cm\n# strip_width = 5 cm\n"
    text += "direction,repeat,load (g),length (cm)\n"
    for repeat, lengths in enumerate(
        ((13.0, 15.0), (14.0, 16.1), (12.4, 14.2)), start=1
    ):
        for load, length in zip((200, 400), lengths, strict=True):
            text += f"across,{repeat},{load},{length}\n"
    across = read(tmp_path, text).across
    assert across is not None
    first = 0.2 * 9.80665 / 0.05
    each = np.array([first * 0.2 / strain for strain in (0.3, 0.4, 0.24)])
    power = across.power(0.2)
    assert power is not None
    assert power.n == 3
    assert power.sd == pytest.approx(each.std(ddof=1))


def test_slack_moves_the_gauge_to_the_length_at_first_tension(tmp_path: Path) -> None:
    text = HEAD + "direction,load,length\nacross,0,10.5\nacross,1,12.6\nacross,2,14.7\n"
    test = read(tmp_path, text)
    assert test.across is not None
    assert test.across.curve.power_at(0.2) == pytest.approx(20.0)
    assert any("slack of 5.0 %" in note for note in test.notes)


def test_an_unloading_that_stops_before_zero_is_carried_on_and_said(
    tmp_path: Path,
) -> None:
    text = HEAD + "direction,branch,load,length\nacross,up,0,10\nacross,up,1,12\n"
    text += "across,up,2,14\nacross,up,4,16\nacross,down,2,15\nacross,down,0.5,11\n"
    test = read(tmp_path, text)
    assert test.across is not None
    # 10 N/m at 10 %, 40 N/m at 50 %: straight on to zero is negative, so at strain 0.
    assert test.across.curve.set_strain == pytest.approx(0.0)
    assert any("carried on straight to zero" in note for note in test.notes)


def test_a_curve_that_falls_is_refused_with_its_rows(tmp_path: Path) -> None:
    text = HEAD + "direction,load,length\nacross,0,10\nacross,2,13\nacross,4,12\n"
    text += "along,0,10\nalong,2,13\nalong,4,12.5\n"
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text)
    lines = str(caught.value).splitlines()
    assert len(lines) == 2
    assert "line 6 to 5 (across 1, loading)" in lines[0]
    assert "tension falls from 80.0 to 40.0 N/m" in lines[0]


@pytest.mark.parametrize(
    ("slack", "before"), [("16", "line 6 to 9"), ("13", "line 8 to 9")]
)
def test_a_slack_strip_longer_than_a_loaded_one_is_refused(
    tmp_path: Path, slack: str, before: str
) -> None:
    """Its rows under load on the way back must not be dropped as slack."""
    text = HEAD + "direction,branch,load,length\nacross,up,0,10\nacross,up,4,16\n"
    rows = "across,down,3,15\nacross,down,2,14\nacross,down,1,12\nacross,down,0,{}\n"
    with pytest.raises(ReadingError, match="tension falls from") as caught:
        read(tmp_path, text + rows.format(slack))
    assert before in str(caught.value)
    assert "to 0.0 N/m" in str(caught.value)
    as_short = read(tmp_path, text + rows.format("12")).across
    assert as_short is not None


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("6,15", "line 5, column load: more than the strip was loaded with"),
        (
            "3,20",
            "line 5, column length: 20 cm as the weights come off is longer than 16",
        ),
        ("0,1.02", "line 5, column length: 1.02 cm is shorter than the gauge (10 cm)"),
    ],
)
def test_what_cannot_be_as_weights_come_off_is_refused(
    tmp_path: Path, row: str, said: str
) -> None:
    text = HEAD + "direction,branch,load,length\nacross,up,4,16\n"
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text + f"across,down,{row}\n")
    assert said in str(caught.value)


@pytest.mark.parametrize(("off", "refused"), [(0.0, False), (0.1, False), (0.8, True)])
def test_no_cloth_gives_back_more_than_was_put_in(
    tmp_path: Path, off: float, refused: bool
) -> None:
    """Each length coming off is shorter than the one going on under the same load."""
    lengths = {1: 12, 2: 13.5, 3: 15, 4: 16}
    text = HEAD + "direction,branch,load,length\nacross,up,0,10\n"
    text += "".join(f"across,up,{load},{length}\n" for load, length in lengths.items())
    text += "".join(f"across,down,{load},{lengths[load] - off}\n" for load in (3, 2, 1))
    text += "across,down,0,10\n"
    if not refused:
        across = read(tmp_path, text).across
        assert across is not None
        assert across.energy_lost == pytest.approx(0.0, abs=0.05)
        return
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text)
    assert "across 1: gives back" in str(caught.value)
    assert "which no cloth does" in str(caught.value)


def test_a_strip_may_creep_under_its_load(tmp_path: Path) -> None:
    """Read again at the top: 7.2 cm longer than the gauge, a fifth more than 6."""
    text = HEAD + "direction,branch,load,length\nacross,up,2,13\nacross,up,4,16\n"
    rows = "across,down,4,{}\nacross,down,2,14\nacross,down,0,10.4\n"
    assert read(tmp_path, text + rows.format("17.2")).across is not None
    with pytest.raises(ReadingError, match="line 6, column length"):
        read(tmp_path, text + rows.format("17.3"))


def test_one_unloaded_length_is_rather_wrong_than_all_under_load(
    tmp_path: Path,
) -> None:
    text = HEAD + "direction,load,length\nacross,0,16\nacross,1,12\nacross,2,14\n"
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text)
    assert str(caught.value).endswith(
        "line 4, column length: 16 cm under no load is longer than 12 cm under load "
        "(line 5)"
    )


def test_much_slack_is_doubted(tmp_path: Path) -> None:
    text = HEAD + "direction,load,length (in)\nacross,0,10\nacross,1,12\nacross,2,14\n"
    test = read(tmp_path, text)
    assert any(
        "slack of 154.0 % of the gauge taken off; are the gauge and the unit of length "
        "right?" in note
        for note in map(str, test.notes)
    )


def test_all_faults_at_once(tmp_path: Path) -> None:
    text = "# gauge = 10 cm\ndirection,branch,load,length\n"
    text += "acros,up,1,12\nacross,sideways,-1,11\nacross,up,2 cm,9\n"
    with pytest.raises(ReadingError, match="strip_width"):
        read(tmp_path, text)
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text, Given(strip_width=5.0))
    found = str(caught.value)
    for part in ("did you mean across?", "sideways", "0 or more", "'2 cm'"):
        assert part in found


def test_repeats_that_reach_one_strain_from_two_gauges_make_one_point(
    tmp_path: Path,
) -> None:
    """24.0 / 20.0 and 24.6 / 20.5 differ in the last digits alone."""
    text = (
        "# strip_width = 5 cm\ndirection,repeat,branch,load (g),length (cm)\n"
        "along,1,up,0,20.0\nalong,1,up,100,22.0\nalong,1,up,200,24.0\n"
        "along,1,up,400,28.0\nalong,2,up,0,20.5\nalong,2,up,100,22.3\n"
        "along,2,up,200,24.6\nalong,2,up,400,28.7\n"
    )
    test = read(tmp_path, text)
    assert test.along is not None
    assert test.along.curve.power_at(0.2) == pytest.approx(0.2 * 9.80665 / 0.05)


def test_an_unloaded_length_below_the_gauge_is_a_fault(tmp_path: Path) -> None:
    rows = "direction,load (g),length (cm)\nalong,0,{}\nalong,200,12\nalong,400,14\n"
    with pytest.raises(ReadingError, match=r"line 4.*9 cm under no load is shorter"):
        read(tmp_path, HEAD + rows.format("9.0"))
    near = read(tmp_path, HEAD + rows.format("9.95"))
    assert near.along is not None
    assert near.along.curve.last_strain == pytest.approx(14 / 9.95 - 1)


def test_shorter_than_gauge_under_load_is_a_fault(tmp_path: Path) -> None:
    text = HEAD + "direction,load,length\nacross,1,9.5\nacross,2,12\n"
    with pytest.raises(ReadingError, match=r"line 4.*shorter than the gauge"):
        read(tmp_path, text)


def test_a_wrong_unit_is_hinted_at(tmp_path: Path) -> None:
    """10 cm are 3.94 in; 2.5 lb (1134 g) headed g are 0.0245 N on 5 cm, 0.49 N/m."""
    text = HEAD + "direction,load (g),length (cm)\nacross,100,4.3\nacross,900,6.2\n"
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text)
    for problem in caught.value.problems:
        assert str(problem).endswith("was it read in inches and headed cm?")
    pounds = "direction,load (g),length (cm)\nacross,0.25,10.8\nacross,2.5,15.8\n"
    with pytest.raises(
        ReadingError, match=r"reach 0\.49 N/m only: is the unit of load"
    ):
        read(tmp_path, HEAD + pounds)


@pytest.mark.parametrize(
    ("unit", "asked"),
    [("oz", False), ("kg", True), ("N", False), ("g", True)],
)
def test_a_load_that_no_knit_takes_is_asked_about(
    tmp_path: Path, unit: str, asked: bool
) -> None:
    """8 oz on 2 in is 44 N/m at 15 %; 8 kg is 1,544 and 8 g is 1.5."""
    path = tmp_path / "weights.csv"
    path.write_text(
        "# gauge = 8 in\n# strip_width = 2 in\n"
        f"direction,load ({unit}),length (in)\nacross,4,8.6\nacross,8,9.2\n"
    )
    notes = read_load_test(path).notes
    assert any("is the unit of load right" in note for note in notes) == asked


def test_a_column_without_a_unit_is_told_in_a_few_lines(tmp_path: Path) -> None:
    rows = "".join(f"across,{load},{12 + load / 99}\n" for load in range(60, 126))
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, HEAD + "direction,load,length\n" + rows)
    assert len(caught.value.problems) == 66
    told = str(caught.value).splitlines()
    assert len(told) == 4
    assert told[-1].endswith("... and 63 more rows like it")


def test_curves_go_into_a_fabric(tmp_path: Path) -> None:
    text = HEAD + "direction,load,length\nacross,1,12\nacross,2,14\n"
    test = read(tmp_path, text)
    cloth = ClothDirection(stretch=Estimate(0.8))
    fabric = Fabric(
        name="a", title="A", origin="invented", source="invented", across=cloth
    )
    fuller = add_tension(fabric, test)
    assert fuller.across is not None
    assert test.across is not None
    assert fuller.across.tension == test.across.curve
    other = Fabric(
        name="a", title="A", origin="invented", source="invented", along=cloth
    )
    with pytest.raises(RefusedError, match="no hand test across"):
        add_tension(other, test)


def test_never_falling_keeps_rising_values_and_the_sum() -> None:
    random = np.random.default_rng(3)
    for _ in range(50):
        values = random.normal(size=12)
        flat = never_falling(values)
        assert (np.diff(flat) >= 0).all()
        assert flat.sum() == pytest.approx(values.sum())
    rising = np.linspace(0, 1, 7)
    assert never_falling(rising).tolist() == rising.tolist()


UP_AND_DOWN = "100,11\n200,12\n300,13\n200,12.2\n100,11.2\n"


@pytest.mark.parametrize("column", ["way", "direction of pull"])
def test_the_way_down_never_runs_on_as_the_way_up(tmp_path: Path, column: str) -> None:
    rows = "".join(f"across,x,{row}\n" for row in UP_AND_DOWN.splitlines())
    text = HEAD + f"direction,{column},load (g),length (cm)\n{rows}"
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text)
    (line,) = str(caught.value).splitlines()
    assert "line 7, column load: the load falls within across 1" in line
    assert "column branch" in line
    assert "column repeat" in line


def test_two_strips_need_their_numbers(tmp_path: Path) -> None:
    rows = "across,up,100,11\nacross,up,200,12\n"
    text = HEAD + "direction,branch,load (g),length (cm)\n" + rows + rows
    with pytest.raises(ReadingError, match="line 6, column load: the load falls"):
        read(tmp_path, text)
    numbered = "".join(
        f"{row},{n}\n" for n in (1, 2) for row in rows.strip().splitlines()
    )
    text = HEAD + f"direction,branch,load (g),length (cm),repeat\n{numbered}"
    found = read(tmp_path, text).across
    assert found is not None
    assert found.curve.power_at(0.1) == pytest.approx(19.6133)


def test_a_way_said_to_go_up_may_be_sorted_downwards(tmp_path: Path) -> None:
    rows = "across,up,200,12\nacross,up,100,11\n"
    test = read(tmp_path, HEAD + "direction,branch,load (g),length (cm)\n" + rows)
    assert test.across is not None
    assert test.across.curve.power_at(0.2) == pytest.approx(39.2266)


@pytest.mark.parametrize(
    ("head", "row", "message"),
    [
        (
            "load (g),length (cm)",
            "100,110",
            "stretch of 1000 % on 10 cm; was it read in",
        ),
        (
            "load (kg),length (cm)",
            "100,12",
            "981 N is no load for a strip; was it read",
        ),
        ("load,length (cm)", "100,12", "no unit is given, and 100 N would be 10 kg"),
    ],
)
def test_a_slip_of_unit_is_named(
    tmp_path: Path, head: str, row: str, message: str
) -> None:
    text = HEAD + f"direction,{head}\nacross,{row}\n"
    with pytest.raises(ReadingError, match=message):
        read(tmp_path, text)


def test_a_bare_load_is_taken_where_the_unit_is_named_elsewhere(tmp_path: Path) -> None:
    rows = "direction,load,length (cm)\nacross,100,11\nacross,200,12\n"
    test = read(tmp_path, HEAD + rows, Given(load_unit="g"))
    assert test.across is not None
    assert test.across.curve.power_at(0.1) == pytest.approx(19.6133)


def test_units_that_are_told_override_those_of_the_heads(tmp_path: Path) -> None:
    """As they do in a tester's file, and gauge and width in this one."""
    rows = "direction,load (kg),length (in)\nacross,100,11\nacross,200,12\n"
    told = Given(load_unit="g", length_unit="cm")
    test = read(tmp_path, HEAD + rows, told)
    assert test.across is not None
    assert test.across.curve.power_at(0.1) == pytest.approx(19.6133)
    assert "load in g" in test.understood
