from __future__ import annotations

from pathlib import Path

import pytest

from ease.body.dictionary import MEASURES
from ease.body.load import load_body, read_body
from ease.body.shipped import shipped_names
from ease.errors import BodyError


def _write(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_toml_in_inches_with_fractions(tmp_path: Path) -> None:
    text = (
        'schema = "ease/body/1"\nname = "anna"\nunits = "in"\n[body]\n'
        'bust = "36 1/2"\nwaist = 28\nhip = "96 cm"\nweight_kg = "150 lb"\n'
    )
    body = read_body(_write(tmp_path, "a.toml", text))
    assert body.name == "anna"
    assert body["bust"] == pytest.approx(36.5 * 2.54)
    assert body["waist"] == pytest.approx(28 * 2.54)
    assert body["hip"] == 96
    assert body["weight_kg"] == pytest.approx(150 * 0.45359237)


@pytest.mark.parametrize(
    "text",
    [
        "# units = in\nmeasure,value\nbust,36 1/2\nwaist,28\nhip,38\n",
        "# units = in\nbust;36,5\nwaist;28\nhip;38\n",
        "bust,36 1/2,in\nwaist,28,inch\nhip,38 in\n",
        "bust\t92.71\nwaist\t71.12\nhip\t96.52\n",
        "Measure,in\nBust,36 1/2\nWaist,28\nHip,38\n",
        "measure;value (in)\nbust;36 1/2\nwaist;28\nhip;38\n",
        "units;in\nbust;36 1/2\nwaist;28\nhip;38\n",
    ],
)
def test_csv_as_people_write_it(tmp_path: Path, text: str) -> None:
    body = read_body(_write(tmp_path, "a.csv", text))
    assert body.name == "a"
    wanted = {"bust": 92.71, "waist": 71.12, "hip": 96.52}
    assert dict(body.values) == pytest.approx(wanted)


@pytest.mark.parametrize(
    "written", ["5 ft 6 in", "5 ft 6 0/2 in", "5' 6\"", '"5\' 6"""', "66 in"]
)
def test_a_height_in_feet_and_inches(tmp_path: Path, written: str) -> None:
    text = f"bust,88\nwaist,70\nhip,96\nheight,{written}\n"
    body = read_body(_write(tmp_path, "a.csv", text))
    assert body["stature"] == pytest.approx(66 * 2.54, rel=1e-12)


def test_measures_go_by_the_names_that_the_screen_shows(tmp_path: Path) -> None:
    rows = "bust;92\nwaist;74\nhip;99\n"
    rows += "".join(
        f"{measure.title.capitalize()};{(measure.lowest + measure.highest) / 2:g}\n"
        for key, measure in MEASURES.items()
        if key not in ("bust", "waist", "hip")
    )
    body = read_body(_write(tmp_path, "a.csv", rows))
    assert set(body.values) == set(MEASURES)
    text = 'schema = "ease/body/1"\n[body]\nbust=92\nwaist=74\nhip=99\nheight=167\n'
    assert read_body(_write(tmp_path, "a.toml", text))["stature"] == 167
    twice = rows + "stature;170\n"
    with pytest.raises(BodyError, match="stature is given twice"):
        read_body(_write(tmp_path, "b.csv", twice))


def test_all_faults_at_once_with_their_lines(tmp_path: Path) -> None:
    text = (
        'schema = "ease/body/1"\n[body]\nbust = 92\nwaist = "x"\nbusst = 90\nthigh = 1.0\n'
        "stature = true\n"
    )
    with pytest.raises(BodyError) as caught:
        read_body(_write(tmp_path, "a.toml", text))
    said = [str(problem) for problem in caught.value.problems]
    assert len(said) == 5
    assert any(s.startswith("line 4: waist: 'x' is not a number") for s in said)
    assert any("line 5" in s and "did you mean bust?" in s for s in said)
    assert any("line 6" in s and "35 to 110 cm" in s for s in said)
    assert any("line 7" in s and "stature must be a number" in s for s in said)
    assert any("hip is missing" in s for s in said)
    assert caught.value.exit_code == 3


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.toml", "schema = ", "invalid value"),
        ("a.toml", '[body]\nbust=1\nwaist=1\nhip=1\n', 'must be "ease/body/1"'),
        ("a.toml", 'schema = "ease/block/1"\nx = 1\n', "by its schema and no body; a body"),
        ("a.toml", 'schema = "ease/body/1"\nunits = "ell"\n[body]\n', "'ell' is none of"),
        ("a.toml", 'schema = "ease/body/1"\nbust = 92\n', "belongs into the table [body]"),
        ("a.csv", "bust,92\nbust,93\nwaist,70\nhip,95\n", "bust is given twice"),
        ("a.csv", "bust,92,5\nwaist,70\nhip,95\n", "semicolon"),
    ],
)  # fmt: skip
def test_faults(tmp_path: Path, name: str, text: str, words: str) -> None:
    with pytest.raises(BodyError) as caught:
        read_body(_write(tmp_path, name, text))
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("b.csv", "# measured_again = Torso loop, hip\n"),
        (
            "b.toml",
            'schema = "ease/body/1"\nmeasured_again = "torso_loop, hip"\n[body]\n',
        ),
    ],
)
def test_measures_that_were_taken_again(tmp_path: Path, name: str, text: str) -> None:
    sign = "=" if name.endswith("toml") else ","
    rows = (("bust", 88), ("waist", 70), ("hip", 96), ("torso_loop", 160))
    measures = "".join(f"{key}{sign}{value}\n" for key, value in rows)
    path = tmp_path / name
    path.write_text(text + measures, encoding="utf-8")
    assert load_body(path).again == {"torso_loop", "hip"}
    path.write_text(text.replace("hip", "thigh") + measures, encoding="utf-8")
    with pytest.raises(BodyError, match="'thigh' is no measure that this file holds"):
        load_body(path)


def test_a_spreadsheet_in_an_old_code_page_or_utf_16(tmp_path: Path) -> None:
    text = "sep=;\nmeasure;value\nbust;36½ in\nwaist;71,5\nhip;96\n"
    for encoding in ("cp1252", "utf-16", "utf-8-sig"):
        path = tmp_path / f"{encoding}.csv"
        path.write_bytes(text.encode(encoding))
        wanted = {"bust": 92.71, "waist": 71.5, "hip": 96}
        assert dict(read_body(path).values) == pytest.approx(wanted)


def test_a_decimal_comma_in_toml_gets_a_hint(tmp_path: Path) -> None:
    text = 'schema = "ease/body/1"\n[body]\nbust = 92,5\n'
    with pytest.raises(BodyError) as caught:
        read_body(_write(tmp_path, "a.toml", text))
    assert "decimal point" in caught.value.hint


def test_inches_given_as_cm_are_suggested(tmp_path: Path) -> None:
    with pytest.raises(BodyError, match="given in inches"):
        read_body(_write(tmp_path, "a.csv", "bust,36\nwaist,28\nhip,38\n"))


def test_missing_file_and_unknown_name(tmp_path: Path) -> None:
    with pytest.raises(BodyError, match="no such file"):
        load_body(str(tmp_path / "none.toml"))
    with pytest.raises(BodyError, match=r"did you mean .*en-88"):
        load_body("en-89")


def test_every_shipped_body_loads_and_says_where_it_is_from() -> None:
    bodies = [load_body(name) for name in shipped_names()]
    assert len(bodies) > 50
    assert [b.name for b in bodies] == list(shipped_names())
    assert all(b.source for b in bodies)
    invented = [b.name for b in bodies if b.origin == "invented"]
    assert invented == ["demo"]
    assert "invented" in load_body("demo").title


def test_a_name_below_measures_is_the_wearers(tmp_path: Path) -> None:
    path = tmp_path / "g.csv"
    path.write_text("bust;100\nname;Gerda\nwaist;76\nhip;104\n", encoding="utf-8")
    assert load_body(path).name == "Gerda"
