"""Search for the highest pressure: moment, product, season, wear, air, tolerances and single faults together.

Every run is a row of numbers drawn for its index alone, so that the answer does not depend on how many
processes share the work; a second round draws around the best of the first.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.delivery.surge import surge_bound, wave_speed
from drumwright.machine.pump.base import ROTOR_STEP
from drumwright.station.control.layout import COLUMNS, SIGNALS
from drumwright.station.transient.compiled import available
from drumwright.station.transient.layout import (
    DO_DRIFT,
    DO_OFFSET,
    DO_RAMP,
    DO_RELIEF,
    DO_STUCK_1,
    DO_SWITCH,
    DO_VALVE,
)
from drumwright.station.transient.run import Plant, Tables, Trace, run
from drumwright.study.running import Machine, rested_after, settled_after, started

Array = NDArray[np.float64]
Done = tuple[int, float, float, bool]  # index, highest at the outlet and at the end [Pa(g)], solved
RUNS, DURATION = 10_000, 60.0
PRODUCTS = 16  # samples of the band each season is searched with
FIRST_ROUND = 0.7  # of the runs; the others are drawn around the best of these
BEST = 24
CLOSES = (0.05, 2.0)  # s
AIR = (0.002, 0.05)  # share of the volume (physics book 6.1)
RAMPS = (1.0, 1.3)  # times as long as set; assumed
DRIFT = 0.05  # of the weakest part a second
FAULTS = ("none", "stuck_1", "drift", "switch_fails", "relief_shut", "slow_drive", "cold_start")
SHARE_SOUND = 0.4  # of the runs without a fault
SHUTS = 8  # times at most in a run
CHUNK = 125
SWITCH_SIGNAL = SIGNALS.index("outlet_switch")
LIMIT = COLUMNS.index("limit")


@dataclass(frozen=True, slots=True)
class Draw:
    """One run of the search: everything that was drawn for it."""

    season: str
    sample: int
    worn: int  # steps of the clearance
    air: float
    moment: float  # the outlet begins to shut [s]
    closing: float  # [s]
    reopens: float  # after so long [s]; it shuts again as long after
    offset: float  # of the transmitter, share of its error -1 to 1
    switch: float  # of its tolerance, -1 to 1
    relief: float  # of its tolerance, -1 to 1
    ramp: float  # times as long as set
    fault: str

    def text(self) -> str:
        """The draw in one word that reads back."""
        return ",".join(f"{key}={value}" for key, value in asdict(self).items())


def draw_of(text: str) -> Draw:
    """Read a draw back.

    Parameters
    ----------
    text : str
        As `Draw.text` wrote it.

    Raises
    ------
    ValueError
        If it is not one.
    """
    pairs = dict(part.split("=", 1) for part in text.split(","))
    kinds = {"season": str, "fault": str, "sample": int, "worn": int}
    found = {each.name: kinds.get(each.name, float)(pairs.pop(each.name)) for each in fields(Draw)}
    if pairs or found["fault"] not in FAULTS:
        raise ValueError(text)
    return Draw(**found)


@dataclass(frozen=True, slots=True)
class Peak:
    """The highest pressure at one part and the run it came from."""

    part: str  # outlet or end
    pressure: float  # Pa(g)
    index: int
    draw: Draw


@dataclass(frozen=True, slots=True)
class Worst:
    """What a search found."""

    peaks: tuple[Peak, ...]
    by_fault: tuple[tuple[str, float], ...]  # highest at the outlet for each fault [Pa(g)]
    over: int  # runs above the weakest part
    asked: int
    done: int
    unsolved: int
    duration: float
    seed: int
    weakest: float
    surge: float  # margin of a wave the search does not see [Pa]
    products: int
    seasons: tuple[str, ...]
    latest: float  # moment the outlet begins to shut first [s]
    stopped: bool


@dataclass(frozen=True, slots=True)
class Bench:
    """What a worker needs: plants by season, sample and wear, and the control."""

    plants: dict[tuple[str, int, int], Plant]
    cold: dict[tuple[str, int], tuple[float, float]]
    tables: Tables
    weakest: float
    offset: float  # error of the transmitter [Pa]
    switch: float
    relief: float  # tolerances [-]
    settles: float  # s
    fixed_air: bool


def bench_of(machine: Machine, products: int = PRODUCTS) -> Bench:
    """Make the plants a search draws from.

    Parameters
    ----------
    machine : Machine
    products : int
        Samples for each season: that at likely inputs, and even steps through the running pressure.
    """
    sample = machine.problem.sample_of(machine.found.choice)
    wears = (0, 1) if machine.turns else (0,)
    plants: dict[tuple[str, int, int], Plant] = {}
    cold: dict[tuple[str, int], tuple[float, float]] = {}
    for season, state in machine.found.balances.items():
        order = np.argsort(state.running_gauge[1:]) + 1
        places = np.linspace(0, order.size - 1, products - 1).astype(int)
        there = replace(machine, season=season)
        rested = rested_after(there, "night")
        for index in (0, *order[places].tolist()):
            cold[season, index] = rested
            for worn in wears:
                plants[season, index, worn] = machine.plant(int(index), season, worn * ROTOR_STEP)
    span = (
        float(sample["control.transmitter_span"][0])
        if "control.transmitter_span" in sample
        else (1.6 * machine.weakest)
    )
    return Bench(
        plants, cold, machine.tables, machine.weakest,
        offset=span * float(sample["control.transmitter_tolerance"].max()),
        switch=float(sample["control.switch_tolerance"].max()),
        relief=float(sample["control.relief_tolerance"].max()),
        settles=settled_after(machine),
        fixed_air=machine.around.effective_modulus is not None,
    )  # fmt: skip


def drawn(bench: Bench, seed: int, index: int, around: Sequence[Draw] = ()) -> Draw:
    """What is drawn for a run.

    Parameters
    ----------
    bench : Bench
    seed, index : int
    around : sequence of Draw
        Best of the first round; empty in it.
    """
    random = np.random.default_rng([seed, index])
    keys = list(bench.plants)
    season, sample, worn = keys[int(random.integers(len(keys)))]
    fault = "none" if random.random() < SHARE_SOUND else FAULTS[1 + int(random.integers(len(FAULTS) - 1))]
    first = Draw(
        season, sample, worn,
        air=float(np.exp(random.uniform(*np.log(AIR)))),
        moment=float(random.uniform(0.1, bench.settles + 3.0)),
        closing=float(np.exp(random.uniform(*np.log(CLOSES)))),
        reopens=float(np.exp(random.uniform(math.log(0.2), math.log(20.0)))),
        offset=float(random.uniform(-1.0, 1.0)),
        switch=float(random.uniform(-1.0, 1.0)),
        relief=float(random.uniform(-1.0, 1.0)),
        ramp=float(random.uniform(*RAMPS)),
        fault=fault,
    )  # fmt: skip
    if not around:
        return first
    base = around[int(random.integers(len(around)))]

    def near(value: float, other: float, low: float, high: float) -> float:
        return float(np.clip(value + 0.15 * (other - value), low, high))

    return replace(
        base,
        air=near(base.air, first.air, *AIR),
        moment=near(base.moment, first.moment, 0.1, bench.settles + 3.0),
        closing=near(base.closing, first.closing, *CLOSES),
        reopens=near(base.reopens, first.reopens, 0.2, 20.0),
        offset=near(base.offset, first.offset, -1.0, 1.0),
        switch=near(base.switch, first.switch, -1.0, 1.0),
        relief=near(base.relief, first.relief, -1.0, 1.0),
        ramp=near(base.ramp, first.ramp, *RAMPS),
    )


def run_draw(bench: Bench, asked: Draw, duration: float, *, fast: bool, every: float = 1e9) -> Trace:
    """Run what was drawn.

    Parameters
    ----------
    bench : Bench
    asked : Draw
    duration : float
        [s]
    fast : bool
        With the compiled kernel.
    every : float
        Between two rows [s]; a search keeps none.
    """
    plant = bench.plants[asked.season, asked.sample, asked.worn]
    values: dict[str, float] = {}
    if not bench.fixed_air:
        values |= {"air_1": asked.air, "air_2": asked.air}
    if plant["pump_kind"] < 0.5:
        values["relief_opening"] = plant["relief_opening"] * (1.0 + asked.relief * bench.relief)
    structure = 0.0
    if asked.fault == "cold_start":
        structure, colder = bench.cold[asked.season, asked.sample]
        values |= {"line_yield": plant["line_yield"] * colder, "rest_extra": plant["rest_extra"] * colder}
    plant = started(plant.with_values(**values), structure)
    if every > duration:  # nobody looks at the rows: end with a latched pump that stands
        plant = replace(plant, registers={**plant.registers, "ends_latched": 1.0})
    rules = bench.tables.rules.copy()
    if len(rules):
        wired = rules[:, 0] == SWITCH_SIGNAL
        rules[wired, LIMIT] *= 1.0 + asked.switch * bench.switch
    tables = Tables(rules, bench.tables.transitions, bench.tables.outputs)
    return run(
        plant, duration, tables, _schedule(bench, asked, duration), every=every, most_rows=20_000, fast=fast
    )


def _schedule(bench: Bench, asked: Draw, duration: float) -> list[tuple[float, int, float, float]]:
    rows: list[tuple[float, int, float, float]] = [
        (0.0, DO_OFFSET, -abs(asked.offset) * bench.offset, 0.0),
        (0.0, DO_RAMP, asked.ramp * (2.0 if asked.fault == "slow_drive" else 1.0), 0.0),
    ]
    at = max(asked.moment - 0.5, 0.0)
    single = {
        "stuck_1": (at, DO_STUCK_1, 1.0, 0.0),
        "drift": (at, DO_DRIFT, -DRIFT * bench.weakest, 0.0),
        "switch_fails": (at, DO_SWITCH, 1.0, 0.0),
        "relief_shut": (at, DO_RELIEF, 1.0, 0.0),
    }
    if asked.fault in single:
        rows.append(single[asked.fault])
    moment = asked.moment
    for _ in range(SHUTS):
        if moment >= duration:
            break
        rows.append((moment, DO_VALVE, 0.0, asked.closing))
        rows.append((moment + asked.closing + asked.reopens, DO_VALVE, 1.0, asked.closing))
        moment += 2.0 * (asked.closing + asked.reopens)
    return rows


Task = tuple[int, tuple[int, ...], tuple[Draw, ...], float, bool]
_BENCH: list[Bench] = []  # of a worker process, set once by its start


def _begin(bench: Bench) -> None:
    _BENCH.append(bench)


def _work(task: Task) -> list[Done]:
    seed, indexes, around, duration, fast = task
    return [_one(_BENCH[-1], seed, index, around, duration, fast) for index in indexes]


def _one(bench: Bench, seed: int, index: int, around: Sequence[Draw], duration: float, fast: bool) -> Done:
    trace = run_draw(bench, drawn(bench, seed, index, around), duration, fast=fast)
    return index, trace.peaks["outlet"], trace.peaks["end"], trace.solved


def search(
    machine: Machine,
    *,
    runs: int = RUNS,
    duration: float = DURATION,
    seed: int = 1,
    workers: int = 1,
    products: int = PRODUCTS,
    tell: Callable[[int], None] = lambda done: None,
) -> Worst:
    """Search for the highest pressure at pump outlet and end of the line.

    Parameters
    ----------
    machine : Machine
    runs : int
    duration : float
        Of each run [s].
    seed : int
    workers : int
        Processes; the answer is the same for any number.
    products : int
        Samples of the band for each season.
    tell : callable
        Called with the number of runs done.

    Notes
    -----
    Ctrl-C ends the search and keeps what was found. A search finds a high pressure, never proves the highest.
    """
    bench, fast = bench_of(machine, products), available()
    found: list[Done] = []
    stopped = False
    best: tuple[Draw, ...] = ()
    first = int(FIRST_ROUND * runs)
    try:
        for indexes in (range(first), range(first, runs)):
            for part in _shared(bench, seed, indexes, best, duration, fast, workers):
                found += part
                tell(len(found))
            best = _best(bench, seed, found)
    except KeyboardInterrupt:
        stopped = True
    return _named(machine, bench, seed, found, first, runs, duration, stopped)


def _shared(
    bench: Bench,
    seed: int,
    indexes: range,
    around: tuple[Draw, ...],
    duration: float,
    fast: bool,
    workers: int,
) -> Iterator[list[Done]]:
    tasks = [
        (seed, tuple(indexes[at : at + CHUNK]), around, duration, fast)
        for at in range(0, len(indexes), CHUNK)
    ]
    if workers < 2:
        _begin(bench)
        try:
            for task in tasks:
                yield _work(task)
        finally:
            _BENCH.pop()
        return
    with ProcessPoolExecutor(workers, initializer=_begin, initargs=(bench,)) as pool:
        yield from pool.map(_work, tasks)


def _best(bench: Bench, seed: int, found: list[Done]) -> tuple[Draw, ...]:
    """Draws of the highest runs of the first round, at the outlet and at the end."""
    solved = [each for each in found if each[3]]
    high = sorted(solved, key=lambda each: (-each[1], each[0]))[:BEST]
    high += sorted(solved, key=lambda each: (-each[2], each[0]))[: BEST // 3]
    return tuple(drawn(bench, seed, each[0]) for each in high)


def _named(
    machine: Machine, bench: Bench, seed: int, found: list[Done], first: int, runs: int,
    duration: float, stopped: bool,
) -> Worst:  # fmt: skip
    around = _best(bench, seed, [each for each in found if each[0] < first]) if len(found) > first else ()

    def made(index: int) -> Draw:
        return drawn(bench, seed, index, around if index >= first else ())

    solved = [each for each in found if each[3]]
    peaks = []
    for part, place in (("outlet", 1), ("end", 2)):
        if solved:
            top = min(solved, key=lambda each: (-each[place], each[0]))
            peaks.append(Peak(part, top[place], top[0], made(top[0])))
    by_fault: dict[str, float] = {}
    for index, outlet, _, _ in solved:
        fault = made(index).fault
        by_fault[fault] = max(by_fault.get(fault, 0.0), outlet)
    return Worst(
        peaks=tuple(peaks),
        by_fault=tuple((fault, by_fault[fault]) for fault in FAULTS if fault in by_fault),
        over=sum(each[1] > machine.weakest for each in solved),
        asked=runs,
        done=len(found),
        unsolved=len(found) - len(solved),
        duration=duration,
        seed=seed,
        weakest=machine.weakest,
        surge=surge_of(machine),
        products=len({key[:2] for key in bench.plants}),
        seasons=tuple(machine.found.balances),
        latest=bench.settles + 3.0,
        stopped=stopped,
    )


def surge_of(machine: Machine) -> float:
    """Bound of a pressure wave in the line, which the two volumes of the plant do not carry [Pa].

    Parameters
    ----------
    machine : Machine
    """
    state, plant = machine.state, machine.plant()
    wall = max(plant["flexibility_1"] - 1.0 / machine.around.bulk_modulus, 0.0)
    density = float(machine.problem.sample["product.density"][0])
    speed = wave_speed(density, machine.around.bulk_modulus, wall)
    return float(np.ravel(surge_bound(density, speed, float(np.ravel(state.velocity)[0])))[0])


def processors() -> int:
    """Processes that can work at once here."""
    return max(len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1, 1)


def checked(machine: Machine, text: str) -> tuple[Draw, Any]:
    """A draw read from its text, with the bench it runs on.

    Parameters
    ----------
    machine : Machine
    text : str

    Raises
    ------
    ValueError
        If it is no draw of this machine.
    """
    asked, bench = draw_of(text), bench_of(machine)
    if (asked.season, asked.sample, asked.worn) not in bench.plants:
        raise ValueError(text)
    return asked, bench
