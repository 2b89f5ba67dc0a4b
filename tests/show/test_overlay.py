"""The overlay by what its artists hold: outlines, names, levels, scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from ease.block.adjust import adjust_block
from ease.block.measure import level_girths
from ease.block.pieces import Block
from ease.show.figure import save_figure
from ease.show.outlines import outline_path
from ease.show.overlay import LevelLabel, draw_overlay

Tube = Callable[..., Block]


def labels(before: Block, after: Block) -> list[LevelLabel]:
    old, new = level_girths(before), level_girths(after)
    return [LevelLabel(name, old[name], new[name]) for name in old]


def drawn(before: Block, after: Block, **options: Any) -> Axes:
    axes = Figure(figsize=(9.5, 8)).add_subplot()
    return draw_overlay(axes, before, after, labels(before, after), **options)


def patches(axes: Axes, colour: str) -> list[PathPatch]:
    return [
        patch
        for patch in axes.patches
        if isinstance(patch, PathPatch) and to_hex(patch.get_edgecolor()) == colour
    ]


def texts(axes: Axes) -> list[str]:
    return [text.get_text() for text in axes.texts]


def line(axes: Axes, gid: str) -> Line2D:
    found = [one for one in axes.lines if one.get_gid() == gid]
    assert len(found) == 1
    return found[0]


BLACK, BLUE = "#000000", "#0072b2"


@pytest.fixture
def pair(make_tube: Tube) -> tuple[Block, Block]:
    before = make_tube()
    return before, adjust_block(before, 0.8, 1.05).after


def test_an_outline_is_closed_and_of_true_cubics(make_tube: Tube) -> None:
    piece = make_tube().pieces[0]
    path = outline_path(piece, offset_x=3.0)
    count = sum(len(edge.control) for edge in piece.edges)
    assert path.codes is not None
    assert path.codes.tolist() == [Outline.MOVETO] + [Outline.CURVE4] * (3 * count)
    np.testing.assert_allclose(path.vertices[0], path.vertices[-1])
    control = np.concatenate([edge.control for edge in piece.edges])
    np.testing.assert_allclose(path.vertices[1:4], control[0, 1:] + [3.0, 0.0])


def test_both_outlines_of_every_piece_are_there(pair: tuple[Block, Block]) -> None:
    axes = drawn(*pair)
    old, new = patches(axes, BLACK), patches(axes, BLUE)
    assert [patch.get_gid() for patch in old] == ["front", "back"]
    assert [patch.get_gid() for patch in new] == ["front", "back"]
    for block, found in ((pair[0], old), (pair[1], new)):
        vertices = np.asarray(found[0].get_path().vertices)
        wanted = np.asarray(outline_path(block.pieces[0]).vertices)
        np.testing.assert_allclose(vertices, wanted)


def test_the_two_are_told_apart_by_dash_and_weight(pair: tuple[Block, Block]) -> None:
    axes = drawn(*pair)
    old, new = patches(axes, BLACK)[0], patches(axes, BLUE)[0]
    assert new.get_linestyle() == "solid"
    assert old.get_linestyle() != "solid"
    assert new.get_linewidth() > old.get_linewidth()
    assert not old.get_fill()
    assert not new.get_fill()


def test_centre_lines_and_anchor_lie_on_each_other(pair: tuple[Block, Block]) -> None:
    """Left edges agree piece by piece, and the waist is not moved by the change."""
    axes = drawn(*pair)
    for a, b in zip(patches(axes, BLACK), patches(axes, BLUE), strict=True):
        left = np.asarray(a.get_path().vertices)[:, 0].min()
        assert np.asarray(b.get_path().vertices)[:, 0].min() == pytest.approx(left)
    first = np.asarray(patches(axes, BLACK)[0].get_path().vertices)
    second = np.asarray(patches(axes, BLUE)[0].get_path().vertices)
    # Top at 40 above the waist: 40 before, 42 after.
    assert first[:, 1].min() == pytest.approx(0.0)
    assert second[:, 1].min() == pytest.approx(40 - 42)


def test_pieces_do_not_overlap(pair: tuple[Block, Block]) -> None:
    axes = drawn(*pair)
    front = max(
        np.asarray(p.get_path().vertices)[:, 0].max()
        for p in (patches(axes, BLACK)[0], patches(axes, BLUE)[0])
    )
    back = np.asarray(patches(axes, BLACK)[1].get_path().vertices)[:, 0].min()
    assert back - front >= 5


def test_a_block_drawn_about_another_waist_is_shifted_and_framed(
    make_tube: Tube,
) -> None:
    before, down = make_tube(), np.array([0.0, 30.0])
    pieces = []
    for piece in before.pieces:
        edges = tuple(
            replace(edge, control=edge.control + down) for edge in piece.edges
        )
        pieces.append(replace(piece, edges=edges))
    levels = tuple(replace(level, y=level.y + 30.0) for level in before.levels)
    after = replace(before, pieces=tuple(pieces), levels=levels)
    axes = drawn(before, after)
    first = np.asarray(patches(axes, BLACK)[0].get_path().vertices)
    second = np.asarray(patches(axes, BLUE)[0].get_path().vertices)
    np.testing.assert_allclose(first, second, atol=1e-12)
    bottom, top = axes.get_ylim()
    assert bottom == pytest.approx(85.0)
    assert top == pytest.approx(-3.0)


def test_levels_are_marked_with_their_girths(pair: tuple[Block, Block]) -> None:
    axes = drawn(*pair)
    assert "bust\n88.0 to 70.4 cm" in texts(axes)
    assert "waist\n70.0 to 56.0 cm" in texts(axes)
    assert "hip\n96.0 to 76.8 cm" in texts(axes)
    for name, y in (("bust", 20), ("waist", 40), ("hip", 60)):
        assert np.asarray(line(axes, f"level {name}").get_ydata()).tolist() == [y, y]


def test_girths_in_inches(pair: tuple[Block, Block]) -> None:
    """88 cm is 34 5/8 in, 70.4 cm 27 3/4 in."""
    assert "bust\n34 5/8 to 27 3/4 in" in texts(drawn(*pair, units="in"))


def test_the_lines_and_the_folds_are_named(pair: tuple[Block, Block]) -> None:
    axes = drawn(*pair, names=("soft", "firm"))
    found = texts(axes)
    assert found.count("soft") == 2
    assert found.count("firm") == 2
    assert "front, centre on fold" in found
    assert "back, centre on fold" in found
    for text in axes.texts:
        if text.get_text() == "soft":
            assert to_hex(str(text.get_color())) == BLACK
            # The first block is the wider one here: its name stands outside.
            assert text.get_horizontalalignment() == "left"
        if text.get_text() == "firm":
            assert text.get_horizontalalignment() == "right"


def test_equal_scale_downwards_and_everything_inside(
    pair: tuple[Block, Block],
) -> None:
    axes = drawn(*pair)
    assert axes.get_aspect() == 1.0
    bottom, top = axes.get_ylim()
    assert bottom > top
    left, right = axes.get_xlim()
    for patch in (*patches(axes, BLACK), *patches(axes, BLUE)):
        vertices = np.asarray(patch.get_path().vertices)
        assert left < vertices[:, 0].min()
        assert vertices[:, 0].max() < right
        assert top < vertices[:, 1].min()
        assert vertices[:, 1].max() < bottom
    bar = np.asarray(line(axes, "scale bar").get_xdata())
    assert np.ptp(bar) == pytest.approx(10.0)
    assert "10 cm (not to scale for cutting)" in texts(axes)


def test_the_scale_bar_goes_by_the_ruler(make_tube: Tube) -> None:
    axes = drawn(make_tube(), make_tube(), units="in")
    bar = np.asarray(line(axes, "scale bar").get_xdata())
    assert np.ptp(bar) == pytest.approx(4 * 2.54)
    assert "4 in (not to scale for cutting)" in texts(axes)


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_the_same_picture_is_the_same_file(
    pair: tuple[Block, Block], tmp_path: Path, ending: str
) -> None:
    paths = [tmp_path / f"{name}.{ending}" for name in "ab"]
    for path in paths:
        save_figure(
            path,
            lambda axes: draw_overlay(axes, *pair, labels(*pair)),
            size_in=(9.5, 8),
            title="overlay",
        )
    first, second = (path.read_bytes() for path in paths)
    assert first == second
    assert len(first) > 5000
