"""Temperature, one-point band, regressions, reference liquids and particles; recomputed check values."""

import numpy as np
import pytest

from drumwright.basis.errors import FitError, FlowOutOfRange
from drumwright.flow.pipe import pressure_drop
from drumwright.product import one_point, particles
from drumwright.product.law import FlowLaw
from drumwright.product.one_point import extremes, law_from_one_point
from drumwright.product.reference_liquids import glycerol_water_viscosity
from drumwright.product.regression import (
    GAS_CONSTANT,
    power_law_regression,
    tube_consistency,
)
from drumwright.product.temperature import arrhenius_fit, law_at
from validation_registry import record

COLD, WARM, HOT = (
    (283.15, FlowLaw(203.0, 243.0, 0.298)),
    (295.15, FlowLaw(160.0, 166.0, 0.313)),
    (308.15, FlowLaw(120.0, 118.0, 0.32)),
)


def _check(
    check: str, source: str, name: str, listed: float, ours: float, unit: str, tolerance: float, route: float
) -> None:
    assert ours == pytest.approx(route, rel=1e-6)
    assert record(check, source, name, listed, ours, unit, tolerance, "recomputed").agrees


def test_consistency_from_tube_viscometer() -> None:
    """RHE-04, data from memory: K = 5.0 after the Rabinowitsch correction; second route numpy.polyfit."""
    density, bore, length = 1090.0, 0.0127, 1.219
    flow = np.array([0.01753, 0.02629, 0.03505, 0.04381, 0.08765]) / density
    stress = np.array([19197.0, 23497.0, 27144.0, 30350.0, 42925.0]) * bore / (4 * length)
    nominal = 32 * flow / (np.pi * bore**3)
    law = power_law_regression(nominal, stress)
    ours = float(tube_consistency(law.consistency, law.exponent))
    n, log_k = np.polyfit(np.log(nominal), np.log(stress), 1)
    route = np.exp(log_k) / ((3 * n + 1) / (4 * n)) ** n
    _check("RHE-04", "Toledo, ch. 6", "consistency", 5.0, ours, "Pa s^n", 0.01, float(route))
    back = pressure_drop(flow, bore, length, 0.0, ours, law.exponent)
    np.testing.assert_allclose(back, stress * 4 * length / bore, rtol=5e-3)


def test_honey_viscosity_at_300_kelvin() -> None:
    """RHE-05: 4.26 Pa s from the fit; second route numpy.polyfit."""
    temperature = np.array([278.7, 285.7, 293.2, 294.7, 311.2, 321.2])
    viscosity = np.array([76.88, 29.95, 9.03, 7.25, 0.88, 0.5])
    ours = float(arrhenius_fit(temperature, viscosity).at(300.0))
    route = float(np.exp(np.polyval(np.polyfit(1 / temperature, np.log(viscosity), 1), 1 / 300.0)))
    _check("RHE-05", "Steffe (1996), Table 1.10", "viscosity at 300 K", 4.26, ours, "Pa s", 0.02, route)


@pytest.mark.parametrize(
    ("check", "k", "n", "listed"),
    [
        ("RHE-07", [12.9, 10.5, 8.0, 6.1], [0.41, 0.42, 0.43, 0.43], (13.572221, 0.85229455, 0.44190594)),
        ("RHE-08", [18.7, 15.1, 11.7, 7.9], [0.40, 0.42, 0.43, 0.45], (15.245578, 1.1798902, 0.62751931)),
    ],
)
def test_tomato_concentrate(check: str, k: list[float], n: list[float], listed: tuple[float, ...]) -> None:
    """RHE-07 and RHE-08: 25 and 30 % solids, table after Harper & El Sahrigi (1965) from memory."""
    source = "after Harper & El Sahrigi (1965)"
    kelvin = np.array([32.2, 48.9, 65.6, 82.2]) + 273.15
    ours = arrhenius_fit(kelvin, k).activation_energy / 1e3
    route = float(np.polyfit(1 / kelvin, np.log(k), 1)[0]) * GAS_CONSTANT / 1e3
    _check(check, source, "activation energy of K", listed[0], ours, "kJ/mol", 0.02, route)
    for index, theirs in ((0, listed[1]), (-1, listed[2])):
        seen = float(FlowLaw(0.0, k[index], n[index]).apparent_viscosity(100.0))
        route = float(np.exp(np.log(k[index]) + (n[index] - 1) * np.log(100.0)))
        name = f"apparent viscosity at {kelvin[index] - 273.15:.1f} C"
        _check(check, source, name, theirs, seen, "Pa s", 0.005, route)


def test_molten_chocolate() -> None:
    """RHE-09: 123.1 Pa and 12.31 Pa s at 10 1/s (Bergemann et al. 2018: 36.1 Pa, 8.7 Pa s)."""
    law, source = FlowLaw(36.1, 8.7, 1.0), "Bergemann et al. (2018), parameters"
    route = float(np.polyval([8.7, 36.1], 10.0))
    _check("RHE-09", source, "stress", 123.1, float(law.stress(10.0)), "Pa", 0.001, route)
    seen = float(law.apparent_viscosity(10.0))
    _check("RHE-09", source, "apparent viscosity", 12.31, seen, "Pa s", 0.001, route / 10.0)


def test_cheng_formula() -> None:
    """RHE-10: 0.22375 Pa s at 90 %, 20 C; pure ends are the formula's own water and glycerol."""
    ours = float(glycerol_water_viscosity(0.9, 293.15))
    t, c = 20.0, 0.9
    water, glycerol = 1.79e-3 * np.exp(-1250 * t / 43300), 12.1 * np.exp(-1213 * t / 11300)
    a = 0.671
    b = 5.62 * a**2.5
    alpha = 1 - c + a * b * c * (1 - c) / (a * c + b * (1 - c))
    route = float(np.exp(alpha * np.log(water) + (1 - alpha) * np.log(glycerol)))
    _check(
        "RHE-10", "Cheng (2008), formula", "viscosity of 90 % glycerol", 0.22374595, ours, "Pa s", 1e-4, route
    )
    assert glycerol_water_viscosity(0.0, 293.15) == pytest.approx(water)
    assert glycerol_water_viscosity(1.0, 293.15) == pytest.approx(glycerol)


def test_law_at_a_measured_temperature_is_the_measured_law() -> None:
    for kelvin, law in (COLD, WARM, HOT):
        found, beyond = law_at([WARM, HOT, COLD], kelvin, 15e3)
        assert beyond == 0.0
        assert found.yield_stress == pytest.approx(law.yield_stress)
        assert found.consistency == pytest.approx(law.consistency)
        assert found.exponent == pytest.approx(law.exponent)


def test_between_curves_the_logarithm_is_linear_in_inverse_temperature() -> None:
    kelvin = 1 / (0.5 / COLD[0] + 0.5 / WARM[0])
    found, _ = law_at([COLD, WARM, HOT], kelvin, 15e3)
    assert found.consistency == pytest.approx(np.sqrt(243.0 * 166.0))
    assert found.yield_stress == pytest.approx(np.sqrt(203.0 * 160.0))
    assert found.exponent == pytest.approx(0.5 * (0.298 + 0.313))


def test_beyond_the_ends_the_end_slope_holds_ten_kelvin_then_the_energy() -> None:
    energy = 20e3
    slope = np.log(243.0 / 166.0) / (1 / COLD[0] - 1 / WARM[0])
    edge = COLD[0] - 10.0
    for kelvin in (278.0, 273.15, 253.15):
        found, beyond = law_at([COLD, WARM, HOT], kelvin, energy)
        trusted = max(kelvin, edge)
        exact = 243.0 * np.exp(
            slope * (1 / trusted - 1 / COLD[0]) + energy / GAS_CONSTANT * (1 / kelvin - 1 / trusted)
        )
        assert found.consistency == pytest.approx(exact)
        assert beyond == pytest.approx(COLD[0] - kelvin)
    held = law_at([COLD, WARM, HOT], [edge, 250.0], energy).law
    assert held.exponent[0] == pytest.approx(held.exponent[1])
    assert law_at([COLD, WARM, HOT], 328.15, energy).beyond == pytest.approx(20.0)


def test_one_curve_follows_the_activation_energy() -> None:
    kelvin, energy = np.array([278.15, 295.15, 310.0]), np.array([10e3, 15e3, 40e3])
    found, beyond = law_at([WARM], kelvin, energy)
    factor = np.exp(energy / GAS_CONSTANT * (1 / kelvin - 1 / 295.15))
    np.testing.assert_allclose(found.consistency, 166.0 * factor)
    np.testing.assert_allclose(found.yield_stress, 160.0 * factor)
    np.testing.assert_allclose(found.exponent, 0.313)
    np.testing.assert_allclose(beyond, [17.0, 0.0, 14.85])
    own, _ = law_at([WARM], kelvin, energy, yield_energy=0.0)
    np.testing.assert_allclose(own.yield_stress, 160.0)


def test_a_curve_without_yield_stress_among_others() -> None:
    found, _ = law_at([COLD, (295.15, FlowLaw(0.0, 166.0, 0.313))], [283.15, 289.0, 295.15, 330.0], 15e3)
    assert found.yield_stress[0] == pytest.approx(203.0)
    assert 0.0 < found.yield_stress[1] < 203.0
    np.testing.assert_array_equal(found.yield_stress[2:], 0.0)


def test_laws_of_arrays_keep_their_samples() -> None:
    points = [(kelvin, law.scaled(np.array([0.9, 1.0, 1.2]))) for kelvin, law in (COLD, WARM)]
    found, _ = law_at(points, 289.0, 15e3)
    single = law_at([COLD, WARM], 289.0, 15e3).law
    np.testing.assert_allclose(found.consistency, single.consistency * np.array([0.9, 1.0, 1.2]))


@pytest.mark.parametrize("points", [[], [COLD, COLD], [(0.0, COLD[1])]])
def test_unusable_series_are_refused(points: list[tuple[float, FlowLaw]]) -> None:
    with pytest.raises(FitError):
        law_at(points, 290.0, 15e3)


def test_one_point_law_passes_through_the_reading() -> None:
    law = law_from_one_point(180.0, 2.0, 0.4, 0.35)
    assert law.apparent_viscosity(2.0) == pytest.approx(180.0)
    assert law.yield_stress == pytest.approx(0.35 * 360.0)
    with pytest.raises(FlowOutOfRange):
        law_from_one_point(180.0, 2.0, 0.4, 1.0)


@pytest.mark.parametrize(
    ("viscosity", "flow", "bore", "length", "lowest", "highest"),
    [(180.0, 2.0, 0.065, 6.0, 0.32, 11.2), (95.0, 0.8, 0.05, 8.0, 0.28, 9.5)],
)
def test_band_of_one_number(
    viscosity: float, flow: float, bore: float, length: float, lowest: float, highest: float
) -> None:
    """Bar, as printed in the physics book 0.1 and in the one-number scenario."""
    band = extremes(viscosity, flow / 3600.0, bore, length)
    assert band.lowest / 1e5 == pytest.approx(lowest, rel=0.02)
    assert band.highest / 1e5 == pytest.approx(highest, rel=0.01)


def test_corners_bound_the_whole_box() -> None:
    random = np.random.default_rng(5)
    count = 20000
    rate = 10 ** random.uniform(*np.log10(one_point.SHEAR_RATE_BAND), count)
    law = law_from_one_point(
        95.0,
        rate,
        random.uniform(*one_point.EXPONENT_BAND, count),
        random.uniform(*one_point.YIELD_SHARE_BAND, count),
    )
    for flow in (1e-8, 1e-6, 2e-4, 1e-2):
        inside = pressure_drop(flow, 0.05, 8.0, law.yield_stress, law.consistency, law.exponent)
        band = extremes(95.0, flow, 0.05, 8.0)
        assert band.lowest <= np.min(inside) and np.max(inside) <= band.highest


def test_known_shear_rate_spread_of_the_crossed_cases() -> None:
    """Correction C9: 1.14 to 2.21 at 46 1/s from a point at 10 1/s."""
    stresses = [share + (1 - share) * 4.6**n for n, share in one_point.CASES_AT_KNOWN_RATE]
    assert (min(stresses), max(stresses)) == (pytest.approx(1.14, abs=0.005), pytest.approx(2.21, abs=0.05))
    assert one_point.stress_spread(10.0, 46.0) == pytest.approx(max(stresses) / min(stresses))


def test_passages() -> None:
    assert particles.passage_required(0.02, "soft") == pytest.approx(0.06)
    assert particles.passage_required(0.02, "firm") == particles.passage_required(0.02, "hard") == 0.04
    assert particles.largest_likely_size(0.02) == pytest.approx(0.03)
