"""Random containers without a plate: order, bounds, scaling (physics book 10: heel up with yield stress)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.flow import drainage, draw_down, levelling, rat_hole
from drumwright.flow.floor import Floor, rectangular_floor, round_floor
from drumwright.machine.container import open_outlet, outlet_emptying
from drumwright.machine.container.shape import rectangular_bin
from drumwright.product.law import FlowLaw

few = settings(max_examples=80, derandomize=True, deadline=None)

sides = st.floats(0.2, 1.5)
heights = st.floats(0.2, 1.5)
parts = st.floats(0.0, 1.0)
factors = st.floats(1.01, 3.0)
flows = st.floats(1e-7, 1e-3)
yields = st.floats(1.0, 2e3)
densities = st.floats(700.0, 2000.0)
consistencies = st.floats(0.1, 500.0)
exponents = st.floats(0.15, 1.0)


@st.composite
def floors(draw: st.DrawFn) -> Floor:
    """Discs with the outlet in the middle or at the wall, rectangles with it anywhere."""
    if draw(st.booleans()):
        return round_floor(0.5 * draw(sides), draw(st.booleans()))
    return rectangular_floor(draw(sides), draw(sides), draw(parts), draw(parts))


@few
@given(floors(), heights, yields, densities, factors)
def test_heel_rises_with_the_yield_stress_and_never_passes_the_filling(
    floor: Floor, height: float, tau: float, density: float, factor: float
) -> None:
    weak = float(levelling.heel(floor, height, tau, density))
    strong = float(levelling.heel(floor, height, factor * tau, density))
    most = float(floor.area) * height
    assert 0.0 < weak <= strong * (1 + 1e-9) <= most * (1 + 2e-9)
    deepest = min(float(levelling.rest_depth(floor.farthest, tau, density)), height)
    assert weak <= float(floor.area) * deepest * (1 + 1e-9)


@few
@given(floors(), yields, densities, factors)
def test_heel_scales_with_the_size_of_the_floor(
    floor: Floor, tau: float, density: float, factor: float
) -> None:
    """Uncut heel goes with length^2.5: all of a floor larger by a factor."""
    high = 1e6
    ours = float(levelling.heel(floor, high, tau, density))
    corners = tuple(type(each)(factor * each.one, factor * each.other, each.times) for each in floor.corners)
    larger = Floor(
        floor.form, factor**2 * floor.area, factor * floor.farthest, factor * floor.radius, corners
    )
    assert float(levelling.heel(larger, high, tau, density)) == pytest.approx(factor**2.5 * ours, rel=1e-9)


@few
@given(floors(), parts, parts)
def test_floor_within_a_distance_rises_to_all_of_it(floor: Floor, one: float, other: float) -> None:
    low, high = sorted((one, other))
    near, far = (float(floor.within(share * floor.farthest)) for share in (low, high))
    assert -1e-12 <= near <= far + 1e-12 <= float(floor.area) + 2e-12
    assert float(floor.within(floor.farthest)) == pytest.approx(float(floor.area), rel=1e-6)


@few
@given(floors(), flows, yields, consistencies, exponents, densities, factors, st.booleans())
def test_more_flow_or_more_yield_draws_air_earlier(
    floor: Floor, flow: float, tau: float, k: float, n: float, density: float, factor: float, plain: bool
) -> None:
    tau = 0.0 if plain else tau
    edge = 0.02 * float(floor.farthest)
    base = draw_down.floor_draw_down(floor, flow, edge, 0.01, density, tau, k, n)
    fast = draw_down.floor_draw_down(floor, factor * flow, edge, 0.01, density, tau, k, n)
    stiff = draw_down.floor_draw_down(floor, flow, edge, 0.01, density, tau + 50.0, k, n)
    still = draw_down.floor_draw_down(floor, 0.0, edge, 0.01, density, tau, k, n)
    assert np.isfinite(base.depth) and np.isfinite(base.volume)
    for more in (fast, stiff):
        assert float(more.depth) >= float(base.depth) * (1 - 1e-3)
        assert float(more.volume) >= float(base.volume) * (1 - 1e-2)
    assert float(base.depth) >= float(still.depth) * (1 - 1e-9)
    assert 0.0 < float(base.volume) <= float(base.depth * floor.area) * (1 + 1e-9)


@few
@given(heights, st.floats(1.0, 1e6), yields, consistencies, exponents, densities, factors)
def test_walls_drain_but_keep_what_hangs(
    height: float, time: float, tau: float, k: float, n: float, density: float, factor: float
) -> None:
    held = tau / (density * 9.80665)
    early = float(drainage.wall_film_mean(height, time, density, tau, k, n))
    late = float(drainage.wall_film_mean(height, factor * time, density, tau, k, n))
    foot = float(drainage.wall_film(height, time, density, tau, k, n))
    assert held * (1 - 1e-9) <= late <= early * (1 + 1e-9) and early <= foot * (1 + 1e-9)


@few
@given(st.floats(0.01, 0.3), yields, densities, factors)
def test_deeper_holes_stand_in_stiffer_products(
    radius: float, tau: float, density: float, factor: float
) -> None:
    low = float(rat_hole.standing_depth(radius, tau, density))
    high = float(rat_hole.standing_depth(radius, factor * tau, density))
    assert high >= factor * low * (1 - 1e-3)
    assert low >= 4.0 * tau / (density * 9.80665) * (1 - 1e-4)
    assert float(rat_hole.standing_depth(factor * radius, tau, density)) <= low * (1 + 1e-6)


@few
@given(sides, sides, heights, st.floats(0.03, 0.1), flows, yields, consistencies, exponents, densities)
def test_an_emptied_bin_balances(
    length: float,
    width: float,
    height: float,
    bore: float,
    flow: float,
    tau: float,
    k: float,
    n: float,
    density: float,
) -> None:
    shape, way = rectangular_bin(length, width, height), open_outlet.outlet(bore, 0.4)
    law = FlowLaw(tau, k, n)
    ours = outlet_emptying.empty_by_outlet(shape, way, 0.95 * height, flow, 0.3 * flow, -4e4, law, density)
    filled = 0.95 * float(shape.volume)
    assert float(ours.walls) >= 0.0
    assert float(ours.left_on_floor + ours.walls) <= filled * (1 + 1e-9)
    pumped = filled - float(ours.left_on_floor)
    assert float(ours.time) >= pumped / flow * (1 - 1e-6) - 1e-9
    assert float(ours.fed_end) <= float(ours.fed_full) * (1 + 1e-9) or bore > 0.95 * height


def test_arrays_and_floats_agree() -> None:
    tau, side = np.array([20.0, 150.0, 600.0]), np.array([1.0, 1.1, 1.2])
    floor = rectangular_floor(side, 0.93)
    law = (1100.0, tau, 40.0, 0.4)
    whole = draw_down.floor_draw_down(floor, 2e-4, 0.03, 0.05, *law)
    heels = np.asarray(levelling.heel(floor, 0.9, tau, 1100.0))
    for i in range(3):
        alone = rectangular_floor(float(side[i]), 0.93)
        one = draw_down.floor_draw_down(alone, 2e-4, 0.03, 0.05, 1100.0, float(tau[i]), 40.0, 0.4)
        assert (float(one.depth), float(one.volume)) == pytest.approx(
            (whole.depth[i], whole.volume[i]), rel=1e-12
        )
        assert levelling.heel(alone, 0.9, float(tau[i]), 1100.0) == pytest.approx(heels[i], rel=1e-12)
