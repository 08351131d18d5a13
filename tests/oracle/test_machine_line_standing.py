"""Standing and running lines that cool: against the exact cylinder, an ODE and the numbers of the book."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from drumwright.flow.line_cooling import (
    adiabatic_rise,
    running_share,
    standing_time_constant,
    stood_temperature,
)
from drumwright.flow.series import cylinder_series
from drumwright.machine.line import segments as piece
from drumwright.machine.line.losses import restart_pressure
from drumwright.machine.line.profile import temperature_along
from drumwright.machine.line.standing import (
    Cooling,
    Structure,
    cooling_of,
    restart_after,
    restart_after_stops,
    structure_growth,
    structure_of_use,
    worst_restart,
)
from drumwright.product.law import FlowLaw
from drumwright.product.temperature import law_at
from station_kit import GREASE, TOMATO
from validation_registry import record

HOUR, BAR = 3600.0, 1e5
# density, heat capacity, conductivity of the three products of physics book 0.2
HEAT = {"a": (1130.0, 3500.0, 0.50), "b": (900.0, 1900.0, 0.14), "c": (1400.0, 2700.0, 0.38)}


@pytest.mark.parametrize(("name", "theirs"), [("a", 1.9), ("b", 1.0), ("c", 1.9)])
def test_standing_time_constant_of_the_book(name: str, theirs: float) -> None:
    """Physics book 14.2 A12: 1.9, 1.0, 1.9 h in DN50 at U 8 with conduction inside."""
    ours = float(standing_time_constant(0.05, 8.0, *HEAT[name])) / HOUR
    assert record("book A12", "physics book 14.2", f"standing time ({name})", theirs, ours, "h", 0.05,
                  "recomputed").agrees  # fmt: skip


@pytest.mark.parametrize(("name", "theirs"), [("a", 0.34), ("b", 0.79), ("c", 0.36)])
def test_running_drop_of_the_book(name: str, theirs: float) -> None:
    """Physics book 14.3: 5 m DN50, 0.5 m3/h, 30 K, U 8."""
    share = running_share(0.5 / HOUR, 0.05, 5.0, 8.0, *HEAT[name][:2])
    ours = 30.0 * (1.0 - float(share))
    assert record("book 5.6", "physics book 14.3", f"cooling in 5 m ({name})", theirs, ours, "K", 0.02,
                  "recomputed").agrees  # fmt: skip


def test_friction_heat_of_the_book() -> None:
    """Physics book 14.3: .253, .585, .265 K for 10 bar."""
    for name, theirs in (("a", 0.253), ("b", 0.585), ("c", 0.265)):
        assert adiabatic_rise(10 * BAR, *HEAT[name][:2]) == pytest.approx(theirs, rel=3e-3)


def test_running_share_equals_the_heat_balance_integrated() -> None:
    """dT/dx = -U pi D (T - T_a)/(rho c Q) by an ODE solver."""
    flow, bore, length, u, rho, heat = 2e-5, 0.04, 30.0, 12.0, 1130.0, 3500.0

    def slope(_: float, t: np.ndarray) -> np.ndarray:
        return -u * np.pi * bore * t / (rho * heat * flow)

    solved = solve_ivp(slope, (0.0, length), [1.0], rtol=1e-10, atol=1e-12)
    assert running_share(flow, bore, length, u, rho, heat) == pytest.approx(solved.y[0, -1], rel=1e-8)


@pytest.mark.parametrize("biot", [0.2, 0.5, 1.5, 3.0])
def test_stood_temperatures_against_the_exact_cylinder(biot: float) -> None:
    """Bessel series of a long cylinder, in shares of the first difference: mean and core within 0.036; the
    wall at most 0.017 too warm, and early up to 0.07 too cold."""
    radius, k, rho, heat = 0.025, 0.3, 1000.0, 2500.0
    constant = float(standing_time_constant(2 * radius, biot * k / radius, rho, heat, k))
    for share in (0.1, 0.3, 1.0, 2.0, 3.0):
        time = share * constant
        fourier = k / (rho * heat) * time / radius**2

        def exact(place: object, at: float = fourier) -> float:
            return float(cylinder_series(np.array(biot), place, at).at(np.array(at)))  # type: ignore[arg-type]

        ours = stood_temperature(time, 1.0, 0.0, constant, biot)
        assert float(ours.mean) == pytest.approx(exact("mean"), abs=0.036), share
        assert float(ours.core) == pytest.approx(exact(np.array(0.0)), abs=0.036), share
        assert -0.07 < float(ours.wall) - exact(np.array(1.0)) < 0.017, share


def test_thin_products_are_lumped() -> None:
    """Bi to 0: mean, core and wall agree with exp(-t/tau)."""
    ours = stood_temperature(1000.0, 300.0, 280.0, 2000.0, 1e-9)
    for value in ours:
        assert float(value) == pytest.approx(280.0 + 20.0 * np.exp(-0.5), rel=1e-9)
    assert float(stood_temperature(0.0, 300.0, 280.0, 2000.0, 1.0).core) == 300.0


def test_structure_growth_equals_its_equation() -> None:
    """dlambda/dt = (1 - lambda)/theta - k_d lambda g by an ODE solver, at rest and sheared."""
    for rate, first in ((0.0, 0.0), (20.0, 1.0)):

        def slope(_: float, y: np.ndarray, g: float = rate) -> np.ndarray:
            return (1.0 - y) / 600.0 - 0.002 * y * g

        solved = solve_ivp(slope, (0.0, 900.0), [first], rtol=1e-10, atol=1e-12).y[0, -1]
        assert float(structure_of_use(first, 900.0, 600.0, 0.002, rate)) == pytest.approx(solved, rel=1e-7)
    rested = float(structure_of_use(0.0, 900.0, 600.0, 0.0, 0.0))
    assert float(structure_growth(900.0, 2.5, 600.0)) == pytest.approx(1.0 + 1.5 * rested, rel=1e-12)


def test_growth_that_is_not_known_is_taken_in_full() -> None:
    assert float(structure_growth(0.0, 2.0, 0.0)) == 2.0
    assert float(structure_growth(1e9, 2.0, 600.0)) == 2.0
    assert float(structure_growth(0.0, 2.0, 600.0)) == 1.0
    with pytest.raises(ValueError, match="restart factor"):
        structure_growth(1.0, 0.9, 60.0)


@pytest.mark.parametrize(("law", "factor", "theirs"), [(TOMATO, 2.0, 1.2), (GREASE, 1.5, 3.6)])
def test_restart_of_the_book(law: FlowLaw, factor: float, theirs: float) -> None:
    """Physics book 5.7: 5 m DN50 after a long rest at one temperature, 1.2 and 3.6 bar."""
    cooling = Cooling(293.15, 293.15, 3600.0, 0.5)
    made = restart_after(
        1e7, [piece.pipe(0.05, 5.0)], cooling, Structure(factor, 600.0), lambda t: law, 1000.0
    )
    assert record("book 5.7", "physics book 5.7", f"restart, factor {factor:g}", theirs,
                  float(made.pressure) / BAR, "bar", 0.01, "recomputed").agrees  # fmt: skip


def test_three_stops_of_a_warm_line_in_a_cold_hall() -> None:
    """Colder and stiffer the longer it stands; in the end the cold yield stress at the hall's temperature."""
    line = [piece.hose(0.05, 3.0), piece.pipe(0.05, 6.0, 2.0), piece.bend(0.05, np.pi / 2, 1.0)]

    def at(temperature: np.ndarray) -> FlowLaw:
        return law_at([(293.15, GREASE)], temperature, 40e3, 10e3).law

    u, (rho, heat, k) = 8.0, HEAT["b"]
    constant = standing_time_constant(0.05, u, rho, heat, k)
    cooling = Cooling(np.full(3, 298.15), np.array([278.15, 283.15, 298.15]), constant, u * 0.025 / k)
    stops = {"filler_stop": 300.0, "meal_break": 2700.0, "night": 14 * HOUR, "weekend": 60 * HOUR}
    made = restart_after_stops(stops, line, cooling, Structure(1.5, 600.0), at, rho)
    order = [made[name].pressure for name in stops]
    for shorter, longer in pairwise(order):
        assert np.all(longer >= shorter)
    cold = 1.5 * np.asarray(at(np.array([278.15, 283.15, 298.15])).yield_stress)
    assert made["weekend"].pressure == pytest.approx(restart_pressure(line, cold, rho), rel=1e-9)
    wall = made["meal_break"].temperature.wall
    assert np.array_equal(made["meal_break"].temperature.coldest, wall)
    assert made["meal_break"].yield_stress == pytest.approx(
        np.asarray(at(wall).yield_stress) * (1 + 0.5 * (1 - np.exp(-2700 / 600))), rel=1e-12
    )
    name, worst = worst_restart(made)
    assert name == "weekend"
    assert np.array_equal(worst, made["weekend"].pressure)
    assert float(made["meal_break"].temperature.core[0]) > float(made["meal_break"].temperature.mean[0])


def test_a_warm_hall_is_credited_only_at_the_coldest_place() -> None:
    cooling = Cooling(280.0, 300.0, 5000.0, 1.0)
    made = restart_after(
        2500.0, [piece.pipe(0.05, 5.0)], cooling, Structure(1.5, 600.0), lambda t: GREASE, 900.0
    )
    assert float(made.temperature.coldest) == float(made.temperature.core)
    assert float(made.temperature.core) < float(made.temperature.mean) < float(made.temperature.wall)


def test_a_stop_nobody_named_is_refused() -> None:
    stops = {"filler_stop": 60.0, "meal_break": 1800.0}
    cooling, line = Cooling(293.0, 293.0, 3600.0, 0.5), [piece.pipe(0.05, 5.0)]
    with pytest.raises(KeyError, match="night"):
        restart_after_stops(stops, line, cooling, Structure(1.5, 600.0), lambda t: GREASE, 900.0)


def test_temperature_along_a_running_line_of_two_bores() -> None:
    """Sum of the exponents of the segments; a whole line cut in pieces ends at the same temperature."""
    line = [piece.hose(0.06, 3.0), piece.pipe(0.05, 5.0), piece.fitting("ball_valve", 0.05)]
    heat = (8.0, 1130.0, 3500.0)
    ours = temperature_along(line, 1e-4, np.array([303.15, 293.15]), 283.15, *heat)
    assert ours.shape == (4, 2)
    exponent = 8.0 * np.pi * (0.06 * 3.0 + 0.05 * 5.0) / (1130.0 * 3500.0 * 1e-4)
    assert ours[-1] == pytest.approx(283.15 + np.array([20.0, 10.0]) * np.exp(-exponent), rel=1e-12)
    assert np.array_equal(ours[2], ours[3])


def test_the_narrowest_segment_sets_the_cooling() -> None:
    line = [piece.hose(0.06, 3.0), piece.reducer(0.06, np.array([0.03, 0.08]), 0.1)]
    made = cooling_of(line, 300.0, 280.0, 8.0, *HEAT["a"])
    theirs = [standing_time_constant(bore, 8.0, *HEAT["a"]) for bore in (0.03, 0.06)]
    assert made.time_constant == pytest.approx(theirs, rel=1e-12)
    assert made.biot == pytest.approx(np.array([8.0 * 0.015, 8.0 * 0.03]) / 0.50)
