"""Size runs: shipped tables and table files, whole or refused whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from ease.body.fill_in import complete
from ease.body.load import load_body
from ease.body.measures import Body
from ease.body.shipped import shipped_names, shipped_tables
from ease.body.sizes import MOST_SIZES, load_size_run
from ease.errors import BodyError


def write(tmp_path: Path, text: str) -> str:
    path = tmp_path / "sizes.csv"
    path.write_text(text)
    return str(path)


def test_shipped_tables_hold_every_shipped_body_once() -> None:
    names = [
        body.name for table in shipped_tables() for body in load_size_run(table).bodies
    ]
    assert ("demo", *names) == shipped_names()


@pytest.mark.parametrize("name", shipped_tables())
def test_a_shipped_table_is_a_run_of_completed_bodies(name: str) -> None:
    bodies = load_size_run(name).bodies
    assert bodies[0] == complete(load_body(bodies[0].name))
    assert [body["bust"] for body in bodies] == sorted(body["bust"] for body in bodies)


def test_a_table_file_gives_completed_bodies(tmp_path: Path) -> None:
    path = write(
        tmp_path, "name,bust,waist,hip,stature\nS,84,68,92,\nM,92,76,100,168\n"
    )
    small, middle = load_size_run(path).bodies
    assert (small.name, middle.name) == ("S", "M")
    values = {"bust": 92.0, "waist": 76.0, "hip": 100.0, "stature": 168.0}
    assert middle == complete(Body(name="M", values=values, source="sizes.csv"))
    assert "stature" in small.filled
    assert "stature" not in middle.filled


def test_a_column_of_sizes_names_them(tmp_path: Path) -> None:
    run = load_size_run(
        write(tmp_path, "size,bust,waist,hip\nS,84,68,92\nM,92,76,100\n")
    )
    assert [body.name for body in run.bodies] == ["S", "M"]
    assert run.notes == ()


def test_a_run_rises_and_what_is_not_read_is_said(tmp_path: Path) -> None:
    text = "name,bust,colour,waist,hip\nL,100,red,84,108\nS,84,blue,68,92\n"
    run = load_size_run(write(tmp_path, text))
    assert [body.name for body in run.bodies] == ["S", "L"]
    unused, order = run.notes
    assert unused.endswith("column colour is not used")
    assert order == "sizes.csv: the sizes are set in rising order of bust"


def test_sizes_without_names_go_by_the_bust(tmp_path: Path) -> None:
    path = write(tmp_path, "bust (in),waist (in),hip (in)\n33,26,36\n34.5,27,37\n")
    assert [body.name for body in load_size_run(path).bodies] == ["83.82", "87.63"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,bust,waist,hip\n", "holds no sizes"),
        (
            "name,bust,waist,hip\nS,84,68,92\nS,88,72,96\n",
            "line 3: the size 'S' is there",
        ),
        ("name,bust,waist,hip\nS,84,x,92\nM,88,72,9\n", "line 3, column hip"),
        (
            "bust,waist,hip\n" + "".join(f"{60 + i},60,90\n" for i in range(61)),
            f"more than {MOST_SIZES} sizes",
        ),
        (
            "bust,waist,hip\n" + "".join(f"{60 + i / 9},60,90\n" for i in range(500)),
            f"more than {MOST_SIZES} sizes",
        ),
    ],
)
def test_a_table_file_is_refused_whole(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(BodyError, match=said):
        load_size_run(write(tmp_path, text))


def test_an_unknown_table_names_the_nearest_and_all() -> None:
    with pytest.raises(BodyError, match="did you mean astm-95") as refused:
        load_size_run("astm-59")
    assert "en-short" in refused.value.hint
