"""Signs that a curve is not to be trusted, and laws of temperature, against exact cases and SciPy."""

import numpy as np
import pytest
from scipy.optimize import curve_fit
from test_product_fit import DATA

from drumwright.product.curve_study import study_curves
from drumwright.product.fit import fit_curve
from drumwright.product.quality import hysteresis, mooney, runs_of_signs, slip_signs
from drumwright.product.rheometer import read_export
from drumwright.product.temperature_fit import temperature_law

RATE = np.geomspace(0.01, 100.0, 25)


def paste(rate: np.ndarray) -> np.ndarray:
    return 150.0 + 60.0 * rate**0.35


def test_hysteresis_of_a_known_loop() -> None:
    """Up sweep 20 % above the down sweep: area 1 - 1/1.2 of that below, ratio 1.2."""
    found = hysteresis((RATE, 1.2 * paste(RATE)), (RATE[::-1], paste(RATE[::-1])))
    assert found is not None and found.visible
    assert found.ratio == pytest.approx(1.2, rel=1e-9)
    assert found.area == pytest.approx(1.0 - 1.0 / 1.2, rel=1e-6)
    same = hysteresis((RATE, paste(RATE)), (RATE, paste(RATE)))
    assert same is not None and not same.visible
    assert hysteresis((RATE[:5], RATE[:5]), (RATE[8:], RATE[8:])) is None


@pytest.mark.parametrize("law", [paste, lambda g: 30.0 * g**0.5, lambda g: 5.0 * g, lambda g: 40.0 + 3.0 * g])
def test_no_flow_law_looks_like_slip(law: object) -> None:
    assert slip_signs(RATE, law(RATE)) == ()  # type: ignore[operator]


def test_slip_at_low_rate_is_a_kink() -> None:
    """A film that slides linearly in stress below the yield stress, as wall slip does."""
    stress = np.minimum(paste(RATE), 600.0 * RATE**0.5)
    assert "kink" in slip_signs(RATE, stress)
    falling = paste(RATE)
    falling[:8] = np.linspace(1.3, 1.0, 8) * falling[:8]
    assert "falls_at_low_rate" in slip_signs(RATE, falling)
    leaving = paste(RATE)
    leaving[-6:] *= np.linspace(1.0, 0.5, 6)
    assert "falls_at_high_rate" in slip_signs(RATE, leaving)


def test_two_gaps_give_the_slip_back() -> None:
    """Mooney: apparent rate = true rate + 2 u/gap with u = 2e-6 stress [m/s]."""
    curves = []
    for gap in (0.5e-3, 1.0e-3, 2.0e-3):
        stress = paste(RATE)
        curves.append((gap, RATE + 2.0 * 2e-6 * stress / gap, stress))
    for line in mooney(curves):
        assert line.velocity == pytest.approx(2e-6 * line.stress, rel=0.03)
        assert paste(np.array([line.shear_rate]))[0] == pytest.approx(line.stress, rel=0.03)
    assert mooney(curves[:1]) == ()


def test_runs_of_signs() -> None:
    """Ten plus then ten minus: 2 runs where 11 are usual, variance 4.7368 (Wald and Wolfowitz)."""
    signs = np.array([1.0] * 10 + [-1.0] * 10)
    found = runs_of_signs(signs)
    assert found is not None and found.pattern
    assert (found.found, found.usual) == (2, 11.0)
    assert found.deviations == pytest.approx((2.5 - 11.0) / np.sqrt(4.736842105), rel=1e-6)
    mixed = runs_of_signs(np.array([1.0, -1.0, -1.0, 1.0, 1.0, -1.0, 1.0, 1.0, -1.0, -1.0]))
    assert mixed is not None and not mixed.pattern
    assert runs_of_signs(np.ones(20)) is None


def test_arrhenius_of_an_open_gel() -> None:
    """Carbomer gel in glycerol at 20, 30 and 40 C, read from its file; second route numpy.polyfit."""
    export = read_export(DATA / "flow_curves_gel_three_temperatures.csv")
    assert [curve.temperature for curve in export.curves] == [293.15, 303.15, 313.15]
    assert export.problems == ()
    found = [fit_curve(curve.shear_rate, curve.stress).law.consistency for curve in export.curves]
    law = temperature_law([293.15, 303.15, 313.15], found)
    slope = np.polyfit(1.0 / np.array([293.15, 303.15, 313.15]), np.log(found), 1)[0]
    assert law.name == "arrhenius"
    assert float(law.energy_at(303.15)) == pytest.approx(8.314462618 * slope, rel=1e-9)
    assert float(law.beyond(283.15)) == 10.0


def test_open_emulsion_as_it_was_sent() -> None:
    """Mason et al. (1996), Fig. 5, digitised; read through its own header; second route SciPy."""
    curve = read_export(DATA / "flow_curve_emulsion_65.csv").curves[0]
    found = study_curves([curve])[0]
    assert found.fit is not None and found.fit.chosen == "herschel_bulkley"
    assert [each.key for each in found.reasons] == ["FIT-trust.no_temperature"]  # the figure names none
    values = [p.value for p in found.fit.model("herschel_bulkley").parameters]
    route = curve_fit(
        lambda g, a, k, n: a + k * g**n, curve.shear_rate, curve.stress, p0=[15.0, 8.0, 0.4],
        sigma=curve.stress, xtol=1e-13, ftol=1e-13,
    )[0]  # fmt: skip
    np.testing.assert_allclose(values, route, rtol=1e-5)


def test_vft_is_found_where_it_made_the_points() -> None:
    """ln mu = -6 + 900/(T - 180), seven temperatures; second route SciPy."""
    t = np.linspace(260.0, 340.0, 7)
    values = np.exp(-6.0 + 900.0 / (t - 180.0))
    law = temperature_law(t, values)
    assert law.name == "vft"
    assert (law.a, law.b, law.t0) == pytest.approx((-6.0, 900.0, 180.0), rel=1e-4)
    route = curve_fit(lambda x, a, b, c: a + b / (x - c), t, np.log(values), p0=[-5.0, 800.0, 170.0])[0]
    assert (law.a, law.b, law.t0) == pytest.approx(tuple(route), rel=1e-3)
    assert np.isinf(law.at(170.0))
    np.testing.assert_allclose(law.at(t), values, rtol=1e-6)


def test_arrhenius_points_stay_arrhenius() -> None:
    t = np.linspace(270.0, 340.0, 6)
    random = np.random.default_rng(3)
    for _ in range(20):
        values = np.exp(5000.0 / t - 15.0 + 0.02 * random.standard_normal(t.size))
        assert temperature_law(t, values).name == "arrhenius"
    assert temperature_law(t[:3], np.exp(900.0 / (t[:3] - 180.0))).name == "arrhenius"  # three cannot judge
