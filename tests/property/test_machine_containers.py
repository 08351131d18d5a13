"""Random containers, seals and end gaps: order, bounds, balances, inverses (physics book 10)."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.flow.disc_gap import smallest_gap
from drumwright.machine.container import bottom_plate, strength
from drumwright.machine.container.shape import Shape, frustum, rectangular_bin
from drumwright.machine.plate import gap_leak, recovery, residue, seals, squeeze
from drumwright.machine.plate.rim import rim_factor, rim_pressure
from drumwright.machine.plate.seal_choice import choose_seal

few = settings(max_examples=80, derandomize=True, deadline=None)

sides = st.floats(0.2, 1.5)
heights = st.floats(0.2, 1.5)
parts = st.floats(0.0, 1.0)
factors = st.floats(1.01, 3.0)
forces = st.floats(10.0, 5e4)
flows = st.floats(1e-7, 1e-3)
yields = st.floats(1.0, 2e3)
consistencies = st.floats(0.1, 500.0)
exponents = st.floats(0.15, 1.0)
pressures = st.floats(0.0, 3e5)


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    """Cones both ways, straight drums, bins."""
    if draw(st.booleans()):
        return frustum(draw(sides), draw(sides), draw(heights))
    length, width = draw(sides), draw(sides)
    radius = 0.5 * draw(parts) * min(length, width)
    return rectangular_bin(length, width, draw(heights), radius)


@few
@given(shapes(), parts, parts)
def test_volume_rises_with_height_and_comes_back(shape: Shape, one: float, other: float) -> None:
    low, high = sorted((one * float(shape.height), other * float(shape.height)))
    assert float(shape.volume_to(low)) <= float(shape.volume_to(high)) * (1 + 1e-12)
    assert float(shape.height_of(shape.volume_to(high))) == pytest.approx(high, rel=1e-9, abs=1e-12)
    between = float(shape.volume_to(high) - shape.volume_to(low))
    areas = sorted((float(shape.area(low)), float(shape.area(high))))
    assert (
        areas[0] * (high - low) * (1 - 1e-9) - 1e-12
        <= between
        <= areas[1] * (high - low) * (1 + 1e-9) + 1e-12
    )


@few
@given(shapes())
def test_bounds_of_a_shape(shape: Shape) -> None:
    assert float(shape.least_diameter) <= float(shape.greatest_diameter)
    assert float(shape.radial_travel) >= 0.0
    assert float(shape.wall_area()) >= 0.999999 * float(shape.height) * min(
        float(shape.perimeter(0.0)), float(shape.perimeter(shape.height))
    )
    # of all sections of this area the round one has the shortest edge
    assert float(shape.perimeter(0.0)) >= math.sqrt(4 * math.pi * float(shape.area(0.0))) * (1 - 1e-12)


@few
@given(shapes(), st.floats(0.001, 0.02), st.floats(0.0, 0.05), factors)
def test_a_longer_reach_never_seals_less(shape: Shape, clearance: float, reach: float, factor: float) -> None:
    disc = float(seals.disc_diameter(shape, clearance))
    less, more = (float(seals.sealed_share(shape, disc, r)) for r in (reach, reach * factor))
    assert 0.0 <= less <= more <= 1.0
    whole = 0.5 * (float(shape.greatest_diameter) - disc)
    assert float(seals.sealed_share(shape, disc, whole * (1 + 1e-9))) == pytest.approx(1.0)
    assert 0.0 <= float(seals.annulus_share(shape, disc)) < 1.0


@few
@given(shapes(), pressures, forces, yields, st.floats(0.0, 0.004))
def test_every_seal_is_ranked_and_a_rejection_is_a_broken_limit(
    shape: Shape, rim: float, push: float, yield_stress: float, tolerance: float
) -> None:
    ranked = choose_seal(shape, rim, push, yield_stress, tolerance)
    assert {fit.seal for fit in ranked} == set(seals.seals())
    assert [fit.fits for fit in ranked] == sorted((fit.fits for fit in ranked), reverse=True)
    for fit in ranked:
        for each in fit.rejections:
            less = each.criterion == "sealed_share"
            assert each.value < each.limit if less else each.value > each.limit
        if fit.fits and fit.seal != "hard_plate":
            assert fit.sealed_share == 1.0
            assert fit.friction <= 0.5 * push * (1 + 1e-9)


@few
@given(pressures, forces, st.floats(0.05, 0.8), st.floats(0.01, 0.06), st.floats(0.8, 5.0))
def test_inflation_inside_its_range_keeps_both_rules(
    rim: float, push: float, friction: float, width: float, perimeter: float
) -> None:
    least, most = (float(x) for x in seals.inflation_range(rim, push, friction, width, perimeter))
    if least <= most:
        for inflation in (least, most, 0.5 * (least + most)):
            assert inflation >= 1.3 * rim * (1 - 1e-12)
            assert friction * inflation * width * perimeter <= 0.5 * push * (1 + 1e-12)


@few
@given(forces, flows, st.floats(0.1, 0.35), yields, consistencies, exponents, factors)
def test_end_gap_falls_with_force_and_rises_with_yield_stress(
    force: float, flow: float, radius: float, tau_y: float, k: float, n: float, factor: float
) -> None:
    """Physics book 10: heel down with F, up with tau_y; up with the flow."""
    gap = float(smallest_gap(flow, force, radius, 0.03, tau_y, k, n))
    assert float(smallest_gap(flow, force * factor, radius, 0.03, tau_y, k, n)) < gap
    assert float(smallest_gap(flow, force, radius, 0.03, tau_y * factor, k, n)) > gap
    assert float(smallest_gap(flow * factor, force, radius, 0.03, tau_y, k, n)) >= gap * (1 - 1e-9)


@few
@given(forces, st.floats(1e-6, 1e-2), st.floats(0.1, 0.35), yields, consistencies, exponents)
def test_squeeze_gap_is_the_inverse_of_its_force(
    force: float, speed: float, radius: float, tau_y: float, k: float, n: float
) -> None:
    gap = float(squeeze.squeeze_gap(force, speed, radius, tau_y, k, n))
    assert float(squeeze.squeeze_force(speed, gap, radius, tau_y, k, n)) == pytest.approx(force, rel=1e-6)


@few
@given(st.floats(0.1, 0.4), st.floats(-2e4, 5e4), st.floats(-9e4, 0.0))
def test_rim_of_a_small_port(radius: float, mean: float, port: float) -> None:
    """Physics book 10: rim = F/A + (F/A - p_port)/2 for r0 -> 0; a real port raises the factor above 1.5."""
    assert float(rim_factor(radius, 1e-7 * radius)) == pytest.approx(1.5, rel=1e-6)
    rim = float(rim_pressure(mean, port, radius, 1e-7 * radius))
    assert rim == pytest.approx(mean + 0.5 * (mean - port), rel=1e-5, abs=0.1)
    factors_up = [float(rim_factor(radius, share * radius)) for share in (0.01, 0.1, 0.2, 0.4)]
    assert factors_up == sorted(factors_up)
    assert factors_up[0] > 1.5


@few
@given(shapes(), st.lists(parts, min_size=4, max_size=4))
def test_recovery_and_residue_are_the_whole(shape: Shape, drawn: list[float]) -> None:
    gap, layer, mix, fill = drawn
    filled = max(fill, 0.1) * float(shape.volume)
    places = {
        "heel": residue.heel_over(shape.bottom_area, 0.02 * gap, 0.01, mix),
        "wall": residue.wall_layer(shape.wall_area(0.0, shape.height_of(filled)), 1e-3 * layer),
    }
    left = recovery.total(places, filled)
    assert 0.0 <= float(left) <= filled
    assert float(left) / filled + float(recovery.recovered(left, filled)) == pytest.approx(1.0, abs=1e-15)


@few
@given(st.integers(0, 2**31), st.integers(2, 6))
def test_variance_shares_add_up(seed: int, count: int) -> None:
    random = np.random.default_rng(seed)
    places = {str(index): random.gamma(2.0, 10.0 ** random.uniform(-5, -2), 500) for index in range(count)}
    assert sum(recovery.shares(places).values()) == pytest.approx(1.0, abs=1e-9)
    left = recovery.total(places)
    chances = [recovery.chance(left, wish) for wish in (0.0, float(np.median(left)), float(left.max()))]
    assert chances == sorted(chances)
    assert chances[-1] == 1.0


@few
@given(st.floats(3e-4, 6e-3), st.floats(0.2, 0.7), st.floats(0.1, 1.2), factors)
def test_collapse_rises_with_wall_and_falls_with_length(
    wall: float, diameter: float, length: float, factor: float
) -> None:
    law = (205e9, 0.3)
    base = float(strength.collapse_pressure(*law, wall, diameter, length))
    assert base > 0.0
    assert float(strength.collapse_pressure(*law, wall * factor, diameter, length)) > base
    assert float(strength.collapse_pressure(*law, wall, diameter, length * factor)) < base


@few
@given(st.floats(1e5, 5e8), st.floats(0.1, 0.35), st.floats(3e-4, 6e-3), factors)
def test_bottom_bears_more_if_thicker_or_stronger(
    stress: float, radius: float, thickness: float, factor: float
) -> None:
    base = float(bottom_plate.bottom_limit(stress, radius, thickness, 205e9, 0.3))
    assert float(bottom_plate.bottom_limit(stress * factor, radius, thickness, 205e9, 0.3)) > base
    assert float(bottom_plate.bottom_limit(stress, radius * factor, thickness, 205e9, 0.3)) < base
    # bending alone is the careful side: the membrane carries as well
    assert base >= stress / float(bottom_plate.small_deflection_stress(1.0, radius, thickness)) * (1 - 1e-9)


@few
@given(pressures, st.floats(1e-5, 5e-3), yields, consistencies, exponents, factors)
def test_leak_is_never_less_than_the_dragged_half(
    rim: float, gap: float, tau_y: float, k: float, n: float, factor: float
) -> None:
    base = float(gap_leak.passed(1.8, 0.8, 1e-3, rim, gap, 5e-3, tau_y, k, n))
    assert base >= 1.8 * 0.8 * 0.5 * gap * (1 - 1e-12)
    assert float(gap_leak.passed(1.8, 0.8, 1e-3, rim * factor, gap, 5e-3, tau_y, k, n)) >= base * (1 - 1e-12)
    if float(gap_leak.gap_stress(rim, gap, 5e-3)) <= tau_y:
        assert base == pytest.approx(1.8 * 0.8 * 0.5 * gap)
