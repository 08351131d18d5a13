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

from drumwright.basis.kept import Kept
from drumwright.flow.numbers import Number
from drumwright.flow.pipe import pressure_drop
from drumwright.machine.line.route import (
    LineLoss,
    Route,
    line_loss,
    rebored,
    restart,
    shear_rate_at_wall,
    velocity,
    yield_only,
)
from drumwright.machine.line.segments import Segment
from drumwright.machine.pump.operate import Load, Operation, load, operate
from drumwright.machine.pump.stock import Abrasion
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


def route_of(sample: Sample, choice: Choice, pieces: tuple[Segment, ...] = ()) -> Route:
    """The line of this arrangement: chosen bore or the customer's, own hose always counted.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    choice : Choice
    pieces : tuple of Segment
        Pieces of the customer's route, where they were stated; a chosen bore goes through all of them.
    """
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
        segments=rebored(pieces, choice.bore) if choice.bore and pieces else pieces,
        fittings_factor=sample["model.fittings_factor"],
    )


def balance(
    sample: Sample,
    law: FlowLaw,
    temperature: Array,
    choice: Choice,
    abrasion: Abrasion,
    settle: bool = True,
    kept: Kept | None = None,
    pieces: tuple[Segment, ...] = (),
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
    kept : Kept, optional
        Store of this sample and law, for what several arrangements share: feed and line at the wanted flow.
    pieces : tuple of Segment
        Of the customer's route, where they were stated.

    Notes
    -----
    Wanted flow first: the pump needs n = (Q + S)/V. Where it cannot (filling, sliding, maximum speed, air
    pressure), the flow is the root of the pump's excess over the line, bracketed for those samples only.
    """
    kept = Kept() if kept is None else kept
    wanted = sample["enquiry.flow"] * choice.flow_factor
    feed, inlet = _feed_at(kept, sample, law, choice, wanted)
    line = _line_at(kept, sample, law, choice, wanted, pieces)
    route, restarting = line.route, line.restart
    machine = _Machine(sample, law, feed, choice, abrasion, pieces)
    state = machine.between(wanted, inlet, line.loss)
    flow, reached = machine.reach(wanted, state, settle)
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
        yield_only=line.yield_only,
        restart_gauge=restarting,
        pressure_added=added,
        pump=reached.pump,
        pump_wanted=state.pump,
        load=driven,
        emptying_time=np.where(flow > SLOWEST * wanted, emptying, math.inf),
        plate_speed=flow / feed.area,
        velocity=line.velocity,
        wall_shear_rate=line.wall_shear_rate,
    )


class _Line(NamedTuple):
    """A line at the wanted flow."""

    route: Route
    loss: LineLoss
    restart: Array  # pressure of the destination counted
    yield_only: Array
    velocity: Array
    wall_shear_rate: Array


def _feed_at(kept: Kept, sample: Sample, law: FlowLaw, choice: Choice, wanted: Array) -> tuple[Feed, Array]:
    """Feed of an arrangement, and the pressure it leaves at the pump at the wanted flow [Pa(g)]."""
    key = ("feed", choice.seal, choice.port, choice.stand, choice.beside, choice.ram)
    feed = kept.once(key, lambda: feed_of(sample, law, choice))
    return feed, kept.once((*key, choice.flow_factor), lambda: feed.inlet_gauge(wanted))


def _line_at(
    kept: Kept, sample: Sample, law: FlowLaw, choice: Choice, wanted: Array, pieces: tuple[Segment, ...]
) -> _Line:
    def made() -> _Line:
        route, density = route_of(sample, choice, pieces), sample["product.density"]
        restarting = restart(route, law, sample["product.restart_factor"], density)
        return _Line(
            route,
            line_loss(route, wanted, density, law),
            restarting + sample["destination.pressure"],
            yield_only(route, law),
            velocity(wanted, route.bore),
            shear_rate_at_wall(wanted, route.bore, law),
        )

    return kept.once(("line", choice.bore, choice.flow_factor, choice.stand, choice.plated), made)


class _State(NamedTuple):
    inlet_gauge: Array
    outlet_gauge: Array
    loss: LineLoss
    pump: Operation


class _Machine:
    """Plate, pump and line of one arrangement, evaluated at any flow."""

    def __init__(
        self,
        sample: Sample,
        law: FlowLaw,
        feed: Feed,
        choice: Choice,
        abrasion: Abrasion,
        pieces: tuple[Segment, ...],
    ) -> None:
        self.sample, self.law, self.feed, self.choice = sample, law, feed, choice
        self.route, self.pump, self.abrasion = route_of(sample, choice, pieces), choice.pump, abrasion
        self.pieces = pieces

    def at(self, flow: Array) -> _State:
        """All borders at a flow [m3/s], shape (n,)."""
        loss = line_loss(self.route, flow, self.sample["product.density"], self.law)
        return self.between(flow, self.feed.inlet_gauge(flow), loss)

    def between(self, flow: Array, inlet: Array, loss: LineLoss) -> _State:
        """The pump at a flow [m3/s] between the pressure at its inlet [Pa(g)] and the losses of the line."""
        sample = self.sample
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
        flow, excess = wanted.copy(), state.pump.excess
        flow[short] = self._of(short).settle(wanted[short], excess[short])
        return flow, self.at(flow)

    def _of(self, some: NDArray[np.bool_]) -> _Machine:
        """The same machine over some of the samples."""
        sample = {key: values[some] for key, values in self.sample.items()}
        parts = (_part(v, some) for v in (self.law.yield_stress, self.law.consistency, self.law.exponent))
        law = FlowLaw(*parts)
        feed = feed_of(sample, law, self.choice)
        return _Machine(sample, law, feed, self.choice, self.abrasion, self.pieces)

    def settle(self, wanted: Array, excess: Array, steps: int = 14) -> Array:
        """Largest flow below the wanted one that pump and line agree on, 0 where nothing flows.

        Notes
        -----
        False position on all samples at once, an end kept twice in a row counted half (Illinois), and one
        secant step to close; 14 steps leave an error below 1e-8 of the wanted flow (oracle test against a
        bracketed root), up to 1e-3 where many times more is asked than the pump can move.
        """
        low = 1e-9 * wanted
        low_excess = self.at(low).pump.excess
        moves = low_excess > 0.0
        flow = np.zeros_like(wanted)
        if np.any(moves):
            ends = (low[moves], wanted[moves], low_excess[moves], excess[moves])
            flow[moves] = self._of(moves).root(*ends, steps)
        return flow

    def root(self, low: Array, high: Array, low_excess: Array, high_excess: Array, steps: int) -> Array:
        """Flow at which the pump has no excess left, between one where it has and one where it has not."""
        moved = np.zeros_like(low)  # which end moved last: 1 high, -1 low
        for _ in range(steps):
            middle = low + low_excess / (low_excess - high_excess) * (high - low)
            value = self.at(middle).pump.excess
            upper = value < 0.0
            kept_low, kept_high = upper & (moved > 0.0), ~upper & (moved < 0.0)
            low_excess = np.where(upper, np.where(kept_low, 0.5, 1.0) * low_excess, value)
            high_excess = np.where(upper, value, np.where(kept_high, 0.5, 1.0) * high_excess)
            high, low = np.where(upper, middle, high), np.where(upper, low, middle)
            moved = np.where(upper, 1.0, -1.0)
        return np.asarray(low + low_excess / (low_excess - high_excess) * (high - low))


def _part(values: Number, some: NDArray[np.bool_]) -> Number:
    """Those of the samples, where there is a value for each."""
    return values[some] if isinstance(values, np.ndarray) and values.shape == some.shape else values


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
