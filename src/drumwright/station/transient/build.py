"""A plant in time from a settled arrangement: the same product, pump, line and feed, one sample of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.pipe import pressure_drop
from drumwright.machine.line.losses import losses, volume, yield_pressure
from drumwright.machine.line.segments import Segment
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.operate import operate
from drumwright.machine.pump.rotary_family import RotaryFamily
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance
from drumwright.station.transient import passages
from drumwright.station.transient.layout import PARAMETERS
from drumwright.station.transient.rest import standing
from drumwright.station.transient.run import Plant

Array = NDArray[np.float64]
TAKES = 2.0e3  # Pa, loss of an open destination at the wanted flow: the line ends there; assumed
STEEL = 1.0e-10  # growth of a steel pipe under pressure [1/Pa] (physics book 6.1)
STIFFEST = 1.0e-11  # 1/Pa
SMALL_FLOW = 1.0e-7  # of the wanted flow: as good as none
MOST_FLOW = 20.0  # times the wanted flow that a table is exact to
BREAKS_BY = 10.0  # strain at the wall after which a rested structure is broken down to 1/e; assumed
HALVINGS = 48
VALVE_TIME = 0.5  # s, until the destination says its own; assumed
WIRED_SCAN = 0.005  # s, contacts without a controller; assumed


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands around pump and line in time; single numbers, SI units, pressures gauge."""

    stall_pressure: float  # on a closed outlet: limit of the drive, or what the air holds
    ramp_time: float  # of the drive, none to the wanted speed and back [s]
    run_on_time: float  # after the power is cut [s]
    drive_lag: float = 0.05
    scan_time: float = 0.05
    lag_outlet: float = 0.05
    lag_switch: float = 0.02
    bulk_modulus: float = 2.2e9
    air_share: float = 0.01
    hose_growth: float = 1.0e-8  # [1/Pa]
    effective_modulus: float | None = None  # of the full line as a whole, in place of the three
    relief_opening: float | None = None  # its set pressure; None: no relief valve
    relief_overpressure: float = 0.1
    relief_branch: float = 0.3  # m
    relief_flow: float = 0.0  # full flow it is made for [m3/s]
    growth_time: float = 600.0  # of the structure [s]
    rested: float = 1.0  # rested over flowing yield stress [-]
    torque_running: float = 0.6  # share of the setting of the drive at the wanted flow [-]
    torque_at_rest: float = 0.2
    buffer: Mapping[str, float] | None = None  # parameters of `layout` that begin with "buffer_"
    neck: tuple[float, float] = (0.05, 0.15)  # bore and length [m]
    change_time: float = 0.0
    change_air: float = 0.0  # at atmospheric pressure [m3]
    fill_height: float = 0.8
    rim_height: float = 1.0
    plate_speed: float = 0.02


def plant_of(
    sample: Mapping[str, Array],
    state: Balance,
    choice: Choice,
    segments: Sequence[Segment],
    around: Surroundings,
    index: int = 0,
    worn: float = 0.0,
) -> Plant:
    """One sample of a settled arrangement as a plant in time, standing still with a full line.

    Parameters
    ----------
    sample : mapping of ndarray
    state : Balance
        Of one season.
    choice : Choice
    segments : sequence of Segment
    around : Surroundings
    index : int
        Of the sample.
    worn : float
        Growth of the clearance of a pump that turns [m].
    """
    one = {key: _at(values, index) for key, values in sample.items()}
    parts = (state.law.yield_stress, state.law.consistency, state.law.exponent)
    law = FlowLaw(*(_at(part, index) for part in parts))
    route = tuple(_segment(each, index) for each in segments)
    factor = _at(state.route.fittings_factor, index) if state.route.segments else 1.0
    flow, density = _at(state.wanted_flow, index), one["product.density"]
    values = _machine(state, choice, around, index, one)
    line, held = _line_table(route, flow, density, law, factor)
    values |= _room(route, around, flow, law)
    values |= {
        "static_head": _at(state.loss.static, index),
        "line_yield": held,
        "rest_extra": max(around.rested - 1.0, 0.0) * float(yield_pressure(route, law.yield_stress, factor)),
        "destination_pressure": one["destination.pressure"],
    }
    bore = float(np.asarray(route[0].bore))
    relief, opening = _relief_table(around, bore, flow, law)
    neck, neck_held = _pipe_table(*around.neck, flow, law)
    values |= {"relief_opening": opening, "neck_yield": neck_held}
    pump = _pump_table(choice, state, around, one, law, index, worn)
    end = passages.linear(TAKES, flow)[0]
    parameters = np.array([values[name] for name in PARAMETERS])
    return Plant(parameters, np.stack([line, pump, relief, neck, end]), standing(parameters))


def _at(values: Any, index: int) -> float:
    found = np.ravel(np.asarray(values, float))
    return float(found[index if found.size > 1 else 0])


def _segment(each: Segment, index: int) -> Segment:
    names = ("bore", "length", "rise", "laminar", "turbulent", "stated")
    changed: dict[str, Any] = {name: _at(getattr(each, name), index) for name in names}
    if each.outlet_bore is not None:
        changed["outlet_bore"] = _at(each.outlet_bore, index)
    return replace(each, **changed)


def _line_table(
    route: Sequence[Segment], flow: float, density: float, law: FlowLaw, factor: float
) -> tuple[Array, float]:
    """Friction of the whole line, and what it holds without flow."""

    def friction(rate: Array) -> Array:
        found = losses(route, rate, density, law, factor)
        return np.asarray(found.straight + found.fittings + found.stated)

    held = float(friction(np.array([SMALL_FLOW * 1e-6 * flow]))[0])
    return passages.from_flow(friction, np.array([held]), np.array([MOST_FLOW * flow]))[0], held


def _pipe_table(bore: float, length: float, flow: float, law: FlowLaw) -> tuple[Array, float]:
    held = 4.0 * float(np.asarray(law.yield_stress)) * length / bore

    def friction(rate: Array) -> Array:
        return np.asarray(pressure_drop(rate, bore, length, law.yield_stress, law.consistency, law.exponent))

    return passages.from_flow(friction, np.array([held]), np.array([MOST_FLOW * flow]))[0], held


def _relief_table(around: Surroundings, bore: float, flow: float, law: FlowLaw) -> tuple[Array, float]:
    """Flow of the relief valve over the pressure beyond its opening: lift of the valve and its branch.

    p = set (1 + overpressure q/q_full) + loss of the branch (physics book 6.3); at rest it holds more.
    """
    if around.relief_opening is None:
        return passages.linear(1.0e5, 1e-12)[0], 1.0e12
    full = max(around.relief_flow, flow)
    held = 4.0 * float(np.asarray(law.yield_stress)) * around.relief_branch / bore

    def pressure(rate: Array) -> Array:
        branch = pressure_drop(
            rate, bore, around.relief_branch, law.yield_stress, law.consistency, law.exponent
        )
        lift = around.relief_opening * around.relief_overpressure * rate / full  # type: ignore[operator]
        return np.asarray(lift + branch)

    table = passages.from_flow(pressure, np.array([held]), np.array([MOST_FLOW * full]))[0]
    return table, around.relief_opening + held * around.rested


def _pump_table(
    choice: Choice, state: Balance, around: Surroundings, one: Mapping[str, float], law: FlowLaw, index: int,
    worn: float,
) -> Array:  # fmt: skip
    """Slip over the pressure of a pump that turns; flow over the pressure below the stall of an air pump."""
    pump, model = choice.pump, {key: np.asarray(value) for key, value in one.items()}
    family = family_of(pump)
    if isinstance(family, RotaryFamily):
        clearance = np.asarray(family.clearance(pump, law, model)) + worn
        density = np.asarray(one["product.density"])

        def slip(pressure: Array) -> Array:
            gap = clearance + 0.0 * pressure
            return np.asarray(family.leak(pump, pressure, gap, density, law, model))

        return np.asarray(passages.from_excess(slip)[0])
    atmosphere = _at(state.atmosphere, index)
    inlet = np.asarray(_at(state.inlet_absolute, index))
    most = pump.displacement * pump.maximum_speed

    def carried(excess: Array) -> Array:
        outlet = atmosphere + np.maximum(around.stall_pressure - excess, 0.0)
        low, high = np.zeros_like(excess), np.full_like(excess, most)
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            state_there = operate(
                pump, "clean", middle, inlet + 0.0 * middle, outlet, np.asarray(atmosphere) + 0.0 * middle,
                np.asarray(one["product.density"]), law, model,
            )  # fmt: skip
            more = state_there.excess >= 0.0
            low, high = np.where(more, middle, low), np.where(more, high, middle)
        return np.asarray(low)

    return np.asarray(passages.from_excess(carried)[0])


def _machine(
    state: Balance, choice: Choice, around: Surroundings, index: int, one: Mapping[str, float]
) -> dict[str, float]:
    """Parameters of pump, drive, feed, container and instruments."""
    pump, flow = choice.pump, _at(state.wanted_flow, index)
    turns = pump.turns
    speed = max(_at(state.pump_wanted.speed, index), 1e-3) if turns else 1.0
    atmosphere = _at(state.atmosphere, index)
    quiet = atmosphere + _at(state.feed.inlet_gauge(SMALL_FLOW * state.wanted_flow), index)
    fed = _at(state.inlet_absolute, index)
    vapour = one["product.vapour_pressure"]
    need = max(min(_at(state.inlet_required, index), fed), vapour + 1.0e3)
    content, area = one["container.usable_volume"], _at(state.feed.area, index)
    air = max(around.air_share, 1e-4)
    built = max(_at(state.pressure_added, index), 1.0)
    return {
        "pump_kind": 0.0 if turns else 1.0,
        "displacement": pump.displacement if turns else 1.0,
        "speed_wanted": speed,
        "ramp_up": speed / around.ramp_time,
        "ramp_down": speed / around.ramp_time,
        "ramp_cut": speed / max(around.run_on_time, 1e-3),
        "drive_lag": around.drive_lag,
        "stall_pressure": around.stall_pressure,
        "back_slip": 1.0 if turns else 0.0,
        "feed_pressure": max(quiet, fed + 1.0),
        "feed_conductance": flow / max(quiet - fed, 1.0e2),
        "vapour_pressure": vapour,
        "inlet_need": need,
        "feed_compliance": content * air / atmosphere,
        "container_volume": content,
        "container_area": area,
        "atmosphere": atmosphere,
        "torque_at_rest": around.torque_at_rest if turns else 0.0,
        "torque_slope": max(around.torque_running - around.torque_at_rest, 0.0) / built if turns else 0.0,
        "air_supply": one["site.air_pressure"],
        "full_height": content / area,
        "rim_height": max(around.rim_height, content / area + 0.05),
        **_others(around),
        **_buffer(around),
    }


def _others(around: Surroundings) -> dict[str, float]:
    """Parameters of instruments and changes that no sample changes, and of a plain open end."""
    return {
        "scan": around.scan_time,
        "wired_scan": WIRED_SCAN,
        "lag_outlet": around.lag_outlet,
        "lag_end": around.lag_outlet,
        "lag_switch": around.lag_switch,
        "valve_closing": VALVE_TIME,
        "valve_opening": VALVE_TIME,
        "destination_hopper": 0.0,
        "hopper_volume": 0.0,
        "hopper_low": 0.0,
        "hopper_high": 1.0,
        "batch_volume": 0.0,
        "plate_speed": around.plate_speed,
        "change_time": around.change_time,
        "change_air": around.change_air,
    }


def _buffer(around: Surroundings) -> dict[str, float]:
    none = {
        "buffer_kind": 0.0, "buffer_node": 2.0, "buffer_volume": 0.0, "buffer_precharge": 0.0,
        "buffer_exponent": 1.2, "buffer_rate": 0.0,
    }  # fmt: skip
    return none | dict(around.buffer or {})


def _room(route: Sequence[Segment], around: Surroundings, flow: float, law: FlowLaw) -> dict[str, float]:
    """Volume and flexibility of the halves of the line, and how fast flow breaks the structure in it."""
    sizes = [float(volume([each])) for each in route]
    whole = max(sum(sizes), 1e-6)
    halves: list[dict[str, float]] = [{"pipe": 0.0, "hose": 0.0}, {"pipe": 0.0, "hose": 0.0}]
    past = 0.0
    for each, size in zip(route, sizes, strict=True):
        first = min(max(0.5 * whole - past, 0.0), size)
        word = "hose" if each.kind == "hose" else "pipe"
        halves[0][word] += first
        halves[1][word] += size - first
        past += size
    bore = max(float(np.asarray(each.bore)) for each in route)
    strain = 8.0 / (bore * 0.25 * np.pi * bore**2)  # at the wall for each volume that passes [1/m3]
    found = {"growth_time": max(around.growth_time, 1.0), "breakdown": strain / BREAKS_BY}
    for number, half in enumerate(halves, 1):
        room = max(sum(half.values()), 1e-6)
        wall = (half["hose"] * around.hose_growth + half["pipe"] * STEEL) / room
        soft, air = 1.0 / around.bulk_modulus + wall, around.air_share
        if around.effective_modulus is not None:
            soft, air = 1.0 / around.effective_modulus, 0.0
        found |= {
            f"volume_{number}": room,
            f"flexibility_{number}": max(soft, STIFFEST),
            f"air_{number}": air,
        }
    return found
