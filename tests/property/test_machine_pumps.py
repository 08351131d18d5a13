"""One test kit for every pump of the stock, whatever its family."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump import filling, gap
from drumwright.machine.pump import progressing_cavity as cavity
from drumwright.machine.pump.cavity_family import cavity_of
from drumwright.machine.pump.diaphragm_family import diaphragm_of
from drumwright.machine.pump.motor import required_power, sizes, smallest_motor
from drumwright.machine.pump.operate import Operation, load, operate, stall_pressure
from drumwright.machine.pump.stock import (
    Pump,
    find,
    pumps,
    rated_pressure,
    sliding_limit,
    stage_limit,
)
from drumwright.product.law import FlowLaw
from station_kit import ATMOSPHERE, GREASE, SYRUP, TOMATO, likely_model

Array = NDArray[np.float64]
COUNT = 200
TWO = (
    "progressing_cavity",
    "air_diaphragm",
)  # whose own laws are held here; every family: test_pump_families
LAWS = {"tomato": TOMATO, "grease": GREASE, "syrup": SYRUP, "thin": FlowLaw(0.0, 0.5, 1.0)}
every_pump, every_cavity_pump, every_air_pump = (
    pytest.mark.parametrize(
        "pump", [pump for pump in pumps() if pump.family in families], ids=lambda p: p.identifier
    )
    for families in (TWO, TWO[:1], TWO[1:])
)
every_law = pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)


def filling_loss(speed: ArrayLike, e: float, d: float, pitch: float, law: FlowLaw, factor: float) -> Array:
    """Filling loss of a cavity: one pitch at its hydraulic diameter."""
    return filling.filling_loss(speed, cavity.hydraulic_diameter(e, d), pitch, pitch, law, factor)


def filling_speed(
    available: ArrayLike, e: float, d: float, pitch: float, law: FlowLaw, factor: float
) -> Array:
    """Filling speed of a cavity."""
    return filling.filling_speed(available, cavity.hydraulic_diameter(e, d), pitch, pitch, law, factor)


def at(pump: Pump, law: FlowLaw, **values: Any) -> Operation:
    """The pump at a flow between pressures; what is not given stands at an ordinary value."""
    given = {"flow": 1e-4, "inlet": ATMOSPHERE, "outlet": ATMOSPHERE + 3e5, "abrasion": "clean"}
    given |= {key: value for key, value in values.items() if "." not in key}
    count = max(np.size(value) for value in values.values()) if values else 1
    model = likely_model(count) | {key: value for key, value in values.items() if "." in key}
    full = {key: np.full(count, 1.0) * given[key] for key in ("flow", "inlet", "outlet")}
    air = np.full(count, ATMOSPHERE)
    return operate(
        pump,
        given["abrasion"],
        full["flow"],
        full["inlet"],
        full["outlet"],
        air,
        air * 0 + 1100.0,
        law,
        model,
    )


def turns(pump: Pump) -> bool:
    """Whether a motor turns it."""
    return pump.family == "progressing_cavity"


def mean_stroke(pump: Pump) -> float:
    """A large flow for this pump [m3/s]."""
    return pump.displacement * pump.maximum_speed if turns(pump) else diaphragm_of(pump).free_flow


def falls(values: Array) -> bool:
    """Whether a row never rises beyond rounding."""
    return bool(np.all(np.diff(values) <= 1e-12 * np.max(np.abs(values))))


def test_every_registered_name_loads_and_no_name_is_used_twice() -> None:
    names = [pump.identifier for pump in pumps()]
    assert len(set(names)) == len(names)
    assert all(find(name) is pump for name, pump in zip(names, pumps(), strict=True))
    with pytest.raises(KeyError):
        find("cavity-M-3")


def test_the_stock_reaches_60_mm_and_25_bar() -> None:
    for family in TWO:
        own = [pump.passage for pump in pumps() if pump.family == family and "-P" not in pump.identifier]
        assert own == sorted(own)
    assert max(pump.passage for pump in pumps()) >= 0.060
    assert max(rated_pressure(pump, "clean") for pump in pumps()) >= 25e5


@every_pump
def test_records_are_complete_and_positive(pump: Pump) -> None:
    own = cavity_of(pump) if turns(pump) else diaphragm_of(pump)
    assert all(getattr(own, field.name) > 0.0 for field in fields(own))
    assert pump.displacement > 0.0 and pump.port > 0.0
    assert pump.name.endswith("placeholder, not for order")
    assert pump.passage > 0.0 and pump.height > 0.0 and pump.mass > 0.0
    assert pump.preferred_speed <= pump.maximum_speed


@every_pump
def test_abrasion_never_allows_more(pump: Pump) -> None:
    classes = ("clean", "mild", "abrasive")
    rated = [rated_pressure(pump, each) for each in classes]
    assert rated == sorted(rated, reverse=True)
    assert max(rated) <= pump.maximum_pressure
    limits = [float(at(pump, TOMATO, abrasion=each).speed_limit[0]) for each in classes]
    assert limits == sorted(limits, reverse=True)
    assert [stage_limit(each) for each in classes] == sorted(map(stage_limit, classes), reverse=True)
    assert [sliding_limit(each) for each in classes] == sorted(map(sliding_limit, classes), reverse=True)


@every_pump
@every_law
def test_excess_falls_with_flow_and_outlet_pressure(pump: Pump, law: FlowLaw) -> None:
    flows = np.linspace(0.0, 3.0 * mean_stroke(pump), COUNT)
    outlets = ATMOSPHERE + np.linspace(-1e5, 40e5, COUNT)
    for state in (at(pump, law, flow=flows), at(pump, law, outlet=outlets)):
        assert np.all(np.isfinite(state.excess))
        assert falls(state.excess)
    assert at(pump, law, flow=flows).excess[-1] < 0.0
    inlets = np.linspace(0.0, 2.0 * ATMOSPHERE, COUNT)
    assert falls(-at(pump, law, inlet=inlets).excess)


@every_pump
@every_law
def test_required_inlet_pressure_rises_with_flow(pump: Pump, law: FlowLaw) -> None:
    required = at(pump, law, flow=np.linspace(0.0, 2.0 * mean_stroke(pump), COUNT)).inlet_required
    assert np.all(np.isfinite(required))
    assert falls(-required)
    assert required[-1] > required[0]


@every_pump
@every_law
def test_excess_and_required_inlet_agree(pump: Pump, law: FlowLaw) -> None:
    """Where a pump can carry a flow its inlet pressure is at least the required one."""
    flows = np.linspace(0.0, 1.5 * mean_stroke(pump), COUNT)[1:]  # no flow needs no filling
    for inlet in (0.3e5, 0.7e5, 1.0e5, 1.5e5):
        state = at(pump, law, flow=flows, inlet=inlet)
        carried = state.excess >= 0.0
        assert np.all(inlet >= state.inlet_required[carried] * (1.0 - 1e-9))


@every_pump
@every_law
def test_flow_is_displacement_less_slip(pump: Pump, law: FlowLaw) -> None:
    flows = np.linspace(0.0, mean_stroke(pump), COUNT)
    state = at(pump, law, flow=flows, outlet=ATMOSPHERE + 6e5)
    assert pump.displacement * state.speed == pytest.approx(
        flows + state.slip if turns(pump) else 0.0 * flows, rel=1e-13, abs=0.0
    )
    assert np.all(state.slip >= 0.0)


@every_pump
@every_law
def test_no_pressure_no_slip(pump: Pump, law: FlowLaw) -> None:
    for outlet in (0.5 * ATMOSPHERE, ATMOSPHERE):
        assert at(pump, law, outlet=outlet).slip[0] == 0.0


@every_pump
@every_law
def test_at_rest_and_without_feed(pump: Pump, law: FlowLaw) -> None:
    rest = at(pump, law, flow=0.0, outlet=ATMOSPHERE)
    assert rest.speed[0] == 0.0 and rest.slip[0] == 0.0
    starved = at(pump, law, flow=1e-6, inlet=0.0)
    assert starved.excess[0] < 0.0
    if turns(pump):
        assert starved.speed_limit[0] == 0.0


@every_pump
def test_stall(pump: Pump) -> None:
    """Stall pressure falls with friction; an air pump stalls at its air and then carries no flow."""
    model = likely_model(3)
    model["model.friction_share"] = np.array([0.1, 0.25, 0.5])
    stall = np.broadcast_to(stall_pressure(pump, 1500.0, 1.5, model), (3,))
    assert np.all(np.isfinite(stall)) and np.all(stall >= 0.0)
    if pump.family == "air_diaphragm":
        air = float(model["site.air_pressure"][0])
        assert stall == pytest.approx(air)
        flow = np.array([0.0, 1e-7])
        assert np.all(at(pump, SYRUP, flow=flow, outlet=ATMOSPHERE + 1.001 * air).excess < 0.0)
        assert np.all(at(pump, SYRUP, flow=flow, outlet=ATMOSPHERE + 0.99 * air).excess > 0.0)
    else:
        assert falls(stall)
        assert stall[0] > stall[-1] or stall[0] == 0.0
        assert stall_pressure(pump, 3000.0, 1.5, model)[0] > stall[0]


@every_air_pump
def test_air_pressure_above_the_pump_is_not_used(pump: Pump) -> None:
    low, high = at(
        pump, SYRUP, outlet=ATMOSPHERE + 6.9e5, flow=1e-7,
        **{"site.air_pressure": np.array([pump.maximum_pressure, 2.0 * pump.maximum_pressure])},
    ).excess  # fmt: skip
    assert low == high


@every_pump
@every_law
def test_no_pump_draws_below_the_vapour_pressure(pump: Pump, law: FlowLaw) -> None:
    """What boils at 0.8 bar abs is fed by no pump at 0.7; the earlier it boils, the more is needed."""
    vapour = np.linspace(0.0, 0.8e5, COUNT)
    state = at(pump, law, flow=1e-6, inlet=0.7e5, **{"product.vapour_pressure": vapour})
    assert np.all(state.inlet_required >= vapour)
    assert falls(-state.inlet_required)
    assert state.inlet_required[-1] > state.inlet_required[0]
    assert state.excess[-1] < 0.0


@every_cavity_pump
def test_slip_grows_with_clearance_and_stays_below_the_orifice(pump: Pump) -> None:
    clearance = np.linspace(1e-6, 1e-3, COUNT)
    own = cavity_of(pump)
    line = cavity.seal_line_per_stage(own.eccentricity, own.rotor_diameter, own.stator_pitch)
    for law in LAWS.values():
        slip = at(pump, law, outlet=ATMOSPHERE + 6e5, **{"model.clearance": clearance}).slip
        assert np.all(np.diff(slip) >= 0.0)
        orifice = gap.DISCHARGE_COEFFICIENT * clearance * line * np.sqrt(2.0 * 6e5 / pump.stages / 1100.0)
        assert np.all(slip <= orifice * (1.0 + 1e-12))


@every_cavity_pump
@every_law
def test_filling_speed_is_the_inverse_of_filling_loss(pump: Pump, law: FlowLaw) -> None:
    own = cavity_of(pump)
    geometry = (own.eccentricity, own.rotor_diameter, own.stator_pitch)
    speeds = np.geomspace(1e-3, 20.0, 50)
    for factor in (1.0, 1.7, 2.6):
        loss = filling_loss(speeds, *geometry, law, factor)
        back = filling_speed(loss, *geometry, law, factor)
        assert back == pytest.approx(speeds, rel=1e-7)
        assert np.all(filling_speed(-loss, *geometry, law, factor) == 0.0)


@every_pump
@every_law
def test_load_is_bounded_and_grows(pump: Pump, law: FlowLaw) -> None:
    model, one = likely_model(COUNT), np.ones(COUNT)
    pressures = np.linspace(-1e5, 40e5, COUNT)
    state = load(pump, "clean", one, pressures, 1.5 * pressures, law, model)
    for value in state:
        assert np.all(np.isfinite(value)) and np.all(value >= 0.0)
        assert falls(-value)
    if pump.family == "air_diaphragm":
        assert not any(np.any(value) for value in state)
    else:
        running = state.motor_required >= state.shaft_power
        assert np.all(running)
        speeds = np.linspace(0.0, 6.0, COUNT)
        assert falls(-load(pump, "clean", speeds, one * 6e5, one * 6e5, law, model).motor_required)


def test_motor_sizes() -> None:
    assert sizes() == tuple(sorted(set(sizes())))
    for power in sizes():
        assert smallest_motor(power) == power
        assert smallest_motor(power - 1.0) == power
    assert smallest_motor(0.0) == sizes()[0]
    assert smallest_motor(1.001 * sizes()[-1]) == np.inf
    # the greater of the running and the starting demand
    exact = 2.0 * np.pi * 24.0 / 16.0  # rated speed of the pump with a gear of the series
    assert required_power(1000.0, 0.0, exact) == pytest.approx(1200.0 / 0.92)
    assert required_power(0.0, 138.0, exact) == pytest.approx(138.0 * exact / (1.5 * 0.92))
    # between two gears the motor is sized for the faster one: it gives its torque, not its power
    assert required_power(1000.0, 0.0, exact / 1.1) == pytest.approx(1.1 * 1200.0 / 0.92)
