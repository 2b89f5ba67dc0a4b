"""The coupled membrane against scipy's root finder, and its own invariants."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.optimize import root

from ease.errors import RefusedError, TensionRangeError
from ease.fabric.profile import ClothDirection, Estimate, Fabric
from ease.fabric.tension import Branch, TensionCurve
from ease.fit.membrane import Membrane

# An invented swim tricot: softens a little, then stiffens; comes down with a set.
ACROSS = ([0, 0.1, 0.2, 0.4, 0.6, 0.8], [0.0, 28, 50, 88, 135, 210])
ALONG = ([0, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0], [0.0, 20, 38, 70, 104, 150, 230])


def cloth(
    points: tuple[list[float], list[float]],
    ratio: float | None,
    *,
    down: bool = True,
    growth: float | None = 0.03,
) -> ClothDirection:
    strain, tension = np.array(points[0]), np.array(points[1])
    back = None
    if down:
        fall = 0.8 + 0.2 * (tension / tension[-1])
        back = Branch.through(
            np.concatenate(([0.03], strain[1:])),
            np.concatenate(([0.0], (fall * tension)[1:])),
        )
    return ClothDirection(
        stretch=Estimate(points[0][-1]),
        growth=None if growth is None else Estimate(growth),
        contraction=None if ratio is None else Estimate(ratio),
        tension=TensionCurve(Branch.through(strain, tension), back),
    )


def fabric(across: ClothDirection | None, along: ClothDirection | None) -> Fabric:
    return Fabric(
        name="test",
        title="Test",
        origin="invented",
        source="invented",
        across=across,
        along=along,
    )


@pytest.fixture
def membrane() -> Membrane:
    return Membrane.from_fabric(fabric(cloth(ACROSS, 0.36), cloth(ALONG, 0.28)))


def test_the_stretchier_direction_goes_round_unless_told(membrane: Membrane) -> None:
    assert membrane.girth.cloth == "along"
    turned = Membrane.from_fabric(
        fabric(cloth(ACROSS, 0.36), cloth(ALONG, 0.28)), "across"
    )
    assert turned.girth.cloth == "across"
    assert float(turned.coupling) == pytest.approx(float(membrane.coupling))


def test_ratios_obey_reciprocity_and_keep_their_product(membrane: Membrane) -> None:
    h, v = membrane.girth, membrane.length
    assert float(h.ratio * v.modulus) == pytest.approx(float(v.ratio * h.modulus))
    assert float(h.ratio * v.ratio) == pytest.approx(0.36 * 0.28)
    left, right = 0.28 * 280, 0.36 * 200
    assert membrane.reciprocity_gap is not None
    gap = (left - right) / ((left + right) / 2)
    assert float(membrane.reciprocity_gap) == pytest.approx(gap)


def test_one_measured_ratio_gives_the_other() -> None:
    only = Membrane.from_fabric(fabric(cloth(ACROSS, None), cloth(ALONG, 0.28)))
    assert float(only.girth.ratio) == pytest.approx(0.28)
    assert float(only.length.ratio) == pytest.approx(0.28 * 280 / 200)
    assert only.reciprocity_gap is None


def independent(eh: float, ev: float) -> tuple[float, float]:
    """Return both tensions by the equations as written, scipy's PCHIP for the strips."""
    strips = [PchipInterpolator(*ALONG), PchipInterpolator(*ACROSS)]
    moduli = [20 / 0.1, 28 / 0.1]
    m = np.sqrt(0.28 * 0.36)
    k = m * np.sqrt(moduli[0] * moduli[1]) / (1 - m**2)
    primed = [m * np.sqrt(moduli[0] / moduli[1]), m * np.sqrt(moduli[1] / moduli[0])]
    phi = []
    for e, strip, modulus, ratio in zip((eh, ev), strips, moduli, primed, strict=True):
        own = float(strip(e)) if e >= 0 else modulus * e
        phi.append(own + k * ratio * e)
    return phi[0] + k * ev, phi[1] + k * eh


def test_tensions_are_the_equations_as_written(membrane: Membrane) -> None:
    random = np.random.default_rng(5)
    eh, ev = random.uniform(-0.05, 1.0, 40), random.uniform(-0.2, 0.8, 40)
    th, tv = membrane.tensions(eh, ev)
    for i in range(40):
        expected = independent(eh[i], ev[i])
        assert (float(th[i]), float(tv[i])) == pytest.approx(expected, abs=1e-9)


def test_strains_agree_with_scipys_root(membrane: Membrane) -> None:
    random = np.random.default_rng(6)
    eh, ev = random.uniform(0.02, 0.95, 60), random.uniform(-0.15, 0.75, 60)
    th, tv = membrane.tensions(eh, ev)
    found_h, found_v = membrane.strains(th, tv)
    checked = 0
    for i in range(60):

        def miss(x: np.ndarray, i: int = i) -> list[float]:
            a, b = independent(x[0], x[1])
            return [a - float(th[i]), b - float(tv[i])]

        answer = root(miss, [0.3, 0.05], tol=1e-12)
        if answer.success and answer.x[0] < 1 and answer.x[1] < 0.8:
            assert float(found_h[i]) == pytest.approx(answer.x[0], abs=1e-8)
            assert float(found_v[i]) == pytest.approx(answer.x[1], abs=1e-8)
            checked += 1
    assert checked > 50


def test_the_end_of_the_test_is_known_to_the_last_digit_that_is_shown(
    membrane: Membrane,
) -> None:
    """Half of 0.1 % past it counts as the end, and the curve runs on straight so far."""
    end = float(membrane.girth.last_strain)
    last, _ = membrane.tensions(end, 0.1)
    near, _ = membrane.tensions(end + 4e-4, 0.1)
    slope = membrane.tangent(end, 0.1)[0, 0]
    assert float(near) == pytest.approx(float(last) + 4e-4 * slope)
    with pytest.raises(TensionRangeError, match="outside the load tests"):
        membrane.tensions(end + 6e-4, 0.1)
    past, _ = membrane.tensions([end + 4e-4, end + 6e-4], 0.1, outside="nan")
    assert np.isnan(past).tolist() == [False, True]


strains_h = st.floats(0.0, 0.99)
strains_v = st.floats(-0.2, 0.79)


@given(strains_h, strains_v)
def test_every_solve_is_the_inverse_of_tensions(eh: float, ev: float) -> None:
    membrane = Membrane.from_fabric(fabric(cloth(ACROSS, 0.36), cloth(ALONG, 0.28)))
    if not membrane.definite(eh, ev):
        return
    th, tv = membrane.tensions(eh, ev)
    both = membrane.strains(th, tv)
    assert float(both[0]) == pytest.approx(eh, abs=1e-9)
    assert float(both[1]) == pytest.approx(ev, abs=1e-9)
    assert float(membrane.length_strain(eh, tv)) == pytest.approx(ev, abs=1e-9)
    assert float(membrane.girth_strain(th, ev)) == pytest.approx(eh, abs=1e-9)


@given(
    st.floats(0.0, 0.99),
    st.floats(0.05, 0.6),
    st.floats(0.05, 0.6),
    st.sampled_from(["across", "along"]),
)
def test_a_free_strip_is_reproduced_exactly(
    share: float, ratio: float, other: float, way: str
) -> None:
    source = fabric(cloth(ACROSS, ratio), cloth(ALONG, other))
    membrane = Membrane.from_fabric(source, "across" if way == "across" else "along")
    strip = membrane.girth
    e = share * float(strip.last_strain)
    free = membrane.length_strain(e, 0.0)
    assert float(free) == pytest.approx(-float(strip.ratio) * e, abs=1e-12)
    around, down = membrane.tensions(e, free)
    assert float(around) == pytest.approx(
        float(strip.curve.loading.tension_at(e)), abs=1e-9
    )
    assert float(down) == pytest.approx(0.0, abs=1e-9)


def test_energy_gradient_is_the_tension_and_its_slope_the_tangent(
    membrane: Membrane,
) -> None:
    random = np.random.default_rng(8)
    eh, ev = random.uniform(0.02, 0.98, 200), random.uniform(-0.2, 0.78, 200)
    step = 1e-6
    for state in ("now", "unloading", "rested"):
        worn = membrane.in_state(state)
        th, tv = worn.tensions(eh, ev)
        by_h = worn.energy(eh + step, ev) - worn.energy(eh - step, ev)
        by_v = worn.energy(eh, ev + step) - worn.energy(eh, ev - step)
        np.testing.assert_allclose(by_h / (2 * step), th, atol=2e-4)
        np.testing.assert_allclose(by_v / (2 * step), tv, atol=2e-4)
        more = worn.tensions(eh + step, ev)
        less = worn.tensions(eh - step, ev)
        tangent = worn.tangent(eh, ev)
        assert tangent.shape == (200, 2, 2)
        np.testing.assert_allclose(
            (more[0] - less[0]) / (2 * step), tangent[:, 0, 0], rtol=2e-3
        )
        np.testing.assert_allclose(
            (more[1] - less[1]) / (2 * step), tangent[:, 1, 0], rtol=1e-6
        )


def test_states_of_wear(membrane: Membrane) -> None:
    assert membrane.states == ("now", "unloading", "rested")
    th, tv = membrane.tensions(0.22, 0.05)
    lifted = float(membrane.coupling * membrane.girth.ratio) * 0.22
    down = membrane.girth.curve.unloading
    assert down is not None
    hour, _ = membrane.in_state("unloading").tensions(0.22, 0.05)
    own = float(down.tension_at(0.22))
    assert float(hour) == pytest.approx(own + lifted + float(membrane.coupling) * 0.05)
    rested, _ = membrane.in_state("rested").tensions(0.22, 0.05)
    own = float(membrane.girth.curve.loading.tension_at(1.22 / 1.03 - 1))
    # Both strains, and what couples them, count from the grown length.
    grown_h, grown_v = float(membrane.girth.growth), float(membrane.length.growth)
    lifted = float(membrane.coupling * membrane.girth.ratio) * (0.22 - grown_h)
    assert float(rested) == pytest.approx(
        own + lifted + float(membrane.coupling) * (0.05 - grown_v)
    )
    assert float(rested) < float(th)
    assert float(hour) < float(th)
    assert float(tv) > 0
    with pytest.raises(RefusedError, match="without wet growth"):
        membrane.in_state("wet")
    assert bool(membrane.in_state("unloading").came_from_higher(0.2, 0.05))
    assert not bool(membrane.in_state("unloading").came_from_higher(0.9, 0.7))
    assert not bool(membrane.came_from_higher(0.2, 0.05))


def test_grown_cloth_gets_narrower_from_its_grown_length() -> None:
    """A straight cloth pulled one way alone: e = growth - nu (e' - growth')."""
    straight = ([0.0, 1.0], [0.0, 200.0])
    around, down = cloth(straight, 0.3, growth=0.03), cloth(straight, 0.3, growth=0.10)
    rested = Membrane.from_fabric(fabric(around, down), "across").in_state("rested")
    free = float(rested.length_strain(0.25))
    assert free == pytest.approx(0.10 - 0.3 * (0.25 - 0.03))
    # Held at body length it pulls less by the modulus times what has grown.
    pull = float(rested.tensions(0.25, 0.0)[1])
    stiff = float(rested.length.modulus + rested.coupling * rested.length.ratio)
    assert pull == pytest.approx(stiff * (0.0 - free))


def test_past_the_test_is_refused_or_blank(membrane: Membrane) -> None:
    with pytest.raises(TensionRangeError, match=r"110\.0 % round .* 100\.0 % round"):
        membrane.tensions(1.1, 0.1)
    with pytest.raises(TensionRangeError):
        membrane.strains(900.0, 10.0)
    with pytest.raises(TensionRangeError):
        membrane.girth_strain(900.0, 0.0)
    th, tv = membrane.tensions([0.2, 1.1], 0.1, outside="nan")
    assert np.isnan(th).tolist() == [False, True]
    assert np.isnan(tv).tolist() == [False, True]
    eh, ev = membrane.strains([50.0, 900.0], 10.0, outside="nan")
    assert np.isnan(eh).tolist() == [False, True]
    assert np.isnan(ev).tolist() == [False, True]


def test_where_both_curves_soften_the_answer_is_refused() -> None:
    soft = ([0, 0.1, 0.2, 0.6], [0.0, 40, 44, 48])
    membrane = Membrane.from_fabric(fabric(cloth(soft, 0.6), cloth(soft, 0.6)))
    assert bool(membrane.definite(0.01, 0.01))
    assert not bool(membrane.definite(0.4, 0.4))
    th, tv = membrane.tensions(0.4, 0.4)
    with pytest.raises(RefusedError, match="gives way"):
        membrane.length_strain(0.4, float(tv))
    eh, _ = membrane.strains(th, tv, outside="nan")
    assert np.isnan(eh) or bool(membrane.definite(eh, _))


def test_a_batch_of_cloths_is_each_cloth_by_itself(membrane: Membrane) -> None:
    random = np.random.default_rng(9)
    scale, ratio = random.uniform(0.9, 1.1, 5), random.uniform(0.2, 0.4, 5)
    many = membrane.batch(girth_scale=scale, length_scale=1.02, girth_ratio=ratio)
    tensions = np.array([[20.0], [60.0], [90.0]])
    eh, ev = many.strains(tensions, 15.0)
    assert eh.shape == (3, 5)
    for i in range(5):
        one = membrane.batch(
            girth_scale=scale[i], length_scale=1.02, girth_ratio=ratio[i]
        )
        for j in range(3):
            alone = one.strains(tensions[j, 0], 15.0)
            assert float(eh[j, i]) == pytest.approx(float(alone[0]), abs=1e-11)
            assert float(ev[j, i]) == pytest.approx(float(alone[1]), abs=1e-11)


def test_long_arrays_are_worked_in_runs_without_a_seam(membrane: Membrane) -> None:
    eh = np.linspace(0.01, 0.95, 40_000)
    ev = np.linspace(0.5, -0.1, 40_000)
    th, tv = membrane.tensions(eh, ev)
    found_h, found_v = membrane.strains(th, tv, outside="nan")
    sure = membrane.definite(eh, ev)
    np.testing.assert_allclose(found_h[sure], eh[sure], atol=1e-9)
    np.testing.assert_allclose(found_v[sure], ev[sure], atol=1e-9)


def test_what_is_lacking_is_named() -> None:
    bare = ClothDirection(stretch=Estimate(0.8))
    with pytest.raises(RefusedError, match=r"no load test across$"):
        Membrane.from_fabric(fabric(bare, cloth(ALONG, 0.3)))
    with pytest.raises(RefusedError, match="no load test across or along"):
        Membrane.from_fabric(fabric(bare, None))
    neither = fabric(cloth(ACROSS, None), cloth(ALONG, None))
    with pytest.raises(RefusedError, match="no contraction ratio"):
        Membrane.from_fabric(neither)
    assumed = Membrane.from_fabric(neither, contraction=0.3)
    assert float(assumed.girth.ratio) == pytest.approx(0.3)
    with pytest.raises(RefusedError, match="too large together"):
        Membrane.from_fabric(fabric(cloth(ACROSS, 1.2), cloth(ALONG, 1.1)))
    with pytest.raises(RefusedError, match="contraction must lie within 0 to 3"):
        Membrane.from_fabric(fabric(cloth(ACROSS, -0.1), cloth(ALONG, 0.1)))


def test_the_same_answer_from_the_bracketed_way(membrane: Membrane) -> None:
    # Reached only where Newton steps do not settle; it must agree where they do.
    from ease.fit.coupled import Pair, _bracketed

    eh, ev = np.linspace(0.05, 0.9, 30), np.linspace(-0.1, 0.6, 30)
    th, tv = membrane.tensions(eh, ev)
    pair = Pair(membrane.girth, membrane.length, membrane.coupling)
    found_h, found_v = _bracketed(pair, th, tv)
    np.testing.assert_allclose(found_h, eh, atol=1e-9)
    np.testing.assert_allclose(found_v, ev, atol=1e-9)
