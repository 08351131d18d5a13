"""Run a plant: flat arrays made, the kernel called plain or compiled, what came out named again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.station.control.layout import STATES as PLACES
from drumwright.station.transient import kernel, looks
from drumwright.station.transient.layout import (
    AIR_FACTOR,
    CONTAINER_PRESENT,
    CONTAINERS,
    COUNTS,
    DISPLACEMENT,
    DONE,
    EVENT_COUNT,
    EVENT_SIZE,
    EVENTS,
    FEED_FACTOR,
    MAY_LOWER,
    MAY_RAISE,
    NOT_FINITE,
    PARAMETERS,
    PEAKS,
    PLACE,
    PLATE,
    RAMP_DOWN,
    RAMP_FACTOR,
    RATE_DOWN,
    REFUSED,
    REGISTERS,
    REQUEST,
    ROW,
    ROW_SIZE,
    ROWS,
    SCHEDULE_SIZE,
    SPEED_FACTOR,
    STATE,
    STATUS,
    STEPS,
    VALVE_AT,
)

Array = NDArray[np.float64]
TOLERANCE = 1.0e-4
MOST_STEPS = 2_000_000
MOST_EVENTS = 4000
FAR = 1.0e9  # containers that still come where nobody counts
WIDTH = 64  # of the rows the kernel works in
STATUS_NAMES = ("solved", "too_many_steps", "step_too_small", "not_finite")


class Event(NamedTuple):
    """Something that happened: time [s], kind, and a number where the kind has one."""

    time: float
    kind: str
    value: float


@dataclass(frozen=True, slots=True)
class Tables:
    """The control as the kernel reads it; empty where nothing is controlled."""

    rules: Array = field(default_factory=lambda: np.zeros((0, looks.RULE_SIZE)))
    transitions: Array = field(default_factory=lambda: np.zeros((0, looks.TRANSITION_SIZE)))
    outputs: Array = field(default_factory=lambda: np.array([[1.0, 0.0, 0.0, 0.0]] * len(PLACES)))


@dataclass(frozen=True, slots=True)
class Plant:
    """One plant with one product: parameters by name, tables of its passages, where it begins."""

    parameters: Array  # (len(PARAMETERS),)
    passages: Array  # (tables, TABLE_SIZE)
    start: Array  # (len(STATE),)
    registers: dict[str, float] = field(default_factory=dict)

    def with_values(self, **changes: float) -> Plant:
        """The same plant with some parameters changed.

        Parameters
        ----------
        **changes : float
            By the names of `layout.PARAMETERS`, SI units [-].
        """
        values = self.parameters.copy()
        for name, value in changes.items():
            values[PARAMETERS.index(name)] = value
        return Plant(values, self.passages, self.start, self.registers)

    def __getitem__(self, name: str) -> float:
        return float(self.parameters[PARAMETERS.index(name)])


@dataclass(frozen=True, slots=True)
class Trace:
    """What a run gave: rows by column, events, peaks, volumes, and how it went."""

    rows: dict[str, Array]
    events: tuple[Event, ...]
    peaks: dict[str, float]
    end: dict[str, float]  # state at the end
    begin: dict[str, float]
    steps: int
    refused: int
    status: str
    lost_events: int

    @property
    def solved(self) -> bool:
        """Whether the run came to its end."""
        return self.status == STATUS_NAMES[DONE]

    @property
    def imbalance(self) -> float:
        """Volume that is missing over what was pumped [-]; rounding, or the run is wrong."""
        held = sum(self.end[name] - self.begin[name] for name in ("stored_1", "stored_2", "buffered"))
        out = self.end["delivered"] + self.end["relieved"] + self.end["spilled"]
        return abs(self.end["pumped"] - out - held) / max(abs(self.end["pumped"]), 1e-9)

    def count(self, kind: str) -> int:
        """How often something happened.

        Parameters
        ----------
        kind : str
            One of `layout.EVENTS`.
        """
        return sum(event.kind == kind for event in self.events)


def run(
    plant: Plant,
    duration: float,
    control: Tables | None = None,
    schedule: Sequence[tuple[float, int, float, float]] = (),
    *,
    tolerance: float = TOLERANCE,
    every: float = 0.02,
    most_rows: int = 20_000,
    most_steps: int = MOST_STEPS,
    fast: bool = False,
) -> Trace:
    """Run a plant for a time.

    Parameters
    ----------
    plant : Plant
    duration : float
        [s]
    control : Tables, optional
        Without, the pump runs at the wanted speed.
    schedule : sequence of (float, int, float, float)
        Time [s], what (`layout.SCHEDULE`), value, duration [s].
    tolerance : float
        Relative error of a step over 1 bar + pressure [-].
    every : float
        Least time between two rows [s].
    most_rows, most_steps : int
        Room for rows; steps after which the run counts as not solved.
    fast : bool
        Run the compiled kernel where `numba` is there.

    Notes
    -----
    The same functions run plain or compiled; they agree to rounding (oracle test).
    """
    prepared = prepare(plant, duration, control or Tables(), schedule, every, most_rows)
    simulate: Callable[..., None] = kernel.simulate
    if fast:
        from drumwright.station.transient.compiled import simulate_compiled

        simulate, ready = simulate_compiled(), prepared
    else:
        ready = prepared.as_lists()
    simulate(duration, tolerance, float(most_steps), every, *ready.arguments)
    return named(plant, ready)


@dataclass(slots=True)
class Prepared:
    """The arguments of the kernel, as arrays or as lists."""

    arguments: tuple[Any, ...]

    def as_lists(self) -> Prepared:
        """The same as lists, which plain Python reads faster."""
        return Prepared(
            tuple(each.tolist() if isinstance(each, np.ndarray) else each for each in self.arguments)
        )


def prepare(
    plant: Plant,
    duration: float,
    control: Tables,
    schedule: Sequence[tuple[float, int, float, float]],
    every: float,
    most_rows: int,
) -> Prepared:
    """Make the flat arrays of a run.

    Parameters
    ----------
    plant : Plant
    duration : float
        [s]
    control : Tables
    schedule : sequence
        As in `run`.
    every : float
        [s]
    most_rows : int
    """
    asked = np.array(sorted(schedule, key=lambda row: row[0]), float).reshape(-1, SCHEDULE_SIZE)
    room = min(most_rows, int(duration / max(every, 1e-6)) + 4 * len(asked) + 8)
    width = max(WIDTH, len(control.rules), len(control.transitions))
    return Prepared(
        (
            plant.parameters.copy(),
            np.ascontiguousarray(plant.passages.ravel()),
            plant.start.copy(),
            first_registers(plant),
            np.ascontiguousarray(control.rules.ravel()),
            len(control.rules),
            np.ascontiguousarray(control.transitions.ravel()),
            len(control.transitions),
            np.ascontiguousarray(control.outputs.ravel()),
            asked.ravel(),
            len(asked),
            np.zeros((9, width)),
            np.zeros((12, WIDTH)),
            np.zeros(room * ROW_SIZE),
            room,
            np.zeros(MOST_EVENTS * EVENT_SIZE),
            MOST_EVENTS,
            np.zeros(len(PEAKS)),
            np.zeros(len(COUNTS)),
        )
    )


def first_registers(plant: Plant) -> Array:
    """Registers at the beginning: emptying, the valve of the destination open, nothing wrong.

    Parameters
    ----------
    plant : Plant
    """
    r = np.zeros(len(REGISTERS))
    r[FEED_FACTOR] = r[AIR_FACTOR] = r[RAMP_FACTOR] = r[SPEED_FACTOR] = r[VALVE_AT] = r[REQUEST] = 1.0
    r[PLACE] = PLACES.index("emptying")
    r[CONTAINERS] = FAR
    r[CONTAINER_PRESENT] = r[MAY_LOWER] = r[MAY_RAISE] = 1.0
    r[RATE_DOWN], r[PLATE] = plant.parameters[RAMP_DOWN], -1.0
    for name, value in plant.registers.items():
        r[REGISTERS.index(name)] = value
    return r


def named(plant: Plant, ready: Prepared) -> Trace:
    """Name what the kernel wrote.

    Parameters
    ----------
    plant : Plant
    ready : Prepared
        After the run.
    """
    state, rows, events, peaks, counts = (np.asarray(ready.arguments[k]) for k in (2, 13, 15, 17, 18))
    count, happened = int(counts[ROWS]), int(counts[EVENT_COUNT])
    table = rows[: count * ROW_SIZE].reshape(-1, ROW_SIZE)
    kept = min(happened, MOST_EVENTS)
    listed = events[: kept * EVENT_SIZE].reshape(-1, EVENT_SIZE)
    return Trace(
        rows={name: table[:, k].copy() for k, name in enumerate(ROW)},
        events=tuple(Event(float(t), EVENTS[int(kind)], float(value)) for t, kind, value in listed),
        peaks=dict(zip(PEAKS, peaks.tolist(), strict=True)),
        end=dict(zip(STATE, state.tolist(), strict=True)),
        begin=dict(zip(STATE, plant.start.tolist(), strict=True)),
        steps=int(counts[STEPS]),
        refused=int(counts[REFUSED]),
        status=STATUS_NAMES[int(counts[STATUS]) if np.isfinite([*state, *peaks]).all() else NOT_FINITE],
        lost_events=happened - kept,
    )


def displaced(plant: Plant) -> float:
    """Flow of the pump at the wanted speed without slip [m3/s].

    Parameters
    ----------
    plant : Plant
    """
    return float(plant.parameters[DISPLACEMENT]) * plant["speed_wanted"]
