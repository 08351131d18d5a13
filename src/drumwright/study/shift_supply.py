"""The product of a simulated shift: what pumps bring, what the hopper holds, what the destination draws.

Flow is piecewise constant: the process sleeps until the next drum is empty, a level switch acts, or somebody
wakes it because a station or the destination changed.
"""

from __future__ import annotations

import math
from collections.abc import Generator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from drumwright.study.shift_plan import Bar, Plan

if TYPE_CHECKING:
    import simpy

Steps = Generator[Any, Any, None]
TINY = 1.0e-12  # [m3] of a level that counts as reached


@dataclass(slots=True)
class Station:
    """One station: what it does, what is in its drum, how long it stays in order."""

    name: str
    state: str = "idle"
    since: float = 0.0
    left: float = 0.0
    in_order: float = math.inf
    emptied: Any = None
    failed: Any = None
    spent: dict[str, float] = field(default_factory=dict)


class Ledger:
    """Time in each state by resource, and the bars of it where they are kept."""

    def __init__(self, keep: bool) -> None:
        self.keep = keep
        self.bars: list[Bar] = []
        self.levels: list[tuple[float, float]] = []
        self.segments: list[tuple[float, float, float]] = []

    def turn(self, station: Station, state: str, now: float) -> None:
        """Close the present state of a station and begin another."""
        if state == station.state:
            return
        passed = now - station.since
        station.spent[station.state] = station.spent.get(station.state, 0.0) + passed
        self.bar(station.name, station.state, station.since, now)
        station.state, station.since = state, now

    def bar(self, resource: str, state: str, start: float, end: float) -> None:
        """Keep a stretch of one resource."""
        if self.keep and end > start and state != "idle":
            self.bars.append(Bar(resource, state, start, end))

    def level(self, start: float, end: float, now: float, passed: float) -> None:
        """Note a straight stretch of the level."""
        if passed > 0.0:
            self.segments.append((start, end, passed))
            if self.keep:
                self.levels.append((now, end))

    def level_below(self, share: float, full: float) -> float:
        """Level the hopper is at or below for a share of the time [m3]."""
        if not self.segments or full <= 0.0:
            return 0.0
        start, end, passed = np.array(self.segments).T
        low, high = np.minimum(start, end), np.maximum(start, end)
        grid = np.linspace(0.0, full, 201)[:, None]
        rise = np.maximum(high - low, 1e-12 * full)
        below = (np.clip((grid - low) / rise, 0.0, 1.0) * passed).sum(axis=1) / passed.sum()
        return float(grid[int(np.argmax(below >= share)), 0])


class Supply:
    """Stations, hopper and destination as one flow.

    Parameters
    ----------
    env : simpy.Environment
    plan : Plan
    ledger : Ledger
    """

    def __init__(self, env: simpy.Environment, plan: Plan, ledger: Ledger) -> None:
        self.env, self.plan, self.ledger = env, plan, ledger
        self.stations = [Station(f"station_{index + 1}") for index in range(plan.stations)]
        self.level = plan.hopper if plan.cleans == 0 else 0.0
        self.filling = self.level < plan.hopper
        self.runs = False  # whether the destination draws
        self.demanded = self.short = self.short_by_outage = self.pumped = 0.0
        self.started = env.event()  # the destination may begin
        self.cleaning = 0  # stations being cleaned
        self.starving = False
        self._turned = self._begun = 0.0
        self._ran = False
        self._present: tuple[list[Station], float, float, float] = ([], 0.0, 0.0, 0.0)
        self._process = env.process(self._flow())

    def wake(self) -> None:
        """Look again: a station or the destination has changed."""
        if self.env.active_process is not self._process and self._process.is_alive:
            self._process.interrupt()

    def _feeding(self) -> list[Station]:
        """Stations that feed now; on a shared line the one that feeds already goes on."""
        if self.plan.supplies and not (self.filling if self.plan.hopper > 0.0 else self._draws()):
            return []
        ready = [each for each in self.stations if each.state in ("ready", "feeding")]
        if not self.plan.shared_line:
            return ready
        return sorted(ready, key=lambda each: (each.state != "feeding", each.since))[:1]

    def _draws(self) -> bool:
        return self.runs and self.cleaning == 0

    def _flow(self) -> Steps:
        """Integrate until the next thing happens, again and again."""
        import simpy

        while True:
            feeding = self._feeding()
            for each in self.stations:
                if each.state in ("ready", "feeding"):
                    self.ledger.turn(each, "feeding" if each in feeding else "ready", self.env.now)
            out = self.plan.draw if self.plan.supplies and self._draws() else 0.0
            one = self.plan.pump_flow
            if self.plan.supplies and self.plan.hopper <= 0.0:
                one = min(one, out / max(len(feeding), 1))
            into = one * len(feeding)
            self._note_starving(out, into)
            self._begun, self._present = self.env.now, (feeding, one, into, out)
            with suppress(simpy.Interrupt):
                yield self.env.timeout(self._next(feeding, one, into, out))
            self._integrate(feeding, one, into, out, self.env.now - self._begun)

    def _note_starving(self, out: float, into: float) -> None:
        """Keep the stretches in which the destination gets less than it wants."""
        starving = self.level <= TINY and into < out * (1.0 - 1e-9)
        state = "starved" if starving else "running" if out > 0.0 else "stopped"
        last = "starved" if self.starving else "running" if self._ran else "stopped"
        if state != last:
            self.ledger.bar("destination", last, self._turned, self.env.now)
            self._turned = self.env.now
        self.starving, self._ran = starving, out > 0.0

    def close(self) -> None:
        """End the open stretches at the end of the shift."""
        self._integrate(*self._present, self.env.now - self._begun)
        for each in self.stations:
            self.ledger.turn(each, "idle", self.env.now)
        last = "starved" if self.starving else "running" if self._ran else "stopped"
        if self.plan.supplies:
            self.ledger.bar("destination", last, self._turned, self.env.now)

    def _next(self, feeding: list[Station], one: float, into: float, out: float) -> float:
        """Time until a drum is empty, a pump fails or a level switch acts [s]."""
        times = [1.0e9]
        if one > 0.0:
            times += [each.left / one for each in feeding]
            times += [each.in_order for each in feeding]
        rate = into - out
        if self.plan.hopper > 0.0:
            if rate > 0.0:
                times.append((self.plan.hopper - self.level) / rate)
            elif rate < 0.0 and self.level > TINY:
                below = self.level - self.plan.start_level
                switch = below if not self.filling and below > TINY else self.level
                times.append(switch / -rate)
        return max(min(times), 0.0)

    def _integrate(self, feeding: list[Station], one: float, into: float, out: float, passed: float) -> None:
        """Move volumes over a stretch of time and act on what is reached."""
        self.demanded += out * passed
        self.pumped += into * passed
        before = self.level
        level = before + (into - out) * passed
        if level < 0.0:
            self.short -= level
            if not feeding and any(each.state == "outage" for each in self.stations):
                self.short_by_outage -= level
        full = self.plan.hopper
        self.level = 0.0 if level <= TINY else full if level >= full - TINY else level
        self.ledger.level(before, self.level, self.env.now, passed)
        if self.level >= full - TINY:
            self.filling = full <= 0.0
            if not self.started.triggered and (full > 0.0 or into > 0.0 or feeding):
                self.started.succeed()
        elif self.level <= self.plan.start_level + TINY:
            self.filling = True
        for each in feeding:
            each.left -= one * passed
            each.in_order -= passed if one > 0.0 else 0.0
            if each.left <= TINY:
                self.ledger.turn(each, "change", self.env.now)
                each.emptied.succeed()
            elif each.in_order <= 1e-9:
                each.in_order = 0.0
                self.ledger.turn(each, "outage", self.env.now)
                each.failed.succeed()
