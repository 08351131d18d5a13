"""Forces on the stand against the trade book, independent statics and closed limits."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from drumwright.machine.stand import lift, mast, moments, tipping
from validation_registry import record

G = 9.80665


def test_moment_at_the_mast_of_the_trade_book() -> None:
    """Trade book 1.4: 9.4 kN at arm radius 1.24 m are 11.7 kN m."""
    assert float(moments.pressing_moment(9400.0, 0.0, 1.24)) == pytest.approx(11.7e3, rel=0.005)
    assert float(moments.pressing_moment(500.0, 100.0, 1.24)) == 0.0  # the arm is heavier than the reaction


def test_corner_of_the_pallet_of_the_trade_book() -> None:
    """Trade book 1.4: drum of 270 kg and 9.4 kN are 1.2 t on one quarter."""
    ours = float(moments.corner_load(270.0, 9.4e3)) / G / 1e3
    assert record("trade 1.4", "weight and force", "corner load", 1.2, ours, "t", 0.05, "recomputed").agrees


def test_cylinder_forces_of_the_trade_book() -> None:
    """Trade book 4.4: 1 x 100 mm at 6 bar 4.7 kN, 2 x 100 mm 9.4 kN, 2 x 160 mm 24 kN."""
    for cylinders, bore, told in ((1, 0.100, 4.7e3), (2, 0.100, 9.4e3), (2, 0.160, 24.0e3)):
        full, ring = lift.cylinder_forces(6.0e5, cylinders, bore, 0.025, 1.0)
        assert float(full) == pytest.approx(told, rel=0.01)
        assert float(full - ring) == pytest.approx(6.0e5 * cylinders * math.pi * 0.0125**2, rel=1e-9)


def test_reach_is_that_of_the_trade_book_and_of_points_on_the_floor() -> None:
    """Trade book 1.2: 0.67 m and 1.24 m; a rectangular pallet by distances between drawn points."""
    told = mast.pallet_reach(0.585, 1.2, 1.2, 0.30)
    assert (told.near, told.far) == pytest.approx((0.67, 1.24), abs=0.005)
    found = mast.pallet_reach(0.500, 1.2, 1.0, 0.40)
    away, beside = (0.4 + 0.3, 0.4 + 0.9), (-0.25, 0.25)
    distances = sorted(math.hypot(x, y) for x in away for y in beside)
    assert distances == pytest.approx([found.near, found.near, found.far, found.far], rel=1e-12)
    corners = [math.atan2(y, x) for x in away for y in beside]
    assert found.swing == pytest.approx(max(corners) - min(corners), rel=1e-12)
    assert found.longest == found.far


def test_one_container_before_the_mast() -> None:
    assert mast.single_reach(0.585, 0.1, 0.05).far == pytest.approx(0.4425)


def _tension_of_a_rigid_base(moment: float, uplift: float, mass: float, base: float, pulling: int) -> float:
    """Second route: equilibrium of force and moment as two equations for tension and edge pressure."""
    # unknown: tension T of a row (each anchor T/n) at x = 0, edge pressure C at x = b, load in the middle
    matrix = np.array([[-1.0, 1.0], [0.0, base]])  # vertical: C - T = m g - F_up; moments about x = 0
    vertical = mass * G - uplift
    right = np.array([vertical, moment + vertical * 0.5 * base])
    tension, _ = np.linalg.solve(matrix, right)
    return max(tension / pulling, 0.0)


@pytest.mark.parametrize(
    ("moment", "uplift", "mass"), [(11.7e3, 9.4e3, 250.0), (2.0e3, 0.0, 400.0), (100.0, 0.0, 900.0)]
)
def test_anchor_tension_by_equilibrium(moment: float, uplift: float, mass: float) -> None:
    ours = float(moments.anchor_tension(moment, uplift, mass, 0.4, 2))
    assert ours == pytest.approx(_tension_of_a_rigid_base(moment, uplift, mass, 0.4, 2), rel=1e-9, abs=1e-9)


def test_anchors_need_a_base() -> None:
    with pytest.raises(ValueError, match="anchors"):
        moments.anchor_tension(1.0, 0.0, 0.0, 0.0, 2)


def test_free_stand_at_its_allowed_force_is_on_its_edge() -> None:
    """At the allowed force times the safety the pressure under the near edge is just zero."""
    mass, behind, radius = 600.0, 0.5, 1.24
    force = float(tipping.allowed_force(mass, behind, radius)) * tipping.SAFETY
    about_far_edge = mass * G * behind - force * (radius + behind)
    assert about_far_edge == pytest.approx(0.0, abs=1e-6)
    assert float(tipping.needed_mass(force / tipping.SAFETY, behind, radius)) == pytest.approx(mass)
    # 600 kg carry some hundred newtons where the ram presses with thousands: wheels, arm and force conflict
    assert float(tipping.allowed_force(mass, behind, radius)) < 0.15 * 9400.0


def test_load_within_the_base_never_tips_it() -> None:
    assert float(tipping.raised_load(300.0, 0.5, 0.4)) == math.inf
    load = float(tipping.raised_load(300.0, 0.5, 1.24, safety=1.0))
    assert load * (1.24 - 0.5) == pytest.approx(300.0 * G * 0.5)


def test_push_and_slope_that_tip_agree() -> None:
    """A slope is a push of m g s at the centre of mass."""
    mass, track, height = 450.0, 0.8, 1.1
    slope = float(tipping.slope_that_tips(track, height))
    assert float(tipping.push_that_tips(mass, track, height)) == pytest.approx(mass * G * slope)


def test_buckling_is_the_lowest_root_of_the_column() -> None:
    """Second route: E I y'' + P y = 0, y(0) = 0: at Euler's load the far end returns to zero first."""
    rod, length = 0.025, 1.1
    load = float(lift.buckling_force(rod, length))
    inertia = math.pi * rod**4 / 64.0

    def bend(_: float, y: np.ndarray) -> list[float]:
        return [y[1], -load / (lift.STEEL * inertia) * y[0]]

    end = solve_ivp(bend, (0.0, length), [0.0, 1.0], rtol=1e-10, atol=1e-12).y[0]
    assert end[-1] == pytest.approx(0.0, abs=1e-6)
    assert (end[1:-1] > 0.0).all()
    assert float(lift.buckling_force(rod, length, ends=2.0)) == pytest.approx(load / 4.0)


def test_air_of_a_cycle_by_chambers() -> None:
    free = float(lift.air_per_cycle(6.0e5, 1.0e5, 2, 0.100, 0.025, 1.0))
    down = 2 * math.pi / 4 * 0.1**2
    up = 2 * math.pi / 4 * (0.1**2 - 0.025**2)
    assert free == pytest.approx(7.0 * (down + up))


def test_falling_plate_keeps_its_energy() -> None:
    speed, energy = lift.fall(80.0, 1.0)
    assert float(energy) == pytest.approx(0.5 * 80.0 * float(speed) ** 2)


def test_locked_in_air_carries_the_plate() -> None:
    section = math.pi / 4 * (0.1**2 - 0.025**2)
    assert float(lift.holding_pressure(80.0, 2, section)) * 2 * section == pytest.approx(80.0 * G)


def test_spindle_is_credited_only_with_room() -> None:
    assert lift.spindle_holds(0.004, 0.030, 0.12)
    assert not lift.spindle_holds(0.008, 0.030, 0.12)  # would just hold: not relied upon


def test_stroke_and_mast_height() -> None:
    way = float(mast.stroke(0.85, 0.10, 0.0))
    down, up = mast.folded_height(way, 0.2, 0.15)
    assert (way, float(up - down)) == pytest.approx((0.95, way))


def test_footprint_of_each_kind() -> None:
    single = mast.footprint("fixed_mast", 0.585, 1.2, 1.2, 1.5)
    assert single < mast.footprint("tandem", 0.585, 1.2, 1.2, 1.5) < 2.0 * single
    assert mast.footprint("moving_arm", 0.585, 1.2, 1.2, 1.5) == pytest.approx(3.3 * 1.8)
    with pytest.raises(ValueError, match="stand"):
        mast.footprint("crane", 0.585, 1.2, 1.2, 1.5)
