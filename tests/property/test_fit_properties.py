"""Whatever the points, a curve is studied without failing, and what is said of it hangs together."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.basis.phrases import render
from drumwright.product.combine import combine
from drumwright.product.curve_study import study_curves
from drumwright.product.evidence_pieces import static_yield, viscosity_at
from drumwright.product.export_curves import Curve
from drumwright.product.fit import fit_curve

POINT = st.tuples(st.floats(1e-4, 1e5), st.floats(1e-3, 1e6))


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.lists(POINT, min_size=1, max_size=25), st.sampled_from(["", "up", "down"]))
def test_any_points_are_studied(points: list[tuple[float, float]], sweep: str) -> None:
    rate, stress = (np.array(column) for column in zip(*points, strict=True))
    for study in study_curves([Curve(rate, stress, 293.15, sweep)], count=50):
        assert study.trust == "trusted" or study.reasons
        assert all(render(each) for each in (*study.reasons, *study.ranges()))
        low, middle, high = study.band
        assert (low <= middle * (1 + 1e-9)).all() and (middle <= high * (1 + 1e-9)).all()
        if study.resamples is not None:
            assert abs(sum(study.resamples.votes.values()) - 1.0) < 1e-9
            assert (np.asarray(study.resamples.law.consistency) > 0.0).all()


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.floats(0.0, 500.0), st.floats(0.5, 200.0), st.floats(0.15, 1.0), st.floats(0.01, 100.0))
def test_a_fit_scales_with_stress_and_with_rate(tau_y: float, k: float, n: float, factor: float) -> None:
    """Stress times a factor: yield stress and consistency times it; rate times it: K over factor^n."""
    rate = np.geomspace(0.1, 100.0, 12)
    stress = (tau_y + k * rate**n) * (1.0 + 0.01 * np.cos(37.0 * np.arange(12)))
    plain = fit_curve(rate, stress).model("herschel_bulkley").law
    scaled = fit_curve(rate, factor * stress).model("herschel_bulkley").law
    faster = fit_curve(factor * rate, stress).model("herschel_bulkley").law
    assert plain is not None and scaled is not None and faster is not None
    np.testing.assert_allclose(scaled.stress(rate), factor * np.asarray(plain.stress(rate)), rtol=1e-6)
    np.testing.assert_allclose(faster.stress(factor * rate), plain.stress(rate), rtol=1e-6)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(st.floats(0.1, 1e4), st.floats(0.1, 100.0), st.floats(1.0, 3000.0))
def test_combining_is_sane_for_any_readings(viscosity: float, rate: float, stress: float) -> None:
    pieces = [viscosity_at(viscosity, rate), static_yield(stress)]
    band = combine(pieces, 293.15, (8e3, 15e3, 60e3))
    turned = combine(pieces[::-1], 293.15, (8e3, 15e3, 60e3))
    low, middle, high = band.band([0.01, rate, 100.0])
    assert (low > 0.0).all() and (low <= middle).all() and (middle <= high).all()
    np.testing.assert_allclose(turned.band([rate]), band.band([rate]), rtol=1e-9)
    clash = stress / 1.4 > 2.0 * viscosity * rate  # a yield stress above the stress that was read
    if clash:
        assert band.contradictions
