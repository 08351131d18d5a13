"""Fit of a pump to its test points: planted parameters, coverage, other programs of least squares."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import brentq, least_squares
from scipy.stats import norm, t

from drumwright.basis.errors import FitError
from drumwright.machine.pump import air_diaphragm
from drumwright.machine.pump.air_test_points import AirPoints, fit_air_points
from drumwright.machine.pump.diaphragm_family import diaphragm_of
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.operate import operate
from drumwright.machine.pump.robust_fit import HUBER, HUBER_MEAN, student_quantile_95
from drumwright.machine.pump.stock import find
from drumwright.machine.pump.test_points import Fitted, Points, PumpFit, fit_points
from drumwright.product.law import FlowLaw
from station_kit import ATMOSPHERE, TOMATO, likely_model

Array = NDArray[np.float64]
COUNT = 20
PUMPS = ("cavity-M-4", "lobe-06", "gear-025", "piston-06-10")
SEEDS = 200


def planted(name: str, seed: int | None, noise: float = 0.01) -> tuple[Points, tuple[float, ...]]:
    """Points of a pump of known parameters: four pressures, five speeds, two oils; noise of 1 and 2 %."""
    pump, model = find(name), likely_model()
    n = np.tile(np.array([0.2, 0.4, 0.6, 0.8, 1.0]) * pump.preferred_speed, 4)
    p = np.repeat([1e5, 3e5, 6e5, 9e5], 5)
    law = FlowLaw(np.zeros(COUNT), np.where(np.arange(COUNT) % 2, 1.0, 20.0), np.ones(COUNT))
    density = np.full(COUNT, 1100.0)
    volume, clearance = 0.97 * pump.displacement, 2e-4
    film = 1.2e-4 if name.startswith("cavity") else clearance
    friction = 0.2 * pump.displacement * pump.maximum_pressure / (2.0 * math.pi)
    family = family_of(pump)
    gap = np.full(COUNT, clearance)
    flow = -family.leak(pump, p, gap, density, law, model)  # type: ignore[attr-defined]
    torque = np.full(COUNT, np.nan)
    if name.startswith("piston"):
        flow += (1.0 - float(model["model.check_back_flow"][0])) * volume * n
    else:
        flow += volume * n
        drag = family.drag(pump, n, np.full(COUNT, film), law, model)  # type: ignore[attr-defined]
        torque = volume * p / (2.0 * math.pi) + friction + drag
    if seed is not None:
        random = np.random.default_rng(seed)
        flow = flow * (1.0 + noise * random.standard_normal(COUNT))
        torque = torque * (1.0 + 2.0 * noise * random.standard_normal(COUNT))
    return Points(n, p, flow, torque, law, density), (volume, clearance, friction, film)


def fitted(name: str, points: Points) -> PumpFit:
    """The fit with likely values of what is not fitted."""
    return fit_points(find(name), points, likely_model())


def parameters(fit: PumpFit) -> list[Fitted]:
    """What was fitted, in the order of the planted values."""
    listed = (fit.displacement, fit.clearance, fit.friction_torque, fit.film)
    return [each for each in listed if each is not None]


def test_quantile_and_constant_against_a_library() -> None:
    for spare in (*range(1, 60), 200, 5000):
        assert student_quantile_95(spare) == pytest.approx(float(t.ppf(0.95, spare)), rel=2e-5)
    mean = quad(lambda z: min(z * z, HUBER**2) * float(norm.pdf(z)), -12.0, 12.0, points=[-HUBER, HUBER])[0]
    assert pytest.approx(mean, abs=1e-5) == HUBER_MEAN


@pytest.mark.parametrize("name", PUMPS)
def test_points_without_noise_give_the_planted_pump(name: str) -> None:
    points, truth = planted(name, None)
    fit = fitted(name, points)
    for found, planted_value in zip(parameters(fit), truth, strict=False):
        assert found.seen
        assert found.value == pytest.approx(planted_value, rel=1e-5)
        assert found.low < planted_value < found.high
    assert fit.flow_error < 1e-6


@pytest.mark.parametrize("name", PUMPS)
def test_plain_least_squares_of_a_library_lies_close(name: str) -> None:
    """SciPy's least squares on the same residuals, not robust: within every stated interval."""
    points, _ = planted(name, 3)
    fit, pump, model, family = fitted(name, points), find(name), likely_model(), family_of(find(name))
    scale = (fit.flow_error, fit.torque_error or 1.0)

    def residuals(logs: Array) -> Array:
        values = np.exp(logs)
        leak = family.leak(  # type: ignore[attr-defined]
            pump, points.pressure, np.full(COUNT, values[1]), points.density, points.law, model
        )
        kept = 1.0 - float(model["model.check_back_flow"][0]) if name.startswith("piston") else 1.0
        parts = [((kept * values[0] * points.speed - leak) / points.flow - 1.0) / scale[0]]
        if len(values) > 2:
            drag = family.drag(  # type: ignore[attr-defined]
                pump, points.speed, np.full(COUNT, values[-1 if len(values) > 3 else 1]), points.law, model
            )
            turned = values[0] * points.pressure / (2.0 * math.pi) + values[2] + drag
            parts.append((turned / points.torque - 1.0) / scale[1])
        return np.concatenate(parts)

    start = fit.solution.parameters + 0.05
    theirs = np.exp(least_squares(residuals, start, xtol=1e-14, ftol=1e-14, gtol=1e-14).x)
    for found, value in zip(parameters(fit), theirs, strict=False):
        assert found.low < value < found.high


@pytest.mark.slow
@pytest.mark.parametrize("name", ("cavity-M-4", "lobe-06", "piston-06-10"))
def test_intervals_hold_the_planted_value_as_often_as_they_say(name: str) -> None:
    """Coverage of the 90 % intervals over 200 noisy sets of points: 85 to 95 %, each parameter."""
    hits: list[list[bool]] = []
    for seed in range(SEEDS):
        points, truth = planted(name, seed)
        found = parameters(fitted(name, points))
        hits.append([each.low <= value <= each.high for each, value in zip(found, truth, strict=False)])
    shares = np.mean(np.array(hits), axis=0)
    assert np.all(shares >= 0.85) and np.all(shares <= 0.95), shares


@pytest.mark.parametrize("name", PUMPS)
def test_one_wrong_reading_does_not_carry_the_fit(name: str) -> None:
    points, truth = planted(name, 5)
    flow = points.flow.copy()
    flow[7] *= 1.4
    clean, spoilt = fitted(name, points), fitted(name, points._replace(flow=flow))
    assert spoilt.displacement.value == pytest.approx(clean.displacement.value, rel=0.01)
    assert spoilt.displacement.value == pytest.approx(truth[0], rel=0.015)


def test_flow_alone_gives_no_friction() -> None:
    points, truth = planted("cavity-M-4", 1)
    fit = fitted("cavity-M-4", points._replace(torque=np.full(COUNT, np.nan)))
    assert fit.friction_torque is None and fit.film is None and fit.torque_error is None
    assert fit.displacement.low < truth[0] < fit.displacement.high
    assert set(fit.draws(4, 1)) == {"displacement", "clearance"}


def test_a_clearance_that_does_not_leak_is_not_told() -> None:
    """A paste whose yield stress holds it in the gap: no slip at any point, only an upper bound."""
    points, _ = planted("cavity-M-4", None)
    flow = 0.97 * find("cavity-M-4").displacement * points.speed
    rest = points._replace(law=FlowLaw(400.0, 60.0, 0.35), torque=np.full(COUNT, np.nan), flow=flow)
    fit = fitted("cavity-M-4", rest)
    assert not fit.clearance.seen and fit.clearance.low == 0.0
    # at 9 bar over 4 stages and 3 mm of seal the yield stress of 400 Pa opens a gap of 2 tau_y b_s/dp
    assert fit.clearance.high > 2.0 * 400.0 * 0.003 / (9e5 / 4)
    assert fit.clearance.high < 1e-3
    assert np.max(fit.draws(1000, 1)["clearance"]) <= fit.clearance.high


def test_one_speed_and_one_product_do_not_tell_friction_from_drag() -> None:
    points, _ = planted("cavity-M-4", 2)
    keep = np.isclose(points.speed, points.speed[-1])
    kept = [np.tile(np.asarray(value)[keep], 2) for value in points[:4]]
    fit = fitted("cavity-M-4", Points(*kept, FlowLaw(0.0, 20.0, 1.0), np.full(8, 1100.0)))
    assert fit.friction_torque is not None and fit.film is not None
    assert not (fit.friction_torque.seen and fit.film.seen)
    with pytest.raises(FitError, match="do not tell"):
        fit.draws(10, 1)


def test_use_outside_the_points_is_flagged() -> None:
    points, _ = planted("cavity-M-4", 1)
    fit = fitted("cavity-M-4", points)
    inside = FlowLaw(0.0, 5.0, 1.0)
    assert not fit.outside(1.0, 5e5, inside)
    assert fit.outside(3.0, 5e5, inside) and fit.outside(1.0, 10e5, inside)
    assert fit.outside(1.0, 5e5, TOMATO)  # 0.8 Pa s at 1 000 1/s, thinner than the oils
    assert list(fit.outside(np.array([1.0, 9.0]), 5e5, inside)) == [False, True]


@pytest.mark.parametrize("name", PUMPS)
def test_the_fitted_pump_runs_in_its_band(name: str) -> None:
    """Draws as a sample of the model: the measured speed lies in the band of what the flow needs."""
    points, _ = planted(name, 8)
    fit, count, place = fitted(name, points), 500, 12
    model = likely_model(count) | fit.model_values(count, 4)
    one = np.ones(count)
    outlet = ATMOSPHERE + points.pressure[place]
    law = FlowLaw(0.0, float(np.asarray(points.law.consistency)[place]), 1.0)
    state = operate(
        fit.pump, "clean", points.flow[place] * one, ATMOSPHERE * one, outlet * one, ATMOSPHERE * one,
        1100.0 * one, law, model,
    )  # fmt: skip
    assert np.median(state.speed) == pytest.approx(points.speed[place], rel=0.03)
    assert np.std(state.speed) < 0.03 * points.speed[place]


@pytest.mark.parametrize(
    ("field", "value", "what"),
    [
        ("flow", 0.0, "flow"), ("speed", -1.0, "speed"), ("density", math.nan, "density"),
        ("pressure", -1.0, "pressure"), ("torque", 0.0, "torque"),
    ],
)  # fmt: skip
def test_points_that_cannot_be_are_refused(field: str, value: float, what: str) -> None:
    points, _ = planted("cavity-M-4", 1)
    wrong = getattr(points, field).copy()
    wrong[3] = value
    with pytest.raises(FitError, match=what):
        fitted("cavity-M-4", points._replace(**{field: wrong}))


def test_too_few_points_and_pumps_without_speed_are_refused() -> None:
    points, _ = planted("cavity-M-4", 1)
    three = Points(*(np.asarray(value)[:3] for value in points[:4]), FlowLaw(0.0, 1.0, 1.0), np.ones(3))
    with pytest.raises(FitError, match="3 test points"):
        fitted("cavity-M-4", three)
    with pytest.raises(FitError, match="diaphragm"):
        fit_points(find("air-50"), points, likely_model())


def planted_air(seed: int | None, true: float = 8e-3) -> AirPoints:
    """Points of a diaphragm pump: two air pressures, five outlet pressures, an oil; flows to 2 %."""
    pump = find("air-50")
    own, law = diaphragm_of(pump), FlowLaw(0.0, 0.5, 1.0)
    air = np.repeat([4e5, 6e5], 5)
    outlet = np.tile([0.1, 0.25, 0.4, 0.55, 0.7], 2) * air

    def surplus(flow: float, at: float, against: float) -> float:
        held = air_diaphragm.delivery_pressure(flow, at, true, pump.port, own.discharge_diameters, law)
        return float(held) - against

    flow = np.array([
        brentq(lambda q, a=a, p=p: surplus(q, a, p), 1e-9, true) for a, p in zip(air, outlet, strict=True)
    ])  # fmt: skip
    if seed is not None:
        flow = flow * (1.0 + 0.02 * np.random.default_rng(seed).standard_normal(10))
    return AirPoints(air, outlet, flow, law)


def test_free_flow_of_a_diaphragm_pump() -> None:
    """Planted flow from roots recovered without noise; with it as often as the interval says."""
    pump = find("air-50")
    exact = fit_air_points(pump, planted_air(None))
    assert exact.free_flow.value == pytest.approx(8e-3, rel=1e-8)
    assert diaphragm_of(exact.pump).free_flow == exact.free_flow.value
    assert not exact.outside(5e5, 2e5)
    assert exact.outside(7e5, 2e5) and exact.outside(5e5, 5e5)
    hits = []
    for seed in range(400):
        found = fit_air_points(pump, planted_air(seed)).free_flow
        hits.append(found.seen and found.low <= 8e-3 <= found.high)
    assert 0.85 <= float(np.mean(hits)) <= 0.95


@pytest.mark.parametrize(
    ("field", "value", "what"),
    [("flow", 0.0, "flow"), ("air_pressure", math.nan, "air_pressure"), ("pressure", -1.0, "pressure"),
     ("pressure", 9e5, "more than its air")],
)  # fmt: skip
def test_air_points_that_cannot_be_are_refused(field: str, value: float, what: str) -> None:
    points = planted_air(1)
    wrong = getattr(points, field).copy()
    wrong[2] = value
    with pytest.raises(FitError, match=what):
        fit_air_points(find("air-50"), points._replace(**{field: wrong}))
    with pytest.raises(FitError, match="3 test points"):
        fit_air_points(find("air-50"), AirPoints(*(each[:3] for each in points[:3]), points.law))
    with pytest.raises(TypeError):
        fit_air_points(find("lobe-06"), points)
