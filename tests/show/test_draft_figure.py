from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from matplotlib.text import Annotation

from ease.block.draft import draft_block
from ease.block.draft_steps import DRAFT_STEPS
from ease.body.load import load_body
from ease.show.draft_figure import draw_draft


def test_every_step_has_its_number_and_its_words() -> None:
    axes = Figure().add_subplot()
    block = draft_block(load_body("demo"))
    assert draw_draft(axes, block, title="a draft") is axes
    ids = [text.get_gid() for text in axes.texts]
    assert [f"step {step.number}" in ids for step in DRAFT_STEPS] == [True] * len(
        DRAFT_STEPS
    )
    words = next(text.get_text() for text in axes.texts if text.get_gid() == "steps")
    plain = " ".join(words.split())
    for step in DRAFT_STEPS:
        assert f"{step.title}: {step.what}. Why: {step.why}." in plain
    assert axes.get_title(loc="left") == "a draft"


def test_numbers_do_not_lie_on_each_other() -> None:
    axes = Figure().add_subplot()
    draw_draft(axes, draft_block(load_body("demo")))
    places = np.array(
        [
            text.xy
            for text in axes.texts
            if isinstance(text, Annotation)
            and (text.get_gid() or "").startswith("step ")
        ]
    )
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    assert apart[~np.eye(len(places), dtype=bool)].min() > 2.0


def test_the_loop_path_and_pieces_are_drawn_to_scale() -> None:
    axes = Figure().add_subplot()
    block = draft_block(load_body("demo"))
    draw_draft(axes, block)
    runs = [line for line in axes.lines if line.get_gid() == "torso loop"]
    length = sum(
        np.hypot(np.diff(line.get_xdata()), np.diff(line.get_ydata())).sum()
        for line in runs
    )
    assert abs(length - 155) < 1e-6
    assert {patch.get_gid() for patch in axes.patches} == {"front", "back"}
    assert axes.get_aspect() == 1


def test_numbers_and_words_of_the_steps_stand_in_two_columns() -> None:
    """So 10 and 11 begin where 1 to 9 do, and each number beside its own words."""
    axes = Figure().add_subplot()
    draw_draft(axes, draft_block(load_body("demo")))
    named = {text.get_gid(): text for text in axes.texts}
    words, numbers = named["steps"], named["numbers"]
    assert words.get_horizontalalignment() == "left"
    assert numbers.get_horizontalalignment() == "right"
    assert numbers.get_position()[0] < words.get_position()[0]
    assert numbers.get_position()[1] == words.get_position()[1]
    beside = zip(
        numbers.get_text().splitlines(), words.get_text().splitlines(), strict=False
    )
    found = {number: text for number, text in beside if number}
    for step in DRAFT_STEPS:
        assert found[str(step.number)].startswith(step.title)


def test_levels_say_what_their_figure_measures() -> None:
    """Beside a level named bust a bare 22.5 cm would be read as a girth."""
    axes = Figure().add_subplot()
    block = draft_block(load_body("demo"))
    draw_draft(axes, block)
    texts = [text.get_text() for text in axes.texts]
    for level in block.levels:
        assert f"{level.name}\n{level.y:.1f} cm\nbelow nape" in texts
