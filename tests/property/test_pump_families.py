"""One test kit for every family and every pump of the stock, also those the search does not offer."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from drumwright.basis.errors import StockError
from drumwright.basis.tables import read_toml
from drumwright.machine.pump.family import families, family_of
from drumwright.machine.pump.limits import assumed, assumed_range
from drumwright.machine.pump.operate import Duty, Operation, behaviour, load, operate, stall_pressure
from drumwright.machine.pump.records import Rotors
from drumwright.machine.pump.rotary_family import RotaryFamily
from drumwright.machine.pump.stock import (
    JUDGED_FAMILIES,
    Pump,
    find,
    judged_pumps,
    pump_from_row,
    pumps,
    rated_pressure,
)
from drumwright.product.law import FlowLaw
from station_kit import ATMOSPHERE, GREASE, SYRUP, TOMATO, likely_model

Array = NDArray[np.float64]
COUNT = 64
LAWS = {"tomato": TOMATO, "grease": GREASE, "syrup": SYRUP, "thin": FlowLaw(0.0, 0.5, 1.0)}
TURNING = tuple(pump for pump in pumps() if isinstance(family_of(pump), RotaryFamily))
every_pump = pytest.mark.parametrize("pump", pumps(), ids=lambda pump: pump.identifier)
every_turning_pump = pytest.mark.parametrize("pump", TURNING, ids=lambda pump: pump.identifier)
every_law = pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
every_family = pytest.mark.parametrize("name", families())


def at(pump: Pump, law: FlowLaw, **values: Any) -> Operation:
    """The pump at a flow between pressures; what is not given stands at an ordinary value."""
    given = {"flow": 0.1 * greatest(pump), "inlet": 1.2 * ATMOSPHERE, "outlet": ATMOSPHERE + 3e5}
    given |= {key: value for key, value in values.items() if "." not in key}
    count = max(np.size(value) for value in values.values()) if values else 1
    model = likely_model(count) | {key: value for key, value in values.items() if "." in key}
    full = {key: np.full(count, 1.0) * given[key] for key in ("flow", "inlet", "outlet")}
    air = np.full(count, ATMOSPHERE)
    return operate(
        pump, given.get("abrasion", "clean"), *full.values(), air, 0 * air + 1100.0, law, model
    )  # fmt: skip


def duty_at(pump: Pump, law: FlowLaw, count: int = COUNT, share: float = 0.1, **values: Any) -> Duty:
    """A duty of some samples that differ in flow, pressures and model."""
    spread = np.linspace(0.5, 1.5, count) if count > 1 else np.ones(1)
    made = Duty(
        abrasion="mild",
        flow=share * greatest(pump) * spread,
        inlet_absolute=1.2 * ATMOSPHERE * np.ones(count),
        outlet_absolute=ATMOSPHERE + 3e5 * spread,
        atmosphere=np.full(count, ATMOSPHERE),
        restart_pressure=4e5 * spread,
        density=np.full(count, 1100.0),
        law=law,
        model=likely_model(count),
    )
    return made._replace(**values)


def greatest(pump: Pump) -> float:
    """Displaced flow at the greatest speed [m3/s]."""
    return pump.displacement * pump.maximum_speed


def falls(values: Array) -> bool:
    """Whether a row never rises beyond rounding."""
    return bool(np.all(np.diff(values) <= 1e-12 * np.max(np.abs(values))))


def test_every_name_loads_once_and_every_family_has_its_sizes() -> None:
    names = [pump.identifier for pump in pumps()]
    assert len(set(names)) == len(names)
    assert all(find(pump.identifier) is pump for pump in pumps())
    for name, family in families().items():
        own = [pump for pump in pumps() if pump.family == name]
        assert family.name == name
        assert all(family_of(pump) is family for pump in own)
        assert len({pump.displacement for pump in own}) >= 5
    assert all(pump.name.endswith("placeholder, not for order") for pump in pumps())


def test_the_search_is_offered_every_active_pump_of_every_family() -> None:
    assert {pump.family for pump in judged_pumps()} == set(JUDGED_FAMILIES) == set(families())
    assert set(judged_pumps()) == {pump for pump in pumps() if pump.status == "active"}


def test_the_stock_reaches_what_it_is_for() -> None:
    """0.1 m3/h at a tenth of preferred speed, 3 and more at it; 34 to 60 bar; 54 mm of passage."""
    for name in families():
        flows = [p.displacement * p.preferred_speed * 3600 for p in pumps() if p.family == name]
        assert 0.1 * min(flows) <= 0.11
        assert max(flows) >= 3.0
    stalls = [
        float(stall_pressure(p, 0.0, 0.0, likely_model())[0])
        for p in pumps()
        if p.family == "follower_piston"
    ]
    assert min(stalls) <= 36e5 and max(stalls) >= 60e5
    assert any(p.passage >= 0.054 and p.displacement < 2e-3 for p in pumps() if p.stages)


@every_family
def test_a_row_says_what_is_wrong_with_it(name: str) -> None:
    """Every field of every family: missing, a text, zero, not finite; an unknown field."""
    pump = next(pump for pump in pumps() if pump.family == name)
    row = row_of(pump)
    assert pump_from_row(name, row) == replace(pump, temperature_limits=())
    for field in row:
        kept = {key: value for key, value in row.items() if key != field}
        wrong: list[dict[str, Any]] = [kept] + [{**kept, field: bad} for bad in (0, -1.0, math.nan, True, [])]
        for bad in wrong:
            with pytest.raises(StockError, match=f"{field} is .*; allowed: "):
                pump_from_row(name, bad)
    for field, bad in (("colour", 1), ("status", "sold"), ("elastomers", ["XYZ"]), ("preferred_speed", 1e3)):
        with pytest.raises(StockError, match=f"{field} is .*; allowed: "):
            pump_from_row(name, {**row, field: bad})


def row_of(pump: Pump) -> dict[str, Any]:
    """A row that gives this pump."""
    row = {"id": pump.identifier} | {
        field: getattr(pump, field)
        for field in (
            "name", "maximum_pressure", "maximum_speed", "preferred_speed", "port", "height", "mass"
        )
    }  # fmt: skip
    row |= {field.name: getattr(pump.geometry, field.name) for field in fields(pump.geometry)}
    return row | ({"displacement": pump.displacement} if pump.family == "air_diaphragm" else {})


def test_rows_that_contradict_themselves_are_refused() -> None:
    lobe, piston = row_of(find("lobe-06")), row_of(find("piston-06-10"))
    for row, field, bad in (
        (lobe, "centre_distance", 0.11), (lobe, "centre_distance", 0.04), (lobe, "wide_clearance", 1e-5),
        (lobe, "pockets", 1), (piston, "maximum_pressure", 59e5),
    ):  # fmt: skip
        family = "lobe" if row is lobe else "follower_piston"
        with pytest.raises(StockError, match=field):
            pump_from_row(family, {**row, field: bad})


def test_assumptions_are_ordered_and_taken_at_their_careful_end() -> None:
    for key, row in read_toml("stock/pumps.toml")["assumed"].items():
        low, likely, high = assumed_range(key)
        assert low <= likely <= high
        assert row["careful"] in ("low", "high") and row["source"]
        assert float(assumed({}, key)) == {"low": low, "high": high}[row["careful"]]
        assert float(assumed({key: np.array(likely)}, key)) == likely


@every_pump
def test_abrasion_never_allows_more(pump: Pump) -> None:
    classes = ("clean", "mild", "abrasive")
    rated = [rated_pressure(pump, each) for each in classes]
    assert rated == sorted(rated, reverse=True)
    assert 0.0 < min(rated) <= max(rated) <= pump.maximum_pressure
    limits = [float(at(pump, TOMATO, abrasion=each).speed_limit[0]) for each in classes]
    assert limits == sorted(limits, reverse=True)


@every_pump
@every_law
def test_excess_is_bounded_and_monotonic(pump: Pump, law: FlowLaw) -> None:
    """Falls with flow and outlet pressure, rises with inlet pressure; three times its flow is too much."""
    flows = np.linspace(0.0, 3.0 * greatest(pump), COUNT)
    outlets = ATMOSPHERE + np.linspace(-1e5, 80e5, COUNT)
    for state in (at(pump, law, flow=flows), at(pump, law, outlet=outlets)):
        assert all(np.all(np.isfinite(value)) for value in state)
        assert falls(state.excess)
    assert at(pump, law, flow=flows).excess[-1] < 0.0
    assert falls(-at(pump, law, inlet=np.linspace(0.0, 2.0 * ATMOSPHERE, COUNT)).excess)


@every_pump
@every_law
def test_required_inlet_pressure_never_falls_with_flow_and_agrees_with_the_excess(
    pump: Pump, law: FlowLaw
) -> None:
    flows = np.linspace(0.0, 2.0 * greatest(pump), COUNT)
    assert falls(-at(pump, law, flow=flows).inlet_required)
    for inlet in (0.3e5, 0.7e5, 1.0e5, 1.5e5):
        state = at(pump, law, flow=flows[1:], inlet=inlet)
        assert np.all(inlet >= state.inlet_required[state.excess >= 0.0] * (1.0 - 1e-9))


@every_pump
@every_law
def test_flow_and_slip_make_the_displaced_flow(pump: Pump, law: FlowLaw) -> None:
    state = at(pump, law, flow=np.linspace(0.0, greatest(pump), COUNT), outlet=ATMOSPHERE + 6e5)
    assert np.all(state.slip >= 0.0)
    if pump.family != "air_diaphragm":
        flows = np.linspace(0.0, greatest(pump), COUNT)
        assert pump.displacement * state.speed == pytest.approx(flows + state.slip, rel=1e-12, abs=1e-18)


@every_pump
@every_law
def test_speed_that_is_needed_rises_with_pressure_and_wear(pump: Pump, law: FlowLaw) -> None:
    outlets = ATMOSPHERE + np.linspace(0.0, 40e5, COUNT)
    assert falls(-at(pump, law, outlet=outlets).speed)
    family, one, model = family_of(pump), np.ones(COUNT), likely_model(COUNT)
    core = (one * 1e-5, one * ATMOSPHERE, one * 6e5, one * ATMOSPHERE, one * 1100.0, law, model)
    worn = family.operate(pump, "clean", *core, worn=np.linspace(0.0, 1e-3, COUNT))
    assert falls(-worn.slip)
    assert falls(worn.excess)


@every_pump
@every_law
def test_at_rest_and_without_feed(pump: Pump, law: FlowLaw) -> None:
    rest = at(pump, law, flow=0.0, outlet=ATMOSPHERE)
    assert rest.speed[0] == 0.0 and rest.slip[0] == 0.0
    starved = at(pump, law, flow=1e-6, inlet=0.0)
    assert starved.excess[0] < 0.0
    assert starved.speed_limit[0] == 0.0
    assert starved.inlet_required[0] > 0.0


@every_pump
@every_law
def test_what_boils_is_drawn_by_no_pump(pump: Pump, law: FlowLaw) -> None:
    vapour = np.linspace(0.0, 0.8e5, COUNT)
    state = at(pump, law, flow=1e-6, inlet=0.7e5, **{"product.vapour_pressure": vapour})
    assert np.all(state.inlet_required >= vapour)
    assert falls(-state.inlet_required)
    assert state.excess[-1] < 0.0


@every_pump
@every_law
def test_load_is_bounded_and_grows(pump: Pump, law: FlowLaw) -> None:
    model, one = likely_model(COUNT), np.ones(COUNT)
    pressures = np.linspace(-1e5, 40e5, COUNT)
    state = load(pump, "clean", one, pressures, 1.5 * pressures, law, model)
    for value in state:
        assert np.all(np.isfinite(value)) and np.all(value >= 0.0)
        assert falls(-np.broadcast_to(value, (COUNT,)))
    assert bool(np.any(state.torque)) == (pump in TURNING)
    speeds = np.linspace(0.0, 6.0, COUNT)
    assert falls(-load(pump, "clean", speeds, one * 6e5, one * 6e5, law, model).motor_required)


@every_pump
def test_stall(pump: Pump) -> None:
    """A motor stalls higher the larger it is, never below nothing; air stalls at ratio times its pressure."""
    model = likely_model(3) | {"model.friction_share": np.array([0.1, 0.25, 0.5])}
    low, high = (np.broadcast_to(stall_pressure(pump, power, 1.5, model), (3,)) for power in (1e3, 1e5))
    assert np.all(np.isfinite(high)) and np.all(low >= 0.0)
    if pump in TURNING:
        assert np.all(high > low)
        assert float(np.max(stall_pressure(pump, 0.0, 1.5, model))) == 0.0
        return
    ratio = getattr(pump.geometry, "ratio", 1.0)
    assert high == pytest.approx(ratio * model["site.air_pressure"])
    flows, stall = np.array([0.0, 1e-9]), float(high[0])
    assert np.all(at(pump, SYRUP, flow=flows, outlet=ATMOSPHERE + 1.001 * stall).excess < 0.0)


@every_turning_pump
def test_ideal_pump_in_the_thin_limit(pump: Pump) -> None:
    """Families agree where they must: without clearance and friction V n and V dp/(2 pi) are left."""
    thin = FlowLaw(0.0, 1e-9, 1.0)
    one = np.ones(1)
    nothing = {
        "model.clearance": 1e-12 * one, "model.rotor_clearance_factor": 1e-9 * one,
        "model.friction_share": 0.0 * one, "model.rotor_friction_share": 0.0 * one,
        "model.drag_film": one,
    }  # fmt: skip
    flow, dp = 0.1 * greatest(pump), 4e5
    state = at(pump, SYRUP, flow=flow, inlet=ATMOSPHERE, outlet=ATMOSPHERE + dp, **nothing)
    assert state.slip[0] <= 1e-12 * flow
    assert pump.displacement * state.speed[0] == pytest.approx(flow, rel=1e-12)
    if isinstance(pump.geometry, Rotors):
        nothing["model.rotor_clearance_factor"] = one
    turned = load(pump, "clean", state.speed, dp * one, dp * one, thin, likely_model() | nothing)
    assert turned.torque[0] == pytest.approx(pump.displacement * dp / (2.0 * math.pi), rel=1e-6)
    assert turned.shaft_power[0] == pytest.approx(flow * dp, rel=1e-6)


def leaves(value: Any, head: str = "") -> dict[str, Any]:
    """Every number of a record, by its dotted name."""
    if hasattr(value, "_asdict"):
        value = value._asdict()
    elif hasattr(type(value), "__dataclass_fields__"):
        value = {field.name: getattr(value, field.name) for field in fields(value)}
    if isinstance(value, tuple):
        value = dict(enumerate(value))
    if isinstance(value, dict):
        found: dict[str, Any] = {}
        for key, below in value.items():
            found |= leaves(below, f"{head}{key}.")
        return found
    return {} if value is None or isinstance(value, str) else {head: value}


@every_pump
@every_law
def test_behaviour_is_bounded_and_its_ranges_are_in_order(pump: Pump, law: FlowLaw) -> None:
    said = behaviour(pump, duty_at(pump, law))
    for name, value in leaves(said).items():
        assert not np.any(np.isnan(value)), name
        if "excess" not in name:
            assert np.all(np.asarray(value) >= 0.0), name
        if isinstance(value, np.ndarray) and "suction_yield" not in name:  # of the law alone
            assert value.shape == (COUNT,), name
    for low, high in (said.wear.growth, said.wear.life, said.wear.containers, said.wear.end_clearance):
        assert low <= high
    assert np.all(said.pulsation[0] <= said.pulsation[1])
    assert np.all(said.speeds.feed_flow[0] <= said.speeds.feed_flow[1])
    assert np.all(said.stall.overload <= said.stall.pull_out)
    assert np.all(said.shear.peak_share <= 1.0)
    assert np.all(said.worn.slip >= said.operation.slip)
    assert set(said.speeds.binding_names()) <= set(said.speeds.caps)
    lowest = np.min(np.stack([np.broadcast_to(cap, (COUNT,)) for cap in said.speeds.caps.values()]), axis=0)
    if pump.family != "air_diaphragm":
        assert said.operation.speed_limit == pytest.approx(lowest, rel=1e-12)
    assert set(said.particle_limits) == {"soft", "firm", "hard"}
    # what the passage promises by the rule of the trade is never more than what the pump lets through
    assert pump.passage / 3.0 <= said.particle_limits["soft"] * (1.0 + 1e-9)
    assert pump.passage / 2.0 <= said.particle_limits["firm"] * (1.0 + 1e-9)
    assert (said.air is None) == (pump in TURNING)
    assert (said.character.closed_outlet == "dangerous") == (pump in TURNING)


@every_pump
@every_law
def test_arrays_say_what_scalars_say(pump: Pump, law: FlowLaw) -> None:
    duty = duty_at(pump, law, 5)
    together = behaviour(pump, duty._replace(motor_power=1500.0))
    for place in range(5):
        alone = duty._replace(
            flow=duty.flow[[place]], inlet_absolute=duty.inlet_absolute[[place]],
            outlet_absolute=duty.outlet_absolute[[place]], atmosphere=duty.atmosphere[[place]],
            restart_pressure=duty.restart_pressure[[place]], density=duty.density[[place]],
            model=likely_model(1), motor_power=1500.0,
        )  # fmt: skip
        single = leaves(behaviour(pump, alone))
        for name, value in leaves(together).items():
            if name.startswith(("stall.", "wear.", "dry_run_time.")) or np.ndim(value) == 0:
                continue  # stall counts with the median speed, the others are ranges over all samples
            part = np.broadcast_to(value, (5,))[place]
            assert float(np.ravel(single[name])[0]) == pytest.approx(float(part), rel=1e-12, abs=1e-300), name


@every_pump
def test_behaviour_at_no_flow_and_without_feed(pump: Pump) -> None:
    for law in (TOMATO, SYRUP):
        duty = duty_at(pump, law, 4)
        for changed in (
            duty._replace(flow=0.0 * duty.flow, outlet_absolute=duty.atmosphere),
            duty._replace(inlet_absolute=0.0 * duty.flow),
            duty._replace(outlet_absolute=duty.atmosphere + 100e5),
        ):
            for name, value in leaves(behaviour(pump, changed)).items():
                assert not np.any(np.isnan(value)), name


@every_pump
@every_law
def test_life_shortens_with_abrasion(pump: Pump, law: FlowLaw) -> None:
    duty = duty_at(pump, law, 4)
    lives = [
        behaviour(pump, duty._replace(abrasion=each)).wear.life[0] for each in ("clean", "mild", "abrasive")
    ]
    assert lives == sorted(lives, reverse=True)
    assert lives[0] > lives[2] or lives[0] == 0.0
