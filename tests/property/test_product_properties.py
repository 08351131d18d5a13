"""What must hold for every flow curve, temperature and one-point reading."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.product.fit import fit_curve
from drumwright.product.law import FlowLaw
from drumwright.product.one_point import extremes, law_from_one_point
from drumwright.product.temperature import law_at

few = settings(max_examples=40, derandomize=True, deadline=None)


@few
@given(st.floats(5.0, 500.0), st.floats(5.0, 300.0), st.floats(0.2, 0.9))
def test_exact_curves_come_back(tau_y: float, k: float, n: float) -> None:
    """A curve drawn from a law is fitted by that law; the machine gets the same stresses."""
    rate = np.logspace(-1, 2, 12)
    truth = FlowLaw(tau_y, k, n)
    fitted = fit_curve(rate, truth.stress(rate))
    found = fitted.model("herschel_bulkley")
    assert found.rms_relative < 1e-6
    np.testing.assert_allclose([p.value for p in found.parameters], [tau_y, k, n], rtol=1e-3)
    np.testing.assert_allclose(fitted.law.stress(rate), truth.stress(rate), rtol=1e-4)


@few
@given(st.lists(st.floats(1.0, 1e4), min_size=2, max_size=20), st.integers(0, 10_000))
def test_any_positive_table_gives_a_usable_law(stress: list[float], seed: int) -> None:
    rate = np.sort(10 ** np.random.default_rng(seed).uniform(-2, 3, len(stress)))
    fitted = fit_curve(rate, stress)
    assert fitted.law.yield_stress >= 0.0 and fitted.law.consistency > 0.0
    assert 0.05 <= fitted.law.exponent <= 2.0
    assert np.isfinite(np.asarray(fitted.law.stress(rate))).all()
    for model in fitted.models:
        assert all(p.low <= p.value <= p.high for p in model.parameters)


@few
@given(st.floats(240.0, 360.0), st.floats(240.0, 360.0), st.floats(5e3, 90e3))
def test_colder_is_stiffer(one: float, other: float, energy: float) -> None:
    points = [(283.15, FlowLaw(200.0, 240.0, 0.3)), (303.15, FlowLaw(120.0, 130.0, 0.32))]
    cold, warm = (law_at(points, kelvin, energy).law for kelvin in sorted((one, other)))
    assert cold.consistency >= warm.consistency * (1 - 1e-12)
    assert cold.yield_stress >= warm.yield_stress * (1 - 1e-12)


@few
@given(
    st.floats(1.0, 500.0), st.floats(0.3, 10.0), st.floats(0.2, 0.6), st.floats(0.0, 0.7), st.floats(1.1, 3.0)
)
def test_one_point_laws(viscosity: float, rate: float, n: float, share: float, factor: float) -> None:
    law = law_from_one_point(viscosity, rate, n, share)
    assert law.apparent_viscosity(rate) == pytest.approx(viscosity, rel=1e-12)
    band, wider = extremes(viscosity, 1e-4, 0.05, 5.0), extremes(viscosity * factor, 1e-4, 0.05, 5.0)
    assert band.lowest < band.highest
    assert wider.lowest == pytest.approx(factor * band.lowest) and wider.highest > band.highest
