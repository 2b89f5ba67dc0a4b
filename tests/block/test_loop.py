"""The torso loop as worn: slanted legs stretched both ways, and the way back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from ease.block.loop import loop_legs, loop_length_strain
from ease.block.measure import torso_loop
from ease.block.pieces import Block
from ease.errors import RefusedError

LEGS = [(1.45, 20.75), (9.2, 54.0)]  # front of the hand-drawn block: by subtraction


def test_legs_are_the_runs_of_the_path(hand_block: Block) -> None:
    legs = loop_legs(hand_block)
    np.testing.assert_allclose(np.abs(legs[:2]), LEGS, atol=1e-12)
    assert np.hypot(*legs.T).sum() == pytest.approx(torso_loop(hand_block))


def worn_loop(block: Block, girth_strain: float, length_strain: float) -> float:
    """Length of the loop on the body: each leg stretches both ways."""
    return sum(
        hypot(x * (1 + girth_strain), y * (1 + length_strain))
        for x, y in loop_legs(block)
    )


def test_a_body_as_long_as_the_flat_loop_strains_nothing(hand_block: Block) -> None:
    flat = torso_loop(hand_block)
    assert flat is not None
    assert loop_length_strain(hand_block, flat, 0.0) == pytest.approx(0, abs=1e-12)


@given(st.floats(-0.2, 0.6), st.floats(-0.3, 0.6))
def test_the_strain_down_leads_back(
    hand_block: Block, girth_strain: float, length_strain: float
) -> None:
    body = worn_loop(hand_block, girth_strain, length_strain)
    found = loop_length_strain(hand_block, body, girth_strain)
    assert found == pytest.approx(length_strain, abs=1e-11)


@pytest.mark.parametrize("girth_strain", [0.0, 0.25])
@pytest.mark.parametrize("body", [120.0, 155.0, 240.0])
def test_against_a_general_root_finder(
    hand_block: Block, body: float, girth_strain: float
) -> None:
    legs = np.abs(loop_legs(hand_block))

    def miss(strain: float) -> float:
        stretch = np.array([1 + girth_strain, 1 + strain])
        return float(np.hypot(*(legs * stretch).T).sum()) - body

    expected = brentq(miss, -0.999, 3.0, xtol=1e-14)
    found = loop_length_strain(hand_block, body, girth_strain)
    assert found == pytest.approx(float(expected), abs=1e-11)


def test_a_loop_straight_down_is_a_plain_ratio(
    make_tube: Callable[..., Block],
) -> None:
    assert loop_length_strain(make_tube(), 168.0, 0.3) == pytest.approx(0.05)


def test_stretching_round_uses_up_some_of_the_length(hand_block: Block) -> None:
    """One leg of 3 across and 4 down worn at 25 % round: 5 long means 3.75 and 3.31."""
    flat = torso_loop(hand_block)
    assert flat is not None
    round_only = loop_length_strain(hand_block, flat, 0.25)
    assert round_only is not None
    assert round_only < 0
    assert 4 * (1 + (sqrt(25 - 3.75**2) / 4 - 1)) == pytest.approx(3.307, abs=5e-4)


def test_no_loop_path_gives_none(hand_block: Block) -> None:
    assert loop_length_strain(replace(hand_block, loop_path=()), 155.0, 0.2) is None
    assert loop_legs(replace(hand_block, loop_path=())).shape == (0, 2)


def test_a_body_shorter_than_the_way_across_is_refused(hand_block: Block) -> None:
    across = float(np.abs(loop_legs(hand_block)[:, 0]).sum())
    with pytest.raises(RefusedError, match=rf"runs {across:.1f} cm round the body"):
        loop_length_strain(hand_block, across - 0.1, 0.0)
