"""Steady balance of plate, pump and line as one machine, over arrays of samples.

The wanted flow is kept where the pump can fill and turn fast enough; elsewhere the flow is the one at which
pump and line agree. Everything is vectorised over the samples; pressures say gauge or absolute in their name.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.pipe import pressure_drop
from drumwright.machine.line.route import (
    LineLoss,
    Route,
    line_loss,
    restart,
    shear_rate_at_wall,
    velocity,
    yield_only,
)
from drumwright.machine.pump.operate import Load, Operation, load, operate
from drumwright.machine.pump.stock import Abrasion, Pump
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Sample
from drumwright.station.outlet_feed import outlet_feed
from drumwright.station.plate_feed import Feed, plate_feed, throat_of

Array = NDArray[np.float64]


SLOWEST = 0.005  # of the wanted flow: slower is no emptying


@dataclass(frozen=True, slots=True)
class Balance:
    """The settled machine in one season; arrays over samples, SI units.

    Sizing figures (pressures, torque, feed margin) are taken at the wanted flow; `flow`, `outlet_gauge` and
    `pump` at the flow that is reached. `inlet_absolute` at the wanted flow is what the losses leave of the
    atmosphere: zero or less says that the wanted flow cannot be fed by any suction, and `feed_margin` is then
    negative by as much.
    """

    law: FlowLaw
    feed: Feed
    route: Route
    temperature: Array
    wanted_flow: Array
    flow: Array
    atmosphere: Array
    force: Array
    under_plate_gauge: Array
    inlet_absolute: Array
    inlet_required: Array
    feed_margin: Array
    outlet_gauge: Array
    running_gauge: Array
    loss: LineLoss
    yield_only: Array
    restart_gauge: Array
    pressure_added: Array
    pump: Operation
    pump_wanted: Operation
    load: Load
    emptying_time: Array
    plate_speed: Array
    velocity: Array
    wall_shear_rate: Array


def feed_of(sample: Sample, law: FlowLaw, choice: Choice) -> Feed:
    """What stands before the pump inlet, under a plate or behind the outlet of a bin."""
    return plate_feed(sample, law, choice) if choice.plated else outlet_feed(sample, law, choice)


def route_of(sample: Sample, choice: Choice) -> Route:
    """The line of this arrangement: chosen bore or the customer's, own hose always counted."""
    bore = np.full_like(sample["product.density"], choice.bore) if choice.bore else sample["line.bore"]
    own = sample.get("line.own_hose_bore")
    hose_bore = bore if own is None or choice.bore else own
    return Route(
        bore=bore,
        length=sample["line.length"],
        hose_bore=hose_bore,
        hose_length=sample["line.own_hose"],
        rise=sample["line.rise"],
        fittings=sample["line.fittings_diameters"] * sample["model.fittings_factor"],
    )


def balance(
    sample: Sample,
    law: FlowLaw,
    temperature: Array,
    choice: Choice,
    abrasion: Abrasion,
    settle: bool = True,
) -> Balance:
    """Settle plate, pump and line for one arrangement in one season.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        Sampled inputs (`station.inputs.draw`).
    law : FlowLaw
        Product at the temperature of the season, arrays of shape (n,).
    temperature : ndarray, shape (n,)
        [K]
    choice : Choice
        The arrangement.
    abrasion : str
        clean, mild or abrasive: caps on sliding speed and stage pressure.
    settle : bool
        False counts a flow that is not reached as none, which is enough for pass or fail.

    Notes
    -----
    Wanted flow first: the pump needs n = (Q + S)/V. Where it cannot (filling, sliding, maximum speed, air
    pressure), the flow is the root of the pump's excess over the line, bracketed for those samples only.
    """
    feed = feed_of(sample, law, choice)
    route = route_of(sample, choice)
    wanted = sample["enquiry.flow"] * choice.flow_factor
    machine = _Machine(sample, law, feed, route, choice.pump, abrasion)
    state = machine.at(wanted)
    flow, reached = machine.reach(wanted, state, settle)
    restarting = restart(route, law, sample["product.restart_factor"], sample["product.density"])
    restarting = restarting + sample["destination.pressure"]
    added = state.outlet_gauge - state.inlet_gauge
    driven = load(choice.pump, abrasion, state.pump.speed, added, restarting, law, sample)
    emptying = sample["container.usable_volume"] / np.maximum(flow, 1e-12)
    return Balance(
        law=law,
        feed=feed,
        route=route,
        temperature=temperature,
        wanted_flow=wanted,
        flow=flow,
        atmosphere=feed.atmosphere,
        force=feed.force,
        under_plate_gauge=feed.under_plate_gauge,
        inlet_absolute=feed.atmosphere + state.inlet_gauge,
        inlet_required=state.pump.inlet_required,
        feed_margin=feed.atmosphere + state.inlet_gauge - state.pump.inlet_required,
        outlet_gauge=reached.outlet_gauge,
        running_gauge=state.outlet_gauge,
        loss=state.loss,
        yield_only=yield_only(route, law),
        restart_gauge=restarting,
        pressure_added=added,
        pump=reached.pump,
        pump_wanted=state.pump,
        load=driven,
        emptying_time=np.where(flow > SLOWEST * wanted, emptying, math.inf),
        plate_speed=flow / feed.area,
        velocity=velocity(wanted, route.bore),
        wall_shear_rate=shear_rate_at_wall(wanted, route.bore, law),
    )


class _State(NamedTuple):
    inlet_gauge: Array
    outlet_gauge: Array
    loss: LineLoss
    pump: Operation


class _Machine:
    """Plate, pump and line of one arrangement, evaluated at any flow."""

    def __init__(
        self, sample: Sample, law: FlowLaw, feed: Feed, route: Route, pump: Pump, abrasion: Abrasion
    ) -> None:
        self.sample, self.law, self.feed, self.route = sample, law, feed, route
        self.pump, self.abrasion = pump, abrasion

    def at(self, flow: Array) -> _State:
        """All borders at a flow [m3/s], shape (n,)."""
        sample = self.sample
        inlet = self.feed.inlet_gauge(flow)
        loss = line_loss(self.route, flow, sample["product.density"], self.law)
        outlet = sample["destination.pressure"] + loss.total
        atmosphere = self.feed.atmosphere
        operation = operate(
            self.pump,
            self.abrasion,
            flow,
            atmosphere + inlet,
            atmosphere + outlet,
            atmosphere,
            sample["product.density"],
            self.law,
            sample,
        )
        return _State(inlet, outlet, loss, operation)

    def reach(self, wanted: Array, state: _State, settle: bool) -> tuple[Array, _State]:
        """Flow that is reached and the borders there; without settling 0 where the wanted one is not."""
        short = state.pump.excess < 0.0
        if not np.any(short):
            return wanted, state
        if not settle:
            return np.where(short, 0.0, wanted), state
        flow = self.settle(wanted, state.pump.excess)
        return flow, self.at(flow)

    def settle(self, wanted: Array, excess: Array, steps: int = 14) -> Array:
        """Largest flow up to the wanted one that pump and line agree on, 0 where nothing flows.

        Notes
        -----
        False position on all samples at once, an end kept twice in a row counted half (Illinois), and one
        secant step to close; 14 steps leave an error below 1e-8 of the wanted flow (oracle test against a
        bracketed root), up to 1e-3 where many times more is asked than the pump can move.
        """
        low, high = 1e-9 * wanted, wanted.copy()
        low_excess = self.at(low).pump.excess
        stuck, fine = low_excess <= 0.0, excess >= 0.0
        low_excess = np.where(stuck, 1.0, low_excess)
        high_excess = np.where(fine, -1.0, excess)
        moved = np.zeros_like(wanted)  # which end moved last: 1 high, -1 low
        for _ in range(steps):
            middle = low + low_excess / (low_excess - high_excess) * (high - low)
            value = self.at(middle).pump.excess
            upper = value < 0.0
            kept_low, kept_high = upper & (moved > 0.0), ~upper & (moved < 0.0)
            low_excess = np.where(upper, np.where(kept_low, 0.5, 1.0) * low_excess, value)
            high_excess = np.where(upper, value, np.where(kept_high, 0.5, 1.0) * high_excess)
            high, low = np.where(upper, middle, high), np.where(upper, low, middle)
            moved = np.where(upper, 1.0, -1.0)
        closing = low + low_excess / (low_excess - high_excess) * (high - low)
        return np.where(fine, wanted, np.where(stuck, 0.0, closing))


def inlet_needed(sample: Sample, state: Balance, choice: Choice, abrasion: Abrasion, flow: Array) -> Array:
    """Absolute pressure needed at the plate's port to feed a flow, throat loss included [Pa]."""
    throat = throat_of(sample, choice)
    law = state.law
    lost = pressure_drop(flow, choice.port, throat, law.yield_stress, law.consistency, law.exponent)
    operation = operate(
        choice.pump,
        abrasion,
        flow,
        state.atmosphere,
        state.atmosphere + state.yield_only,
        state.atmosphere,
        sample["product.density"],
        law,
        sample,
    )
    return np.asarray(operation.inlet_required + lost)
