"""Shifts simulated event by event: stations, people, truck, hopper and a destination with its own stops."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from drumwright.study.shift_plan import Plan, Run, Stop
from drumwright.study.shift_supply import Ledger, Station, Steps, Supply
from drumwright.study.shift_times import Element, Spread, drawn

# One stream of random numbers for each purpose, so that two options meet the same stops and the same changes.
_CHANGES, _STOPS, _OUTAGES, _OTHER, _TRUCK, _START = range(6)


def simulate(plan: Plan, shifts: int, seed: int, first: int = 0) -> Iterator[Run]:
    """Simulate shifts one after the other; only the first keeps its course.

    Parameters
    ----------
    plan : Plan
    shifts : int
        How many.
    seed : int
        Seed of all streams; a shift depends on the seed and its own number only, whoever simulates it.
    first : int
        Number of the first shift.

    Notes
    -----
    The demand of the destination goes by the clock of its own stops and does not wait while it starves: so
    two options see the same demand.
    """
    for number in range(first, first + shifts):
        yield _Shift(plan, seed, number).run()


class _Shift:
    """One shift."""

    def __init__(self, plan: Plan, seed: int, number: int) -> None:
        import simpy

        self.plan, self.seed, self.number = plan, seed, number
        self.env = simpy.Environment()
        self.ledger = Ledger(number == 0)
        self.supply = Supply(self.env, plan, self.ledger)
        self.full_at_start = self.supply.level
        self.people = simpy.PriorityResource(self.env, plan.operators)
        self.trucks = simpy.Resource(self.env, plan.trucks)
        self.truck_stream = self._stream(_TRUCK)
        self.busy = {"operator": 0.0, "truck": 0.0}
        self.drums = 0
        begun = self._stream(_START)
        for index, station in enumerate(self.supply.stations):
            part = float(begun.random()) if plan.supplies and plan.cleans == 0 else 0.0
            if plan.shared_line and index > 0 and part > 0.0:
                part = 1.0  # the others stand ready with a full drum
            self.env.process(self._station(index, station, part))
        if plan.supplies:
            self.env.process(self._destination())
        for index in range(plan.operators if plan.elsewhere > 0.0 else 0):
            self.env.process(self._other_work(self._stream(_OTHER, index)))

    def _stream(self, purpose: int, index: int = 0) -> np.random.Generator:
        return np.random.default_rng([self.seed, self.number, purpose, index])

    def run(self) -> Run:
        """Let the shift pass and read what it came to."""
        plan = self.plan
        self.env.run(until=plan.duration)
        self.supply.close()
        spent: dict[str, float] = {}
        for station in self.supply.stations:
            for state, time in station.spent.items():
                spent[state] = spent.get(state, 0.0) + time
        whole = plan.duration * plan.stations
        idle = spent.get("idle", 0.0) + spent.get("ready", 0.0)
        return Run(
            self.number, self.drums, self.supply.demanded, self.supply.short,
            self.supply.short_by_outage, self.supply.pumped, self.supply.level - self.full_at_start,
            self.ledger.level_below(0.05, plan.hopper),
            self.busy["operator"] / (plan.duration * plan.operators),
            self.busy["truck"] / (plan.duration * plan.trucks),
            1.0 - idle / whole, spent.get("waiting", 0.0) / whole, spent.get("outage", 0.0) / whole,
            tuple(self.ledger.bars), tuple(self.ledger.levels),
        )  # fmt: skip

    def _hold(self, time: float, resource: str, state: str) -> Steps:
        """Keep somebody or a truck busy; only what lies inside the shift counts."""
        begun = self.env.now
        end = min(begun + time, self.plan.duration)
        self.busy[resource] += end - begun
        self.ledger.bar(resource, state, begun, end)
        yield self.env.timeout(time)

    def _station(self, index: int, station: Station, part: float) -> Steps:
        """Change, feed until the drum is empty, and again; cleaned where a recipe ends."""
        plan = self.plan
        changes, outages = self._stream(_CHANGES, index), self._stream(_OUTAGES, index)
        cleaned, ahead = 0, None
        if part > 0.0:
            yield from self._feed(station, part * plan.volume, outages)
        while True:
            if cleaned < plan.cleans and self.env.now >= cleaned * plan.duration / plan.cleans:
                yield from self._clean(station)
                cleaned += 1
            self.ledger.turn(station, "waiting", self.env.now)
            if ahead is not None:
                yield ahead
            self.ledger.turn(station, "change", self.env.now)
            if plan.change is not None:
                yield from self._stated_change(station, plan.change, changes)
            else:
                yield from self._change(station, changes)
            ahead = self._ahead(changes)
            yield from self._feed(station, plan.volume, outages)

    def _feed(self, station: Station, volume: float, outages: np.random.Generator) -> Steps:
        """Be ready with a drum until it is empty; out of order now and then."""
        plan = self.plan
        station.left = volume
        mends = plan.outage > 0.0 and plan.availability < 1.0
        up = plan.outage * plan.availability / (1.0 - plan.availability) if mends else 0.0
        station.emptied = self.env.event()
        while True:
            if mends and not 0.0 < station.in_order < float("inf"):
                station.in_order = float(outages.exponential(up))
            station.failed = self.env.event()
            self.ledger.turn(station, "ready", self.env.now)
            self.supply.wake()
            yield station.emptied | station.failed
            if station.emptied.triggered:
                break
            yield self.env.timeout(float(outages.exponential(plan.outage)))
        self.drums += 1

    def _clean(self, station: Station) -> Steps:
        """Clean one station with one person; meanwhile the destination draws nothing."""
        self.supply.cleaning += 1
        self.supply.wake()
        self.ledger.turn(station, "waiting", self.env.now)
        with self.people.request(priority=0) as person:
            yield person
            self.ledger.turn(station, "cleaning", self.env.now)
            yield from self._hold(self.plan.cleaning_time, "operator", "cleaning")
        self.supply.cleaning -= 1
        self.supply.wake()

    def _stated_change(self, station: Station, change: Spread, stream: np.random.Generator) -> Steps:
        """A change as it was timed: the person who is needed may be at another station."""
        time = change.draw(stream)
        hands = self.plan.hands_share * time
        self.ledger.turn(station, "waiting", self.env.now)
        with self.people.request(priority=0) as person:
            yield person
            self.ledger.turn(station, "change", self.env.now)
            yield from self._hold(hands, "operator", "change")
        yield self.env.timeout(time - hands)

    def _change(self, station: Station, stream: np.random.Generator) -> Steps:
        """A change by its elements: what follows the flow, the work of hands, what leads to the flow."""
        times = {item.name: drawn(item, stream) for item in self.plan.elements}
        yield self.env.timeout(self._sum(times, "after"))
        self.ledger.turn(station, "waiting", self.env.now)
        with self.people.request(priority=0) as person:
            yield person
            self.ledger.turn(station, "change", self.env.now)
            away = self.plan.react_time + self.plan.walk_time
            if away > 0.0:
                yield from self._hold(away, "operator", "walking")
            for item in self.plan.elements:
                if item.stage == "hands" and self._due(item):
                    yield from self._element(station, item, times[item.name])
            yield from self._hold(self._sum(times, "before", bound=True), "operator", "change")
        yield self.env.timeout(self._sum(times, "before", bound=False))

    def _element(self, station: Station, item: Element, time: float) -> Steps:
        """One element with hands, and with a truck where it takes one."""
        if not item.truck:
            yield from self._hold(time, "operator", "change")
            return
        begun = self.env.now
        self.ledger.turn(station, "waiting", begun)
        with self.trucks.request() as truck:
            yield truck
            if self.plan.truck_wait > 0.0:
                yield self.env.timeout(float(self.truck_stream.exponential(self.plan.truck_wait)))
            self.busy["operator"] += min(self.env.now, self.plan.duration) - min(begun, self.plan.duration)
            self.ledger.turn(station, "change", self.env.now)
            work = self.env.process(self._hold(time, "operator", "change"))
            yield from self._hold(time, "truck", "change")
            yield work

    def _due(self, item: Element) -> bool:
        """Whether an element is done at this change: a pallet is exchanged once for its drums."""
        return not item.pallet or self.drums % self.plan.drums_per_pallet == 0

    def _sum(self, times: dict[str, float], stage: str, bound: bool | None = None) -> float:
        """Time of a stage of the change [s], of hands or without where `bound` says so."""
        return sum(
            times[item.name]
            for item in self.plan.elements
            if item.stage == stage and (bound is None or item.binds is bound)
        )

    def _ahead(self, stream: np.random.Generator) -> Any:
        """Work on the next drum while this one empties; None where there is none."""
        time = sum(drawn(item, stream) for item in self.plan.elements if item.stage == "ahead")
        return self.env.process(self._work_ahead(time)) if time > 0.0 else None

    def _work_ahead(self, time: float) -> Steps:
        with self.people.request(priority=1) as person:
            yield person
            yield from self._hold(time, "operator", "ahead")

    def _destination(self) -> Steps:
        """Run until the next of its own stops, stand, run again."""
        plan, supply = self.plan, self.supply
        if (plan.cleans == 0 or plan.hopper <= 0.0) and not supply.started.triggered:
            supply.started.succeed()
        yield supply.started
        streams = [self._stream(_STOPS, index) for index in range(len(plan.stops))]
        left = [_until(stop, stream) for stop, stream in zip(plan.stops, streams, strict=True)]
        while True:
            supply.runs = True
            supply.wake()
            if not left:
                return
            soonest = min(range(len(left)), key=left.__getitem__)
            passed = left[soonest]
            yield self.env.timeout(passed)
            left = [time - passed for time in left]
            stop, stream = plan.stops[soonest], streams[soonest]
            supply.runs = False
            supply.wake()
            yield self.env.timeout(Spread(stop.lasts, stop.spread).draw(stream))
            left[soonest] = _until(stop, stream)

    def _other_work(self, stream: np.random.Generator) -> Steps:
        """Work away from the stations that is finished before a call is answered."""
        plan = self.plan
        gap = plan.other_task * (1.0 - plan.elsewhere) / plan.elsewhere
        while True:
            yield self.env.timeout(float(stream.exponential(gap)) if gap > 0.0 else 0.0)
            with self.people.request(priority=2) as person:
                yield person
                begun = self.env.now
                yield self.env.timeout(float(stream.exponential(plan.other_task)))
                self.ledger.bar("operator", "elsewhere", begun, self.env.now)


def _until(stop: Stop, stream: np.random.Generator) -> float:
    """Time the destination runs until the next stop of a sort [s]."""
    return float(stream.exponential(stop.every_run))
