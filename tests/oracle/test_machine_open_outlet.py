"""Containers emptied by their own outlet or by a lance: printed numbers, balances and second routes."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from drumwright.flow import drainage
from drumwright.flow.fittings import equivalent_diameters
from drumwright.flow.pipe import pressure_drop
from drumwright.machine.container import lance_hole, open_outlet, outlet_emptying
from drumwright.machine.container.shape import frustum, rectangular_bin
from drumwright.product.law import FlowLaw
from validation_registry import record

GRAVITY = 9.80665
HOUR = 3600.0
TOMATO, GREASE, SYRUP = FlowLaw(150.0, 60.0, 0.35), FlowLaw(600.0, 25.0, 0.6), FlowLaw(0.0, 50.0, 1.0)
DENSITY = {TOMATO: 1130.0, GREASE: 900.0, SYRUP: 1400.0}
BIN, DRUM = rectangular_bin(1.10, 0.93, 0.98), frustum(0.5715, 0.5715, 0.85)
SUCTION = -40e3


def suction_line(bore: float) -> open_outlet.Outlet:
    """1.5 m, a full-bore valve and two bends: 30 diameters."""
    fittings = equivalent_diameters("full_bore_valve") + 2 * equivalent_diameters("bend_90")
    return open_outlet.outlet(bore, 1.5, fittings)


def test_footprint_sets_the_level() -> None:
    """CNT-07: 1 m3 on 1.2 x 1.0 m stands 0.8333 m; second route: head at the outlet without flow."""
    bin_ = rectangular_bin(1.2, 1.0, 1.0)
    head = open_outlet.inlet_gauge(open_outlet.outlet(0.05, 0.3), bin_.height_of(1.0), 0.0, SYRUP, 1400.0)
    level = float(head) / (1400.0 * GRAVITY)
    source = "1.2 x 1.0 m, level by the head at the outlet"
    assert record("CNT-07", source, "level of 1 m3", 0.8333, level, "m", 0.001, "recomputed").agrees


@pytest.mark.parametrize(
    ("law", "small", "large"), [(TOMATO, 0.58, 0.49), (GREASE, 1.47, 1.29), (SYRUP, 0.54, 0.25)]
)
def test_printed_suction_lines(law: FlowLaw, small: float, large: float) -> None:
    """Physics book 1.5 and 14.3, bar at 1 m3/h: DN80 0.58/1.47/0.54, DN100 0.49/1.29/0.25."""
    for bore, printed in ((0.08, small), (0.10, large)):
        ours = float(open_outlet.suction_loss(suction_line(bore), 1 / HOUR, law)) / 1e5
        assert ours == pytest.approx(printed, abs=0.006)


def test_printed_stall_heads() -> None:
    """Physics book 1.5: 0.32 m (a) and 1.6 m (b) for 0.3 m of DN50 alone; entry and valve come on top."""
    way = open_outlet.outlet(0.05, 0.3)
    for law, printed in ((TOMATO, 0.325), (GREASE, 1.63)):
        ours = float(open_outlet.stall_head(way, law.yield_stress, DENSITY[law]))
        assert ours * 0.3 / float(way.reach) == pytest.approx(printed, abs=5e-3)
    assert open_outlet.stall_head(way, 0.0, 1400.0) == 0.0
    valve = 0.05 * equivalent_diameters("full_bore_valve")
    assert float(way.reach) == pytest.approx(0.3 + valve + 0.05 * 0.5 * 3 * math.pi / 16, rel=1e-12)


def test_nothing_is_fed_below_the_stall_head_and_the_loss_balances_above() -> None:
    way = open_outlet.outlet(0.06, 0.3, rise=0.2)
    for law in (TOMATO, GREASE):
        stall = float(open_outlet.stall_head(way, law.yield_stress, DENSITY[law]))
        assert open_outlet.fed_flow(way, 0.999 * stall, 0.0, law, DENSITY[law]) == 0.0
        assert float(open_outlet.fed_flow(way, 1.01 * stall, 0.0, law, DENSITY[law])) > 0.0
    for law in (TOMATO, GREASE, SYRUP):
        flow = open_outlet.fed_flow(way, 0.5, SUCTION, law, DENSITY[law])
        back = float(open_outlet.inlet_gauge(way, 0.5, flow, law, DENSITY[law]))
        assert back == pytest.approx(SUCTION, rel=1e-9)


def test_inlet_is_head_less_loss() -> None:
    way = open_outlet.outlet(0.08, 0.5, 10.0, rise=0.3)
    lost = float(pressure_drop(2e-4, 0.08, way.reach, 150.0, 60.0, 0.35))
    ours = float(open_outlet.inlet_gauge(way, 0.9, 2e-4, TOMATO, 1130.0))
    assert ours == pytest.approx(1130.0 * GRAVITY * 0.6 - lost, rel=1e-12)


def test_printed_heels_and_walls_of_a_bin() -> None:
    """Physics book 2.6: 129 L and 10-25 L walls (a), 290 L and 50-120 L (b); +-30 %."""
    floor = open_outlet.floor_of(BIN)
    wall = BIN.wall_area(0.0, 0.98)
    for law, heel, least, most in ((TOMATO, 129.4, 10.0, 25.0), (GREASE, 290.1, 50.0, 120.0)):
        low, likely, high = open_outlet.heel_band(floor, 0.98, law.yield_stress, DENSITY[law])
        assert 1e3 * float(likely) == pytest.approx(heel, abs=0.05)
        assert float(low) == pytest.approx(0.7 * float(likely)) and float(high) == pytest.approx(
            1.3 * float(likely)
        )
        ours = [
            1e3 * float(open_outlet.wall_left(wall, 0.98, 1e9, law, DENSITY[law], share))
            for share in (open_outlet.HANGING_LOW, open_outlet.HANGING_HIGH)
        ]
        np.testing.assert_allclose(ours, [least, most], rtol=0.06)
    stiff = open_outlet.heel_band(floor, 0.3, 5e4, 1000.0)[2]
    assert float(stiff) == pytest.approx(0.3 * 1.10 * 0.93, rel=1e-12)


def test_floor_lies_with_its_outlet_at_the_short_side() -> None:
    turned = open_outlet.floor_of(rectangular_bin(0.93, 1.10, 0.98))
    assert float(turned.farthest) == pytest.approx(math.hypot(1.10, 0.465), rel=1e-12)
    assert float(open_outlet.floor_of(DRUM).farthest) == pytest.approx(0.28575, rel=1e-12)
    assert float(open_outlet.floor_of(DRUM, at_wall=True).farthest) == pytest.approx(0.5715, rel=1e-12)


def test_printed_recovery_of_a_syrup_that_drains() -> None:
    """Correction C4: 96.6, 98.2 and 99.15 % after 10 min, 1 h, 8 h, outlet of 80 mm."""
    wait = np.array([600.0, HOUR, 8 * HOUR])
    floor, walls = open_outlet.floor_of(BIN), BIN.wall_area(0.0, 0.98)
    constant = drainage.floor_constant(floor, 0.04)
    on_floor = floor.area * np.asarray(drainage.floor_mean_depth(constant, wait, 1400.0, 50.0))
    on_walls = walls * np.asarray(drainage.wall_film_mean(0.98, wait, 1400.0, 0.0, 50.0, 1.0))
    share = 1.0 - (on_floor + on_walls) / (1.10 * 0.93 * 0.98)
    np.testing.assert_allclose(100 * share, [96.6, 98.2, 99.15], atol=0.06)
    again = drainage.time_to_drain(on_floor + on_walls, floor.area, constant, walls, 0.98, 1400.0, 50.0)
    np.testing.assert_allclose(again, wait, rtol=1e-6)


@pytest.mark.parametrize("shape", [BIN, frustum(0.60, 0.52, 0.85)])
@pytest.mark.parametrize("law", [TOMATO, SYRUP])
def test_emptying_time_is_the_integral_of_the_level(shape: object, law: FlowLaw) -> None:
    way, density = open_outlet.outlet(0.05, 0.6), DENSITY[law]

    def slow(z: float) -> float:
        fed = float(open_outlet.fed_flow(way, z, -15e3, law, density))
        return float(shape.area(z)) / min(2 / HOUR, fed)  # type: ignore[attr-defined]

    second = quad(slow, 0.15, 0.8, limit=400, epsrel=1e-9)[0]
    ours = outlet_emptying.emptying_time(shape, way, (0.8, 0.15), 2 / HOUR, -15e3, law, density)  # type: ignore[arg-type]
    assert float(ours) == pytest.approx(second, rel=0.01)
    pump = outlet_emptying.emptying_time(BIN, way, (0.9, 0.1), 1e-6, -60e3, law, density)
    assert float(pump) == pytest.approx(0.8 * 1.10 * 0.93 / 1e-6, rel=1e-9)


def test_all_of_it_at_once() -> None:
    wide, narrow = open_outlet.outlet(0.08, 0.3), open_outlet.outlet(0.05, 0.3)
    for law in (TOMATO, GREASE, SYRUP):
        ours = outlet_emptying.empty_by_outlet(
            BIN, wide, 0.94, 1 / HOUR, 0.3 / HOUR, SUCTION, law, DENSITY[law]
        )
        assert float(ours.left_on_floor) >= 0.97 * float(ours.heel_at_rest[1])
        assert 0.0 < float(ours.walls) < 0.10
        pumped = 0.94 * 1.10 * 0.93 - float(ours.left_on_floor)
        assert float(ours.time) == pytest.approx(pumped * HOUR, rel=1e-6)
        assert float(ours.inlet_gauge_end) < float(ours.inlet_gauge_full)
        assert float(ours.fed_end) < float(ours.fed_full)
    stuck = outlet_emptying.empty_by_outlet(DRUM, narrow, 0.78, 1 / HOUR, 1e-4, 0.0, GREASE, 900.0)
    assert float(stuck.fed_full) == 0.0 and math.isinf(float(stuck.time))
    assert float(stuck.left_on_floor) == pytest.approx(float(DRUM.volume_to(0.78)), rel=1e-12)
    assert float(stuck.walls) == 0.0
    dying = outlet_emptying.empty_by_outlet(BIN, narrow, 0.94, 1 / HOUR, 1e-4, 0.0, TOMATO, 1130.0)
    level = float(open_outlet.stall_head(narrow, 150.0, 1130.0))
    assert math.isinf(float(dying.time))
    assert float(dying.left_on_floor) == pytest.approx(level * 1.10 * 0.93, rel=1e-9)


def test_air_behind_the_product_fills_what_does_not_stay_on_the_wall() -> None:
    way = open_outlet.outlet(0.05, 1.8)
    air, left = open_outlet.air_in_suction_line(way, 1.8, 1 / HOUR, SYRUP, 0.05)
    assert float(air + left) == pytest.approx(0.25 * math.pi * 0.05**2 * 1.8, rel=1e-12)
    assert float(left / (air + left)) == pytest.approx(0.62, abs=0.03)
    thin = open_outlet.air_in_suction_line(way, 1.8, 1e-6, FlowLaw(0.0, 1e-3, 1.0), 0.05)
    assert float(thin[1]) < 0.01 * float(thin[0])


def test_lance_in_a_stiff_product_bores_a_hole_and_pumps_air() -> None:
    """Physics book 1.5: NLGI 2 grease stands a full drum deep (88 % left), tomato falls in from 0.07 m."""
    grease = lance_hole.lance_hole(DRUM, 0.70, 0.1, 900.0, 600.0, 900.0)
    assert bool(grease.through)
    assert float(grease.beside_hole / DRUM.volume_to(0.70)) == pytest.approx(0.88, abs=5e-3)
    tomato = lance_hole.lance_hole(DRUM, 0.78, 0.1, 150.0, 150.0, 1130.0)
    assert not bool(tomato.through)
    assert float(tomato.standing) == pytest.approx(0.07, abs=2e-3)
    assert 1e3 * float(tomato.heel) == pytest.approx(18.0, abs=0.08)
    syrup = lance_hole.lance_hole(DRUM, 0.78, 0.1, 0.0, 0.0, 1400.0)
    assert float(syrup.beside_hole) == float(syrup.heel) == 0.0


def test_lance_carries_out_no_more_than_runs_down() -> None:
    ours = float(lance_hole.carried_out(0.05, 0.8, 0.1, SYRUP, 1400.0, 0.05))
    film = math.sqrt(50.0 * 0.1 / (1400.0 * GRAVITY))
    assert ours == pytest.approx(math.pi * 0.05 * 0.8 * film, rel=1e-12)
