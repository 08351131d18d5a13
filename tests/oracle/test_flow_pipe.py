"""Pipe and slot laws against quadrature, closed limits, and the recomputed values of the check list.

The second route of every recomputed value is calculated here: Rabinowitsch's integral by SciPy and a
bracketed root, never the closed form under test. Where inputs are from memory the docstring says so.
"""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from drumwright.flow import casson, pipe, slot
from drumwright.flow.pipe import flow_rate, pressure_drop, wall_stress
from drumwright.flow.regime import hanks_limit, kinetic_energy_factor, ryan_johnson_limit
from drumwright.flow.turbulent import dodge_metzner
from validation_registry import record


def pipe_flow(stress: float, bore: float, tau_y: float, k: float, n: float) -> float:
    """Integrate the shear rate over the stress: Q = pi R^3/tau_w^3 int tau^2 g dtau."""
    if stress <= tau_y:
        return 0.0
    excess = stress - tau_y
    integral = quad(
        lambda v: (tau_y + excess * v) ** 2,
        0.0,
        1.0,
        weight="alg",
        wvar=(1.0 / n, 0.0),
        epsabs=0,
        epsrel=1e-13,
    )[0]
    return np.pi * (0.5 * bore) ** 3 / stress**3 * excess * (excess / k) ** (1.0 / n) * integral


def slot_flow(stress: float, gap: float, tau_y: float, k: float, n: float) -> float:
    """Integrate the shear rate over the stress: q = h^2/(2 tau_w^2) int tau g dtau."""
    excess = stress - tau_y
    integral = quad(
        lambda v: tau_y + excess * v, 0.0, 1.0, weight="alg", wvar=(1.0 / n, 0.0), epsabs=0, epsrel=1e-13
    )[0]
    return gap**2 / (2.0 * stress**2) * excess * (excess / k) ** (1.0 / n) * integral


def pipe_stress(flow: float, bore: float, tau_y: float, k: float, n: float) -> float:
    """Find the wall stress by a bracketed root on the quadrature."""
    return float(
        brentq(lambda s: pipe_flow(s, bore, tau_y, k, n) / flow - 1.0, tau_y + 1e-9, tau_y + 1e7, xtol=1e-9)
    )


LAWS = [(150.0, 60.0, 0.35), (600.0, 25.0, 0.6), (0.0, 50.0, 1.0), (36.1, 8.7, 1.0), (0.0, 18.0, 0.27)]


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("ratio", [1e-6, 1e-3, 0.1, 1.0, 30.0, 1e4])
def test_pipe_and_slot_flow_equal_quadrature(law: tuple[float, float, float], ratio: float) -> None:
    tau_y = law[0]
    stress = max(tau_y, 10.0) * ratio + tau_y
    assert pipe.flow_from_wall_stress(stress, 0.05, *law) == pytest.approx(
        pipe_flow(stress, 0.05, *law), rel=1e-12
    )
    assert slot.flow_per_width(stress, 0.004, *law) == pytest.approx(
        slot_flow(stress, 0.004, *law), rel=1e-12
    )


def test_round_trip_over_a_hundred_thousand_random_points() -> None:
    random = np.random.default_rng(7)
    count = 100_000
    for low, high in ((0.05, 0.3), (0.3, 1.0), (1.0, 2.5)):
        n = random.uniform(low, high, count)
        tau_y, k = 10 ** random.uniform(-3, 3, count), 10 ** random.uniform(-2, 3, count)
        size = random.uniform(0.01, 0.2, count)
        stress = tau_y * (1.0 + 10 ** random.uniform(-6, 6, count))
        for law, back in (
            (pipe.flow_from_wall_stress, pipe.wall_stress),
            (slot.flow_per_width, slot.wall_stress),
        ):
            flow = np.asarray(law(stress, size, tau_y, k, n))
            kept = (flow > 1e-250) & (flow < 1e200)
            assert kept.mean() > 0.8
            again = back(flow[kept], size[kept], tau_y[kept], k[kept], n[kept])
            assert np.abs(again / stress[kept] - 1.0).max() < 1e-14


def test_newtonian_is_hagen_poiseuille() -> None:
    flow, bore, mu = np.logspace(-8, 0, 9), 0.05, 1.2
    exact = 128.0 * mu * flow * 3.0 / (np.pi * bore**4)
    np.testing.assert_allclose(pressure_drop(flow, bore, 3.0, 0.0, mu, 1.0), exact, rtol=1e-14)


def test_power_law_closed_form() -> None:
    flow, bore, k, n = np.logspace(-8, 0, 9), 0.05, 18.0, 0.3
    rate = 8.0 * flow / (0.25 * np.pi * bore**2) / bore
    exact = k * ((3.0 * n + 1.0) / (4.0 * n) * rate) ** n
    np.testing.assert_allclose(wall_stress(flow, bore, 0.0, k, n), exact, rtol=1e-13)


def test_bingham_is_buckingham_reiner() -> None:
    stress, tau_y, mu, bore = np.array([40.0, 100.0, 1e3]), 36.1, 8.7, 0.065
    x = tau_y / stress
    exact = np.pi * (bore / 2) ** 3 * stress / (4 * mu) * (1 - 4 * x / 3 + x**4 / 3)
    np.testing.assert_allclose(pipe.flow_from_wall_stress(stress, bore, tau_y, mu, 1.0), exact, rtol=1e-12)


def test_vanishing_yield_stress_joins_the_power_law_smoothly() -> None:
    tau_y = np.concatenate([np.zeros(1), np.logspace(-300, 1, 400)])
    stress = np.asarray(wall_stress(1e-4, 0.05, tau_y, 60.0, 0.35))
    assert np.all(np.diff(stress) >= -1e-12 * stress[:-1])
    assert stress[1] == pytest.approx(stress[0], rel=1e-14)
    switch = np.asarray(wall_stress(1e-4, 0.05, stress[0] * np.array([0.99e-9, 1.01e-9]), 60.0, 0.35))
    assert switch[1] - switch[0] == pytest.approx(
        0.02e-9 * stress[0] * (3 * 0.35 + 1) / (2 * 0.35 + 1), rel=1e-2
    )


def test_flow_starts_smoothly_at_yield() -> None:
    """Q grows as (tau_w - tau_y)^(1+1/n): slope and curvature vanish at yield for n below 1."""
    excess = np.array([1e-6, 1e-5, 1e-4])
    flow = np.asarray(pipe.flow_from_wall_stress(150.0 + excess, 0.05, 150.0, 60.0, 0.35))
    power = np.diff(np.log(flow)) / np.diff(np.log(excess))
    np.testing.assert_allclose(power, 1.0 + 1.0 / 0.35, rtol=1e-4)
    assert pipe.flow_from_wall_stress(150.0, 0.05, 150.0, 60.0, 0.35) == 0.0
    assert pipe.wall_stress(0.0, 0.05, 150.0, 60.0, 0.35) == 150.0


def test_slope_equals_central_difference() -> None:
    for law in LAWS:
        stress = law[0] * 1.5 + 20.0
        step = 1e-5 * stress
        up, down = (pipe.flow_from_wall_stress(stress + s, 0.05, *law) for s in (step, -step))
        assert pipe.flow_slope(stress, 0.05, *law) == pytest.approx((up - down) / (2 * step), rel=1e-7)


def test_wall_shear_rate_and_centre_velocity_equal_quadrature() -> None:
    tau_y, k, n = 150.0, 60.0, 0.35
    flow, bore = 1.0 / 3600.0, 0.05
    stress = pipe_stress(flow, bore, tau_y, k, n)
    rate = ((stress - tau_y) / k) ** (1 / n)
    assert pipe.wall_shear_rate(flow, bore, tau_y, k, n) == pytest.approx(rate, rel=1e-8)
    assert pipe.apparent_viscosity(flow, bore, tau_y, k, n) == pytest.approx(stress / rate, rel=1e-8)
    core = 0.5 * bore * tau_y / stress
    centre = quad(lambda r: ((stress * 2 * r / bore - tau_y) / k) ** (1 / n), core, 0.5 * bore, epsrel=1e-11)[
        0
    ]
    assert pipe.centre_velocity(stress, bore, tau_y, k, n) == pytest.approx(centre, rel=1e-8)


TABLE_BAR_PER_METRE = [
    ((150.0, 60.0, 0.35), ".40/.54/.63/.74 .21/.27/.30/.35 .11/.13/.15/.17"),
    ((600.0, 25.0, 0.60), ".98/1.22/1.41/1.68 .56/.65/.70/.79 .33/.36/.38/.40"),
    ((0.0, 50.0, 1.00), ".54/2.7/5.4/10.8 .09/.45/.91/1.81 .01/.07/.14/.28"),
]


@pytest.mark.parametrize(("law", "printed"), TABLE_BAR_PER_METRE)
def test_pressure_table_of_the_physics_book(law: tuple[float, float, float], printed: str) -> None:
    """Section 5.1: bar per metre at 0.1/0.5/1/2 m3/h in DN32, 50, 80, one unit of the last digit."""
    for bore, row in zip((0.032, 0.05, 0.08), printed.split(), strict=True):
        for flow, text in zip((0.1, 0.5, 1.0, 2.0), row.split("/"), strict=True):
            ours = float(pressure_drop(flow / 3600.0, bore, 1.0, *law)) / 1e5
            unit = 10.0 ** -len(text.split(".")[1])
            assert ours == pytest.approx(float(text), abs=unit)


def test_casson_flow_equals_quadrature() -> None:
    tau_c, mu, bore = 8.0, 3.5, 0.065
    for stress in (8.001, 9.0, 126.7, 5e4):

        def rate(tau: float) -> float:
            return (np.sqrt(tau) - np.sqrt(tau_c)) ** 2 / mu

        integral = quad(lambda t, rate=rate: t**2 * rate(t), tau_c, stress, epsabs=0, epsrel=1e-13)[0]
        exact = np.pi * (bore / 2) ** 3 / stress**3 * integral
        ours = float(casson.flow_from_wall_stress(stress, bore, tau_c, mu))
        assert ours == pytest.approx(exact, rel=1e-11)
        assert casson.wall_stress(ours, bore, tau_c, mu) == pytest.approx(stress, rel=1e-14)
        pressure = float(casson.pressure_drop(ours, bore, 2.0, tau_c, mu))
        assert casson.flow_rate(pressure, bore, 2.0, tau_c, mu) == pytest.approx(ours, rel=1e-12)
    assert casson.wall_stress(1e-3, bore, 0.0, mu) == pytest.approx(32e-3 * mu / (np.pi * bore**3), rel=1e-14)


def _check(
    check: str,
    source: str,
    quantity: str,
    listed: float,
    ours: float,
    unit: str,
    tolerance: float,
    route: float,
) -> None:
    """Hold ours against the listed number and, far tighter, against the second route computed here."""
    assert ours == pytest.approx(route, rel=1e-7)
    assert record(check, source, quantity, listed, ours, unit, tolerance, "recomputed").agrees


def test_bingham_centre_line_velocity() -> None:
    """PIP-05: 0.610 m/s for the Bingham fit at the power-law pressure; the printed 0.68 is a slip."""
    bore, length = 0.04, 200.0
    stress = 625826.93 * bore / (4.0 * length)
    tau_y, mu = 14.345, 0.1505
    route = quad(lambda r: (stress * 2 * r / bore - tau_y) / mu, 0.5 * bore * tau_y / stress, 0.5 * bore)[0]
    ours = float(pipe.centre_velocity(stress, bore, tau_y, mu, 1.0))
    _check("PIP-05", "recomputed from Example 3.10", "Bingham centre line", 0.61, ours, "m/s", 0.005, route)


def test_china_clay_suspension() -> None:
    """PIP-08, statement from memory: Bingham 15 Pa, 0.15 Pa s as power law over 10-100 1/s, and pipe flow."""
    tau_y, mu, bore, length, wanted = 15.0, 0.15, 0.04, 200.0, 0.6
    stresses = tau_y + mu * np.array([10.0, 100.0])
    n, log_k = np.polyfit(np.log([10.0, 100.0]), np.log(stresses), 1)
    from drumwright.product.regression import power_law_regression

    law = power_law_regression([10.0, 100.0], stresses)
    source = "after Chhabra & Richardson ch. 3"
    _check("PIP-08", source, "exponent", 0.25963731, law.exponent, "-", 0.002, float(n))
    _check("PIP-08", source, "consistency", 9.075, law.consistency, "Pa s^n", 0.002, float(np.exp(log_k)))
    stress = float(brentq(lambda s: float(pipe.centre_velocity(s, bore, tau_y, mu, 1.0)) - wanted, 16, 500))
    route = quad(lambda r: (stress * 2 * r / bore - tau_y) / mu, 0.5 * bore * tau_y / stress, 0.5 * bore)[0]
    assert route == pytest.approx(wanted, rel=1e-9)
    pressure = 4.0 * length * stress / bore
    assert record("PIP-08", source, "pressure", 639198.72, pressure, "Pa", 0.001, "recomputed").agrees
    assert record(
        "PIP-08", source, "plug radius", 0.46933761, tau_y / stress, "-", 0.001, "recomputed"
    ).agrees
    ours = float(pipe.centre_velocity(stress, bore, 0.0, law.consistency, law.exponent))
    route = quad(lambda r: (stress * 2 * r / bore / law.consistency) ** (1 / law.exponent), 0.0, 0.5 * bore)[
        0
    ]
    _check("PIP-08", source, "power-law centre line", 0.52602867, ours, "m/s", 0.005, route)


def test_bingham_case_of_the_pipeline_study() -> None:
    """PIP-10, inputs from memory: plug 0.2549, Fanning 0.1139."""
    bore, velocity, density, law = 0.0348, 1.66, 1250.0, (50.0, 0.34, 1.0)
    flow = 0.25 * np.pi * bore**2 * velocity
    ours, route = float(wall_stress(flow, bore, *law)), pipe_stress(flow, bore, *law)
    source = "Steffe & Singh (1997), Case 5"
    _check("PIP-10", source, "plug radius", 0.25492296, 50.0 / ours, "-", 0.001, 50.0 / route)
    to_factor = 2.0 / (density * velocity**2)
    _check("PIP-10", source, "Fanning factor", 0.11388456, ours * to_factor, "-", 0.001, route * to_factor)


def test_ketchup_in_a_pipe() -> None:
    """PIP-12, parameters from memory: tau_w 107.07 Pa, 51.4 kPa, plug 0.2989, start-up 15.36 kPa."""
    law, bore, length = (32.0, 18.7, 0.27), 0.05, 6.0
    flow = 0.25 * np.pi * bore**2 * 0.5
    route = pipe_stress(flow, bore, *law)
    ours = float(wall_stress(flow, bore, *law))
    drop = float(pressure_drop(flow, bore, length, *law))
    source = "Steffe (1996) appendix"
    _check("PIP-12", source, "wall stress", 107.07026, ours, "Pa", 0.001, route)
    _check("PIP-12", source, "pressure drop", 51393.726, drop, "Pa", 0.001, 4 * length / bore * route)
    _check("PIP-12", source, "plug radius", 0.29886917, 32.0 / ours, "-", 0.001, 32.0 / route)
    held = float(pipe.yield_only_pressure(32.0, length, bore))
    route = 32.0 * (np.pi * bore * length) / (0.25 * np.pi * bore**2)
    assert held == pytest.approx(route, rel=1e-12)
    assert flow_rate(held * (1 - 1e-9), bore, length, *law) == 0.0
    assert float(flow_rate(held * 1.01, bore, length, *law)) > 0.0
    assert record("PIP-12", source, "start-up pressure", 15360.0, held, "Pa", 1e-6, "recomputed").agrees


def test_start_up_pressure() -> None:
    """PIP-15: 61.5 kPa; the second route is the balance of forces on the cylinder of product."""
    ours = float(pipe.restart_pressure(200.0, 1.0, 5.0, 0.065))
    route = 200.0 * (np.pi * 0.065 * 5.0) / (0.25 * np.pi * 0.065**2)
    _check("PIP-15", "force balance", "start-up pressure", 61538.462, ours, "Pa", 1e-6, route)
    assert pipe.restart_pressure(200.0, 1.5, 5.0, 0.065) == pytest.approx(1.5 * ours)


def test_laminar_limits_recomputed() -> None:
    """PIP-16 and PIP-18, formulas from memory; the cubic of Hanks is solved here by a bracketed root."""
    ours = float(ryan_johnson_limit(0.5))
    route = 6464.0 * 0.5 / 2.5**2 * 2.5 ** (2.5 / 1.5)
    _check("PIP-16", "Ryan & Johnson (1959)", "limit at n = 0.5", 2381.358, ours, "-", 0.001, route)
    for he, listed in ((1e3, 2289.5785), (1e4, 3328.7721), (1e5, 6815.6016)):
        x = float(brentq(lambda x, he=he: 16800.0 * x / (1 - x) ** 3 - he, 1e-12, 1 - 1e-6, xtol=1e-15))
        route = he * (1 - 4 * x / 3 + x**4 / 3) / (8 * x)
        ours = float(hanks_limit(he))
        _check("PIP-18", "Hanks (1963)", f"limit at Hedstrom {he:g}", listed, ours, "-", 0.001, route)


def test_dodge_metzner_equation() -> None:
    """PIP-19: f = 0.003103 solves the equation (the chart of the book reads 0.0032)."""
    re, n = 13283.793, 0.3

    def miss(f: float) -> float:
        return 1 / np.sqrt(f) - 4 / n**0.75 * np.log10(re * f ** (1 - n / 2)) + 0.4 / n**1.2

    ours = float(dodge_metzner(re, n))
    route = float(brentq(miss, 1e-4, 1e-1, xtol=1e-15))
    _check("PIP-19", "Dodge & Metzner equation", "Fanning factor", 0.0031025424, ours, "-", 0.001, route)


@pytest.mark.parametrize(("n", "listed"), [(1.0, 1.0), (0.5, 1.1733333), (0.2, 1.4583333)])
def test_kinetic_energy_factor(n: float, listed: float) -> None:
    """PIP-25: alpha against the integral of the cube of the velocity profile."""

    def velocity(r: float) -> float:
        return (3 * n + 1) / (n + 1) * (1 - r ** (1 + 1 / n))

    energy = quad(lambda r: velocity(r) ** 3 * r, 0, 1)[0]
    route = 1.0 / energy  # energy flux per mass is 1/2 * (2 int u^3 r dr) = V^2/alpha with V = 1
    ours = float(kinetic_energy_factor(n))
    source = "Osorio & Steffe (1984), formula"
    _check("PIP-25", source, f"alpha at n = {n:g}", listed, ours, "-", 0.001, route)


def test_chocolate_in_a_pipe() -> None:
    """PIP-26: Bingham 36.1 Pa, 8.7 Pa s (Bergemann et al. 2018) in 5 m of 65 mm at 1 L/s."""
    law = (36.1, 8.7, 1.0)
    ours = float(pressure_drop(1e-3, 0.065, 5.0, *law))
    route = 4 * 5.0 / 0.065 * pipe_stress(1e-3, 0.065, *law)
    _check(
        "PIP-26", "Bergemann et al. (2018), parameters", "pressure drop", 114094.65, ours, "Pa", 0.001, route
    )


def test_casson_fluid_in_a_pipe() -> None:
    """PIP-27: tau_w 126.7 Pa, 7799 Pa/m (tau_c = 8, mu_c = 3.5)."""
    tau_c, mu, bore = 8.0, 3.5, 0.065
    flow = 0.25 * np.pi * bore**2 * 0.15
    shear: Callable[[float], float] = lambda t: t**2 * (np.sqrt(t) - np.sqrt(tau_c)) ** 2 / mu  # noqa: E731

    def miss(stress: float) -> float:
        integral = quad(shear, tau_c, stress, epsabs=0, epsrel=1e-12)[0]
        return float(np.pi * (bore / 2) ** 3 / stress**3 * integral / flow - 1.0)

    route = float(brentq(miss, 9.0, 1e3, xtol=1e-10))
    ours = float(casson.wall_stress(flow, bore, tau_c, mu))
    source = "standard closed form"
    _check("PIP-27", source, "wall stress", 126.72707, ours, "Pa", 0.001, route)
    gradient = float(casson.pressure_drop(flow, bore, 1.0, tau_c, mu))
    _check("PIP-27", source, "pressure per metre", 7798.5887, gradient, "Pa/m", 0.001, 4 / bore * route)
