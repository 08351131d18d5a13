"""The looks of the simulation against the reference interpreter: random objects and signals, look by look."""

from __future__ import annotations

import numpy as np
import pytest
from control_reference import Outputs, Reference

from drumwright.station.control.layout import (
    ACTIONS,
    COMPARISONS,
    OUTPUTS,
    PURPOSES,
    RESETS,
    SIGNALS,
    STATES,
)
from drumwright.station.control.objects import (
    Condition,
    Control,
    ControlObject,
    StateOutputs,
    Transition,
    default_control,
    resolved,
)
from drumwright.station.control.set_points import SetPoints, names
from drumwright.station.control.table import Table, compiled
from drumwright.station.transient import layout, looks

DERIVED = ("fault_latched", "hold_latched")
STEP = 0.25  # exact in binary: timers add up without an error of rounding
POINTS = SetPoints(**{name: 1.5 if name == "stop" else 1.0 for name in names()})


class Kernel:
    """The looks of the simulation, fed with signals instead of a plant."""

    def __init__(self, table: Table, state: str) -> None:
        self.table = table
        self.rules, self.transitions = table.rules.ravel(), table.transitions.ravel()
        self.count, self.ways = len(table.rules), len(table.transitions)
        self.timers, self.resets, self.acting, self.shown = (np.zeros(max(self.count, 1)) for _ in range(4))
        self.waits, self.sig = np.zeros(max(self.ways, 1)), np.zeros(len(SIGNALS))
        self.y, self.p = np.zeros(len(layout.STATE)), np.zeros(len(layout.PARAMETERS))
        self.p[layout.SPEED_WANTED] = self.p[layout.CONTAINER_AREA] = 1.0
        self.r = np.zeros(len(layout.REGISTERS))
        self.r[layout.PLACE], self.r[layout.SPEED_FACTOR] = float(STATES.index(state)), 1.0
        self.ev, self.counts = np.zeros(3000), np.zeros(len(layout.COUNTS))

    def look(self, past: float, signals: dict[str, float], wired: bool, reset: bool) -> None:
        """Read, judge, command, and after a scanned look the transitions, in the order of the simulation."""
        for index, name in enumerate(SIGNALS):
            if name not in DERIVED:
                self.sig[index] = signals.get(name, 0.0)
        self.r[layout.RESET_NOW] = float(reset)
        self._judge(past, wired)
        looks.command(
            0.0, self.y, self.p, self.r, self.rules, self.count, self.acting, self.shown,
            self.table.outputs.ravel(), self.sig, self.ev, self.counts, 900,
        )  # fmt: skip
        if not wired:
            press = looks.latched(self.rules, self.count, self.acting, self.sig)
            looks.proceed(
                0.0, past, press, self.y, self.p, self.r, self.transitions, self.ways, self.waits, self.sig,
                self.ev, self.counts, 900,
            )  # fmt: skip

    def _judge(self, past: float, wired: bool) -> None:
        rest = (self.r, self.rules, self.count, self.timers, self.resets, self.acting)
        if "shown" in looks.judge.__code__.co_varnames[: looks.judge.__code__.co_argcount]:
            looks.judge(0.0, past, float(wired), *rest, self.shown, self.sig)
        else:
            looks.judge(0.0, past, float(wired), *rest, self.sig)

    @property
    def objects(self) -> tuple[str, ...]:
        """Names of the objects that act."""
        found = [
            self.table.names[k].identifier for k in range(self.count)
            if looks.acts(k, self.rules, self.count, self.acting)
        ]  # fmt: skip
        return tuple(dict.fromkeys(found))

    @property
    def speed(self) -> float:
        """Speed ordered, over the wanted one."""
        return float(self.r[layout.SPEED_SET])

    @property
    def state(self) -> str:
        """State after the look."""
        return STATES[int(self.r[layout.PLACE])]


def _random_control(random: np.random.Generator) -> Control:
    def pick(words: tuple[str, ...]) -> str:
        return words[int(random.integers(len(words)))]

    def condition(wired: bool) -> Condition:
        signal, comparison = pick(SIGNALS[:6]), pick(COMPARISONS)
        limit = float(random.integers(2, 8))
        back = limit + float(random.integers(0, 3)) * (-1.0 if comparison == "above" else 1.0)
        alive = tuple(state for state in STATES if random.random() < 0.8) or STATES
        delay, later = (STEP * float(random.integers(0, 4)) for _ in range(2))
        return Condition(signal, comparison, limit, back, delay, later, alive, not wired)

    def action(first: Condition) -> tuple[str, float]:
        word = pick(ACTIONS)
        if word == "slow":
            return word, float(first.limit) + (3.0 if first.comparison == "above" else -3.0)
        return word, 0.5 if word == "limit_speed" else 0.0

    def made(index: int) -> ControlObject:
        wired = bool(random.random() < 0.3)
        conditions = tuple(condition(wired) for _ in range(int(random.integers(1, 4))))
        chosen = dict([action(conditions[0]) for _ in range(3)])
        if len(conditions) > 1:
            chosen.pop("slow", None)  # of one signal only
        chosen = chosen or {"stop": 0.0}
        votes = int(random.integers(1, len(conditions) + 1))
        return ControlObject(
            f"object-{index}", conditions, tuple(chosen.items()), pick(RESETS), int(random.integers(1, 5)),
            pick(PURPOSES), "", votes,
        )  # fmt: skip

    ways = tuple(
        Transition(pick(STATES), pick((*SIGNALS[:6], *DERIVED)), pick(COMPARISONS),
                   float(random.integers(1, 8)), STEP * float(random.integers(0, 3)), pick(STATES))
        for _ in range(20)
    )  # fmt: skip
    outputs = tuple((state, StateOutputs(pump=bool(random.random() < 0.7))) for state in STATES)
    return Control(tuple(made(index) for index in range(6)), ways, outputs)


def _ordered(said: Outputs) -> float:
    return 0.0 if said.pump != "run" else said.factor


def _held_together(control: Control, signals: list[dict[str, float]], resets: list[bool], state: str) -> None:
    kernel, reference = Kernel(compiled(control, POINTS.level), state), Reference(control, state)
    names_of = tuple(each.identifier for each in control.objects)
    for index, (shown, reset) in enumerate(zip(signals, resets, strict=True)):
        for wired in (False, True):
            running = bool(kernel.r[layout.RUNNING] > 0.5)
            kernel.look(STEP, shown, wired, reset)
            said = reference.look(STEP, shown, names_of if reset else (), wired, running)
            assert kernel.objects == said.acting, (index, wired)
            assert kernel.state == said.state, (index, wired)
            assert kernel.speed == pytest.approx(max(_ordered(said), 0.0)), (index, wired)


@pytest.mark.parametrize("seed", range(24))
def test_random_objects_act_alike(seed: int) -> None:
    random = np.random.default_rng(seed)
    control = _random_control(random)
    signals = [{name: float(random.integers(0, 10)) for name in SIGNALS[:6]} for _ in range(150)]
    resets = [bool(random.random() < 0.1) for _ in signals]
    _held_together(control, signals, resets, STATES[int(random.integers(len(STATES)))])


@pytest.mark.parametrize("seed", range(8))
def test_the_default_control_acts_alike(seed: int) -> None:
    """All its signals wander about the level 1 of every set point, flags come and go."""
    random = np.random.default_rng(1000 + seed)
    control = resolved(default_control(), POINTS.level)
    plain = [name for name in SIGNALS if name not in DERIVED]
    signals = []
    for _ in range(200):
        shown = {name: float(random.choice((0.0, 0.9, 1.0, 1.1, 2.0))) for name in plain}
        calm = ("guard_open", "emergency_stop", "relief_flow", "drive_fault", "power_return", "overfill",
                "transmitter_fault", "stop_request", "maintenance_key")  # fmt: skip
        shown |= {name: float(random.random() < 0.03) for name in calm}
        signals.append(shown)
    resets = [bool(random.random() < 0.3) for _ in signals]
    _held_together(control, signals, resets, "emptying")


def test_the_outputs_of_the_states_are_those_the_simulation_reads() -> None:
    assert OUTPUTS[looks.OUT_PUMP] == "pump" and OUTPUTS[looks.OUT_PLATE] == "plate"
    assert len(OUTPUTS) == looks.OUTPUT_SIZE
