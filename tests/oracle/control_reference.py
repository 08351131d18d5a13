"""A slow, obvious interpreter of control objects, to hold the simulation to; no flat table in it.

Semantics, exactly
------------------
The controller looks at times t0 < t1 < ...; at each look `Reference.look(past, signals, resets)` gets
the time since its last look, the signals as they are then, and the objects somebody resets by hand then.
Scanned conditions are moved on at every look; conditions that are wired (`scanned` false) have looks of their
own: call with `wired=True` for those, which moves the wired ones on and nothing else.

1. A condition holds where its state list names the present state and the signal is strictly beyond the limit
   (above: signal > limit; below: signal < limit).
2. While it holds its timer grows by `past` at each look, from zero; it acts from the look at which the timer
   has reached the delay. With a delay of 0 that is the first look at which it holds. A look at which it does
   not hold sets the timer to zero.
3. An acting condition of an object with automatic reset is over once the signal is back (above: signal <=
   reset limit; below: signal >= reset limit) or its state is no longer listed, for the reset delay, counted
   like the delay; a signal that is not back, or a condition that holds again, sets that count to zero.
   Between limit and reset limit it neither begins nor ends.
4. While an object with manual reset acts, that is from the look at which enough of its conditions act, its
   acting conditions go on, whatever the signal and the state. A reset by hand ends each of them that would be
   over by 3 without its reset delay: nobody resets what still holds. Before the object acts its conditions
   end like those of 3: one of two signs that was there an hour ago is no sign now.
5. An object acts where at least `votes` of its conditions act.
6. Outputs of all objects that act: pump "stop" (power cut) over "ramp_stop" over running; a standing pump
   stays so under "block_start"; the speed factor is the least of all "slow" (falls linearly from 1 at the
   limit of its condition to 0 at its value, in units of the signal) and "limit_speed" (its value), at most 1.
   A pump the state does not let run is ramped down. hold_plate keeps the plate from both, hold_down and
   hold_up from one. Vent, assist and outlet: the object of the lowest priority number says; of equal ones the
   first in the list; without any, the state. Messages and alarms are those of all objects that act.
7. After the outputs, where an object acts with "press_out" and the state is emptying, it becomes press_out,
   and the time in that state is 0.
   Then the first transition of the state, in the order of the list, whose condition has held for its delay
   (counted like 2, from zero while another state is on) is followed; one a look, and all begin anew.
8. "fault_latched" and "hold_latched" are 1 where a protective, or a process, object with manual reset acted
   at the end of step 5 of the same look; they count in step 7 only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from drumwright.station.control.objects import Condition, Control, ControlObject, Transition


def holds(comparison: str, limit: object, value: float) -> bool:
    """Strictly beyond a limit."""
    number = float(limit)  # type: ignore[arg-type]
    return value > number if comparison == "above" else value < number


def back(condition: Condition, value: float) -> bool:
    """At the reset limit or on its safe side."""
    limit = float(condition.reset_limit)
    return value <= limit if condition.comparison == "above" else value >= limit


@dataclass
class Watch:
    """One condition in time."""

    condition: Condition
    acts: bool = False
    held: float = 0.0
    over: float = 0.0

    def look(self, past: float, value: float, state: str, kept: bool, reset: bool) -> None:
        """One look at the signal; `kept` where its object is latched."""
        alive = state in self.condition.states
        if alive and holds(self.condition.comparison, self.condition.limit, value):
            self.held, self.over = self.held + past, 0.0
            if self.held >= float(self.condition.delay):
                self.acts = True
            return
        self.held = 0.0
        if not self.acts:
            return
        gone = not alive or back(self.condition, value)
        if kept:
            if reset and gone:
                self.acts = False
            return
        self.over = self.over + past if gone else 0.0
        if gone and self.over >= float(self.condition.reset_delay):
            self.acts, self.over = False, 0.0


@dataclass(frozen=True)
class Outputs:
    """What the controller orders at one look."""

    pump: str  # run, ramp_stop, stop, blocked
    factor: float  # of the wanted speed
    down: bool  # plate may be pressed down
    up: bool  # plate may be raised
    vent: bool
    assist: bool
    outlet_open: bool
    acting: tuple[str, ...]  # identifiers
    messages: tuple[str, ...]
    alarms: tuple[str, ...]
    state: str  # after the look


@dataclass
class Reference:
    """The controller: objects with numbers for all levels, and the present state."""

    control: Control
    state: str = "ready"
    watches: dict[str, list[Watch]] = field(default_factory=dict)
    waited: dict[int, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for each in self.control.objects:
            self.watches[each.identifier] = [Watch(c) for c in each.conditions]

    def acts(self, each: ControlObject) -> bool:
        """Whether enough of its conditions act."""
        return sum(watch.acts for watch in self.watches[each.identifier]) >= each.votes

    def look(
        self,
        past: float,
        signals: Mapping[str, float],
        resets: tuple[str, ...] = (),
        wired: bool = False,
        running: bool = True,
    ) -> Outputs:
        """One look; `resets` are identifiers reset by hand, `running` whether the pump runs."""
        for each in self.control.objects:
            kept = each.reset == "manual" and self.acts(each)
            for watch in self.watches[each.identifier]:
                if watch.condition.scanned != wired:
                    value = signals.get(watch.condition.signal, 0.0)
                    watch.look(past, value, self.state, kept, each.identifier in resets)
        acting = [each for each in self.control.objects if self.acts(each)]
        ordered = self._ordered(acting, signals, running)
        if not wired:
            self._proceed(past, signals, acting)
        return Outputs(*ordered, self.state)

    def _ordered(
        self, acting: list[ControlObject], signals: Mapping[str, float], running: bool
    ) -> tuple[str, float, bool, bool, bool, bool, bool, tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
        said = self.control.output(self.state)
        done = [(action, float(value), each) for each in acting for action, value in each.actions]
        words = {action for action, _, _ in done}
        pump, factor = "run" if said.pump else "ramp_stop", 1.0
        if "ramp_stop" in words:
            pump = "ramp_stop"
        if pump == "run" and not running and "block_start" in words:
            pump = "blocked"
        if "stop" in words:
            pump = "stop"
        for action, value, each in done:
            if action == "slow":
                first = each.conditions[0]
                left = (value - signals.get(first.signal, 0.0)) / (value - float(first.limit))
                factor = min(factor, max(left, 0.0))
            elif action == "limit_speed":
                factor = min(factor, value)
        held = "hold_plate" in words
        down = said.plate < 0 and not held and "hold_down" not in words
        up = (said.plate > 0 or "raise_plate" in words) and not held and "hold_up" not in words
        valves = [self._valve(done, name, start) for name, start in
                  (("vent", said.vent), ("assist", said.assist), ("outlet", True))]  # fmt: skip
        told = [tuple(each.identifier for action, _, each in done if action == word)
                for word in ("message", "alarm")]  # fmt: skip
        named = tuple(each.identifier for each in acting)
        return pump, factor, down, up, valves[0], valves[1], valves[2], named, told[0], told[1]

    @staticmethod
    def _valve(done: list[tuple[str, float, ControlObject]], name: str, start: bool) -> bool:
        orders = [(each.priority, action) for action, _, each in done if action.endswith(f"_{name}")]
        if not orders:
            return start
        first = min(priority for priority, _ in orders)
        return next(action for priority, action in orders if priority == first).startswith("open")

    def _proceed(self, past: float, signals: Mapping[str, float], acting: list[ControlObject]) -> None:
        latched = {
            purpose: any(each.purpose == purpose and each.reset == "manual" for each in acting)
            for purpose in ("protective", "process")
        }
        shown = {**signals, "fault_latched": float(latched["protective"]),
                 "hold_latched": float(latched["process"])}  # fmt: skip
        if self.state == "emptying" and any(a == "press_out" for each in acting for a, _ in each.actions):
            self.state, shown["state_time"] = "press_out", 0.0
        for index, each in enumerate(self.control.transitions):
            if self._follows(index, each, past, shown):
                self.state = each.to
                self.waited.clear()
                return

    def _follows(self, index: int, each: Transition, past: float, signals: Mapping[str, float]) -> bool:
        if each.origin != self.state or not holds(each.comparison, each.limit, signals.get(each.signal, 0.0)):
            self.waited[index] = 0.0
            return False
        self.waited[index] = self.waited.get(index, 0.0) + past
        return self.waited[index] >= float(each.delay)
