"""When a warmed product stands still, and how fast one that turns over warms: integrals and an ODE."""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from drumwright.flow.convection import (
    STILL_FACTOR,
    buoyancy_stress,
    inside_coefficient,
    mixed_remaining,
    mixing_time,
    plate_inside,
    rayleigh,
)
from drumwright.flow.lumped import flux_rise, lumped_time, time_to_rise

HOUR = 3600.0
RADIUS, HEIGHT = 0.28575, 0.78
K, HEAT, RHO, BETA, MU = 0.38, 1400.0 * 2700.0, 1400.0, 4e-4, 50.0
ALPHA, AREA, STORED = K / HEAT, 2 * math.pi * RADIUS * HEIGHT, math.pi * RADIUS**2 * HEIGHT * HEAT


def greatest_shear(hot_share: float) -> float:
    """Greatest (1/r) int_0^r (rho' - mean) r' dr' of a cold core in a hot ring, over rho g beta dT R."""
    inner = math.sqrt(1.0 - hot_share)
    return max(
        abs(quad(lambda r: ((r < inner) - (1 - hot_share)) * r, 0.0, at, points=[inner])[0]) / at
        for at in np.append(np.linspace(0.02, 1.0, 300), inner)
    )


def test_where_a_cylinder_certainly_stands_still() -> None:
    """Correction C1: 0.19 with two thirds of the section hot (1/(3 sqrt 3)), 0.096 parabolic; slot 0.25."""
    ring = max(greatest_shear(share) for share in [*np.linspace(0.4, 0.9, 26).tolist(), 2.0 / 3.0])
    assert ring == pytest.approx(1.0 / (3.0 * math.sqrt(3.0)), abs=2e-4)
    parabola = max(quad(lambda r: (r * r - 0.5) * r, 0.0, at)[0] / -at for at in np.linspace(0.05, 1, 400))
    assert parabola == pytest.approx(0.096, abs=5e-4)
    slot = [quad(lambda x: (x > 1.0) - 0.5, 0.0, at, points=[1.0])[0] for at in np.linspace(0, 2, 201)]
    assert 0.5 * (max(slot) - min(slot)) == pytest.approx(0.25)  # width 2 R, the best stress at the wall
    assert ring < STILL_FACTOR


@pytest.mark.parametrize(
    ("density", "expansion", "printed"), [(1130, 4e-4, 6.1), (900, 7e-4, 8.5), (1400, 4e-4, 7.6)]
)
def test_printed_limits(density: float, expansion: float, printed: float) -> None:
    """Physics book 14.1 C1: 0.19 rho g beta 25 K R = 6.1, 8.5 and 7.6 Pa; its 0.19 is 0.1925."""
    exact = float(buoyancy_stress(density, expansion, 25.0, RADIUS)) / STILL_FACTOR / (3 * math.sqrt(3))
    assert exact == pytest.approx(printed, abs=0.06)


def test_syrup_turns_over() -> None:
    """Physics book 7: Ra 1.4e7, Nu 36, 17 W/m2K inside (with 0.80 m)."""
    number = float(rayleigh(RHO, BETA, 25.0, 0.80, MU, ALPHA))
    inside = float(inside_coefficient(number, K, 0.80))
    assert number == pytest.approx(1.4e7, rel=0.01)
    assert inside * 0.80 / K == pytest.approx(36.0, abs=0.5)
    assert inside == pytest.approx(17.0, abs=0.5)


@pytest.mark.parametrize(("outside", "printed", "falling"), [(10.0, 37.0, 1.09), (500.0, 14.0, 1.22)])
def test_syrup_hours_of_the_book(outside: float, printed: float, falling: float) -> None:
    """About 37 h in a hot room, 14 h in a bath (side only, constant Nu): ours 38.2 and 14.6, 3-4 % above.

    The book's second statement (14.2 A17): Nu with the fourth root of the falling difference adds 9 and 22 %.
    """
    inside = float(inside_coefficient(rayleigh(RHO, BETA, 25.0, 0.80, MU, ALPHA), K, 0.80))
    overall = 1.0 / (1.0 / outside + 1.0 / inside)
    constant = float(lumped_time(STORED, overall * AREA, 0.2))
    assert constant / HOUR == pytest.approx(printed, rel=0.045)
    ours = mixing_time(278.0, 298.0, 303.0, STORED, AREA, outside, lambda d, film: np.full_like(d, inside))
    assert ours == pytest.approx(constant, rel=1e-12)
    grown = quad(lambda s: 1 / outside + 1 / (inside * math.exp(-0.25 * s)), 0.0, math.log(5.0))[0]
    assert grown * STORED / AREA / constant == pytest.approx(falling, abs=0.006)


def syrup(temperature: np.ndarray) -> np.ndarray:
    """Viscosity [Pa s] that halves every 7 K from 50 Pa s at 293 K; invented."""
    return np.asarray(MU * 0.5 ** ((np.asarray(temperature) - 293.0) / 7.0))


@pytest.mark.parametrize(
    ("start", "air", "outside"), [(283.0, 333.0, 9.0), (283.0, 333.0, 500.0), (330.0, 290.0, 9.0)]
)
def test_mixed_warm_up_against_an_ode(start: float, air: float, outside: float) -> None:
    """Wall temperature by bisection at every instant, an adaptive solver over time; warming and cooling."""

    def overall(bulk: float) -> float:
        low, high = 0.0, 1.0
        for _ in range(60):
            part = 0.5 * (low + high)
            rise = part * (air - bulk)
            ra = rayleigh(RHO, BETA, rise, HEIGHT, syrup(np.array(bulk + 0.5 * rise)), ALPHA)
            film = float(inside_coefficient(ra, K, HEIGHT))
            if film * part > outside * (1.0 - part):
                high = part
            else:
                low = part
        return 1.0 / (1.0 / outside + 1.0 / film)

    def rate(time: float, bulk: np.ndarray) -> list[float]:
        return [overall(bulk[0]) * AREA / STORED * (air - bulk[0])]

    end = air - 0.2 * (air - start)

    def reached(time: float, bulk: np.ndarray) -> float:
        return float(bulk[0] - end)

    reached.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(
        rate, (0.0, 500 * HOUR), [start], events=reached, rtol=1e-8, atol=1e-8, dense_output=True
    )
    inside = plate_inside(RHO, BETA, K, ALPHA, HEIGHT, syrup)
    ours = mixing_time(start, end, air, STORED, AREA, outside, inside)
    assert ours == pytest.approx(path.t_events[0][0], rel=1e-3)
    half = 0.5 * path.t_events[0][0]
    left = mixed_remaining(start, air, half, STORED, AREA, outside, inside)
    assert left == pytest.approx((air - path.sol(half)[0]) / (air - start), abs=1e-3)


def test_mixing_limits() -> None:
    inside = plate_inside(RHO, BETA, K, ALPHA, HEIGHT, syrup)
    target = np.array([280.0, 283.0, 303.0, 310.0])
    times = np.asarray(mixing_time(283.0, target, 303.0, STORED, AREA, 9.0, inside))
    np.testing.assert_array_equal(times, [0.0, 0.0, np.inf, np.inf])
    assert mixed_remaining(283.0, 283.0, 10.0, STORED, AREA, 9.0, inside) == 0.0
    assert mixed_remaining(283.0, 303.0, 0.0, STORED, AREA, 9.0, inside) == 1.0


@pytest.mark.parametrize(
    ("law", "minutes", "hour"),
    [((0.50, 1130 * 3500.0), 12.0, 89.0), ((0.14, 900 * 1900.0), 1.45, 257.0), ((K, HEAT), 8.7, 105.0)],
)
def test_band_heater_of_the_book(law: tuple[float, float], minutes: float, hour: float) -> None:
    """Physics book 7 and 14.3: 1857 W/m2 gives 40 K after 12.0/1.45/8.7 min, 89/257/105 K after an hour."""
    assert float(time_to_rise(40.0, 1857.0, *law)) / 60.0 == pytest.approx(minutes, abs=0.051)
    assert float(flux_rise(1857.0, HOUR, *law)) == pytest.approx(hour, abs=0.51)
    assert flux_rise(1857.0, 4 * HOUR, *law) == pytest.approx(2.0 * float(flux_rise(1857.0, HOUR, *law)))
    assert flux_rise(1857.0, time_to_rise(40.0, 1857.0, *law), *law) == pytest.approx(40.0)


def test_band_heater_against_superposed_pulses() -> None:
    """A constant flux is a row of pulses, each warming the surface by dE/sqrt(pi k rho c t)."""
    route = quad(lambda s: 2.0 * 1857.0 / math.sqrt(math.pi * K * HEAT), 0.0, math.sqrt(HOUR))[0]
    assert flux_rise(1857.0, HOUR, K, HEAT) == pytest.approx(route, rel=1e-12)
